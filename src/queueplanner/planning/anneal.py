"""Simulated annealing over order and unit choice, compiled: moves, acceptance, the best so far."""

from __future__ import annotations

import numpy as np

from queueplanner.makeready.compiled import compiled
from queueplanner.planning.compact import Ints
from queueplanner.planning.flat import (
    CHOICES,
    GROUP_OF,
    GROUPED,
    PASSES,
    PINNED,
    PINS,
    TURNED,
    TURNS,
)
from queueplanner.planning.kernel import IMPOSSIBLE, score
from queueplanner.planning.signature import Memo

#: Shares of the moves, in tenths: insertion of one pass, swap of two, move of a block; the rest flip a unit choice.
_INSERT, _SWAP, _BLOCK = 4, 6, 8
_LONGEST_BLOCK = 6

#: Rows of `current`: the order, the unit choice by pass.
ORDER, CHOICE = 0, 1


@compiled
def keeps_rules(T: Ints, order: Ints, low: int, high: int, where: Ints) -> bool:
    """Whether an order still keeps turns, pins and groups after its places low to high have changed."""
    for i in range(low, high + 1):
        where[order[i]] = i
    for i in range(T[TURNED]):
        if where[T[T[TURNS] + 2 * i]] > where[T[T[TURNS] + 2 * i + 1]]:
            return False
    for i in range(T[PINNED]):
        if where[T[T[PINS] + 2 * i]] != T[T[PINS] + 2 * i + 1]:
            return False
    return T[GROUPED] == 0 or _stand_together(T, order)


@compiled
def _stand_together(T: Ints, order: Ints) -> bool:
    """Whether no group is torn apart: a group that has ended does not begin again."""
    ended = np.zeros(T[PASSES], np.bool_)
    for i in range(1, order.size):
        before, now = T[T[GROUP_OF] + order[i - 1]], T[T[GROUP_OF] + order[i]]
        if before >= 0 and before != now:
            ended[before] = True
        if now >= 0 and ended[now]:
            return False
    return True


@compiled
def _group_around(T: Ints, order: Ints, i: int) -> tuple[int, int]:
    """The first place and the length of the group of passes around a place; the place alone where there is none."""
    group = T[T[GROUP_OF] + order[i]]
    if group < 0:
        return i, 1
    low, high = i, i
    while low > 0 and T[T[GROUP_OF] + order[low - 1]] == group:
        low -= 1
    while high + 1 < order.size and T[T[GROUP_OF] + order[high + 1]] == group:
        high += 1
    return low, high - low + 1


@compiled
def _put_back_pins(T: Ints, order: Ints, low: int, high: int) -> tuple[int, int]:
    """Bring pinned passes that a move has shifted back to their places; the changed places."""
    for i in range(T[PINNED]):
        p, place = T[T[PINS] + 2 * i], T[T[PINS] + 2 * i + 1]
        if low <= place <= high and order[place] != p:
            for j in range(low, high + 1):
                if order[j] == p:
                    order[j], order[place] = order[place], p
                    break
    return low, high


@compiled
def _shift_block(order: Ints, start: int, length: int, target: int) -> tuple[int, int]:
    """Take `length` passes from `start` out and put them in so that they begin at `target`; the changed places."""
    block = order[start : start + length].copy()
    if target < start:
        for i in range(start - 1, target - 1, -1):
            order[i + length] = order[i]
        order[target : target + length] = block
        return target, start + length - 1
    for i in range(start + length, target + length):
        order[i - length] = order[i]
    order[target : target + length] = block
    return start, target + length - 1


