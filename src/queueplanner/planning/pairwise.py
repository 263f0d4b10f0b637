"""Days on which nothing is carried over: what a changeover takes depends on its two passes alone.

One unit, one ink and one plate for all, one stretch of working time. Then what a change of an order does is told by a
table of pairs and the ends of the runs, many times quicker than by pressing states on, and the annealing below does
so. It scores as the kernel does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from queueplanner.makeready.compiled import compiled, inlined
from queueplanner.planning.compact import ENDED, INK, LAST_END, PILE, PLATE, SOLUTION, UNIT, Compact, Ints
from queueplanner.planning.slots import SLOT

#: Shares of the moves, in thirty-seconds: a pass or block put next to one that it follows cheaply, insertion near by,
#: insertion anywhere, swap, move of a block; the rest let two blocks change places.
_LINK, _NEAR, _FAR, _SWAP, _BLOCK = 20, 27, 28, 29, 31
_NEAR_PLACES, _LONGEST_BLOCK = 6, 20
#: How many cheap successors of a pass are kept.
_NEIGHBOURS = 10

#: The annealing's own random numbers: a congruential row modulo 2 ** 62, of which the upper half is used (factor from
#: Steele and Vigna, Softw. Pract. Exp. 52, 2022, from memory).
_FACTOR, _MODULUS, _HALF = 0xD1342543DE82EF95 >> 2 | 5, 2**62 - 1, 31
#: Thresholds are drawn from so many quantiles of the exponential distribution.
_QUANTILES = 4096
#: How many moves are tried to find a heat, and more than any lateness.
_SAMPLE, _NO_LIMIT = 8192, 2**60


#: Rows of what binds each pass: seconds of its run, first moment of its changeover and of its run, when due, weight.
RUN, READY, DRY, DUE, WEIGHT = range(5)


class Pairs(NamedTuple):
    """A day of pairs: `setup` holds the seconds before a pass after another (row n: the plan's start).

    `binds` has what binds each pass by the rows above, `late_cost` and `setup_cost` are a second's weight as late and
    as make-ready; `waits` tells whether any pass can ever have to wait, `near` by row of `setup` the passes that
    follow most cheaply. `soft_cost` stands for `late_cost` while a search looks around.
    """

    start: int
    setup: Ints
    binds: Ints
    near: Ints
    late_cost: int
    setup_cost: int
    waits: bool
    soft_cost: int


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
    due, weight = day.due[day.job], day.weight[day.job]
    late_cost, setup_cost = int(day.weights[0]), int(day.weights[1])
    if not weight.any():
        late_cost = 0
    near = _near(setup, np.maximum(np.maximum(day.earliest, dry), start) + day.run_s, day.run_s, due)
    binds = np.stack([day.run_s, day.earliest, dry, due, weight])
    return Pairs(start, setup, binds, near, late_cost, setup_cost, latest > start, late_cost)


def _near(setup: Ints, soonest: Ints, run: Ints, due: Ints) -> Ints:
    """By pass, and for the start, the passes that follow most cheaply; those late for certain come last."""
    n = run.size
    late = np.zeros_like(setup)
    late[:n] = np.maximum(0, soonest[:, None] + setup[:n] + run[None, :] - due[None, :])
    cost = setup + np.where(late > 0, int(setup.max()) + 1, 0)
    cost[np.arange(n), np.arange(n)] = 2**60
    return np.argsort(cost, axis=1, kind="stable")[:, : max(1, min(_NEIGHBOURS, n - 1))].astype(np.int64)


#: Rows of an order as it runs, by place: the pass, the end of its run, seconds after its due time (below 0: before
#: it), its weight, weighted seconds late up to and with it, weight late up to and with it; then by pass its place, and
#: room for a changed stretch.
ORDER, ENDS, SLACK, HEAVY, LATE, LATE_WEIGHT, PLACE, SPARE = range(8)


class Move(NamedTuple):
    """The stretches from a up to b and from c up to d change places; what lies between them moves along."""

    a: int
    b: int
    c: int
    d: int


@compiled
def seed_pairs(seed: int) -> None:
    """Seed the random numbers of the annealing below."""
    np.random.seed(seed)  # noqa: NPY002


@inlined
def _drawn(luck: Ints, below: int) -> int:
    """A whole number from 0 on, at random."""
    luck[0] = (luck[0] * _FACTOR + 1442695040888963407) & _MODULUS
    return int(((luck[0] >> _HALF) * below) >> _HALF)


@inlined
def _low(luck: Ints, below: int) -> int:
    """A whole number from 0 on, at random, low ones more often."""
    return _drawn(luck, 1 + _drawn(luck, below))


@inlined
def _shift(at: int, length: int, target: int) -> Move:
    """Take `length` passes from `at` out and put them in so that they begin at `target`."""
    if target < at:
        return Move(target, at, at, at + length)
    return Move(at, at + length, at + length, target + length)


@inlined
def _link(near: Ints, line: Ints, luck: Ints) -> Move:
    """Let a pass, or a block that begins with it, follow directly on one after which it is cheap."""
    n = line.shape[1]
    i = _drawn(luck, n + 1) - 1
    p = line[ORDER, i] if i >= 0 else n
    j = line[PLACE, near[p, _low(luck, near.shape[1])]]
    kind = _drawn(luck, 8)
    if j > i:
        if kind == 0:
            return Move(i + 1, i + 2, j, j + 1)
        if kind & 1:
            length = 1 + _low(luck, min(_LONGEST_BLOCK, i + 1)) if i >= 0 else 0
            return Move(i + 1 - length, i + 1, i + 1, j)
        length = 1 + _low(luck, min(_LONGEST_BLOCK, n - j))
        return Move(i + 1, j, j, j + length)
    if kind == 0:
        return Move(j, j + 1, i + 1, min(n, i + 2))
    length = 1 + _low(luck, min(_LONGEST_BLOCK, i - j))
    if kind & 1:
        return Move(j, i + 1 - length, i + 1 - length, i + 1)
    return Move(j, j + length, j + length, i + 1)


@inlined
def _proposed(near: Ints, line: Ints, luck: Ints) -> Move:
    """A change of the order, at random; where a stretch is empty or they overlap, it is none."""
    n = line.shape[1]
    kind = _drawn(luck, 32)
    if kind < _LINK:
        return _link(near, line, luck)
    if kind < _NEAR:
        i = _drawn(luck, n)
        j = i + _drawn(luck, 2 * _NEAR_PLACES + 1) - _NEAR_PLACES
        return _shift(i, 1, min(n - 1, max(0, j)))
    if kind < _FAR:
        return _shift(_drawn(luck, n), 1, _drawn(luck, n))
    if kind < _SWAP:
        i, j = _drawn(luck, n), _drawn(luck, n)
        return Move(min(i, j), min(i, j) + 1, max(i, j), max(i, j) + 1)
    longest = max(1, min(_LONGEST_BLOCK, n // 3))
    length = 1 + _drawn(luck, longest)
    if kind < _BLOCK:
        return _shift(_drawn(luck, n - length + 1), length, _drawn(luck, n - length + 1))
    second = min(1 + _drawn(luck, longest), n - length)
    between = _drawn(luck, n - length - second + 1)
    low = _drawn(luck, n - length - second - between + 1)
    return Move(low, low + length, low + length + between, low + length + between + second)


@inlined
def _seconds_more(setup: Ints, line: Ints, m: Move) -> int:
    """How many more seconds of make-ready an order takes after a move."""
    n = line.shape[1]
    before = line[ORDER, m.a - 1] if m.a > 0 else n
    a, b, c, d = line[ORDER, m.a], line[ORDER, m.b - 1], line[ORDER, m.c], line[ORDER, m.d - 1]
    more = setup[before, c] - setup[before, a]
    if m.c > m.b:
        low, high = line[ORDER, m.b], line[ORDER, m.c - 1]
        more += setup[d, low] + setup[high, a] - setup[b, low] - setup[high, c]
    else:
        more += setup[d, a] - setup[b, c]
    if m.d < n:
        more += setup[b, line[ORDER, m.d]] - setup[d, line[ORDER, m.d]]
    return int(more)


@inlined
def _stretch(m: Move, k: int) -> tuple[int, int]:
    """The k-th of the stretches that a move changes, in their new order, by their old places."""
    if k == 0:
        return m.c, m.d
    return (m.b, m.c) if k == 1 else (m.a, m.b)


@inlined
def _late_if(line: Ints, first: int, end: int, by: int) -> int:
    """Weighted seconds late of the passes of a stretch, when all their runs end so many seconds later."""
    late = 0
    for i in range(first, end):
        late += line[HEAVY, i] * max(0, line[SLACK, i] + by)
    return int(late)


@inlined
def _late_after(start: int, setup: Ints, binds: Ints, line: Ints, m: Move, more: int, most: int) -> int:
    """Weighted seconds late after a move on a day without waits, or any number above `most`.

    Each stretch is late or early as one; those behind lose or gain at least by what is late already.
    """
    n = line.shape[1]
    before, now, late = n, start, 0
    if m.a > 0:
        before, now, late = line[ORDER, m.a - 1], line[ENDS, m.a - 1], line[LATE, m.a - 1]
    old = line[LATE, n - 1] - line[LATE, m.d - 1]
    behind = old + more * (line[LATE_WEIGHT, n - 1] - line[LATE_WEIGHT, m.d - 1])
    for k in range(3):
        if late + behind > most:
            return int(late + behind)
        first, end = _stretch(m, k)
        if first < end:
            p = line[ORDER, first]
            by = now + setup[before, p] + binds[RUN, p] - line[ENDS, first]
            late += _late_if(line, first, end, by)
            now, before = line[ENDS, end - 1] + by, line[ORDER, end - 1]
    if more == 0 or late + behind > most:
        return int(late + behind)
    return int(late + _late_if(line, m.d, n, more))


@inlined
def _end(setup: Ints, binds: Ints, before: int, now: int, p: int) -> int:
    """When a pass's run ends that follows on another, whose run ends at `now`."""
    return int(max(max(now, binds[READY, p]) + setup[before, p], binds[DRY, p]) + binds[RUN, p])


@inlined
def _late_with_waits(start: int, setup: Ints, binds: Ints, line: Ints, m: Move, most: int) -> int:
    """Weighted seconds late after a move, or any number above `most`."""
    n = line.shape[1]
    before, now, late = n, start, 0
    if m.a > 0:
        before, now, late = line[ORDER, m.a - 1], line[ENDS, m.a - 1], line[LATE, m.a - 1]
    for k in range(3):
        first, end = _stretch(m, k)
        for i in range(first, end):
            p = line[ORDER, i]
            now = _end(setup, binds, before, now, p)
            late += binds[WEIGHT, p] * max(0, now - binds[DUE, p])
            before = p
            if late > most:
                return int(late)
    for i in range(m.d, n):
        p = line[ORDER, i]
        now = _end(setup, binds, before, now, p)
        late += binds[WEIGHT, p] * max(0, now - binds[DUE, p])
        before = p
        least = late + line[LATE, n - 1] - line[LATE, i] if now >= line[ENDS, i] else late
        if now == line[ENDS, i] or least > most:
            return int(least)
    return int(late)


@inlined
def _run_on(start: int, setup: Ints, binds: Ints, line: Ints, first: int) -> None:
    """Fill in a line from a place on."""
    before, now, late, weight = line.shape[1], start, 0, 0
    if first > 0:
        now, late, weight = line[ENDS, first - 1], line[LATE, first - 1], line[LATE_WEIGHT, first - 1]
        before = line[ORDER, first - 1]
    for i in range(first, line.shape[1]):
        p = line[ORDER, i]
        now = _end(setup, binds, before, now, p)
        slack = now - binds[DUE, p]
        if slack > 0:
            late += binds[WEIGHT, p] * slack
            weight += binds[WEIGHT, p]
        line[ENDS, i], line[SLACK, i], line[HEAVY, i] = now, slack, binds[WEIGHT, p]
        line[LATE, i], line[LATE_WEIGHT, i] = late, weight
        before = p


@inlined
def _make(line: Ints, m: Move) -> None:
    """Carry out a move on the order alone."""
    at = 0
    for k in range(3):
        first, end = _stretch(m, k)
        for i in range(first, end):
            line[SPARE, at] = line[ORDER, i]
            at += 1
    for i in range(at):
        line[ORDER, m.a + i] = line[SPARE, i]
        line[PLACE, line[SPARE, i]] = m.a + i


@compiled
def _lined_up(day: Pairs, order: Ints) -> Ints:
    """The line of an order."""
    line = np.zeros((8, order.size), np.int64)
    for i in range(order.size):
        line[ORDER, i] = order[i]
        line[PLACE, order[i]] = i
    _run_on(day.start, day.setup, day.binds, line, 0)
    return line


@compiled
def _makeready(day: Pairs, order: Ints) -> int:
    """Seconds of make-ready in an order."""
    total, before = 0, order.size
    for p in order:
        total += day.setup[before, p]
        before = p
    return int(total)


@compiled
def _worse_by(day: Pairs, order: Ints, count: int) -> NDArray[np.float64]:
    """By how much moves drawn at random worsen an order; 0 for those that do not."""
    line, last, worse = _lined_up(day, order), order.size - 1, np.zeros(count)
    luck = _new_luck()
    for k in range(count):
        m = _proposed(day.near, line, luck)
        if m.a < 0 or m.a >= m.b or m.b > m.c or m.c >= m.d:
            continue
        by = day.setup_cost * _seconds_more(day.setup, line, m)
        if day.soft_cost > 0:
            late = _late_with_waits(day.start, day.setup, day.binds, line, m, _NO_LIMIT)
            by += day.soft_cost * (late - line[LATE, last])
        worse[k] = max(0, by)
    return worse


@compiled
def heat_for(day: Pairs, order: Ints, share: float) -> float:
    """The heat at which so great a share of all moves would be taken although they worsen an order; 1 where none do."""
    worse = _worse_by(day, order, _SAMPLE)
    worse = worse[worse > 0]
    if worse.size == 0:
        return 1.0
    low, high = 1e-3, 1e15
    for _ in range(40):
        heat = np.sqrt(low * high)
        if np.sum(np.exp(-worse / heat)) < share * _SAMPLE:
            low = heat
        else:
            high = heat
    return float(high)


@compiled
def _new_luck() -> Ints:
    """Where the annealing's own random numbers begin."""
    return np.array([np.random.randint(0, 2**31) << 31 | np.random.randint(0, 2**31)])  # noqa: NPY002


@compiled
def _quantiles() -> NDArray[np.float64]:
    """The exponential distribution with mean 1, as equally likely values."""
    return -np.log((np.arange(_QUANTILES) + 0.5) / _QUANTILES)


@compiled
def anneal_pairs(day: Pairs, current: Ints, best: Ints, scores: Ints, steps: int, hot: float, cold: float) -> int:
    """Annealing as `anneal.anneal` does it, on a day of pairs; the same arguments and result."""
    line, makeready = _lined_up(day, current[0]), _makeready(day, current[0])
    start, setup, binds, near, soft_cost = day.start, day.setup, day.binds, day.near, day.soft_cost
    luck = _new_luck()
    chances, last = _quantiles(), current.shape[1] - 1
    bettered, heat, cooling = 0, hot, (cold / hot) ** (1.0 / max(1, steps))
    scores[0] = day.late_cost * line[LATE, last] + day.setup_cost * makeready
    for _ in range(steps if last > 0 else 0):
        heat *= cooling
        m = _proposed(near, line, luck)
        if m.a < 0 or m.a >= m.b or m.b > m.c or m.c >= m.d:
            continue
        more = _seconds_more(setup, line, m)
        room = soft_cost * line[LATE, last] - day.setup_cost * more + heat * chances[_drawn(luck, _QUANTILES)]
        if room < 0:
            continue
        if soft_cost > 0:
            most = int(room / soft_cost)
            if day.waits:
                late = _late_with_waits(start, setup, binds, line, m, most)
            else:
                late = _late_after(start, setup, binds, line, m, more, most)
            if late > most:
                continue
        makeready += more
        _make(line, m)
        if day.late_cost > 0:
            _run_on(start, setup, binds, line, m.a)
        scores[0] = day.late_cost * line[LATE, last] + day.setup_cost * makeready
        if scores[0] < scores[1]:
            scores[1] = scores[0]
            best[0] = line[ORDER]
            bettered += 1
    current[0] = line[ORDER]
    return bettered
