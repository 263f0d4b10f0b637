"""Days on which nothing is carried over: what a changeover takes depends on its two passes alone.

One unit, one ink and one plate for all, one stretch of working time. Then an order is scored by a table of pairs, some
twenty times quicker than by pressing states on, and the annealing below does so. It scores as the kernel does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from queueplanner.makeready.compiled import compiled, inlined
from queueplanner.planning.compact import ENDED, INK, LAST_END, PILE, PLATE, SOLUTION, UNIT, Compact, Ints
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.slots import SLOT

#: Shares of the moves, in sixteenths: insertion near by, insertion anywhere, swap, move of a block; the rest let two
#: blocks change places.
_NEAR, _FAR, _SWAP, _BLOCK = 4, 7, 9, 13
_NEAR_PLACES, _LONGEST_BLOCK = 6, 12


class Pairs(NamedTuple):
    """A day of pairs: seconds before a pass after another (row n: the plan's start), and what binds each pass.

    `ready` is the first moment of the changeover, `dry` that of the run, `cost` a second's weight as late and as
    make-ready; `waits` tells whether any pass can ever have to wait.
    """

    start: int
    setup: Ints
    run: Ints
    ready: Ints
    dry: Ints
    due: Ints
    weight: Ints
    late_cost: int
    setup_cost: int
    waits: bool


def pairs_of(day: Compact) -> Pairs | None:
    """The pairs of a day on which nothing is carried over; None for any other day."""
    row = day.start
    alike = (
        day.units == 1
        and day.open_s.size == day.plate_metal.size == day.window_end.size == 1
        and int(day.window_crew[0]) == 1
        and day.external.size == 0
        and row[UNIT + INK] == row[UNIT + PLATE] == 0
        and bool(np.all(day.choices == 1) and np.all(day.first < 0) and np.all(day.last_of_job == 1))
        and bool(np.all(day.ink_of[:, 0, 0] == 0) and np.all(day.plate_of[:, 0, 0] == 0))
        and bool(np.all(day.material == row[SOLUTION]) and not day.wet.any() and not day.sheet_register.any())
        and not bool(day.grows.any() or day.plate_polyester.any() or day.plate_metal.any())
    )
    if not alike:
        return None
    start = max(int(row[ENDED]), int(day.window_start[0]))
    setup = day.shared_seconds + day.slot_seconds[SLOT[("take_off_delivery_pile", None)]]
    setup[day.n] -= 0 if row[PILE] else day.slot_seconds[SLOT[("take_off_delivery_pile", None)]]
    dry = np.where(day.given_end > 0, day.given_end + day.dry_s, 0)
    latest = max(start, int(day.earliest.max()), int(dry.max()))
    last = latest + int(setup.max()) * day.n + int(day.run_s.sum())
    stands = last - (int(row[UNIT + LAST_END]) if row[UNIT + LAST_END] >= 0 else int(row[ENDED]))
    night = day.day_start[1] - last if day.day_start.size > 1 else -1
    if last > day.window_end[0] or night < 0 or stands > day.open_s[0] or day.open_s[0] < day.day_start[1]:
        return None
    return Pairs(
        start,
        setup,
        day.run_s,
        day.earliest,
        dry,
        day.due[day.job],
        day.weight[day.job],
        int(day.weights[0]),
        int(day.weights[1]),
        latest > start,
    )


@inlined
def _shift(order: Ints, at: int, length: int, target: int) -> tuple[int, int]:
    """Take `length` passes from `at` out and put them in so that they begin at `target`; the changed places."""
    if target < at:
        low, middle, high = target, at, at + length
    else:
        low, middle, high = at, at + length, target + length
    _turn(order, low, middle)
    _turn(order, middle, high)
    _turn(order, low, high)
    return low, high - 1


@compiled
def seed_pairs(seed: int) -> None:
    """Seed the random numbers of the annealing below."""
    np.random.seed(seed)  # noqa: NPY002


@inlined
def _drawn(below: int) -> int:
    """A whole number from 0 on, at random."""
    return int(np.random.randint(0, below))  # noqa: NPY002


@inlined
def _turn(order: Ints, a: int, b: int) -> None:
    """Reverse the places a up to b."""
    b -= 1
    while a < b:
        order[a], order[b] = order[b], order[a]
        a += 1
        b -= 1


@inlined
def _swap_blocks(order: Ints, first: int, second: int, n: int) -> tuple[int, int]:
    """Let a block of `first` passes and a later one of `second` change places."""
    between = _drawn(n - first - second + 1)
    low = _drawn(n - first - second - between + 1)
    high = low + first + between + second
    _turn(order, low, low + first)
    _turn(order, low + first, high - second)
    _turn(order, high - second, high)
    _turn(order, low, high)
    return low, high - 1


@inlined
def _change(order: Ints, n: int) -> tuple[int, int]:
    """Change an order at random; the first and last changed place."""
    kind = _drawn(16)
    if kind < _NEAR:
        i = _drawn(n)
        j = i + _drawn(2 * _NEAR_PLACES + 1) - _NEAR_PLACES
        return _shift(order, i, 1, min(n - 1, max(0, j)))
    if kind < _FAR:
        return _shift(order, _drawn(n), 1, _drawn(n))
    if kind < _SWAP:
        i, j = _drawn(n), _drawn(n)
        order[i], order[j] = order[j], order[i]
        return min(i, j), max(i, j)
    longest = max(1, min(_LONGEST_BLOCK, n // 3))
    length = 1 + _drawn(longest)
    if kind >= _BLOCK:
        return _swap_blocks(order, length, 1 + _drawn(longest), n)
    return _shift(order, _drawn(n - length + 1), length, _drawn(n - length + 1))


class Line(NamedTuple):
    """An order as it runs, by place: the end of each run, the objective up to it, and the weight late up to it."""

    ends: Ints
    costs: Ints
    late: Ints


@inlined
def _new_line(n: int) -> Line:
    return Line(np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n, np.int64))


@compiled
def _rescore(day: Pairs, order: Ints, low: int, high: int, limit: float, old: Line, new: Line) -> tuple[int, int]:
    """The objective of an order changed between two places, and how many places of `new` are filled in.

    `old` is the line before the change; where `new` ends, the old one's ends hold again. When the objective is certain
    to be above `limit`, any number above it comes back.
    """
    n = order.size
    now, cost, before = day.start, 0, n
    if low > 0:
        now, cost, before = old.ends[low - 1], old.costs[low - 1], order[low - 1]
    for i in range(low, n):
        p = order[i]
        setup = day.setup[before, p]
        now = max(max(now, day.ready[p]) + setup, day.dry[p]) + day.run[p]
        cost += day.setup_cost * setup + day.late_cost * day.weight[p] * max(0, now - day.due[p])
        new.ends[i], new.costs[i] = now, cost
        before = p
        if cost > limit:
            return cost, i + 1
        if i > high:
            by = now - old.ends[i]
            if by == 0:
                return cost + old.costs[n - 1] - old.costs[i], i + 1
            if i == high + 1:
                least = cost + old.costs[n - 1] - old.costs[i]
                if by < 0:  # no run ends sooner by more than this, and only late ones gain by it
                    least += by * (old.late[n - 1] - old.late[i])
                if least > limit:
                    return least, i + 1
                if not day.waits:
                    return _shifted(day, order, i + 1, by, cost, old, new), n
    return cost, n


@inlined
def _shifted(day: Pairs, order: Ints, first: int, by: int, cost: int, old: Line, new: Line) -> int:
    """The objective when from a place on all runs end sooner or later alike."""
    base, late = old.costs[first - 1], 0
    for i in range(first, order.size):
        p = order[i]
        end = old.ends[i]
        late += day.late_cost * day.weight[p] * (max(0, end + by - day.due[p]) - max(0, end - day.due[p]))
        new.ends[i], new.costs[i] = end + by, cost + old.costs[i] - base + late
    return int(cost + old.costs[order.size - 1] - base + late)


@inlined
def _move_on(day: Pairs, order: Ints, low: int, filled: int, gain: int, old: Line, new: Line) -> None:
    """Take over a new line: places `low` to `filled` are new, those behind cost `gain` more in all."""
    for i in range(low, filled):
        old.ends[i], old.costs[i] = new.ends[i], new.costs[i]
    for i in range(filled, order.size):
        old.costs[i] += gain
    late = old.late[low - 1] if low > 0 else 0
    for i in range(low, order.size):
        p = order[i]
        if old.ends[i] > day.due[p]:
            late += day.late_cost * day.weight[p]
        old.late[i] = late


@compiled
def small_change(day: Pairs, order: Ints) -> float:
    """The tenth part of all swaps of two neighbours that make an order worse add at most this; 1 where none does."""
    n = order.size
    trial, worse, line = order.copy(), np.zeros(n, np.int64), _new_line(n)
    value, _ = _rescore(day, order, 0, n, IMPOSSIBLE, line, line)
    count = 0
    for i in range(n - 1):
        trial[i], trial[i + 1] = order[i + 1], order[i]
        by = _rescore(day, trial, 0, n, IMPOSSIBLE, line, line)[0] - value
        trial[i], trial[i + 1] = order[i], order[i + 1]
        if by > 0:
            worse[count] = by
            count += 1
    return float(np.sort(worse[:count])[count // 10]) if count else 1.0


@compiled
def anneal_pairs(day: Pairs, current: Ints, best: Ints, scores: Ints, steps: int, hot: float, cold: float) -> int:
    """Annealing as `anneal.anneal` does it, on a day of pairs; the same arguments and result."""
    n = current.shape[1]
    steps = steps if n > 1 else 0
    order, old, new = current[0].copy(), _new_line(n), _new_line(n)
    scores[0], _ = _rescore(day, order, 0, n, IMPOSSIBLE, new, new)
    _move_on(day, order, 0, n, 0, old, new)
    bettered, heat, cooling = 0, hot, (cold / hot) ** (1.0 / max(1, steps))
    for _ in range(steps):
        heat *= cooling
        low, high = _change(order, n)
        if low >= high:
            continue
        limit = scores[0] - heat * np.log(1.0 - np.random.random())  # noqa: NPY002
        value, filled = _rescore(day, order, low, high, limit, old, new)
        if value > limit:
            order[low : high + 1] = current[0, low : high + 1]
            continue
        current[0, low : high + 1] = order[low : high + 1]
        _move_on(day, order, low, filled, value - scores[0], old, new)
        scores[0] = value
        if value < scores[1]:
            scores[1] = value
            best[:] = current
            bettered += 1
    return bettered
