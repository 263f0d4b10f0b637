"""Released orders: what was handed to the press, numbered from 1 for each press and day, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from queueplanner.record.canonical import body_of_text, canonical
from queueplanner.record.errors import Damaged
from queueplanner.record.row import Body, check_text
from queueplanner.record.tables import ReleaseRow


@dataclass(frozen=True, slots=True)
class Release:
    """One released order: which press, day and named order, its number and body, when (epoch seconds) and by whom.

    `action` is the number of the action that released it.
    """

    press: str
    day: date
    number: int
    name: str
    body: Body
    moment: int
    by: str
    action: int


def next_number(session: Session, press: str, day: date) -> int:
    """The number of the next release of a press's day."""
    last = select(func.max(ReleaseRow.number)).where(ReleaseRow.press == press, ReleaseRow.day == day.isoformat())
    return (session.scalar(last) or 0) + 1


def add(session: Session, release: Release) -> None:
    """Store a release. Raises ValueError for a name that cannot be kept."""
    check_text(release.by)
    row = ReleaseRow(
        press=release.press, day=release.day.isoformat(), number=release.number, name=release.name,
        body=canonical(release.body), moment=release.moment, released_by=release.by, action=release.action,
    )  # fmt: skip
    row.seal = row.reckoned_seal()
    session.add(row)
    session.flush()


def all_of(session: Session, press: str, day: date, place: str) -> list[Release]:
    """Every release of a press's day, oldest first. Raises Damaged for one that is not what was written."""
    query = select(ReleaseRow).where(ReleaseRow.press == press, ReleaseRow.day == day.isoformat())
    return [_release_of(row, place) for row in session.scalars(query.order_by(ReleaseRow.number))]


def _release_of(row: ReleaseRow, place: str) -> Release:
    if not row.is_sound:
        raise Damaged(place, f"{row.label}: its content does not fit its checksum")
    body = body_of_text(row.body) or {}
    return Release(
        row.press, date.fromisoformat(row.day), row.number, row.name, body, row.moment, row.released_by, row.action
    )
