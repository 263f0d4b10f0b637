"""Individuals charts against published ones, and what counts as a signal."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.control_chart import D4, RUN_LENGTH, SignalKind, individuals_chart
from tests.learning.published import column, rows

POINTS = st.lists(st.integers(-500, 500), min_size=2, max_size=30)


@pytest.mark.parametrize("row", rows("individuals_limits.csv"), ids=lambda r: r["example"])
def test_published_charts_are_found_again(row: dict[str, str]) -> None:
    chart = individuals_chart(column("individuals.csv", "value", example=row["example"]))
    close = 5e-5 if row["example"] == "flow rate" else 0.011  # the second is published with rounded figures
    for name in ("centre", "mean_range", "upper", "lower"):
        assert getattr(chart, name) == pytest.approx(float(row[name]), abs=close), name
    assert chart.signals == ()


def test_a_point_outside_is_a_signal_and_so_is_the_jump_to_it() -> None:
    points = [10.0, 11, 10, 11, 10, 11, 10, 11, 10, 30]
    signals = individuals_chart(points, baseline=9).signals
    assert [(s.position, s.kind) for s in signals] == [(9, SignalKind.ABOVE), (9, SignalKind.JUMP)]
    mirrored = individuals_chart([-p for p in points], baseline=9).signals
    assert {s.kind for s in mirrored} == {SignalKind.BELOW, SignalKind.JUMP}


@pytest.mark.parametrize(("long", "signals"), [(RUN_LENGTH - 1, 0), (RUN_LENGTH, 1), (RUN_LENGTH + 3, 1)])
def test_points_in_a_row_on_one_side_are_a_signal_from_the_eighth_on(long: int, signals: int) -> None:
    chart = individuals_chart([*[11.0, 9.0] * 6, *[10.5] * long, 9.0], baseline=12)
    assert [(s.position, s.kind) for s in chart.signals] == [(12 + RUN_LENGTH - 1, SignalKind.RUN_ABOVE)] * signals


def test_a_point_on_the_centre_ends_a_run() -> None:
    points = [9.0, 11.0] * 4 + [10.5] * 4 + [10.0] + [10.5] * 4
    assert individuals_chart(points, baseline=8).signals == ()


def test_a_steady_press_gives_no_signal() -> None:
    chart = individuals_chart([12.5] * 20)
    assert (chart.lower, chart.centre, chart.upper, chart.signals) == (12.5, 12.5, 12.5, ())


def test_too_few_points_have_no_limits() -> None:
    assert individuals_chart([]).centre is None
    lone = individuals_chart([4.0])
    assert (lone.centre, lone.upper, lone.signals) == (4.0, None, ())


@settings(derandomize=True, deadline=None)
@given(POINTS, st.integers(-100, 100), st.sampled_from([0.5, 2.0, 4.0]))
def test_another_unit_or_zero_moves_the_limits_alike(points: list[int], shift: int, factor: float) -> None:
    chart, moved = individuals_chart(points), individuals_chart([factor * p + shift for p in points])
    assert chart.upper is not None and chart.lower is not None and chart.range_upper is not None
    assert moved.upper == pytest.approx(factor * chart.upper + shift)
    assert moved.lower == pytest.approx(factor * chart.lower + shift)
    assert moved.range_upper == pytest.approx(factor * chart.range_upper)


@settings(derandomize=True, deadline=None)
@given(POINTS)
def test_limits_lie_around_the_centre_and_signals_name_points(points: list[int]) -> None:
    chart = individuals_chart(points)
    assert chart.upper is not None and chart.lower is not None and chart.centre is not None
    assert chart.upper - chart.centre == pytest.approx(chart.centre - chart.lower)
    outside = {i for i, x in enumerate(points) if not chart.lower <= x <= chart.upper}
    told = {s.position for s in chart.signals if s.kind in (SignalKind.ABOVE, SignalKind.BELOW)}
    assert told == outside
    assert chart.mean_range is not None and chart.range_upper == pytest.approx(D4 * chart.mean_range)
