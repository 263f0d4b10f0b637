"""Plain text in columns: cells fitted by their width on a screen, times and minutes in few letters."""

from __future__ import annotations

import textwrap
import unicodedata
from datetime import datetime
from zoneinfo import ZoneInfo

from queueplanner.shop.calendar import WEEKDAYS

#: How wide a printed table may be.
COLUMNS = 100

_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def width(text: str) -> int:
    """Columns a text takes on a terminal: wide letters take two, combining marks none."""
    return sum(_letter_width(letter) for letter in text)


def _letter_width(letter: str) -> int:
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Cf", "Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in ("W", "F") else 1


def fitted(text: str, columns: int, *, right: bool = False) -> str:
    """A text in exactly so many columns: filled up with spaces, or cut with an ellipsis."""
    line = " ".join(text.split())
    if width(line) > columns:
        while line and width(line) > columns - 1:
            line = line[:-1]
        line += "…"
    gap = " " * (columns - width(line))
    return gap + line if right else line + gap


def wrapped(text: str, first: str, then: str) -> list[str]:
    """A text in lines of at most 100 columns, each begun as told."""
    return textwrap.wrap(
        text, COLUMNS, initial_indent=first, subsequent_indent=then, break_long_words=True, break_on_hyphens=False
    )


def minutes(seconds: int) -> str:
    """Seconds as minutes, without needless decimals: "12", "1.5", "0.33"."""
    return f"{seconds / 60:.2f}".rstrip("0").rstrip(".")


def duration(seconds: int) -> str:
    """Seconds as hours and minutes: "6 h 12 min", "34 min", "1.5 min"."""
    if seconds < 3600:
        return f"{minutes(seconds)} min"
    hours, rest = divmod(round(seconds / 60), 60)
    return f"{hours} h {rest:02} min"


def counted(number: int, one: str, many: str) -> str:
    """A number with its noun: "1 pass", "3 passes"."""
    return f"{number:,} {one if number == 1 else many}"


def clock(moment: int, zone: ZoneInfo) -> str:
    """Epoch seconds as local time of day; seconds are shown only where there are any."""
    local = datetime.fromtimestamp(moment, zone)
    return f"{local:%H:%M}" if local.second == 0 else f"{local:%H:%M:%S}"


def day_name(moment: int, zone: ZoneInfo) -> str:
    """The local day of a moment: "Thursday 26 November 2026"."""
    local = datetime.fromtimestamp(moment, zone)
    return f"{WEEKDAYS[local.weekday()].capitalize()} {local.day} {_MONTHS[local.month - 1]} {local.year}"
