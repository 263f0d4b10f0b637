"""The compiled kernel scores every order exactly as the evaluator does."""

from __future__ import annotations

import random

import pytest

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.search import Numbered, Searcher
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day


def shuffled(instance: Instance, rng: random.Random) -> tuple[list[PassId], dict[PassId, UnitChoice]]:
    """A random order that keeps first sides before second ones, and random units."""
    order: list[PassId] = []
    for pass_id in rng.sample(list(instance.passes), instance.size):
        place = rng.randint(0, len(order))
        first = instance.passes[pass_id].first_side
        followers = [p for p in order if instance.passes[p].first_side == pass_id]
        if first in order:
            place = rng.randint(order.index(first) + 1, len(order))
        if followers:
            place = min(place, order.index(followers[0]))
        order.insert(place, pass_id)
    return order, {p: rng.choice(instance.choices[p]) for p in order}


def objective(instance: Instance, order: list[PassId], units: dict[PassId, UnitChoice]) -> int:
    """What the evaluator says; IMPOSSIBLE where it refuses."""
    try:
        return evaluate(instance, order, units).totals.objective
    except NoPlan:
        return IMPOSSIBLE


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize("crew", [1, 2, None], ids=["one person", "two persons", "by shift"])
def test_kernel_scores_an_order_as_the_evaluator_does(seed: int, crew: int | None) -> None:
    instance = random_day(1000 + seed, 1 + seed % 9, crew=crew)
    numbered = Numbered.of(instance)
    searcher = Searcher(numbered.tables)
    rng = random.Random(seed)
    for _ in range(3):
        order, units = shuffled(instance, rng)
        assert searcher.score(numbered.rows(order, units)) == objective(instance, order, units)


def test_random_days_really_meet_stale_inks_refusals_and_lateness() -> None:
    """The property above means little unless the days it draws are hard."""
    stale = refused = late = 0
    for seed in range(60):
        instance = random_day(1000 + seed, 1 + seed % 9)
        numbered = Numbered.of(instance)
        searcher = Searcher(numbered.tables)
        order, units = shuffled(instance, random.Random(seed))
        value = searcher.score(numbered.rows(order, units))
        stale += int(searcher.room[2][instance.size + 1] < instance.size)
        refused += value == IMPOSSIBLE
        late += value != IMPOSSIBLE and evaluate(instance, order, units).totals.late_passes > 0
    assert stale >= 20
    assert refused >= 3
    assert late >= 20


def test_annealing_keeps_its_current_score_true() -> None:
    """Prefixes kept between moves never drift from a fresh evaluation."""
    import numpy as np

    from queueplanner.planning.anneal import seed_random

    for seed in range(40):
        instance = random_day(2000 + seed, 9)
        numbered = Numbered.of(instance)
        searcher = Searcher(numbered.tables)
        order, units = shuffled(instance, random.Random(seed))
        rows = numbered.rows(order, units)
        value = searcher.score(rows)
        current, best = rows.copy(), rows.copy()
        scores = np.array([value, value], dtype=np.int64)
        seed_random(seed)
        searcher.anneal(current, best, scores, 400, 5000.0, 100.0)
        assert searcher.score(current) == scores[0]
        assert searcher.score(best) == scores[1]
        assert scores[1] <= value
