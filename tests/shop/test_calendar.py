"""The shop's hours: working days, breaks, closed days, crews, nights on which the clock is put forward or back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from queueplanner.shop.calendar import NIGHT_SECONDS, WEEKDAYS, Break, Calendar, Shift, WorkClock

HOUR = 3600
MONDAY = datetime(2026, 3, 2, tzinfo=UTC)
EVERY_DAY = frozenset(WEEKDAYS)
BERLIN = ZoneInfo("Europe/Berlin")


def shift(start: time, end: time, *breaks: tuple[time, time], crew: int = 1, days: frozenset[str] = EVERY_DAY) -> Shift:
    return Shift(days=days, start=start, end=end, crew=crew, breaks=tuple(Break(start=a, end=b) for a, b in breaks))


def calendar(*shifts: Shift, zone: str = "UTC", closed: frozenset[date] = frozenset()) -> Calendar:
    return Calendar(time_zone=zone, shifts=shifts, closed=closed)


def clock(*shifts: Shift, start: datetime = MONDAY, closed: frozenset[date] = frozenset()) -> WorkClock:
    return WorkClock.of(calendar(*shifts, closed=closed), start, days=14)


def at(hour: int, minute: int = 0, day: int = 0) -> int:
    return int((MONDAY + timedelta(days=day, hours=hour, minutes=minute)).timestamp())


def in_berlin(*when: int) -> int:
    """A wall-clock moment in Berlin, epoch seconds."""
    return int(datetime(*when, tzinfo=BERLIN).timestamp())


def open_on(of: WorkClock, day: int) -> list[tuple[int, int]]:
    return [(w.start, w.end) for w in of.windows if w.day == day]


@pytest.mark.parametrize(("second", "days"), [(time(15, 59), 1), (time(16), 2), (time(16, 1), 2)])
def test_shifts_less_than_four_hours_apart_make_one_working_day(second: time, days: int) -> None:
    found = clock(shift(time(8), time(12)), shift(second, time(20)))
    first_day = [s for s in found.day_starts if s < at(0, day=1)]
    assert len(first_day) == days
    assert found.day_ends[days - 1] == at(20)


def test_a_night_of_less_than_four_hours_joins_two_days() -> None:
    found = clock(shift(time(7), time(15)), shift(time(15), time(3, 30)))
    # 3:30 to 7:00 are 3½ h: the fortnight is one working day.
    assert len(found.day_starts) == 1
    later = clock(shift(time(7), time(15)), shift(time(15), time(3)))
    assert len(later.day_starts) > 10


def test_breaks_are_left_out_of_the_working_time() -> None:
    found = clock(shift(time(8), time(17), (time(12), time(12, 30)), (time(9), time(9, 15))))
    assert open_on(found, 0) == [(at(8), at(9)), (at(9, 15), at(12)), (at(12, 30), at(17))]
    # An hour and a half of work from 8:30 on takes the 15 min of the break more.
    assert found.pieces(at(8, 30), 90 * 60) == [(at(8, 30), at(9)), (at(9, 15), at(10, 15))]


def test_a_break_at_either_end_of_a_shift_shortens_it_and_overlapping_breaks_count_once() -> None:
    found = clock(
        shift(time(8), time(17), (time(8), time(8, 15)), (time(16, 45), time(17)), (time(12), time(13)),
              (time(12, 30), time(13, 15))),
    )  # fmt: skip
    assert open_on(found, 0) == [(at(8, 15), at(12)), (at(13, 15), at(16, 45))]
    # The day is still told from shift to shift.
    assert (found.day_starts[0], found.day_ends[0]) == (at(8), at(17))


def test_a_break_past_the_end_of_its_shift_is_refused() -> None:
    with pytest.raises(ValidationError, match="ends after the shift"):
        calendar(shift(time(8), time(12), (time(11, 50), time(12, 10))))


def test_a_closed_day_has_no_shift() -> None:
    found = clock(shift(time(8), time(17)), closed=frozenset({date(2026, 3, 3)}))
    assert found.day_starts[:2] == (at(8), at(8, day=2))
    of = calendar(shift(time(8), time(17)), closed=frozenset({date(2026, 3, 3)}))
    assert of.first_shift_start(date(2026, 3, 3)) is None
    assert of.first_shift_start(date(2026, 3, 4)) == datetime(2026, 3, 4, 8, tzinfo=UTC)


def test_a_closed_day_closes_the_whole_shift_that_begins_on_it() -> None:
    night = shift(time(22), time(6))
    found = clock(night, closed=frozenset({date(2026, 3, 3)}))
    # Tuesday's night shift falls out, Monday's goes on into Tuesday morning.
    starts = [w.start for w in found.windows if w.start >= at(0)]
    assert starts[:2] == [at(22), at(22, day=2)]
    assert found.windows[1].end == at(6, day=1)


def test_weekdays_have_their_own_shifts() -> None:
    found = clock(
        shift(time(8), time(17), days=frozenset({"monday", "friday"})),
        shift(time(9), time(12), days=frozenset({"tuesday"})),
    )
    assert found.day_starts[:4] == (at(8), at(9, day=1), at(8, day=4), at(8, day=7))
    with pytest.raises(ValidationError, match="no such weekday: sonday"):
        shift(time(8), time(17), days=frozenset({"sonday"}))


def test_the_crew_is_that_of_the_shift_at_hand_or_of_the_last_one_begun() -> None:
    found = clock(shift(time(7), time(12), crew=2), shift(time(13), time(17), crew=1))
    seen = {at(7): 2, at(11, 59): 2, at(12): 2, at(12, 59): 2, at(13): 1, at(17): 1, at(20): 1, at(7, day=1): 2}
    assert {moment: found.crew_at(moment) for moment in seen} == seen
    # Before any shift, that of the first one.
    assert found.crew_at(at(3)) == 2


def test_where_one_shift_follows_another_the_later_one_gives_the_crew() -> None:
    found = clock(shift(time(6), time(14), crew=2), shift(time(14), time(22), crew=1))
    assert (found.crew_at(at(13, 59)), found.crew_at(at(14))) == (2, 1)
    assert len([s for s in found.day_starts if s < at(0, day=1)]) == 1


def test_another_crew_changes_nothing_but_the_crew() -> None:
    of = calendar(shift(time(7), time(12), crew=2), shift(time(13), time(17), (time(15), time(15, 10)), crew=1))
    two = WorkClock.of(of.with_crew(2), MONDAY, 7)
    assert {w.crew for w in two.windows} == {2}
    assert [(w.start, w.end, w.day) for w in two.windows] == [
        (w.start, w.end, w.day) for w in WorkClock.of(of, MONDAY, 7).windows
    ]


def test_a_shift_over_midnight_belongs_to_one_working_day() -> None:
    found = clock(shift(time(22), time(6), (time(23, 50), time(0, 10)), (time(2), time(2, 30))))
    assert open_on(found, 0) == [
        # Sunday's, which ends after the plan's start on Monday at 0 h
        (at(22, day=-1), at(23, 50, day=-1)), (at(0, 10), at(2)), (at(2, 30), at(6)),
    ]  # fmt: skip
    assert found.day_starts[1] == at(22)


def test_an_end_at_the_start_is_a_day_later() -> None:
    found = clock(shift(time(6), time(6), days=frozenset({"monday"})))
    assert (found.day_starts[0], found.day_ends[0]) == (at(6), at(6, day=1))


def test_days_that_ended_before_the_plan_are_not_counted() -> None:
    hours = shift(time(8), time(17))
    assert clock(hours, start=MONDAY + timedelta(hours=16, minutes=59)).day_starts[0] == at(8)
    assert clock(hours, start=MONDAY + timedelta(hours=17)).day_starts[0] == at(8, day=1)


@pytest.mark.parametrize(
    "shifts",
    [
        (shift(time(7), time(12)), shift(time(11, 59), time(17))),
        (shift(time(22), time(6)), shift(time(5), time(9))),
        (shift(time(8), time(17)), shift(time(8), time(17), crew=2)),
    ],
    ids=["by a minute", "over midnight", "doubled"],
)
def test_shifts_that_overlap_are_refused(shifts: tuple[Shift, ...]) -> None:
    with pytest.raises(ValidationError, match="two shifts overlap"):
        calendar(*shifts)
    # On different weekdays they do not meet.
    Calendar(
        time_zone="UTC",
        shifts=tuple(
            s.model_copy(update={"days": frozenset({day})})
            for s, day in zip(shifts, ("monday", "wednesday"), strict=True)
        ),
    )


def test_an_unknown_time_zone_is_refused() -> None:
    with pytest.raises(ValidationError, match="no zone of the IANA time zone database"):
        calendar(shift(time(8), time(17)), zone="Europe/Nowhere")


@pytest.mark.parametrize(
    ("saturday", "hours_long"),
    [((2026, 3, 28), 7), ((2026, 10, 24), 9), ((2026, 6, 6), 8)],
    ids=["put forward", "put back", "any other"],
)
def test_a_night_shift_lasts_as_long_as_the_clock_makes_it(saturday: tuple[int, int, int], hours_long: int) -> None:
    # Berlin, 22 h to 6 h; the clock is put forward from 2 to 3 h on 29 March 2026, back from 3 to 2 h on 25 October.
    start = datetime(*saturday, 12, tzinfo=BERLIN)
    found = WorkClock.of(calendar(shift(time(22), time(6)), zone="Europe/Berlin"), start, days=3)
    assert found.day_ends[0] - found.day_starts[0] == hours_long * HOUR
    assert found.day_starts[1] - found.day_starts[0] == (16 + hours_long) * HOUR
    # Work of four hours from 23 h on ends four elapsed hours later.
    begun = in_berlin(*saturday, 23)
    assert found.pieces(begun, 4 * HOUR) == [(begun, begun + 4 * HOUR)]


@pytest.mark.parametrize(
    ("rest", "left"),
    [
        # The clock jumps from 2 to 3 h: a break from 1:30 to 3:30 lasts an hour, one within the jump does not exist.
        ((time(1, 30), time(3, 30)), 6 * HOUR),
        ((time(2), time(3)), 7 * HOUR),
        ((time(2, 15), time(2, 45)), 7 * HOUR),
        ((time(2, 30), time(3)), 7 * HOUR),
        # One that reaches past the jump lasts from the jump on; one that begins before it lasts up to it.
        ((time(2, 30), time(3, 10)), 7 * HOUR - 600),
        ((time(1, 50), time(2, 30)), 7 * HOUR - 600),
    ],
)
def test_a_break_in_the_hour_that_is_left_out(rest: tuple[time, time], left: int) -> None:
    start = datetime(2026, 3, 28, 12, tzinfo=BERLIN)
    found = WorkClock.of(calendar(shift(time(22), time(6), rest), zone="Europe/Berlin"), start, days=3)
    assert sum(b - a for a, b in open_on(found, 0)) == left
    assert all(a < b for a, b in open_on(found, 0))
    assert all(before.end <= after.start for before, after in pairwise(found.windows))


def test_a_shift_that_ends_in_the_hour_that_is_left_out_ends_at_the_jump() -> None:
    start = datetime(2026, 3, 28, 12, tzinfo=BERLIN)
    found = WorkClock.of(
        calendar(shift(time(18), time(2, 30)), shift(time(3), time(7)), zone="Europe/Berlin"), start, days=3
    )
    jump = in_berlin(2026, 3, 29, 3)
    assert (found.windows[0].end, found.windows[1].start) == (jump, jump)


minutes = st.integers(0, 24 * 60 - 1).map(lambda m: time(m // 60, m % 60))


@given(start=minutes, end=minutes, day=st.dates(date(2026, 1, 1), date(2026, 12, 31)), worked=st.integers(1, 200_000))
def test_work_takes_just_its_seconds_and_only_open_time(start: time, end: time, day: date, worked: int) -> None:
    begun = datetime.combine(day, time(), BERLIN)
    found = WorkClock.of(calendar(shift(start, end), zone="Europe/Berlin"), begun, days=30)
    pieces = found.pieces(found.windows[0].start, worked)
    whole = sum(w.end - w.start for w in found.windows)
    assert sum(b - a for a, b in pieces) == min(worked, whole)
    for a, b in pieces:
        window = found.windows[found.window_at_or_after(a)]
        assert window.start <= a < b <= window.end


@given(start=minutes, end=minutes, day=st.dates(date(2026, 1, 1), date(2026, 12, 31)))
def test_working_days_are_parted_by_four_hours_or_more(start: time, end: time, day: date) -> None:
    found = WorkClock.of(
        calendar(shift(start, end), zone="Europe/Berlin"), datetime.combine(day, time(), BERLIN), days=10
    )
    assert all(
        begins - ended >= NIGHT_SECONDS for ended, begins in zip(found.day_ends, found.day_starts[1:], strict=False)
    )
    inside = list(pairwise(found.windows))
    assert all(b.start - a.end < NIGHT_SECONDS for a, b in inside if a.day == b.day)


def test_a_shift_within_the_hour_that_is_left_out_does_not_take_place_that_night() -> None:
    night = shift(time(2, 10), time(2, 50))
    found = WorkClock.of(calendar(night, zone="Europe/Berlin"), datetime(2026, 3, 28, 12, tzinfo=BERLIN), days=3)
    assert found.day_starts[0] == in_berlin(2026, 3, 30, 2, 10)


def test_a_break_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValidationError, match="ends after the shift"):
        calendar(shift(time(22), time(6), (time(2), time(1))))
