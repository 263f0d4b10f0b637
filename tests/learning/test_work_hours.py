"""Many moments at once in the hours of the shop, against the shop's own clock."""

from __future__ import annotations

from datetime import UTC, datetime, time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.arrays import floats
from queueplanner.learning.work_hours import WorkHours
from queueplanner.planning.clockwork import day_of, next_working
from queueplanner.shop.calendar import WEEKDAYS, Break, Calendar, Shift, WorkClock

MONDAY = datetime(2026, 3, 2, 8, tzinfo=UTC)
CLOCK = WorkClock.of(
    Calendar(
        time_zone="UTC",
        shifts=(
            Shift(
                days=frozenset(WEEKDAYS[:6]), start=time(8), end=time(16), crew=1,
                breaks=(Break(start=time(10), end=time(10, 15)), Break(start=time(12), end=time(13))),
            ),
        ),
    ),
    MONDAY,
    days=14,
)  # fmt: skip
HOURS = WorkHours.of([(w.start, w.end, w.day) for w in CLOCK.windows])
FIRST = CLOCK.windows[0].start
MOMENTS = st.integers(FIRST - 7200, FIRST + 6 * 86_400)
WORK = st.integers(0, 12 * 3600)


def _at(*moments: float) -> np.ndarray:
    return floats(moments)


@settings(derandomize=True, deadline=None)
@given(MOMENTS, WORK)
def test_it_goes_by_the_shops_own_clock(moment: int, seconds: int) -> None:
    begin = next_working(CLOCK, moment)
    assert begin is not None
    assert HOURS.next_working(_at(moment))[0] == begin
    assert HOURS.day_of(_at(begin))[0] == day_of(CLOCK, begin)
    pieces = CLOCK.pieces(begin, seconds)
    ended = pieces[-1][1] if pieces else begin
    assert HOURS.after_work(_at(begin), _at(seconds))[0] == ended
    if pieces:
        assert HOURS.day_of_last(_at(begin), seconds)[0] == day_of(CLOCK, pieces[-1][0])


@settings(derandomize=True, deadline=None)
@given(MOMENTS, WORK)
def test_work_of_a_day_is_finished_after_hours(moment: int, seconds: int) -> None:
    begin = HOURS.next_working(_at(moment))
    closing, done = HOURS.closing(begin)[0], HOURS.after_work_that_day(begin, _at(seconds))[0]
    rest = sum(w.end - max(w.start, begin[0]) for w in CLOCK.windows if w.end <= closing and w.end > begin[0])
    if seconds <= rest:
        assert done == HOURS.after_work(begin, _at(seconds))[0] <= closing
    else:
        assert done == closing + seconds - rest


def test_after_the_last_window_there_is_no_end() -> None:
    hours = WorkHours.of([(0, 100, 4)])
    late = hours.next_working(_at(100, 1e9))
    assert late.tolist() == [57_700, 1e9]
    assert hours.day_of(late).tolist() == [5, 5]
    assert hours.after_work_that_day(late, _at(50, 50)).tolist() == [57_750, 1e9 + 50]


def test_pauses_are_found_from_each_window_on() -> None:
    hours = WorkHours.of([(0, 10, 0), (11, 20, 0), (25, 30, 0), (31, 40, 0)])
    assert hours.pauses_longer_than(3).tolist() == [1, 1, 3, 3, 5]
    assert hours.pauses_longer_than(1e9).tolist() == [5] * 5


@pytest.mark.parametrize("windows", [[], [(0, 10, 0), (5, 20, 0)], [(0, 10, 1), (11, 20, 0)]])
def test_hours_that_make_no_sense_are_refused(windows: list[tuple[float, float, int]]) -> None:
    with pytest.raises(ValueError, match="hours"):
        WorkHours.of(windows)
