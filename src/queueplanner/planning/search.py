"""The search for a good order: annealing chains on the compact instance, restarted, one to a core."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from queueplanner.planning.anneal import CHOICE, ORDER, anneal, seed_random
from queueplanner.planning.compact import Compact, Ints, Numbering, compact
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.kernel import IMPOSSIBLE, Memo, new_memo, score, workspace
from queueplanner.planning.progress import CancelToken
from queueplanner.shop.base import PassId

#: A chunk of annealing is cut so that a stop is heard within about this many seconds.
CHUNK_SECONDS = 0.1
#: Make-ready minutes a move may cost at the start of a chain, and at its end.
HOT_MINUTES, COLD_MINUTES = 12.0, 0.35

Solution = tuple[tuple[PassId, ...], dict[PassId, UnitChoice]]


@dataclass
class Searcher:
    """A compact instance with the room to score orders on it; one per thread."""

    tables: Compact
    memo: Memo = field(default_factory=new_memo)

    def __post_init__(self) -> None:
        self.room = workspace(self.tables)

    def score(self, rows: Ints) -> int:
        """The objective of an order and unit choice; IMPOSSIBLE when no calendar day holds it."""
        states, ends, marks, scratch = self.room
        states[0] = self.tables.start
        return int(
            score(self.tables, self.memo, rows[ORDER], rows[CHOICE], states, 0, IMPOSSIBLE, ends, marks, scratch)
        )

    def anneal(self, current: Ints, best: Ints, scores: Ints, steps: int, hot: float, cold: float) -> int:
        """Run a stretch of annealing; see `anneal`."""
        self.room[0][0] = self.tables.start
        return int(anneal(self.tables, self.memo, current, best, scores, self.room, steps, hot, cold))


@dataclass(frozen=True)
class Numbered:
    """An instance as arrays, and the way there and back."""

    instance: Instance
    tables: Compact
    numbering: Numbering

    @classmethod
    def of(cls, instance: Instance) -> Numbered:
        """Number an instance."""
        tables, numbering = compact(instance)
        return cls(instance, tables, numbering)

    def rows(self, order: Sequence[PassId], units: dict[PassId, UnitChoice]) -> Ints:
        """An order and unit choice as two rows of numbers; a pass without a choice takes its first."""
        number = {pass_id: i for i, pass_id in enumerate(self.numbering.passes)}
        rows = np.zeros((2, self.tables.n), dtype=np.int64)
        rows[ORDER] = [number[pass_id] for pass_id in order]
        for pass_id, choice in units.items():
            rows[CHOICE, number[pass_id]] = self.instance.choices[pass_id].index(choice)
        return rows

    def solution(self, rows: Ints) -> Solution:
        """The order and unit choice of two rows of numbers."""
        ids = self.numbering.passes
        order = tuple(ids[i] for i in rows[ORDER])
        return order, {ids[i]: self.instance.choices[ids[i]][c] for i, c in enumerate(rows[CHOICE])}


def best_unit_rows(searcher: Searcher, rows: Ints) -> Ints:
    """A unit choice for a fixed order that no flip of up to three neighbouring open passes betters."""
    rows = rows.copy()
    best = searcher.score(rows)
    open_passes = [int(p) for p in rows[ORDER] if searcher.tables.choices[p] > 1]
    improved = True
    while improved:
        improved = False
        for width in (1, 2, 3):
            for start in range(len(open_passes) - width + 1):
                trial = rows.copy()
                for p in open_passes[start : start + width]:
                    trial[CHOICE, p] = 1 - trial[CHOICE, p]
                value = searcher.score(trial)
                if value < best:
                    rows, best, improved = trial, value, True
    return rows


def search(
    numbered: Numbered,
    starts: Sequence[Ints],
    seconds: float,
    seed: int,
    on_better: Callable[[Ints], None],
    cancel: CancelToken,
    threads: int | None = None,
) -> tuple[Ints, int]:
    """Anneal from the best of some starting orders for so many seconds; the best rows and their objective.

    `on_better` is called from the calling thread with each better order as it is found.
    """
    searchers = [Searcher(numbered.tables) for _ in range(threads or min(2, os.cpu_count() or 1))]
    values = [searchers[0].score(rows) for rows in starts]
    best, value = starts[int(np.argmin(values))].copy(), min(values)
    if value < IMPOSSIBLE:
        on_better(best)
    if numbered.tables.n < 2 and numbered.tables.choices.max(initial=1) < 2:
        return best, value
    # A first stretch of no steps, so that compiling does not eat into the search's seconds.
    searchers[0].anneal(best.copy(), best.copy(), np.array([value, value], dtype=np.int64), 0, 1.0, 1.0)
    began = time.monotonic()
    with ThreadPoolExecutor(len(searchers)) as pool:
        round_number = 0
        left = seconds
        while left > 0 and not cancel.cancelled:
            chain = min(left, max(0.15, seconds / 12) * (1.5 if round_number % 3 == 2 else 1.0))
            futures = [
                pool.submit(
                    _chain,
                    searcher,
                    best,
                    value,
                    chain,
                    seed + 1000 * round_number + k,
                    cancel,
                    round_number + k,
                )
                for k, searcher in enumerate(searchers)
            ]
            for future in futures:
                rows, found = future.result()
                if found < value:
                    best, value = rows, found
                    on_better(best)
            round_number += 1
            left = seconds - (time.monotonic() - began)
    return best, value


def _chain(
    searcher: Searcher, start: Ints, value: int, seconds: float, seed: int, cancel: CancelToken, number: int
) -> tuple[Ints, int]:
    """One annealing chain of about so many seconds, in chunks; every other one begins less hot, near the best."""
    seed_random(seed)
    current, best = start.copy(), start.copy()
    scores = np.array([value, value], dtype=np.int64)
    scale = 600.0 * max(1, int(searcher.tables.weights[1]))
    hot = scale * HOT_MINUTES / 10 * (1.0 if number % 2 == 0 else 0.3)
    cold = scale * COLD_MINUTES / 10
    began = time.monotonic()
    steps, heat, rate = 200, hot, 0.0
    while True:
        used = time.monotonic() - began
        left = seconds - used
        if left <= 0 or cancel.cancelled:
            return best, int(scores[1])
        if rate:
            steps = max(50, int(rate * min(CHUNK_SECONDS, left)))
        share = min(1.0, (steps / rate if rate else 0.01) / left)
        cooler = heat * (cold / heat) ** share
        at = time.monotonic()
        searcher.anneal(current, best, scores, steps, heat, cooler)
        took = max(1e-6, time.monotonic() - at)
        rate = steps / took
        heat = max(cold, cooler)
