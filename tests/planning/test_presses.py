"""Two presses side by side: every job on one press that can run it, and both orders as good as trying everything."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import ClaimKind, solution_of
from queueplanner.planning.presses import make_presses, plan_presses, with_jobs_only
from queueplanner.shop.errors import NoPlan, Refused
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart
from tests.generated_days import DAY_START, calendar, inks, jobs_of, press, stocks
from tests.planning.test_small_days import by_trying_everything


def two_presses(seed: int, passes: int) -> tuple[Instance, Instance]:
    """A random list of jobs, and two presses of which one may be small or have a single unit."""
    rng = random.Random(seed)
    shelf = inks(rng)
    jobs = jobs_of(rng, passes, shelf, units=2)
    shops = []
    for units in (2, rng.choice([1, 2])):
        profile = press(rng, units)
        if rng.random() < 0.5:
            profile = profile.model_copy(
                update={"format_long_mm": profile.format_long_mm.model_copy(update={"most": 300.0})}
            )
        shops.append(
            Shop(
                inks=shelf,
                stocks={s.id: s for s in stocks()},
                formats={},
                press=profile,
                calendar=calendar(rng, rng.choice([1, 2])),
            )
        )
    starts = [PressStart(units=PressStart().units[: s.press.units]) for s in shops]
    return make_presses(shops, jobs, starts, [DAY_START, DAY_START])


def fitting_lists() -> list[tuple[Instance, Instance]]:
    """Some lists every job of which can be run somewhere, and some on both."""
    days = []
    for seed in range(200):
        try:
            pair = two_presses(seed, 4)
        except Refused:
            continue
        if pair[0].passes and pair[1].passes:
            days.append(pair)
    return days[:14]


LISTS = fitting_lists()


def best_of_all(pair: tuple[Instance, Instance]) -> int:
    """The least sum over all ways to deal the jobs out, all orders and all unit choices."""
    jobs = list(dict.fromkeys(job.id for instance in pair for job in instance.jobs))
    fits = [[k for k in (0, 1) if any(j.id == job for j in pair[k].jobs)] for job in jobs]
    best = IMPOSSIBLE
    for dealt in itertools.product(*fits):
        total = 0
        for k, instance in enumerate(pair):
            own = with_jobs_only(instance, (job for job, on in zip(jobs, dealt, strict=True) if on == k))
            total += by_trying_everything(own) if own.passes else evaluate(own, [], {}).totals.objective
        best = min(best, total)
    return best


@pytest.mark.parametrize("pair", LISTS, ids=range(len(LISTS)))
def test_two_presses_together_are_planned_as_well_as_trying_everything(pair: tuple[Instance, Instance]) -> None:
    best = best_of_all(pair)
    if best >= IMPOSSIBLE:
        with pytest.raises(NoPlan):
            plan_presses(pair, 0.3)
        return
    found = plan_presses(pair, 1.0)
    assert found.objective == best


@pytest.mark.parametrize("pair", LISTS[:6], ids=range(6))
def test_every_job_is_printed_once_whole_on_a_press_that_can_run_it(pair: tuple[Instance, Instance]) -> None:
    found = plan_presses(pair, 0.2)
    for k, plan in enumerate(found.plans):
        jobs = {p.job.id for p in plan.passes}
        assert jobs == {job for job, on in found.press_of.items() if on == k}
        own = with_jobs_only(pair[k], jobs)
        assert sorted(plan.order) == sorted(own.passes)
        assert evaluate(own, *solution_of(plan)).totals == plan.totals
    assert set(found.press_of) == {job.id for instance in pair for job in instance.jobs}


def test_jobs_that_rules_bind_to_a_press_stay_there() -> None:
    pair = next(p for p in LISTS if len({j.id for j in p[0].jobs} & {j.id for j in p[1].jobs}) >= 2)
    shared = next(j for j in pair[0].jobs if j in pair[1].jobs)
    bound = pair[0], pair[1].with_rules(OrderRules(places={shared.passes[0].id: 0}))
    found = plan_presses(bound, 0.3)
    assert found.press_of[shared.id] == 1
    assert found.plans[1].order[0] == shared.passes[0].id
    twice = pair[0].with_rules(OrderRules(places={shared.passes[0].id: 0})), bound[1]
    with pytest.raises(NoPlan) as caught:
        plan_presses(twice, 0.3)
    assert caught.value.passes == (shared.id,)


def test_nothing_is_claimed_for_two_presses_while_jobs_could_change_press() -> None:
    pair = next(p for p in LISTS if any(j in p[1].jobs for j in p[0].jobs))
    assert {plan.claim.kind for plan in plan_presses(pair, 0.2).plans} == {ClaimKind.BEST_FOUND}


def test_a_job_no_press_can_run_is_refused() -> None:
    rng = random.Random(1)
    shelf = inks(rng)
    jobs = jobs_of(rng, 4, shelf, units=2)
    tiny = press(rng, 2)
    tiny = tiny.model_copy(update={"caliper_um": tiny.caliper_um.model_copy(update={"least": 390.0})})
    shop = Shop(inks=shelf, stocks={s.id: s for s in stocks()}, formats={}, press=tiny, calendar=calendar(rng, 1))
    with pytest.raises(Refused):
        make_presses([shop, shop], jobs, [PressStart(), PressStart()], [DAY_START, DAY_START])


def test_with_no_job_for_both_each_press_keeps_its_own_claim() -> None:
    rng = random.Random(3)
    shelf = inks(rng)
    jobs = jobs_of(rng, 6, shelf, units=2)
    shop = Shop(
        inks=shelf, stocks={s.id: s for s in stocks()}, formats={}, press=press(rng, 2), calendar=calendar(rng, 1)
    )
    first = make_instance(shop, jobs[:2], PressStart(), DAY_START)
    second = replace(make_instance(shop, jobs[2:], PressStart(), DAY_START))
    found = plan_presses((first, second), 2.0)
    assert {plan.claim.kind for plan in found.plans} == {ClaimKind.PROVEN_BEST}
