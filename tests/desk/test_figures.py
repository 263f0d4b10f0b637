from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from queueplanner.desk.figures import Figures

FIGURES = Figures(ZoneInfo("Europe/Amsterdam"))


def at(*parts: int) -> int:
    return int(datetime(*parts, tzinfo=UTC).timestamp())


def test_times_are_the_shops_and_have_24_hours() -> None:
    assert FIGURES.clock(at(2026, 11, 26, 12, 5)) == "13:05"
    assert FIGURES.clock(at(2026, 7, 1, 12, 5)) == "14:05"
    assert FIGURES.day_clock(at(2026, 11, 26, 23, 30)) == "Fri 00:30"


def test_days_are_written_out() -> None:
    assert FIGURES.long_day(at(2026, 11, 26, 6)) == "Thursday 26 November 2026"
    assert FIGURES.short_day(at(2026, 11, 26, 6)) == "Thu 26 Nov"


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0 min"), (29, "0 min"), (30, "1 min"), (3599, "1 h 00 min"), (16_320, "4 h 32 min")]
)
def test_hours_and_minutes_are_rounded_half_up(seconds: int, text: str) -> None:
    assert FIGURES.hours_minutes(seconds) == text


def test_counts_percentages_and_minutes() -> None:
    assert FIGURES.count(1240) == "1,240"
    assert FIGURES.percent(3.14) == "3.1 %"
    assert FIGURES.minutes(90) == "1.5"
    assert FIGURES.whole_minutes(1290) == "22"
