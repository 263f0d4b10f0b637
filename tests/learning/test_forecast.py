"""Forecasts: the plan itself where nothing varies, known chances where the law is known."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.forecast import CommonSpread, PassTimes, WrongFirstSide, forecast
from queueplanner.learning.work_hours import WorkHours
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day

DAY = WorkHours.of([(0, 4000, 0), (5000, 9000, 0), (60_000, 64_000, 1), (65_000, 69_000, 1)])


def _hours(instance: Instance) -> WorkHours:
    return WorkHours.of([(w.start, w.end, w.day) for w in instance.clock.windows])


def _passes(instance: Instance, plan: Plan, spread: float = 0.0) -> list[PassTimes]:
    places = {p.id: i for i, p in enumerate(plan.passes)}
    return [
        PassTimes(
            makeready_s=p.makeready_seconds,
            run_s=instance.run_seconds[p.id],
            makeready_spread=spread,
            run_spread=spread,
            earliest=instance.earliest_s(p.id),
            dry_after=None if p.print_pass.first_side is None else places[p.print_pass.first_side],
            drying_s=p.print_pass.drying_s,
            longest_pause=min(s.ink.open_seconds for s in p.print_pass.separations),
            due=p.job.due_s,
        )
        for p in plan.passes
    ]


def _plans() -> list[tuple[Instance, Plan]]:
    found = []
    for seed in range(60):
        instance = random_day(seed, 6)
        try:
            found.append((instance, evaluate(instance, list(instance.passes), {})))
        except NoPlan:
            continue
    return found


def test_where_nothing_varies_the_forecast_is_the_plan() -> None:
    alike = 0
    for instance, plan in _plans():
        crosses = instance.shop.press.runs_cross_days
        found = forecast(_hours(instance), _passes(instance, plan), instance.start_at, runs_cross_days=crosses, days=1)
        for told, planned in zip(found, plan.passes, strict=True):
            times = (told.begin.value, told.run_start.value, told.end.value)
            if told.begin.value < planned.makeready_start:
                break  # put off to a day on which it takes less make-ready: what it took on the day before is not told
            assert times == (planned.makeready_start, planned.run_start, planned.run_end)
            if planned.job.due_s is not None:
                assert told.late_chance == float(planned.run_end > planned.job.due_s)
                assert told.late_seconds == max(0, planned.run_end - planned.job.due_s)
            assert told.end.low == told.end.high
            alike += 1
    assert alike > 200


def test_a_lone_run_is_late_as_often_as_its_law_says() -> None:
    sd = math.sqrt(math.log1p(0.3**2))
    for due in (1500.0, 2000.0, 2600.0):
        (found,) = forecast(DAY, [PassTimes(0, 2000, run_spread=0.3, due=due)], 0.0, days=40_000)
        wanted = 1 - NormalDist().cdf((math.log(due / 2000) + sd * sd / 2) / sd)
        assert found.late_chance == pytest.approx(wanted, abs=0.01)


def test_ranges_hold_eight_days_in_ten() -> None:
    sd = math.sqrt(math.log1p(0.2**2))
    (found,) = forecast(DAY, [PassTimes(1000, 0, makeready_spread=0.2)], 0.0, days=40_000)
    for level, value in ((0.1, found.end.low), (0.5, found.end.value), (0.9, found.end.high)):
        assert value == pytest.approx(1000 * math.exp(NormalDist().inv_cdf(level) * sd - sd * sd / 2), rel=0.01)


def test_expected_lateness_is_the_mean_over_all_days() -> None:
    sd = math.sqrt(math.log1p(0.3**2))
    hours = WorkHours.of([(0, 1e6, 0)])
    (found,) = forecast(hours, [PassTimes(0, 2000, run_spread=0.3, due=2000)], 0.0, days=40_000)
    # of a log-normal quantity of mean m beyond m: m · (2 Φ(sd/2) − 1)
    assert found.late_seconds == pytest.approx(2000 * (2 * NormalDist().cdf(sd / 2) - 1), rel=0.03)


def test_errors_add_up_along_the_day_and_in_common_they_add_up_faster() -> None:
    passes = [PassTimes(100, 300, 0.3, 0.1) for _ in range(8)]
    alone = forecast(DAY, passes, 0.0)
    together = forecast(
        DAY, [replace(p, makeready_spread=0.0, run_spread=0.0) for p in passes], 0.0, common=CommonSpread(0.3, 0.1)
    )
    width = [[f.end.high - f.end.low for f in found] for found in (alone, together)]
    assert all(a < b for a, b in zip(width[0], width[0][1:], strict=False))
    assert width[1][0] == pytest.approx(width[0][0], rel=0.1)
    assert width[1][-1] > 2 * width[0][-1]


def test_a_pass_that_is_not_expected_to_fit_the_day_waits_for_the_morning() -> None:
    first, second = forecast(DAY, [PassTimes(500, 6000, 0.2, 0.1), PassTimes(500, 3000)], 0.0)
    assert first.end.high < 9000
    assert second.begin.value == 60_000
    crossing = forecast(DAY, [PassTimes(500, 6000, 0.2, 0.1), PassTimes(500, 3000)], 0.0, runs_cross_days=True)
    assert crossing[1].begin.value < 9000 < 60_000 < crossing[1].end.low


def test_what_takes_longer_than_expected_is_finished_after_hours() -> None:
    (found,) = forecast(DAY, [PassTimes(500, 7400, run_spread=0.3)], 0.0)
    assert found.begin.low == found.begin.high == 0
    assert 9000 < found.end.high < 60_000
    (crossing,) = forecast(DAY, [PassTimes(500, 7400, run_spread=0.3)], 0.0, runs_cross_days=True)
    assert crossing.end.high > 60_000
    (slow,) = forecast(DAY, [PassTimes(7500, 400, makeready_spread=0.5)], 0.0)
    assert slow.run_start.high > 9000
    assert slow.end.high == pytest.approx(slow.run_start.high + 400)


def test_the_second_side_waits_until_the_first_is_dry() -> None:
    front, back = forecast(
        DAY, [PassTimes(0, 1000, run_spread=0.2), PassTimes(0, 500, dry_after=0, drying_s=1500)], 0.0
    )
    assert back.run_start.value == pytest.approx(front.end.value + 1500)
    (alone,) = forecast(DAY, [PassTimes(100, 500, dry_not_before=2000)], 0.0)
    assert (alone.begin.value, alone.run_start.value) == (0, 2000)


def test_a_run_does_not_pause_longer_than_its_ink_stands() -> None:
    (found,) = forecast(DAY, [PassTimes(0, 3000, earliest=2000, longest_pause=900)], 0.0)
    assert (found.begin.value, found.run_start.value, found.end.value) == (2000, 5000, 8000)


def test_the_pass_on_the_press_goes_on_whatever_the_hours() -> None:
    (found,) = forecast(DAY, [PassTimes(0, 9000, earliest=1e6)], 0.0, started=True)
    assert (found.begin.value, found.end.value) == (0, 61_000)


@pytest.mark.parametrize("first_side", [0, 1, -1])
def test_a_second_side_before_its_first_is_refused(first_side: int) -> None:
    with pytest.raises(WrongFirstSide):
        forecast(DAY, [PassTimes(0, 10, dry_after=first_side)], 0.0)


def test_no_passes_have_no_forecast_and_a_pass_without_due_time_is_never_late() -> None:
    assert forecast(DAY, [], 0.0) == ()
    (found,) = forecast(DAY, [PassTimes(0, 1e6)], 0.0)
    assert (found.late_chance, found.late_seconds) == (None, 0)


PASSES = st.lists(
    st.builds(
        PassTimes,
        makeready_s=st.integers(0, 1500).map(float),
        run_s=st.integers(1, 3000).map(float),
        makeready_spread=st.sampled_from([0.0, 0.2, 0.5]),
        run_spread=st.sampled_from([0.0, 0.1]),
        earliest=st.integers(0, 9000).map(float),
        longest_pause=st.sampled_from([900.0, 2000.0, math.inf]),
        due=st.none() | st.integers(0, 90_000).map(float),
    ),
    min_size=1,
    max_size=6,
)


@settings(derandomize=True, deadline=None)
@given(PASSES, st.booleans())
def test_times_follow_each_other_and_chances_are_chances(passes: list[PassTimes], crosses: bool) -> None:
    found = forecast(DAY, passes, 0.0, runs_cross_days=crosses, days=200)
    assert found == forecast(DAY, passes, 0.0, runs_cross_days=crosses, days=200)
    before = -math.inf
    for told, times in zip(found, passes, strict=True):
        assert before <= told.begin.low and times.earliest <= told.begin.low
        assert told.begin.low <= told.run_start.low <= told.end.low
        assert told.begin.high <= told.run_start.high <= told.end.high
        assert told.end.low <= told.end.value <= told.end.high
        assert (told.late_chance is None) == (times.due is None)
        assert told.late_chance is None or 0 <= told.late_chance <= 1
        before = told.end.low


@settings(derandomize=True, deadline=None)
@given(PASSES)
def test_a_later_due_time_is_met_more_often(passes: list[PassTimes]) -> None:
    chances = []
    for due in np.linspace(0, 80_000, 6).tolist():
        last = replace(passes[-1], due=due)
        chances.append(forecast(DAY, [*passes[:-1], last], 0.0, days=200)[-1].late_chance)
    assert chances == sorted(chances, reverse=True)
