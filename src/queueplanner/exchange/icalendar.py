"""The day as a calendar file: every changeover, run and evening wash as an event of iCalendar (RFC 5545).

Times are in UTC, so none of them floats. An event keeps its identifier when the same day is planned anew, so that a
calendar moves it instead of showing it twice: the identifier follows from press, day, pass and kind alone.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from itertools import pairwise
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from queueplanner import __version__
from queueplanner.exchange.text_table import clock, counted, day_name, duration, minutes
from queueplanner.exchange.wording import sentence, task_name
from queueplanner.planning.plan import Evening, Plan, PlannedPass, PlannedTask, Stretch

#: Longest line in octets, without its line end (RFC 5545, 3.1).
LINE_OCTETS = 75
_NAMES = uuid5(NAMESPACE_URL, "urn:queueplanner:calendar")


class EventKind(StrEnum):
    """What an event is; stands as its category."""

    CHANGEOVER = "Changeover"
    RUN = "Run"
    EVENING = "Evening wash"


@dataclass(frozen=True, slots=True)
class _Event:
    kind: EventKind
    name: str
    start: int
    end: int
    summary: str
    description: tuple[str, ...]


def plan_to_icalendar(plan: Plan, stamped: datetime) -> str:
    """A plan as one calendar, line ends CR LF; `stamped` is the aware moment it is made at.

    Raises ValueError for a moment without a zone.
    """
    if stamped.utcoffset() is None:
        raise ValueError("the moment a calendar is made at needs a zone")
    day = datetime.fromtimestamp(plan.start, plan.zone).date().isoformat()
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//queueplanner//queueplanner {__version__}//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{escaped(plan.press_name)}",
    ]
    for event in _events(plan):
        lines += _event_lines(event, plan, day, stamped.timestamp())
    return "".join(folded(line) for line in [*lines, "END:VCALENDAR"])


def escaped(text: str) -> str:
    """A text as a property's value (RFC 5545, 3.3.11): its own marks escaped, control characters made spaces."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(" " if c not in "\n\t" and unicodedata.category(c) == "Cc" else c for c in plain)
    return kept.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each next one begun with a space, CR LF after each; no letter is cut."""
    pieces, piece, octets = [], "", 0
    for letter in line:
        size = len(letter.encode())
        if octets + size > LINE_OCTETS:
            pieces.append(piece)
            piece, octets = " ", 1
        piece, octets = piece + letter, octets + size
    return "".join(f"{p}\r\n" for p in [*pieces, piece])


def _event_lines(event: _Event, plan: Plan, day: str, stamped: float) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{uuid5(_NAMES, chr(31).join((plan.press_name, day, event.kind, event.name)))}"
    yield f"DTSTAMP:{_utc(int(stamped))}"
    yield f"DTSTART:{_utc(event.start)}"
    if event.end > event.start:  # an end must be later than the start; without one it ends where it starts
        yield f"DTEND:{_utc(event.end)}"
    yield f"SUMMARY:{escaped(event.summary)}"
    yield f"LOCATION:{escaped(plan.press_name)}"
    yield f"CATEGORIES:{escaped(event.kind)}"
    yield f"DESCRIPTION:{escaped(chr(10).join(event.description))}"
    yield "END:VEVENT"


def _utc(moment: int) -> str:
    return f"{datetime.fromtimestamp(moment, UTC):%Y%m%dT%H%M%SZ}"


def _events(plan: Plan) -> Iterator[_Event]:
    evenings = list(plan.evenings)
    for number, planned in enumerate(plan.passes, 1):
        while evenings and evenings[0].start <= planned.makeready_start:
            yield from _evening(evenings.pop(0), plan.zone)
        if planned.tasks or planned.makeready_seconds:  # one that stands on the press ready to run has none left
            yield _changeover(number, planned, plan.zone)
        yield _run(number, planned, plan.zone)
    for evening in evenings:
        yield from _evening(evening, plan.zone)


def _changeover(number: int, planned: PlannedPass, zone: ZoneInfo) -> _Event:
    crew = counted(planned.crew, "person", "people")
    told = [f"Place {number}: {minutes(planned.makeready_seconds)} min of make-ready, {crew}"]
    told += [*_pauses(planned.makeready_pieces, zone), *_task_lines(planned.tasks)]
    told += [f"Note: {sentence(warning)}" for warning in planned.warnings]
    summary = f"Changeover to {_title(planned)}"
    return _Event(
        EventKind.CHANGEOVER, planned.id, planned.makeready_start, planned.makeready_end, summary, tuple(told)
    )


def _run(number: int, planned: PlannedPass, zone: ZoneInfo) -> _Event:
    p = planned.print_pass
    told = [f"Place {number}: {counted(p.run_sheets, 'sheet', 'sheets')} of {p.stock.name}, {p.format.label}"]
    told += sorted(f"Unit {unit}: {p.separation_of(ink).ink.name}" for ink, unit in planned.unit_of.items())
    told += _pauses(planned.run_pieces, zone)
    if planned.job.due_s is not None:
        told.append(f"Due {day_name(planned.job.due_s, zone)}, {clock(planned.job.due_s, zone)}")
    late = f"Late by {duration(planned.late_seconds)}" if planned.late_seconds else ""
    summary = f"Run {_title(planned)}" + (f" ({late.lower()})" if late else "")
    told += [late] if late else []
    return _Event(EventKind.RUN, planned.id, planned.run_start, planned.run_end, summary, tuple(told))


def _evening(evening: Evening, zone: ZoneInfo) -> Iterator[_Event]:
    """The wash before a night; an evening with nothing to do is no event."""
    if evening.tasks:
        day = datetime.fromtimestamp(evening.start, zone).date().isoformat()
        told = (f"{minutes(evening.seconds)} min", *_task_lines(evening.tasks))
        yield _Event(EventKind.EVENING, day, evening.start, evening.end, "Wash before the night", told)


def _title(planned: PlannedPass) -> str:
    return f"{planned.id}, {planned.job.title}" if planned.job.title else planned.id


def _pauses(pieces: tuple[Stretch, ...], zone: ZoneInfo) -> Iterator[str]:
    for (_, stopped), (resumed, _) in pairwise(pieces):
        yield f"Pause from {clock(stopped, zone)} to {clock(resumed, zone)}"


def _task_lines(tasks: Iterable[PlannedTask]) -> Iterator[str]:
    for task in tasks:
        done = ", while the pass before runs" if task.external else ""
        yield f"{minutes(task.seconds)} min: {task_name(task.task, task.unit, task.washes)}{done}"
