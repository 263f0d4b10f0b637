"""Annealing of two presses side by side, compiled: moves within a press's order, and of a job to the other press."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from queueplanner.makeready.compiled import compiled, inlined
from queueplanner.planning.anneal import CHOICE, ORDER, keeps_rules, propose
from queueplanner.planning.compact import Ints
from queueplanner.planning.flat import CHOICES
from queueplanner.planning.kernel import IMPOSSIBLE, score
from queueplanner.planning.signature import Memo

Room = tuple[Ints, Ints, Ints, Ints]

#: One move in so many takes a job to the other press.
_CHANGES_PRESS = 5


class PressesState(NamedTuple):
    """Two presses' orders: `rows[k]` holds order and unit choices of press k, `counts[k]` how many passes it has.

    `press_of` is the press of each job.
    """

    rows: Ints
    counts: Ints
    press_of: Ints


@inlined
def _score_whole(T: Ints, memo: Memo, order: Ints, choice: Ints, limit: int, room: Room) -> int:
    """The objective of one press's whole order, from its start."""
    states, ends, marks, scratch = room
    return score(T, memo, order, choice, states, 0, limit, ends, marks, scratch)


@compiled
def _take_out(order: Ints, count: int, passes: Ints, where: Ints, ends: Ints) -> int:
    """Take a job's passes out of an order of so many; how many are left."""
    for p in passes:
        if p >= 0:
            where[p], ends[p] = -1, 0
            kept = 0
            for i in range(count):
                if order[i] != p:
                    order[kept] = order[i]
                    kept += 1
            count = kept
    for i in range(count):
        where[order[i]] = i
    return count


@compiled
def _put_in(T: Ints, order: Ints, choice: Ints, count: int, passes: Ints, where: Ints) -> int:
    """Put a job's passes into an order at random places, in their turn; how many passes there are then."""
    lowest = 0
    for p in passes:
        if p < 0:
            break
        at = np.random.randint(lowest, count + 1)
        for i in range(count, at, -1):
            order[i] = order[i - 1]
        order[at] = p
        choice[p] = np.random.randint(0, T[T[CHOICES] + p])
        lowest, count = at + 1, count + 1
    for i in range(count):
        where[order[i]] = i
    return count


@inlined
def _room_for(limit: int, other: int) -> int:
    """What is left of a limit beside the other press's objective; any room at all while that one is impossible."""
    return IMPOSSIBLE - 1 if other >= IMPOSSIBLE else limit - other


@compiled
def anneal_presses(
    tables: tuple[Ints, Ints],
    memos: tuple[Memo, Memo],
    jobs: Ints,
    movable: Ints,
    state: PressesState,
    best: PressesState,
    scores: Ints,
    rooms: tuple[Room, Room],
    steps: int,
    hot: float,
    cold: float,
) -> int:
    """Run so many steps from temperature `hot` to `cold`; returns how many times the best was bettered.

    `jobs[k]` holds the passes of every job on press k, -1 for none; `movable` the jobs that may change press. `scores`
    holds the objective of each press, then that of the best.
    """
    current, counts, press_of = state
    trial = current.copy()
    where = np.full((2, current.shape[2]), -1, np.int64)
    for k in range(2):
        rooms[k][1][:] = 0
        for i in range(counts[k]):
            where[k, current[k, ORDER, i]] = i
        order = current[k, ORDER, : counts[k]]
        scores[k] = _score_whole(tables[k], memos[k], order, current[k, CHOICE], IMPOSSIBLE, rooms[k])
    bettered, heat, cooling = 0, hot, (cold / hot) ** (1.0 / max(1, steps))
    for _ in range(steps):
        heat *= cooling
        total = min(scores[0] + scores[1], IMPOSSIBLE)
        limit = int(min(total - heat * np.log(1.0 - np.random.random()), IMPOSSIBLE - 1))
        if movable.size > 0 and np.random.randint(0, _CHANGES_PRESS) == 0:
            j = movable[np.random.randint(0, movable.size)]
            a = press_of[j]
            b = 1 - a
            left = _take_out(trial[a, ORDER], counts[a], jobs[a, j], where[a], rooms[a][1])
            more = _put_in(tables[b], trial[b, ORDER], trial[b, CHOICE], counts[b], jobs[b, j], where[b])
            value_a, value_b = IMPOSSIBLE, IMPOSSIBLE
            order = trial[a, ORDER, :left]
            other = trial[b, ORDER, :more]
            if keeps_rules(tables[a], order, 0, left - 1, where[a]) and keeps_rules(
                tables[b], other, 0, more - 1, where[b]
            ):
                value_a = _score_whole(tables[a], memos[a], order, trial[a, CHOICE], limit, rooms[a])
                if value_a <= limit:
                    value_b = _score_whole(tables[b], memos[b], other, trial[b, CHOICE], limit - value_a, rooms[b])
            if min(value_a, value_b) >= 0 and value_a <= limit and value_b <= limit - value_a:
                counts[a], counts[b], press_of[j] = left, more, b
                scores[a], scores[b] = value_a, value_b
                current[:] = trial
            else:
                trial[:] = current
                for k in range(2):
                    where[k] = -1
                    for i in range(counts[k]):
                        where[k, current[k, ORDER, i]] = i
                for p in jobs[b, j]:
                    if p >= 0:
                        rooms[b][1][p] = 0
                continue
        else:
            k = np.random.randint(0, 2)
            order = trial[k, ORDER, : counts[k]]
            low, high = propose(tables[k], order, trial[k, CHOICE])
            if low < 0:
                continue
            value, room = IMPOSSIBLE, _room_for(limit, scores[1 - k])
            if low == high or keeps_rules(tables[k], order, low, high, where[k]):
                value = _score_whole(tables[k], memos[k], order, trial[k, CHOICE], room, rooms[k])
            if value > room:
                trial[k] = current[k]
                for i in range(low, high + 1):
                    where[k, current[k, ORDER, i]] = i
                continue
            scores[k] = value
            current[k] = trial[k]
        if scores[0] + scores[1] < scores[2]:
            scores[2] = scores[0] + scores[1]
            best.rows[:], best.counts[:], best.press_of[:] = current, counts, press_of
            bettered += 1
    return bettered
