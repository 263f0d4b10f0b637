"""Why a pass stands where it does, in figures that scoring the moved order confirms."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from queueplanner.planning.arrange import keeps_all_rules
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.explain import (
    costliest_due_times,
    what_swapping_costs,
    why_here,
)
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import ClaimKind, Plan, solution_of
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.rules import as_received
from queueplanner.shop.base import PassId
from tests.generated_days import DAY_START, random_day


@pytest.fixture(scope="module")
def planned() -> tuple[Instance, Plan]:
    """A day of eight passes and its plan."""
    instance = random_day(79, 8, units=2)
    return instance, plan_day(instance, 3.0)


def test_the_best_other_place_is_the_best_of_all_places_tried_by_hand(planned: tuple[Instance, Plan]) -> None:
    instance, plan = planned
    order, units = solution_of(plan)
    for pass_id in order:
        reason = why_here(instance, plan, pass_id)
        tried = []
        for target in range(len(order)):
            moved = [p for p in order if p != pass_id]
            moved.insert(target, pass_id)
            if target != order.index(pass_id) and keeps_all_rules(instance, moved):
                for choice in instance.choices[pass_id]:
                    plan_there = evaluate(instance, moved, {**units, pass_id: choice})
                    tried.append(plan_there.totals.objective)
        if not tried:
            assert reason.best_other is None
            continue
        assert reason.best_other is not None
        assert reason.best_other.totals.objective == min(tried)
        assert reason.points == min(tried) - plan.totals.objective


def test_no_single_move_betters_a_plan_proven_best(planned: tuple[Instance, Plan]) -> None:
    instance, plan = planned
    assert plan.claim.kind is ClaimKind.PROVEN_BEST
    assert all((why_here(instance, plan, p).points or 0) >= 0 for p in plan.order)


def test_swapping_neighbours_tells_the_totals_or_that_it_is_forbidden(planned: tuple[Instance, Plan]) -> None:
    instance, plan = planned
    for i in range(len(plan.order) - 1):
        first, second = plan.order[i], plan.order[i + 1]
        totals = what_swapping_costs(instance, plan, i)
        if instance.passes[second].first_side == first:
            assert totals is None
        else:
            assert totals is not None
            assert totals.objective >= plan.totals.objective


def test_the_due_time_that_makes_a_plan_late_is_named_first() -> None:
    instance = random_day(79, 6, units=2)
    jobs = [job.model_copy(update={"due": DAY_START + timedelta(days=9), "weight": 1}) for job in instance.jobs]
    jobs[2] = jobs[2].model_copy(update={"due": DAY_START + timedelta(minutes=1), "weight": 3})
    tight = replace(instance, jobs=tuple(jobs), job_of={p.id: j for j in jobs for p in j.passes})
    plan = plan_day(tight, 1.0)
    assert plan.totals.late_passes == 1
    reasons = costliest_due_times(tight, plan, 0.2)
    assert reasons[0].job == jobs[2].id
    assert reasons[0].saved_late_seconds == plan.totals.late_seconds
    assert len(reasons) <= 3


def test_a_pass_that_is_not_there_is_refused(planned: tuple[Instance, Plan]) -> None:
    instance, plan = planned
    with pytest.raises(KeyError):
        why_here(instance, plan, PassId("nothing"))


def test_a_poor_order_has_passes_that_would_stand_better_elsewhere() -> None:
    instance = random_day(79, 8, units=2)
    plan = best_units(instance, as_received(instance))
    assert min(why_here(instance, plan, p).points or 0 for p in plan.order) < 0