@compiled
def propose(T: Ints, order: Ints, choice: Ints) -> tuple[int, int]:
    """Change an order or unit choice at random; the first and last changed place, or (-1, -1) for no change."""
    n = order.size
    kind = np.random.randint(0, 10)
    if n == 0:
        return -1, -1
    if n < 2 or kind >= _BLOCK:
        i = np.random.randint(0, n)
        p = order[i]
        if T[T[CHOICES] + p] < 2:
            return -1, -1
        choice[p] = 1 - choice[p]
        return i, i
    i = np.random.randint(0, n)
    if _INSERT <= kind < _SWAP:
        j = np.random.randint(0, n)
        if i == j:
            return -1, -1
        order[i], order[j] = order[j], order[i]
        return _put_back_pins(T, order, min(i, j), max(i, j))
    length = 1
    if kind >= _SWAP:
        length = min(np.random.randint(2, _LONGEST_BLOCK + 1), n - 1)
        i = np.random.randint(0, n - length + 1)
    if T[GROUPED] and np.random.randint(0, 4) > 0:
        i, length = _group_around(T, order, i)
    target = np.random.randint(0, n - length + 1)
    if target == i:
        return -1, -1
    low, high = _shift_block(order, i, length, target)
    if np.random.randint(0, 4) == 0 and T[T[CHOICES] + order[target]] > 1:
        choice[order[target]] = 1 - choice[order[target]]
    return _put_back_pins(T, order, low, high)


@compiled
def seed_random(seed: int) -> None:
    """Seed the random numbers of the compiled code."""
    np.random.seed(seed)


@compiled
def anneal(
    T: Ints,
    memo: Memo,
    current: Ints,
    best: Ints,
    scores: Ints,
    room: tuple[Ints, Ints, Ints, Ints],
    steps: int,
    hot: float,
    cold: float,
) -> int:
    """Run so many steps from temperature `hot` to `cold`; `current` and `best` (rows: order, choice) move on.

    `scores` holds the objective of current and best. Returns how many times the best was bettered.
    """
    states, ends, marks, scratch = room
    n = T[PASSES]
    trial = current.copy()
    where = np.zeros(n, np.int64)
    for i in range(n):
        where[current[ORDER, i]] = i
    scores[0] = score(T, memo, current[ORDER], current[CHOICE], states, 0, IMPOSSIBLE, ends, marks, scratch)
    kept_states, kept_ends = states.copy(), ends.copy()
    clean = marks[n + 1] if scores[0] < IMPOSSIBLE else 0
    bettered = 0
    cooling = (cold / hot) ** (1.0 / max(1, steps))
    heat = hot
    for _ in range(steps):
        heat *= cooling
        low, high = propose(T, trial[ORDER], trial[CHOICE])
        if low < 0:
            continue
        fits = low == high or keeps_rules(T, trial[ORDER], low, high, where)
        begin_at = min(low, clean)
        value = IMPOSSIBLE
        if fits:
            limit = scores[0] - heat * np.log(1.0 - np.random.random())
            value = score(
                T,
                memo,
                trial[ORDER],
                trial[CHOICE],
                states,
                begin_at,
                int(min(limit, IMPOSSIBLE)),
                ends,
                marks,
                scratch,
            )
            fits = value <= limit
            begin_at = min(begin_at, marks[n + 1])  # a marked round rewrites rows before the move
        if fits:
            clean = marks[n + 1] if value < IMPOSSIBLE else 0
            kept_states[begin_at:] = states[begin_at:]
            kept_ends[:] = ends
            current[ORDER, low : high + 1] = trial[ORDER, low : high + 1]
            for i in range(low, high + 1):
                current[CHOICE, trial[ORDER, i]] = trial[CHOICE, trial[ORDER, i]]
            scores[0] = value
            if value < scores[1]:
                scores[1] = value
                best[:] = current
                bettered += 1
        else:
            trial[ORDER, low : high + 1] = current[ORDER, low : high + 1]
            for i in range(low, high + 1):
                p = current[ORDER, i]
                trial[CHOICE, p] = current[CHOICE, p]
                where[p] = i
            states[begin_at:] = kept_states[begin_at:]
            ends[:] = kept_ends
    return bettered
