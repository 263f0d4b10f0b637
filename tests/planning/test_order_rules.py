"""What a person fixes of an order is kept by every part of the planner, and counted by all alike."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import numpy as np
import pytest

from queueplanner.planning.arrange import RulesConflict, arranged, keeps_all_rules
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, Started
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import ClaimKind
from queueplanner.planning.planner import plan_day
from queueplanner.planning.rules import as_received, by_due_time, light_to_dark
from queueplanner.planning.search import Numbered, Searcher
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day
from tests.planning.test_small_days import _try_all_units


def with_a_pass_on_the_press(instance: Instance, rng: random.Random) -> Instance:
    """The same day with some first side or single pass half printed, its inks and plates in the press."""
    free = [p for p in instance.passes.values() if p.first_side is None]
    running = rng.choice(free)
    units = rng.choice(instance.choices[running.id])
    state = instance.state
    places = list(state.units)
    for separation, unit in zip(running.separations, units, strict=True):
        places = [replace(u, plate=None) if u.plate == separation.plate else u for u in places]
        places[unit - 1] = replace(
            places[unit - 1], ink=separation.ink, plate=separation.plate, residue=None, oiled=False, reduced=False
        )
    state = replace(state, units=tuple(places), solution=running.plate_material)
    left = rng.choice([0, 0, 240]), rng.choice([1, 1800, 20000])
    return replace(instance, state=state).with_started(Started(running.id, units, *left))


def with_rules(instance: Instance, rng: random.Random) -> Instance:
    """The same day with rules that at least one order keeps, and a known order."""
    order = arranged(instance, rng.sample(list(instance.passes), instance.size))
    order = [p for p in order if p in instance.unstarted]
    n = len(order)
    at = rng.randrange(max(1, n - 1))
    together = frozenset(order[at : at + rng.randint(2, 3)])
    return instance.with_rules(
        OrderRules(
            places={order[k]: k for k in rng.sample(range(n), min(n, rng.randint(0, 2)))},
            together=(together,) if len(together) > 1 and rng.random() < 0.6 else (),
            turns=tuple((order[i], order[j]) for i, j in [sorted(rng.sample(range(n), 2))]) if n > 1 else (),
            not_before={p: instance.start_at + rng.randrange(20000) for p in order if rng.random() < 0.2},
            known=tuple(rng.sample(order, rng.randint(0, n))),
        )
    )


def ruled_day(seed: int, passes: int, *, crew: int | None = 1) -> Instance:
    """A random day, in two of three a pass on the press, with rules."""
    rng = random.Random(seed)
    instance = random_day(7000 + seed, passes, crew=crew)
    if seed % 3:
        instance = with_a_pass_on_the_press(instance, rng)
    return with_rules(instance, rng) if instance.unstarted else instance


def objective(instance: Instance, order: list[PassId], units: dict[PassId, tuple[int, ...]]) -> int:
    try:
        return evaluate(instance, order, units).totals.objective
    except NoPlan:
        return IMPOSSIBLE


def by_trying_everything(instance: Instance) -> int:
    """The least objective over all orders that keep the rules, and all unit choices."""
    numbered = Numbered.of(instance)
    searcher = Searcher(numbered.tables)
    searcher.room[0][0] = numbered.tables.start
    open_passes = np.array([p for p in range(instance.size) if numbered.tables.choices[p] > 1], dtype=np.int64)
    best = IMPOSSIBLE
    for order in itertools.permutations(instance.passes):
        if keeps_all_rules(instance, order):
            rows = numbered.rows(order, {})
            best = min(best, _try_all_units(searcher.row, searcher.memo, rows[0], rows[1], open_passes, searcher.room))
    return int(best)


@pytest.mark.parametrize("crew", [1, 2, None], ids=["one person", "two persons", "by shift"])
@pytest.mark.parametrize("seed", range(40))
def test_kernel_scores_ruled_days_and_passes_on_the_press_as_the_evaluator_does(seed: int, crew: int | None) -> None:
    instance = ruled_day(seed, 1 + seed % 9, crew=crew)
    numbered = Numbered.of(instance)
    searcher = Searcher(numbered.tables)
    rng = random.Random(seed)
    for _ in range(3):
        order = arranged(instance, rng.sample(list(instance.passes), instance.size))
        units = {p: rng.choice(instance.choices[p]) for p in order}
        assert searcher.score(numbered.rows(order, units)) == objective(instance, order, units)


@pytest.mark.parametrize("seed", range(36))
def test_planner_finds_the_best_of_all_orders_that_keep_the_rules(seed: int) -> None:
    instance = ruled_day(100 + seed, 4 + seed % 4)
    best = by_trying_everything(instance)
    if best == IMPOSSIBLE:
        with pytest.raises(NoPlan):
            plan_day(instance, 0.5)
        return
    plan = plan_day(instance, 5.0, seed=seed)
    assert plan.totals.objective == best
    assert keeps_all_rules(instance, plan.order)


@pytest.mark.parametrize("seed", range(6))
def test_a_larger_day_keeps_its_rules_while_it_is_searched(seed: int) -> None:
    instance = ruled_day(300 + seed, 24)
    short = {p: min(seconds, 1200) for p, seconds in instance.run_seconds.items()}
    instance = replace(instance, run_seconds=short)
    plan = plan_day(instance, 0.4)
    assert keeps_all_rules(instance, plan.order)
    assert plan.claim.kind is not ClaimKind.GIVEN


@pytest.mark.parametrize("seed", range(30))
def test_every_human_rule_gives_an_order_that_keeps_the_rules(seed: int) -> None:
    instance = ruled_day(500 + seed, 3 + seed % 9)
    for rule in (as_received, by_due_time, light_to_dark):
        order = rule(instance)
        assert sorted(order) == sorted(instance.passes)
        assert keeps_all_rules(instance, order)


def test_orders_that_break_a_rule_are_refused_with_the_rule_and_its_passes() -> None:
    instance = random_day(7, 5, units=2)
    a, b, c, d, e = arranged(instance, instance.passes)
    cases = [
        (OrderRules(places={a: 1}), "a pinned place", (a,)),
        (OrderRules(together=(frozenset({a, c}),)), "passes kept together", (a, c)),
        (OrderRules(turns=((e, d),)), "one pass after another", (e, d)),
    ]
    for rules, kind, passes in cases:
        with pytest.raises(NoPlan) as caught:
            evaluate(instance.with_rules(rules), [a, b, c, d, e], {})
        assert (caught.value.rule, caught.value.passes) == (kind, passes)


def test_rules_that_contradict_each_other_are_named_and_no_others() -> None:
    instance = next(
        day
        for day in (random_day(s, 6, units=2) for s in range(99))
        if all(p.first_side is None for p in day.passes.values())
    )
    a, b, c, d, e, f = instance.passes
    rules = OrderRules(places={a: 3, f: 0}, together=(frozenset({d, e}),), turns=((a, b), (b, c), (c, d)))
    with pytest.raises(RulesConflict) as caught:
        arranged(instance.with_rules(rules), instance.passes)
    assert [(r.kind, r.passes) for r in caught.value.rules] == [
        ("a pinned place", (a,)),
        ("one pass after another", (a, b)),
        ("one pass after another", (b, c)),
        ("one pass after another", (c, d)),
    ]


def test_a_rule_for_a_pass_that_is_not_queued_is_refused() -> None:
    instance = random_day(7, 3)
    with pytest.raises(NoPlan) as caught:
        instance.with_rules(OrderRules(places={PassId("elsewhere"): 0}))
    assert caught.value.passes == ("elsewhere",)


def test_reversed_pairs_cost_what_the_weights_say() -> None:
    instance = next(
        day
        for day in (random_day(s, 6, units=2) for s in range(99))
        if all(p.first_side is None for p in day.passes.values())
    )
    order = list(instance.passes)
    known = instance.with_rules(OrderRules(known=tuple(reversed(order[:4]))))
    plain, near = evaluate(instance, order, {}).totals, evaluate(known, order, {}).totals
    assert near.reversed_pairs == 6
    assert near.objective - plain.objective == 6 * instance.shop.weights.reversed_pair
