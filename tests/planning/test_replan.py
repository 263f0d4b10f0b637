"""The day goes wrong: the queue from now on starts from the press as it is, and says what moved."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta

import pytest

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, Started
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan, solution_of
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.replan import Actual, Finished, queue_from_now, replan, what_moved
from queueplanner.planning.rules import as_received
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import NoPlan
from tests.generated_days import DAY_START, random_day


def planned_day(seed: int, passes: int, *, external: bool = True) -> tuple[Instance, Plan] | None:
    """A random day in the order received; None where that order fits into no calendar."""
    instance = random_day(seed, passes)
    if not external:
        press = instance.shop.press.model_copy(update={"external": ()})
        instance = replace(instance, shop=instance.shop.model_copy(update={"press": press}))
    try:
        return instance, best_units(instance, as_received(instance))
    except NoPlan:
        return None


DAYS = [day for day in (planned_day(9000 + s, 5 + s % 4, external=False) for s in range(40)) if day is not None]


def worked(pieces: tuple[tuple[int, int], ...], since: int) -> int:
    """Seconds of some stretches from a moment on."""
    return sum(max(0, b - max(a, since)) for a, b in pieces)


def by_plan(plan: Plan, on_press: int, share: float) -> Actual:
    """A day gone by plan, with the pass at a place on the press and a share of its run done."""
    finished = tuple(Finished(p.id, tuple(solution_of(plan)[1][p.id]), p.run_end) for p in plan.passes[:on_press])
    running = plan.passes[on_press]
    first_piece = running.run_pieces[0]
    now = first_piece[0] + int(share * (first_piece[1] - first_piece[0]))
    left = worked(running.run_pieces, now)
    return Actual(now, finished, Started(running.id, solution_of(plan)[1][running.id], 0, left))


@pytest.mark.parametrize("day", DAYS, ids=range(len(DAYS)))
def test_a_day_that_goes_by_plan_goes_on_by_plan(day: tuple[Instance, Plan]) -> None:
    instance, plan = day
    order, units = solution_of(plan)
    for at in range(len(order)):
        actual = by_plan(plan, at, 0.5)
        rest = queue_from_now(instance, plan, actual)
        again = evaluate(rest, order[at:], {p: units[p] for p in order[at:]})
        for old, new in zip(plan.passes[at + 1 :], again.passes[1:], strict=True):
            assert (new.run_start, new.run_end, new.makeready_seconds) == (
                old.run_start,
                old.run_end,
                old.makeready_seconds,
            )
            assert [(t.task, t.unit, t.washes) for t in new.tasks] == [(t.task, t.unit, t.washes) for t in old.tasks]
        assert again.passes[0].run_end == plan.passes[at].run_end
        assert again.totals.late_seconds == sum(p.late_seconds for p in plan.passes[at:])
        assert again.totals.reversed_pairs == 0


@pytest.mark.parametrize("seed", range(12))
def test_planning_anew_is_never_worse_than_holding_on_and_tells_who_moved(seed: int) -> None:
    instance, plan = DAYS[seed]
    actual = by_plan(plan, 1, 0.3)
    rest = queue_from_now(instance, plan, actual)
    found = replan(rest, plan, 0.2)
    assert found.plan.passes[0].id == plan.order[1]
    assert found.plan.passes[0].started
    assert found.plan.totals.objective <= found.unchanged.totals.objective
    moved = {m.pass_id for m in found.moved}
    stayed = [p for p in plan.order if p not in moved]
    assert [p for p in found.plan.order if p in stayed] == [p for p in stayed if p in found.plan.order]
    for m in found.moved:
        assert (
            m.back is None
            or m.back.objective >= found.plan.totals.objective
            or not found.plan.claim.kind.startswith("proven")
        )


def test_a_heavy_weight_on_moved_passes_keeps_the_known_order() -> None:
    instance = random_day(42, 9, units=2)
    plan = best_units(instance, as_received(instance))
    heavy = instance.shop.weights.model_copy(update={"reversed_pair": 1_000_000, "late_second": 0})
    stubborn = replace(instance, shop=instance.shop.model_copy(update={"weights": heavy}))
    rest = queue_from_now(stubborn, plan, by_plan(plan, 0, 0.5))
    assert replan(rest, plan, 0.2).plan.order == plan.order
    free = queue_from_now(instance, plan, by_plan(plan, 0, 0.5), near=False)
    assert free.rules.known == ()


def test_a_rush_job_comes_in_and_the_rest_keeps_its_places() -> None:
    instance = random_day(42, 8, units=2)
    plan = plan_day(instance, 1.0)
    actual = by_plan(plan, 1, 0.5)
    old = next(job for job in instance.jobs if len(job.passes) == 1)
    rush_pass = old.passes[0].model_copy(update={"id": PassId("rush"), "job": JobId("rush"), "earliest": None})
    soon = DAY_START + timedelta(seconds=actual.now - int(DAY_START.timestamp()) + 3 * 3600)
    rush = old.model_copy(update={"id": JobId("rush"), "passes": (rush_pass,), "due": soon, "weight": 50})
    rest = queue_from_now(instance, plan, actual, jobs=[*instance.jobs, rush])
    found = replan(rest, plan, 0.4)
    assert "rush" in found.plan.order
    assert found.unchanged.order[-1] == "rush"
    place = found.plan.order.index(PassId("rush"))
    assert place < len(found.plan.order) - 1 or found.plan.totals.objective == found.unchanged.totals.objective
    assert "rush" not in {m.pass_id for m in found.moved}


def test_while_the_press_is_down_nothing_runs_and_the_pass_on_it_waits() -> None:
    instance, plan = DAYS[0]
    actual = by_plan(plan, 1, 0.5)
    until = actual.now + 3600
    rest = queue_from_now(instance, plan, replace(actual, down_until=until))
    order, units = solution_of(plan)
    held = evaluate(rest, order[1:], {p: units[p] for p in order[1:]})
    assert all(a >= until for p in held.passes for a, _ in (*p.run_pieces, *p.makeready_pieces))
    assert held.passes[0].run_end >= plan.passes[1].run_end


def test_paper_that_has_not_come_holds_its_pass_back() -> None:
    instance = random_day(42, 8, units=2)
    plan = best_units(instance, as_received(instance))
    late_paper = plan.order[2]
    comes = plan.start + 5 * 3600
    rules = OrderRules(not_before={late_paper: comes})
    rest = queue_from_now(instance, plan, Actual(plan.start), rules=rules)
    found = replan(rest, plan, 0.3)
    held = next(p for p in found.plan.passes if p.id == late_paper)
    assert held.makeready_start >= comes


def test_after_a_night_the_inks_have_been_washed_out() -> None:
    seeds = (day for day in DAYS if len(day[1].evenings) > 1 and any(t.washes for t in day[1].evenings[0].tasks))
    instance, plan = next(seeds)
    evening = plan.evenings[0]
    ran = [p for p in plan.passes if p.run_end <= evening.start]
    later = [p for p in plan.passes if p.run_end > evening.start]
    units = solution_of(plan)[1]
    actual = Actual(later[0].makeready_start, tuple(Finished(p.id, units[p.id], p.run_end) for p in ran))
    rest = queue_from_now(instance, plan, actual)
    washed = {t.unit for t in evening.tasks if t.task == "empty_fountain"}
    assert washed
    assert all(rest.state.unit(u).ink is None for u in washed if u)


def test_only_the_fewest_passes_count_as_moved() -> None:
    instance = random_day(5, 6, units=2)
    plan = best_units(instance, as_received(instance))
    known = [*plan.order[1:], plan.order[0]]
    assert [m.pass_id for m in what_moved(instance, known, plan)] == [plan.order[0]]
    rng = random.Random(3)
    assert what_moved(instance, plan.order, plan) == []
    shuffled = rng.sample(list(plan.order), len(plan.order))
    assert len(what_moved(instance, shuffled, plan)) < len(plan.order)


def test_a_pass_the_plan_does_not_hold_cannot_have_run() -> None:
    instance, plan = DAYS[0]
    with pytest.raises(ValueError, match="not in the plan"):
        queue_from_now(instance, plan, Actual(plan.start, (Finished(PassId("x"), (1,), plan.start),)))
