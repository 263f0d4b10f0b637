"""Public scheduling problems as days of the press: a job or node is a pass, what lies between two is make-ready.

One unit, one ink and one plate throughout, so that a changeover's seconds are the problem's own numbers. A day stands
for the problem exactly: a tour that keeps its windows has the travel as its objective, less a figure known beforehand,
and one that misses a window costs more than any that keeps them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from benchmarks.public_files import Problem, Tardiness, Tour

from queueplanner.planning.anneal import ORDER
from queueplanner.planning.compact import (
    INK,
    LAST_END,
    OLD_INK,
    PLATE,
    PREV,
    STATE_WIDTH,
    UNIT,
    UNIT_WIDTH,
    UNKNOWN,
    WASH_S,
    Compact,
    Ints,
)
from queueplanner.planning.slots import SLOTS

#: A moment that no plan comes to, and one beyond it.
FAR = 2**44


@dataclass(frozen=True)
class PublicDay:
    """A problem as a day. `base` is what every allowed answer costs beside the day's objective.

    `returns` tells that the last pass stands for coming back to node 0: nothing may come after it.
    """

    problem: Problem
    tables: Compact
    base: int = 0
    returns: bool = False

    def sequence(self, rows: Ints) -> list[int]:
        """The answer in the problem's own numbers: jobs, or nodes from node 0 on."""
        order = [int(p) for p in rows[ORDER]]
        if isinstance(self.problem, Tardiness):
            return order
        return [0, *(p + 1 for p in order if p + 1 < self.problem.size)]

    def rows(self, order: Sequence[int]) -> Ints:
        """An order of passes as the search wants it."""
        return np.array([order, [0] * self.tables.n], dtype=np.int64)

    def starts(self) -> list[Ints]:
        """Orders to begin from: as the file has them, by due time, and always to the nearest."""
        n = self.tables.n - self.returns
        last = [n] if self.returns else []
        by_due = sorted(range(n), key=lambda p: int(self.tables.due[p]))
        orders = (list(range(n)), by_due, _to_the_nearest(self.tables.shared_seconds, n))
        return [self.rows(order + last) for order in orders]


def _to_the_nearest(setup: Ints, n: int) -> list[int]:
    order, left, at = [], set(range(n)), setup.shape[1]
    while left:
        at = min(left, key=lambda p: (int(setup[at, p]), p))
        left.remove(at)
        order.append(at)
    return order


def day_of(problem: Problem) -> PublicDay:
    """The day that stands for a problem."""
    if isinstance(problem, Tardiness):
        return _tardiness_day(problem)
    if problem.windows:
        return _window_day(problem)
    return _tour_day(problem)


def _tardiness_day(problem: Tardiness) -> PublicDay:
    setup = np.array([*problem.setup, problem.first], dtype=np.int64)
    tables = _day(setup, np.array(problem.process), np.array(problem.due), np.array(problem.weight), (1, 0))
    return PublicDay(problem, tables)


def _tour_day(problem: Tour) -> PublicDay:
    """Node i + 1 is pass i; the last pass is the way back, and whatever would come after it costs a whole tour."""
    travel = np.array(problem.travel, dtype=np.int64)
    n = problem.size
    setup = np.zeros((n + 1, n), dtype=np.int64)
    setup[: n - 1, : n - 1], setup[: n - 1, n - 1] = travel[1:, 1:], travel[1:, 0]
    setup[n, : n - 1] = travel[0, 1:]
    setup[n, n - 1] = setup[n - 1] = 1 + int(travel.max(axis=1).sum())
    none = np.zeros(n, dtype=np.int64)
    return PublicDay(problem, _day(setup, none, none + FAR, none, (0, 1)), returns=True)


