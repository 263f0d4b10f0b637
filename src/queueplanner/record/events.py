"""Press events: appended, never changed, each once, chained by checksums so that a change shows."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from queueplanner.record.canonical import body_of_text, canonical
from queueplanner.record.errors import Damaged, EventClash
from queueplanner.record.row import Body, check_texts
from queueplanner.record.tables import EventRow, MetaRow

#: The row of `meta` that tells where the chain ends: number and checksum of the last event.
EVENTS_END = "events_end"
#: What stands for the checksum before the first event.
NO_CHECKSUM = ""
#: Longest own id; a UUID has 36 characters.
_LONGEST_ID = 36


@dataclass(frozen=True, slots=True)
class PressEvent:
    """What happened at a press, as a station tells it.

    `own_id` (a UUID) is given by the station, so that the same event handed in twice is stored once. `moment` is epoch
    seconds by the station's clock. Raises ValueError for texts that cannot be kept.
    """

    own_id: str
    press: str
    moment: int
    kind: str
    body: Body
    station: str

    def __post_init__(self) -> None:
        check_texts([self.own_id, self.press, self.kind, self.station])
        if len(self.own_id) > _LONGEST_ID:
            raise ValueError(f"an event's own id has no more than {_LONGEST_ID} characters")


@dataclass(frozen=True, slots=True)
class StoredEvent:
    """An event in the record: its number, which tells the order, and the epoch seconds when it was stored."""

    seq: int
    received: int
    event: PressEvent


@dataclass(frozen=True, slots=True)
class Broken:
    """Where the chain of events breaks first: an event's number, its own id if the row is there, and how."""

    seq: int
    own_id: str | None
    what: str

    def __str__(self) -> str:
        return f"events {self.seq}: {self.what}"


def append(session: Session, events: Sequence[PressEvent], received: int, place: str) -> list[int]:
    """Store events in their order; the number of each, also of those that were stored before.

    Raises EventClash if one of them was stored before with another content, Damaged if the end of the chain is lost.
    """
    end = session.get(MetaRow, EVENTS_END)
    seq, before = _end_of(end, place)
    numbers = []
    for told in events:
        known = session.scalars(select(EventRow).where(EventRow.own_id == told.own_id)).first()
        if known is not None:
            if _event_of(known) != told:
                raise EventClash(told.own_id, known.seq)
            numbers.append(known.seq)
            continue
        seq += 1
        before = _add(session, told, seq, before, received)
        numbers.append(seq)
    if end is not None:
        end.value = canonical([seq, before])
    session.flush()
    return numbers


def after(session: Session, seq: int, press: str | None, limit: int) -> list[StoredEvent]:
    """Events after a number, in order, of one press or of all, no more than `limit`."""
    query = select(EventRow).where(EventRow.seq > seq).order_by(EventRow.seq).limit(limit)
    if press is not None:
        query = query.where(EventRow.press == press)
    return [StoredEvent(row.seq, row.received, _event_of(row)) for row in session.scalars(query)]


def first_broken(session: Session, place: str) -> Broken | None:
    """The first event that is missing or not what was written; None if the whole chain holds."""
    expected, before = 1, NO_CHECKSUM
    for row in _all(session):
        if row.seq != expected:
            return Broken(expected, None, "missing")
        if not row.fits_after(before):
            return Broken(row.seq, row.own_id, "its content does not fit its checksum")
        expected, before = expected + 1, row.checksum
    try:
        end = _end_of(session.get(MetaRow, EVENTS_END), place)
    except Damaged as error:
        return Broken(expected, None, error.what)
    if end == (expected - 1, before):
        return None
    return Broken(expected, None, "missing" if end[0] >= expected else "not where the chain ends")


def _all(session: Session) -> Iterator[EventRow]:
    yield from session.execute(select(EventRow).order_by(EventRow.seq).execution_options(yield_per=1000)).scalars()


def _end_of(row: MetaRow | None, place: str) -> tuple[int, str]:
    try:
        seq, checksum = json.loads("" if row is None else row.value)
    except (ValueError, TypeError):
        raise Damaged(place, "events: where their chain ends is lost") from None
    return seq, checksum


def _add(session: Session, told: PressEvent, seq: int, before: str, received: int) -> str:
    row = EventRow(
        seq=seq, own_id=told.own_id, press=told.press, moment=told.moment, received=received, kind=told.kind,
        body=canonical(told.body), station=told.station,
    )  # fmt: skip
    row.checksum = row.reckoned_checksum(before)
    session.add(row)
    session.flush()
    return row.checksum


def _event_of(row: EventRow) -> PressEvent:
    return PressEvent(row.own_id, row.press, row.moment, row.kind, body_of_text(row.body) or {}, row.station)
