from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.desk.time_scale import FOLD_SECONDS, TimeScale, closed_between, folds_of
from tests.desk.example_plan import BREAK, example_plan

HOUR = 3600
moments = st.floats(0, 48 * HOUR, allow_nan=False)


def night() -> TimeScale:
    return TimeScale(0, 48 * HOUR, ((16 * HOUR, 30 * HOUR),), 60.0)


def test_an_hour_is_as_wide_as_the_zoom_says_outside_folds() -> None:
    assert night().x(3 * HOUR) - night().x(2 * HOUR) == 60.0
    assert night().x(40 * HOUR) - night().x(39 * HOUR) == 60.0


def test_a_folded_night_is_a_narrow_strip() -> None:
    assert night().x(30 * HOUR) - night().x(16 * HOUR) == FOLD_SECONDS * 60.0 / HOUR


def test_the_whole_width_is_working_time_and_the_fold() -> None:
    assert night().width == (48 - 14) * 60.0 + FOLD_SECONDS * 60.0 / HOUR


@given(moments, moments)
def test_later_is_further_right(a: float, b: float) -> None:
    first, second = sorted((a, b))
    assert night().x(first) <= night().x(second)


@given(moments)
def test_a_place_gives_back_its_moment(t: float) -> None:
    scale = night()
    assert abs(scale.moment(scale.x(t)) - t) < 1.0


@given(st.lists(moments, min_size=1, max_size=20))
def test_many_moments_stand_where_each_alone_stands(ts: list[float]) -> None:
    scale = night()
    assert np.allclose(scale.xs(np.array(ts)), [scale.x(t) for t in ts])


def test_fitting_makes_the_picture_as_wide_as_asked() -> None:
    assert abs(night().zoomed(night().fitting(900)).width - 900) < 1e-6


def test_moments_outside_the_picture_are_carried_on() -> None:
    scale = night()
    assert scale.x(-HOUR) == -60.0
    assert scale.x(49 * HOUR) == scale.width + 60.0


def test_a_break_is_not_folded_but_a_night_is_less_its_evening_wash() -> None:
    plan = example_plan()
    evening = plan.evenings[0]
    closed = (BREAK, (evening.start, evening.start + 12 * HOUR))
    assert folds_of(replace(plan, closed=closed)) == ((evening.end, evening.start + 12 * HOUR),)


def test_closed_hours_are_what_lies_between_the_open_ones() -> None:
    open_hours = [(7 * HOUR, 12 * HOUR), (13 * HOUR, 16 * HOUR), (31 * HOUR, 36 * HOUR)]
    assert closed_between(open_hours, 10 * HOUR, 40 * HOUR) == (
        (12 * HOUR, 13 * HOUR), (16 * HOUR, 31 * HOUR), (36 * HOUR, 40 * HOUR),
    )  # fmt: skip


@given(moments)
def test_only_what_lies_inside_a_fold_is_folded(t: float) -> None:
    assert night().is_folded(t) == (16 * HOUR < t < 30 * HOUR)