def _window_day(problem: Tour) -> PublicDay:
    """As a tour; the least way on from a node is its run, the rest make-ready; its window binds the run's start.

    Where going back to node 0 is the least way on from every node, no pass is needed to stand for it.
    """
    plain = _tour_day(problem)
    travel = np.array(problem.travel, dtype=np.int64)
    n, back = problem.size, travel[1:, 0]
    away = travel + np.where(np.eye(n, dtype=bool), FAR, 0)
    run = np.append(away[1:].min(axis=1), 0)
    returns = bool((run[:-1] < back).any())
    earliest, latest = (np.array([w[k] for w in problem.windows[1:]], dtype=np.int64) for k in (0, 1))
    home = problem.windows[0][1]
    due = np.append(np.minimum(latest + run[:-1], home), home) - problem.windows[0][0]
    setup = plain.tables.shared_seconds.copy()
    setup[: n - 1] -= run[:-1, None]
    np.fill_diagonal(setup, 0)
    dry = np.append(earliest, 0) - problem.windows[0][0]
    passes = n if returns else n - 1
    setup = np.vstack([setup[:passes, :passes], setup[n, :passes]])
    missed = 1 + int(travel.max(axis=1).sum())
    tables = _day(setup, run[:passes], due[:passes], np.ones(passes, dtype=np.int64), (missed, 1), dry[:passes])
    return PublicDay(problem, tables, int(run.sum()), returns)


def _day(setup: Ints, run: Ints, due: Ints, weight: Ints, weights: tuple[int, int], dry: Ints | None = None) -> Compact:
    """A day of pairs that begins at second 0; `weights` are a late second's and a make-ready second's.

    `dry` is the earliest start of each run: the pass's first side is told to have been printed at second 1.
    """
    n = run.size
    none, one = np.zeros(n, dtype=np.int64), np.zeros(1, dtype=np.int64)
    table, only = np.zeros((n + 1, n), dtype=np.int64), np.full((n, 2, 2), UNKNOWN, dtype=np.int64)
    only[:, :, 0] = 0
    start = np.zeros(STATE_WIDTH, dtype=np.int64)
    start[PREV] = n
    for unit in (UNIT, UNIT + UNIT_WIDTH):
        start[[unit + INK, unit + PLATE, unit + OLD_INK]] = UNKNOWN
    start[[UNIT + INK, UNIT + PLATE, UNIT + LAST_END]] = 0
    slots = np.zeros(len(SLOTS), dtype=np.int64)
    fixed = {"grows": table, "sheet_register": table, "pile_free": table, "shared": table}
    passes = {"choices": none + 1, "ink_of": only, "plate_of": only, "wet": none, "material": none, "first": none - 1}
    by_pass = {"run_s": run, "earliest": none, "longest_pause": none + FAR, "due": due, "weight": weight}
    dried = {"dry_s": none, "given_end": none} if dry is None else {"dry_s": dry - 1, "given_end": none + 1}
    jobs = {"job": np.arange(n), "last_of_job": none + 1}
    inks = {"open_s": one + 4 * FAR, "washes": one.reshape(1, 1), "tacky": one.reshape(1, 1)}
    metals = {"plate_metal": one, "plate_polyester": one, "plate_automatic": one, "packing": one.reshape(1, 1)}
    flags = {"takes_idle_off": 0, "crosses_days": 1, "own_plate": 0, "own_ink": 0, "external": none[:0]}
    tasks = {"slot_seconds": slots, "slot_place": slots, "slot_mode": slots, "slot_before": slots}
    clock = {"window_start": one, "window_end": one + FAR, "window_day": one, "window_crew": one + 1}
    shifts = {"shift_start": one, "shift_crew": one + 1, "day_start": np.array([0, 2 * FAR])}
    figures = fixed | passes | by_pass | dried | jobs | inks | metals | flags | tasks | clock | shifts
    rest = {"variant_seconds": np.zeros(WASH_S + 8, dtype=np.int64), "weights": np.array([*weights, 0, 0])}
    return Compact(n=n, units=1, start=start, shared_seconds=setup, **figures, **rest)  # type: ignore[arg-type]
