"""What stands in a cell: numbers, times, choices, lists. What is ambiguous is asked, never guessed."""

from __future__ import annotations

import re
from datetime import date, datetime, time
from enum import StrEnum
from typing import TypeVar
from zoneinfo import ZoneInfo

from queueplanner.exchange.local_time import LocalTimeError, local_moment
from queueplanner.exchange.near import folded
from queueplanner.shop.job import Strip

Choice = TypeVar("Choice", bound=StrEnum)

#: Years a job list may speak of.
FIRST_YEAR, LAST_YEAR = 2000, 2199

_PLAIN = re.compile(r"\d+(?:[.,]\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}([.,])\d{3}", re.ASCII)
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:[.,'’\s][0-9]{3})+(?:[.,][0-9]+)?")
_MOMENT = re.compile(
    r"(?:(?P<date>\d{4}-\d{2}-\d{2})[T ])?(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}))?"
    r" ?(?P<offset>Z|[+-]\d{2}:\d{2})?",
    re.ASCII,
)
_STRIP = re.compile(r"(\d+(?:[.,]\d+)?)\s*[-–]\s*(\d+(?:[.,]\d+)?)", re.ASCII)


class CellFault(ValueError):
    """A cell that cannot be taken: what would be right."""

    def __init__(self, wanted: str) -> None:
        self.wanted = wanted
        super().__init__(wanted)


def number(text: str, least: float, most: float) -> float:
    """A number with a decimal point or a decimal comma, within limits. Raises CellFault."""
    if not _PLAIN.fullmatch(text):
        raise CellFault(_why_no_number(text) + f", from {least:g} to {most:g}")
    _ask_if_ambiguous(text)
    value = float(text.replace(",", "."))
    if not least <= value <= most:
        raise CellFault(f"write a number from {least:g} to {most:g}")
    return value


def whole(text: str, least: int, most: int) -> int:
    """A whole number in plain digits, within limits. Raises CellFault."""
    _ask_if_ambiguous(text)
    if not text.isdecimal() or not text.isascii():
        raise CellFault(f"write a whole number from {least} to {most}, digits only")
    value = int(text) if len(text) <= 20 else most + 1
    if not least <= value <= most:
        raise CellFault(f"write a whole number from {least} to {most}")
    return value


def yes_no(text: str) -> bool:
    """Yes or no. Raises CellFault."""
    answers = {"yes": True, "no": False}
    if folded(text) not in answers:
        raise CellFault("write yes or no")
    return answers[folded(text)]


def choice(text: str, kind: type[Choice]) -> Choice:
    """One of a few words; spaces and hyphens are the same, capitals do not matter. Raises CellFault."""
    wanted = folded(text).replace("-", " ").replace("_", " ")
    for member in kind:
        if member.value.replace("-", " ") == wanted:
            return member
    raise CellFault(f"write one of: {', '.join(member.value for member in kind)}")


def joined(text: str) -> list[str]:
    """The parts of a list joined by plus signs. Raises CellFault when one is empty."""
    parts = [part.strip() for part in text.split("+")]
    if not all(parts):
        raise CellFault("put something on both sides of each '+'")
    return parts


def strips(text: str) -> tuple[Strip, ...]:
    """Image-free strips, "18-34 190-206", in mm from the operator's edge. Raises CellFault."""
    rest = _STRIP.sub(" ", text).replace(";", " ").strip()
    found = [tuple(float(mm.replace(",", ".")) for mm in pair) for pair in _STRIP.findall(text)]
    if rest or any(not 0 <= low < high <= 2000 for low, high in found):
        raise CellFault("write strips in mm from the operator's edge, small to large, such as 18-34 190-206")
    return tuple(Strip(from_mm=low, to_mm=high) for low, high in found)


def moment(text: str, day: date, zone: ZoneInfo) -> datetime:
    """A moment: "2026-11-26 14:30", or "14:30" on the given day. Local time, unless an offset follows.

    Raises CellFault, also for an hour that the clocks skip or show twice.
    """
    match = _MOMENT.fullmatch(text)
    if match is None:
        raise CellFault(f"write a date and time such as {day} 14:30, or a time such as 14:30 for {day}")
    if match["hour"] == "24":
        raise CellFault("the day ends at 00:00 of the next: write that")
    try:
        on = date.fromisoformat(match["date"]) if match["date"] else day
    except ValueError:
        raise CellFault("there is no such date: write year-month-day") from None
    if not FIRST_YEAR <= on.year <= LAST_YEAR:
        raise CellFault(f"write a year from {FIRST_YEAR} to {LAST_YEAR}")
    try:
        at = time(int(match["hour"]), int(match["minute"]), int(match["second"] or 0))
    except ValueError:
        raise CellFault("there is no such time of day: write 00:00 to 23:59") from None
    local = datetime.combine(on, at)
    if match["offset"]:
        return _with_offset(local, match["offset"])
    try:
        return local_moment(local, zone)
    except LocalTimeError as error:
        raise CellFault(error.wanted) from None


def _with_offset(local: datetime, offset: str) -> datetime:
    if offset != "Z" and (int(offset[1:3]) > 14 or int(offset[4:6]) > 59):
        raise CellFault("there is no such offset: write -12:00 to +14:00")
    return datetime.fromisoformat(f"{local.isoformat()}{'+00:00' if offset == 'Z' else offset}")


def _ask_if_ambiguous(text: str) -> None:
    """A mark before exactly three digits: thousands to one person, decimals to another."""
    if match := _THOUSANDS.fullmatch(text):
        before, after = text.split(match.group(1))
        decimal = f"{before}.{after}".rstrip("0").rstrip(".")
        raise CellFault(f"it can mean {before}{after} or {decimal}: write the one that is meant")


def _why_no_number(text: str) -> str:
    if text.startswith(("-", "−")):
        return "it may not be negative: write a number"
    if any(c.isdecimal() and not c.isascii() for c in text):
        return "write it with the digits 0 to 9"
    if _GROUPED.fullmatch(text):
        return "write it without marks between the thousands"
    return "write a number in plain digits"
