"""A model without carry-over: a changeover hangs on its two passes alone, as if the press knew nothing else.

Its table of pairs is reckoned from the state "just printed the one, all else clean". It knows due times, first sides
and drying, in working time; breaks, nights and stale inks are left out. It is annealed for as long as one likes.
"""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from benchmarks.shop_days import working_seconds

from queueplanner.makeready.changeover import Moment, changeover
from queueplanner.makeready.compiled import compiled
from queueplanner.makeready.state import PressState, UnitState
from queueplanner.planning.compact import Ints
from queueplanner.planning.evaluate import crew_seconds
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.rules import by_due_time
from queueplanner.shop.base import PassId
from queueplanner.shop.job import PrintPass

NONE, NEVER = -1, 2**50
#: Minutes of make-ready a move may cost at first and at last; a share of the lateness at first; chains, one by one.
HOT_MINUTES, COLD_MINUTES, HOT_LATENESS, CHAINS = 12.0, 0.35, 0.02, 4
CHUNK = 20_000
LONGEST_BLOCK = 6


class PairModel(NamedTuple):
    """A day in working seconds: make-ready of a pass after another (row n: at the start), and what binds each.

    `due` and `weight` stand with the last pass of a job; `late_cost` and `setup_cost` are points a second.
    """

    setup: Ints
    run: Ints
    first: Ints
    dry: Ints
    due: Ints
    weight: Ints
    late_cost: int
    setup_cost: int


def pair_model(day: Instance) -> PairModel:
    """The day as pairs; passes are numbered as the job list has them."""
    passes = list(day.passes.values())
    number = {p.id: i for i, p in enumerate(passes)}
    last = {job.passes[-1].id: job for job in day.jobs}
    due = [NEVER if (job := last.get(p.id)) is None or job.due_s is None else job.due_s for p in passes]
    return PairModel(
        setup=_setup_table(day, passes),
        run=np.array([day.run_seconds[p.id] for p in passes], dtype=np.int64),
        first=np.array([NONE if p.first_side is None else number[p.first_side] for p in passes], dtype=np.int64),
        dry=np.array([p.drying_s for p in passes], dtype=np.int64),
        due=np.array([d if d == NEVER else working_seconds(day.clock, day.start_at, d) for d in due], dtype=np.int64),
        weight=np.array([day.job_of[p.id].weight for p in passes], dtype=np.int64),
        late_cost=day.shop.weights.late_second,
        setup_cost=day.shop.weights.makeready_second,
    )


def _setup_table(day: Instance, passes: list[PrintPass]) -> Ints:
    table = np.full((len(passes) + 1, len(passes)), NEVER, dtype=np.int64)
    for i, old in enumerate(passes):
        befores = [_just_printed(day, old, choice) for choice in day.choices[old.id]]
        for j, new in enumerate(passes):
            if i != j:
                table[i, j] = min(_least(day, before, new) for before in befores)
    table[-1] = [_least(day, day.state, new) for new in passes]
    return table


def _just_printed(day: Instance, old: PrintPass, choice: UnitChoice) -> PressState:
    """The press after a pass, all else clean."""
    clean = replace(day.state, units=tuple(UnitState(oiled=True) for _ in day.state.units))
    after = changeover(day.shop.press, clean, old, choice, Moment(day.start_at)).after
    units = tuple(replace(u, last_run_end=None if u.ink is None else day.start_at) for u in after.units)
    return replace(after, units=units)


def _least(day: Instance, before: PressState, new: PrintPass) -> int:
    """Make-ready seconds in the better units."""
    moment, crew = Moment(day.start_at), day.clock.crew_at(day.start_at)
    found = (changeover(day.shop.press, before, new, choice, moment) for choice in day.choices[new.id])
    return min(crew_seconds(change.lines, crew) for change in found)


def pair_order(day: Instance, model: PairModel, seconds: float, seed: int) -> list[PassId]:
    """The best order the model finds in so many seconds on two threads."""
    ids = list(day.passes)
    start = np.array([ids.index(p) for p in by_due_time(day)], dtype=np.int64)
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda k: _annealed(model, start, seconds, seed + k), range(2)))
    return [ids[i] for i in min(found, key=lambda pair: pair[0])[1]]


def warm_up_pairs(model: PairModel) -> None:
    """Compile the annealing, or load it."""
    _annealed(model, np.arange(model.run.size), 0.0, 1)


