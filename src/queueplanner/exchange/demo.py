"""The demo shop's job lists, in a checkout and when installed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

#: The day the demo list is planned for: a Thursday. Its times carry no date, so that any working day will do.
DEMO_DAY = date(2026, 11, 26)
#: The Monday the week's list begins on.
DEMO_WEEK = date(2026, 11, 30)

_PACKAGE = Path(__file__).resolve().parents[1]
_FOLDERS = (_PACKAGE / "demo_jobs", _PACKAGE.parents[1] / "demo_jobs")


def demo_jobs(name: str = "day.csv") -> Path:
    """Where a demo job list lies: "day.csv" or "week.csv". Raises FileNotFoundError if it is in no known place."""
    for folder in _FOLDERS:
        if (folder / name).is_file():
            return folder / name
    raise FileNotFoundError(f"the demo job list {name} is missing: looked in {[str(f) for f in _FOLDERS]}")
