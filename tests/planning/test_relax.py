"""What would help a late day: every effect is that of a plan, and the smallest set really is enough."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.planner import plan_day
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.relax import Help, Relaxation, relaxations_for, what_would_help, with_jobs, with_relaxation
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day


def late_days() -> list[tuple[Instance, Plan]]:
    """Small days on which lateness cannot be avoided."""
    days = []
    for seed in range(12):
        instance = random_day(800 + seed, 5, units=2)
        try:
            plan = plan_day(instance, 0.5)
        except NoPlan:
            continue
        if plan.totals.weighted_late_seconds > 0:
            days.append((instance, plan))
    return days[:4]


@pytest.fixture(scope="module")
def days() -> list[tuple[Instance, Plan]]:
    return late_days()


def test_a_plan_on_time_needs_nothing() -> None:
    instance = random_day(801, 4, units=2)
    free = with_jobs(instance, [job.model_copy(update={"due": None}) for job in instance.jobs])
    assert what_would_help(free, plan_day(free, 1.0)).late == ()


def test_each_effect_is_less_late_and_the_smallest_set_is_enough(days: list[tuple[Instance, Plan]]) -> None:
    enough = 0
    for instance, plan in days:
        relief = what_would_help(instance, plan, seconds_each=0.1)
        assert dict(relief.late) == {p.id: p.late_seconds for p in plan.passes if p.late_seconds}
        for effect in relief.single:
            assert effect.totals.weighted_late_seconds < plan.totals.weighted_late_seconds
        amounts = [effect.totals.weighted_late_seconds for effect in relief.single]
        assert amounts == sorted(amounts)
        if relief.enough is not None:
            enough += 1
            assert relief.enough.totals.weighted_late_seconds == 0
            relaxed = instance
            for relaxation in relief.enough.relaxations:
                relaxed = with_relaxation(relaxed, relaxation)
            assert plan_day(relaxed, 0.5).totals.weighted_late_seconds == 0
            if len(relief.enough.relaxations) > 1:
                assert all(effect.totals.weighted_late_seconds > 0 for effect in relief.single)
    assert enough >= 2


def test_what_can_be_given_is_named_for_jobs_passes_days_and_crew(days: list[tuple[Instance, Plan]]) -> None:
    kinds = {relaxation.help for instance, plan in days for relaxation in relaxations_for(instance, plan)}
    assert kinds == set(Help)


def test_an_hour_longer_lets_a_run_end_the_same_evening() -> None:
    instance = random_day(805, 3, crew=1)
    longer = with_relaxation(instance, Relaxation(Help.OVERTIME, day=0))
    assert longer.clock.day_ends[0] == instance.clock.day_ends[0] + 3600
    last = max(w.end for w in longer.clock.windows if w.day == 0)
    assert last == longer.clock.day_ends[0]
    assert longer.clock.day_ends[1:] == instance.clock.day_ends[1:]


def test_an_earliest_start_is_taken_away_wherever_it_stands() -> None:
    instance = random_day(805, 3, crew=1)
    first = next(iter(instance.passes.values()))
    bound = first.model_copy(update={"earliest": datetime.fromtimestamp(instance.start_at, UTC) + timedelta(hours=3)})
    job = instance.job_of[first.id]
    held = job.model_copy(update={"passes": tuple(bound if p.id == first.id else p for p in job.passes)})
    instance = with_jobs(instance, [held if j.id == job.id else j for j in instance.jobs])
    instance = replace(instance, rules=replace(instance.rules, not_before={first.id: instance.start_at + 9999}))
    assert with_relaxation(instance, Relaxation(Help.START_EARLIER, pass_id=first.id)).earliest_s(first.id) == 0


def test_asked_to_stop_it_tells_what_it_has(days: list[tuple[Instance, Plan]]) -> None:
    instance, plan = days[0]
    stop = CancelToken()
    stop.cancel()
    relief = what_would_help(instance, plan, cancel=stop)
    assert relief.late
    assert relief.single == ()
    assert relief.enough is None
