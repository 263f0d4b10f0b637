"""Days of up to nine passes: the planner finds what trying every order and every unit choice finds."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from queueplanner.makeready.compiled import compiled
from queueplanner.planning.compact import Ints
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.kernel import IMPOSSIBLE, score
from queueplanner.planning.planner import plan_day
from queueplanner.planning.search import Numbered, Searcher
from queueplanner.planning.signature import Memo
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day


@compiled
def _try_all_units(
    tables: Ints, memo: Memo, order: Ints, choice: Ints, open_passes: Ints, room: tuple[Ints, Ints, Ints, Ints]
) -> int:
    states, ends, marks, scratch = room
    best = IMPOSSIBLE
    for word in range(1 << open_passes.size):
        for i in range(open_passes.size):
            choice[open_passes[i]] = word >> i & 1
        value = score(tables, memo, order, choice, states, 0, IMPOSSIBLE, ends, marks, scratch)
        best = min(best, value)
    return best


def by_trying_everything(instance: Instance) -> int:
    """The least objective over all orders and unit choices; IMPOSSIBLE where no order fits."""
    numbered = Numbered.of(instance)
    tables = numbered.tables
    searcher = Searcher(tables)
    searcher.room[0][0] = tables.start
    open_passes = np.array([p for p in range(tables.n) if tables.choices[p] > 1], dtype=np.int64)
    choice = np.zeros(tables.n, dtype=np.int64)
    firsts = [(int(tables.first[p]), p) for p in range(tables.n) if tables.first[p] >= 0]
    best = IMPOSSIBLE
    for order in itertools.permutations(range(tables.n)):
        if all(order.index(a) < order.index(b) for a, b in firsts):
            row = np.array(order, dtype=np.int64)
            best = min(best, _try_all_units(searcher.row, searcher.memo, row, choice, open_passes, searcher.room))
    return int(best)


#: Fifty days of four to six passes, and a few larger ones with enough two-sided jobs to be tried in full.
SIZES = [(seed, 4 + seed % 3) for seed in range(50)] + [(301, 7), (411, 8), (444, 8), (460, 8), (444, 9), (1178, 9)]


@pytest.mark.parametrize(("seed", "passes"), SIZES)
def test_planner_finds_the_best_of_all_orders(seed: int, passes: int) -> None:
    instance = random_day(3000 + seed, passes)
    best = by_trying_everything(instance)
    if best == IMPOSSIBLE:
        with pytest.raises(NoPlan):
            plan_day(instance, 0.5)
    else:
        assert plan_day(instance, 5.0, seed=seed).totals.objective == best


def test_a_plan_is_what_the_evaluator_says_of_its_order() -> None:
    instance = random_day(77, 8, units=2)
    plan = plan_day(instance, 0.3)
    units = {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in plan.passes}
    assert evaluate(instance, plan.order, units).totals == plan.totals
