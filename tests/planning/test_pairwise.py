"""On a day on which nothing is carried over, the table of pairs scores as the kernel does."""

from __future__ import annotations

import numpy as np
import pytest

from queueplanner.planning.anneal import seed_random
from queueplanner.planning.compact import ENDED, INK, LAST_END, OILED, OLD_INK, PLATE, REDUCED, SOLUTION, UNIT, Compact
from queueplanner.planning.pairwise import DUE, anneal_pairs, heat_for, pairs_of
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.search import Numbered, Searcher, search
from tests.generated_days import random_day

FAR = 2**44


def day_of_pairs(seed: int, waits: bool) -> Compact:
    """A random day on one unit, all passes in one ink from one plate, in one stretch of working time."""
    day = Numbered.of(random_day(3000 + seed, 9, units=1)).tables
    rng = np.random.default_rng(seed)
    n, start = day.n, day.start.copy()
    start[SOLUTION], start[UNIT + INK], start[UNIT + PLATE], start[UNIT + OLD_INK] = 0, 0, 0, -1
    start[UNIT + REDUCED], start[UNIT + OILED], start[UNIT + LAST_END] = 0, 0, start[ENDED]
    none = np.zeros(n, dtype=np.int64)
    only = np.full((n, 2, 2), -1, dtype=np.int64)
    only[:, :, 0] = 0
    one = np.zeros(1, dtype=np.int64)
    later = start[ENDED] + rng.integers(-3600, 40_000, size=(2, n))
    return day._replace(
        start=start,
        shared_seconds=rng.integers(0, 3000, size=day.shared.shape),
        grows=np.zeros_like(day.grows),
        sheet_register=np.zeros_like(day.grows),
        choices=none + 1,
        ink_of=only,
        plate_of=only,
        wet=none,
        material=none,
        first=none - 1,
        earliest=later[0] if waits else none,
        given_end=later[1] if waits else none,
        dry_s=rng.integers(0, 3000, size=n),
        longest_pause=none + FAR,
        job=np.arange(n),
        last_of_job=none + 1,
        due=start[ENDED] + rng.integers(0, 60_000, size=n),
        weight=rng.integers(0, 5, size=n),
        open_s=one + 4 * FAR,
        washes=one.reshape(1, 1),
        tacky=one.reshape(1, 1),
        plate_metal=one,
        plate_polyester=one,
        plate_automatic=one,
        packing=one.reshape(1, 1),
        external=np.zeros(0, dtype=np.int64),
        window_start=one,
        window_end=one + FAR,
        window_day=one,
        window_crew=one + 1,
        shift_start=one,
        shift_crew=one + 1,
        day_start=np.array([0, 2 * FAR]),
    )


@pytest.mark.parametrize("waits", [True, False], ids=["with waits", "without waits"])
def test_pairs_score_as_the_kernel_does_all_along_a_search(waits: bool) -> None:
    for seed in range(25):
        day = day_of_pairs(seed, waits)
        pairs, searcher = pairs_of(day), Searcher(day)
        assert pairs is not None
        assert pairs.waits == waits
        current = np.zeros((2, day.n), dtype=np.int64)
        current[0] = np.random.default_rng(seed).permutation(day.n)
        best, first = current.copy(), searcher.score(current)
        scores = np.array([first, first], dtype=np.int64)
        seed_random(seed)
        for heat in (300_000.0, 20_000.0, 100.0):
            anneal_pairs(pairs, current, best, scores, 300, heat, heat / 10)
            assert sorted(current[0]) == list(range(day.n))
            assert searcher.score(current) == scores[0]
            assert searcher.score(best) == scores[1] <= first


def test_at_a_heat_so_many_moves_that_worsen_an_order_are_taken_as_were_asked_for() -> None:
    for seed in range(5):
        pairs = pairs_of(day_of_pairs(seed, True))
        assert pairs is not None
        order = np.argsort(pairs.binds[DUE])
        seed_random(seed)
        heats = [heat_for(pairs, order, share) for share in (0.001, 0.01, 0.1)]
        assert heats == sorted(heats)
        taken = []
        for heat in heats:
            rows, scores = np.stack([order, 0 * order]), np.zeros(2, dtype=np.int64)
            anneal_pairs(pairs, rows, rows.copy(), scores, 0, heat, heat)
            value, worse = scores[0], 0
            for _ in range(2000):
                rows[0] = order
                anneal_pairs(pairs, rows, rows.copy(), scores, 1, heat, heat)
                worse += scores[0] > value
            taken.append(worse / 2000)
        assert taken == pytest.approx([0.001, 0.01, 0.1], abs=0.02)


def test_where_no_move_worsens_an_order_any_heat_will_do() -> None:
    day = day_of_pairs(1, False)
    pairs = pairs_of(day._replace(weights=np.zeros(4, dtype=np.int64)))
    assert pairs is not None
    assert heat_for(pairs, np.arange(day.n), 0.01) == 1.0


def test_a_day_that_carries_something_over_is_no_day_of_pairs() -> None:
    for seed in range(20):
        assert pairs_of(Numbered.of(random_day(seed, 6)).tables) is None
    day = day_of_pairs(1, False)
    assert pairs_of(day) is not None
    assert pairs_of(day._replace(window_end=day.start[ENDED : ENDED + 1] + 5)) is None
    assert pairs_of(day._replace(open_s=np.array([60]))) is None
    assert pairs_of(day._replace(first=day.first + 1)) is None


class _Holder:
    def __init__(self, tables: Compact) -> None:
        self.tables = tables


def test_a_day_without_lateness_needs_no_more_search() -> None:
    day = day_of_pairs(3, False)
    day = day._replace(due=day.due + FAR, weights=np.array([1, 0, 0, 0]))
    rows = np.zeros((2, day.n), dtype=np.int64)
    rows[0] = np.arange(day.n)
    found = search(_Holder(day), [rows], 60.0, 1, lambda _rows, _bound: None, CancelToken())  # type: ignore[arg-type]
    assert found.proven
    assert found.value == 0