def _annealed(model: PairModel, start: Ints, seconds: float, seed: int) -> tuple[int, Ints]:
    """Chains of annealing, each from the best so far."""
    current, best, scores = start.copy(), start.copy(), np.zeros(3, dtype=np.int64)
    _seed(seed)
    _anneal(model, current, best, scores, 0, 1.0, 1.0)
    cold = 60.0 * model.setup_cost * COLD_MINUTES
    began = time.monotonic()
    while (share := (time.monotonic() - began) / seconds if seconds else 1.0) < 1:
        chain = share * CHAINS % 1
        hot = max(60.0 * model.setup_cost * HOT_MINUTES, HOT_LATENESS * float(scores[2]))
        heat = hot * (cold / hot) ** chain
        if chain < 0.02:
            current[:] = best
        _anneal(model, current, best, scores, CHUNK, heat, heat)
    return int(scores[1]), best


@compiled
def _seed(seed: int) -> None:
    np.random.seed(seed)  # noqa: NPY002


@compiled
def _drawn(below: int) -> int:
    return np.random.randint(0, below)  # noqa: NPY002


@compiled
def _propose(order: Ints) -> int:
    """Change an order at random: a swap, or a block of passes put elsewhere; the first changed place."""
    n = order.size
    i, j = _drawn(n), _drawn(n)
    if _drawn(4) == 0:
        order[i], order[j] = order[j], order[i]
        return min(i, j)
    length = min(1 if _drawn(3) else 1 + _drawn(LONGEST_BLOCK), n)
    start, target = _drawn(n - length + 1), _drawn(n - length + 1)
    block = order[start : start + length].copy()
    if target < start:
        for k in range(start - 1, target - 1, -1):
            order[k + length] = order[k]
    else:
        for k in range(start + length, target + length):
            order[k - length] = order[k]
    order[target : target + length] = block
    return min(start, target)


@compiled
def _price(
    model: PairModel, order: Ints, low: int, limit: float, line: tuple[Ints, Ints, Ints], ends: Ints, placed: Ints
) -> int:
    """The objective of an order, reckoned from place `low` on; NEVER above the limit, or a side before its first.

    `line` holds end, objective and lateness points up to each place; `ends` the end by pass, `placed` its place.
    """
    now, cost, late, before = 0, 0, 0, order.size
    if low > 0:
        now, cost, late, before = line[0][low - 1], line[1][low - 1], line[2][low - 1], order[low - 1]
    for i in range(low, order.size):
        placed[order[i]] = order.size
    for i in range(low, order.size):
        p = order[i]
        setup, first = model.setup[before, p], model.first[p]
        now += setup
        if first >= 0:
            if placed[first] > i:
                return NEVER
            now = max(now, ends[first] + model.dry[p])
        now += model.run[p]
        ends[p], placed[p] = now, i
        by = model.late_cost * model.weight[p] * max(0, now - model.due[p])
        late += by
        cost += model.setup_cost * setup + by
        if cost > limit:
            return NEVER
        line[0][i], line[1][i], line[2][i] = now, cost, late
        before = p
    return cost


@compiled
def _anneal(model: PairModel, current: Ints, best: Ints, scores: Ints, steps: int, hot: float, cold: float) -> None:
    """So many steps; `scores` holds the objective of current and best, and the lateness points of current."""
    n = current.size
    old = (np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n, np.int64))
    new = (np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n, np.int64))
    ends, placed = np.zeros(n, np.int64), np.zeros(n, np.int64)
    scores[0] = _price(model, current, 0, 1e18, old, ends, placed)
    scores[2] = old[2][n - 1]
    if scores[1] == 0 or scores[0] < scores[1]:
        scores[1] = scores[0]
        best[:] = current
    order, heat = current.copy(), hot
    for k in range(3):
        new[k][:] = old[k]
    for _ in range(steps if n > 1 else 0):
        heat *= (cold / hot) ** (1.0 / steps)
        low = _propose(order)
        value = _price(model, order, low, scores[0] - heat * np.log(1.0 - np.random.random()), new, ends, placed)  # noqa: NPY002
        if value < NEVER:
            current[low:] = order[low:]
            scores[0], scores[2] = value, new[2][n - 1]
            for k in range(3):
                old[k][low:] = new[k][low:]
            if value < scores[1]:
                scores[1] = value
                best[:] = current
            continue
        order[low:] = current[low:]
        for k in range(3):
            new[k][low:] = old[k][low:]
        for i in range(low, n):
            ends[order[i]], placed[order[i]] = old[0][i], i
