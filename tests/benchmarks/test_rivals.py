"""The other ways of ordering a day, which the benchmark measures ours against, do what they say."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import numpy as np
import pytest
from benchmarks.nearest import near_order
from benchmarks.orders import by_format, first_sides_first
from benchmarks.pair_model import PairModel, pair_model, pair_order
from benchmarks.shop_days import Kind, shop_day
from benchmarks.state_model import solver_order

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.search import Numbered, Searcher
from queueplanner.shop.base import PassId


def sides_are_in_order(day: Instance, order: Sequence[PassId]) -> bool:
    """Whether every pass stands there once, each second side behind its first."""
    backs = [p for p in day.passes.values() if p.first_side is not None]
    return sorted(order) == sorted(day.passes) and all(order.index(p.first_side) < order.index(p.id) for p in backs)


def price(model: PairModel, order: Sequence[int]) -> float:
    """The pair model's objective of an order, reckoned plainly."""
    now, points, before, ends = 0, 0, -1, {}
    for p in order:
        first = int(model.first[p])
        if first >= 0 and first not in ends:
            return float("inf")
        dry = ends[first] + int(model.dry[p]) if first >= 0 else 0
        setup = int(model.setup[before, p])
        now = ends[p] = max(now + setup, dry) + int(model.run[p])
        points += model.setup_cost * setup
        points += model.late_cost * int(model.weight[p]) * max(0, now - int(model.due[p]))
        before = p
    return points


@pytest.mark.parametrize("seed", range(3))
def test_rules_keep_second_sides_behind_their_first(seed: int) -> None:
    day = shop_day(seed, 16).instance
    backwards = list(day.passes)[::-1]
    for order in (near_order(day)[0], by_format(day), first_sides_first(day, backwards)):
        assert sides_are_in_order(day, order)


def test_the_nearest_pass_comes_first() -> None:
    day = shop_day(2, 10, Kind.FREE).instance
    order, units = near_order(day)
    firsts = [p for p in day.passes if day.passes[p].first_side is None]
    costs = {}
    for p in firsts:
        rest = first_sides_first(day, [p, *(q for q in day.passes if q != p)])
        for choice in day.choices[p]:
            costs[p, choice] = evaluate(day, rest, {p: choice}).passes[0].makeready_seconds
    assert costs[order[0], units[order[0]]] == min(costs.values())


@pytest.mark.parametrize("kind", [Kind.OVERLOADED, Kind.FREE])
@pytest.mark.parametrize("seed", range(3))
def test_the_pair_model_is_solved_to_its_best(seed: int, kind: Kind) -> None:
    day = shop_day(30 + seed, 6, kind).instance
    model, ids = pair_model(day), list(day.passes)
    found = pair_order(day, model, 0.05, 1)
    assert sides_are_in_order(day, found)
    assert price(model, [ids.index(p) for p in found]) == min(price(model, order) for order in permutations(range(6)))


@pytest.mark.parametrize("seed", range(3))
def test_the_solver_finds_the_best_of_all_orders_and_units_of_a_small_day(seed: int) -> None:
    day = shop_day(30 + seed, 4, Kind.FREE).instance
    found = solver_order(day, 60.0, 1, timed=True)
    assert found is not None
    assert evaluate(day, *found).totals.objective == by_trying_everything(day)


def by_trying_everything(day: Instance) -> int:
    """The least objective there is."""
    numbered = Numbered.of(day)
    searcher = Searcher(numbered.tables)
    best = 2**62
    for order in permutations(range(day.size)):
        place = {numbered.numbering.passes[p]: i for i, p in enumerate(order)}
        if any(p.first_side and place[p.first_side] > place[p.id] for p in day.passes.values()):
            continue
        for flips in np.ndindex(*numbered.tables.choices):
            best = min(best, searcher.score(np.array([order, flips], dtype=np.int64)))
    return best
