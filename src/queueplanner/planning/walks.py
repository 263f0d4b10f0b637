"""Lower bounds from walks on the state circuit: ng-routes with multipliers.

A walk of n steps that may come back to a pass once it has forgotten it (each pass remembers only its neighbourhood)
costs at most as much as the best tour. A multiplier for each pass rewards passes the walk leaves out and charges those
it repeats, until walk and tour are close. After Baldacci, Mingozzi and Roberti, Operations Research 59(5), 2011, and
Held and Karp, Mathematical Programming 1, 1971 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from queueplanner.makeready.compiled import compiled
from queueplanner.planning.compact import Compact, Ints
from queueplanner.planning.deadlines import NO_DEADLINE, Shorts, WorkTimes, deadlines, earliest_ends, latest_ends
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.relaxation import StateCircuit

Floats = NDArray[np.float64]
FAR = 1e17
#: Rounding errors of sums of multipliers are far below this.
ROUNDING = 1e-3
FORBIDDEN = -1
#: Subgradient steps smaller than this share of the gap no longer pay.
LEAST_STEP = 0.04
#: The most cells a table of walks may have: the tables together take 28 bytes a cell, some 170 MB.
MOST_CELLS = 6_000_000


@dataclass
class Memory:
    """What each pass remembers: its neighbourhood, its room in the tables, and how memory changes from pass to pass."""

    neighbours: list[list[int]]
    size: Ints
    change: Ints
    change_back: Ints


def memory_of(T: Compact, neighbours: list[list[int]]) -> Memory:
    """The tables of a choice of neighbourhoods; each holds its own pass first.

    `change[p, q, m]` is the memory at q after m at p, FORBIDDEN when m remembers q, or remembers the second side of q.
    `change_back` is the same for walks read from the end, where a first side may not come after its second.
    """
    n = T.n
    widest = max((len(x) for x in neighbours), default=1)
    change = np.full((n, n, 1 << widest), FORBIDDEN, dtype=np.int64)
    change_back = np.full((n, n, 1 << widest), FORBIDDEN, dtype=np.int64)
    for p in range(n):
        for q in range(n):
            if p != q:
                _fill_change(T, neighbours, p, q, change, False)
                _fill_change(T, neighbours, p, q, change_back, True)
    return Memory(neighbours, np.array([1 << len(x) for x in neighbours], dtype=np.int64), change, change_back)


def _fill_change(T: Compact, neighbours: list[list[int]], p: int, q: int, change: Ints, backward: bool) -> None:
    here, there = neighbours[p], {r: i for i, r in enumerate(neighbours[q])}
    words = np.arange(1 << len(here), dtype=np.int64)
    moved = np.ones_like(words)
    allowed = (words & 1) == 1
    for i, r in enumerate(here):
        held = (words >> i & 1) == 1
        if r == q or (T.first[q] == r if backward else T.first[r] == q):
            allowed &= ~held
        elif r in there:
            moved[held] |= 1 << there[r]
    change[p, q, : len(words)] = np.where(allowed, moved, FORBIDDEN)


@compiled
def _forward(
    n: int,
    state_pass: Ints,
    arc_from: Ints,
    head: Ints,
    cost: Floats,
    size: Ints,
    change: Ints,
    base: Ints,
    early: Shorts,
    latest: Ints,
    table: Floats,
    back: Shorts,
    stop: Ints,
) -> None:
    """Fill `table[k, base[s] + m]`, the least cost of k steps to state s with memory m, and where it came from.

    `early[k, base[s] + m]` is the first working second at which such a walk can end, `latest[k, s]` the last it may.
    """
    table[:] = FAR
    for k in range(1, n + 1):
        if k == 1:
            for a in range(arc_from[0], arc_from[1]):
                t = head[a]
                if cost[a] < table[1, base[t] + 1] and early[1, base[t] + 1] <= latest[1, t]:
                    table[1, base[t] + 1] = cost[a]
                    back[1, base[t] + 1] = 0
            continue
        for s in range(1, state_pass.size):
            if stop[0]:
                return
            p = state_pass[s]
            for m in range(1, size[p], 2):
                value = table[k - 1, base[s] + m]
                if value >= FAR:
                    continue
                for a in range(arc_from[s], arc_from[s + 1]):
                    t = head[a]
                    to = change[p, state_pass[t], m]
                    if to < 0:
                        continue
                    at = base[t] + to
                    if value + cost[a] < table[k, at] and early[k, at] <= latest[k, t]:
                        table[k, at] = value + cost[a]
                        back[k, at] = base[s] + m


@compiled
def _backward(
    n: int,
    state_pass: Ints,
    arc_from: Ints,
    head: Ints,
    cost: Floats,
    end_cost: Ints,
    size: Ints,
    change_back: Ints,
    base: Ints,
    open_from: Ints,
    table: Floats,
    stop: Ints,
) -> None:
    """Fill `table[k, base[s] + m]`, the least cost from state s to the end with k steps left and memory m.

    `open_from[k, s]` is 0 where no walk can stand in s at place k and keep every deadline.
    """
    table[:] = FAR
    for s in range(1, state_pass.size):
        if open_from[n, s]:
            table[0, base[s] + 1] = end_cost[s]
    for k in range(1, n):
        for s in range(1, state_pass.size):
            if stop[0]:
                return
            if not open_from[n - k, s]:
                continue
            p = state_pass[s]
            for a in range(arc_from[s], arc_from[s + 1]):
                t = head[a]
                q = state_pass[t]
                for m in range(1, size[q], 2):
                    value = table[k - 1, base[t] + m]
                    if value >= FAR:
                        continue
                    to = change_back[q, p, m]
                    if to >= 0 and value + cost[a] < table[k, base[s] + to]:
                        table[k, base[s] + to] = value + cost[a]


@compiled
def _useful_arcs(
    n: int,
    state_pass: Ints,
    arc_from: Ints,
    head: Ints,
    cost: Floats,
    ahead: Floats,
    behind: Floats,
    limit: float,
    lasts: Ints,
    early: Ints,
    latest: Ints,
    keep: Ints,
) -> int:
    """Mark the arcs on some walk of cost up to `limit`; `ahead[k, s]` and `behind[k, s]` are free of memory.

    `lasts` are the least working seconds of each arc and the run behind it, `early[k, s]` and `latest[k, s]` the first
    and last working second at which s can end at place k.
    """
    kept = 0
    for s in range(state_pass.size):
        for a in range(arc_from[s], arc_from[s + 1]):
            t = head[a]
            least = FAR
            if s == 0:
                least = cost[a] + behind[n - 1, t]
            else:
                for k in range(1, n):
                    if early[k, s] + lasts[a] <= latest[k + 1, t]:
                        least = min(least, ahead[k, s] + cost[a] + behind[n - k - 1, t])
            keep[a] = 1 if least <= limit else 0
            kept += keep[a]
    return kept


@dataclass(frozen=True)
class Hours:
    """The first and last working second at which a state can end at each place, in plans that are good enough.

    `early[k, base[s] + m]` and `until[k, base[s] + m]` know of memory: ahead of place k, and with k steps left;
    `latest[k, s]` and `first[k, s]` are free of it. `deadline` is by pass.
    """

    deadline: Ints
    early: Shorts
    until: Shorts
    latest: Ints
    first: Ints

    @property
    def open_places(self) -> Ints:
        """1 where a state can stand at a place, else 0."""
        return (self.first <= self.latest).astype(np.int64)


@dataclass
class Walks:
    """The bounding state of one instance: multipliers, neighbourhoods, the circuit that is left, the best bound."""

    tables: Compact
    circuit: StateCircuit
    multipliers: Floats
    memory: Memory
    bound: int = 0
    step: float = 1.0
    cancel: CancelToken = field(default_factory=CancelToken)
    times: WorkTimes = field(init=False)
    hours: Hours = field(init=False)

    def __post_init__(self) -> None:
        self.times = WorkTimes.of(self.tables)
        self.look_at_the_clock(None)

    @classmethod
    def of(cls, tables: Compact, circuit: StateCircuit, cancel: CancelToken | None = None) -> Walks:
        """Start with no multipliers; each pass remembers itself and the passes nearest to it."""
        memory = memory_of(tables, _nearest(tables, circuit, 4))
        return cls(tables, circuit, np.zeros(tables.n), memory, cancel=cancel or CancelToken())

    def _costs(self) -> Floats:
        costs = self.circuit.cost.astype(np.float64)
        return costs - self.multipliers[self.circuit.state_pass[self.circuit.head]]

    def _bases(self) -> Ints:
        sizes = self.memory.size[self.circuit.state_pass[1:]]
        return np.concatenate([[0], np.cumsum(np.concatenate([[0], sizes]))[:-1]]).astype(np.int64)

    def _room(self) -> int:
        return int(self.memory.size[self.circuit.state_pass[1:]].sum())

    def look_at_the_clock(self, target: int | None) -> None:
        """Reckon anew when each state can end in a plan of objective below `target`; None forgets the clock."""
        c, n = self.circuit, self.tables.n
        base, room = self._bases(), self._room()
        spare = NO_DEADLINE if target is None else max(0, target - 1 - self.bound)
        limits = deadlines(self.tables, self.times, spare)
        early, until = np.zeros((n + 1, room), dtype=np.int32), np.full((n, room), NO_DEADLINE, dtype=np.int32)
        latest = np.full((n + 1, c.size), NO_DEADLINE, dtype=np.int64)
        first = np.zeros((n + 1, c.size), dtype=np.int64)
        self.hours = Hours(limits, early, until, latest, first)
        if target is None or room == 0 or np.all(limits == NO_DEADLINE):
            return
        shape = n, c.state_pass, c.arc_from, c.head, c.seconds, self.memory.size
        runs = self.times.run, self.times.ready, self.times.dry
        latest_ends(*shape, self.memory.change_back, base, *runs, limits, until, self.cancel.flag)
        latest[1:, 1:] = np.maximum.reduceat(until, base[1:], axis=1)[::-1]
        earliest_ends(*shape, self.memory.change, base, *runs, latest, early, self.cancel.flag)
        first[1:, 1:] = np.minimum.reduceat(early[1:], base[1:], axis=1)
        if self.cancel.cancelled:  # tables cut short would forbid what is possible
            early[:], until[:], latest[:], first[:] = 0, NO_DEADLINE, NO_DEADLINE, 0

    def best_walk(self) -> tuple[float, list[int]]:
        """The cheapest walk with the multipliers of now: its bound on any tour, and the passes it visits in order."""
        c, n = self.circuit, self.tables.n
        base, room = self._bases(), self._room()
        if room == 0:
            return FAR, []
        table, back = np.empty((n + 1, room)), np.zeros((n + 1, room), dtype=np.int32)
        _forward(
            n,
            c.state_pass,
            c.arc_from,
            c.head,
            self._costs(),
            self.memory.size,
            self.memory.change,
            base,
            self.hours.early,
            self.hours.latest,
            table,
            back,
            self.cancel.flag,
        )
        state_at = np.repeat(np.arange(1, c.size), self.memory.size[c.state_pass[1:]])
        ends = table[n] + c.end_cost[state_at]
        at = int(np.argmin(ends))
        if ends[at] >= FAR:
            return FAR, []
        value = float(ends[at] + self.multipliers.sum())
        passes = []
        for k in range(n, 0, -1):
            passes.append(int(c.state_pass[state_at[at]]))
            at = int(back[k, at])
        return value, passes[::-1]

    def improve(self, target: int, rounds: int, on_bound: Callable[[int], None]) -> None:
        """So many rounds of subgradient steps towards `target`, the objective of the best plan known."""
        poor = 0
        for _ in range(rounds):
            value, passes = self.best_walk()
            if self.cancel.cancelled or self.bound >= target:
                return
            found = target if value >= FAR else min(target, math.ceil(value - ROUNDING))
            if found > self.bound:
                self.bound, poor = found, 0
                on_bound(found)
            else:
                poor += 1
                if poor >= 5:
                    self.step, poor = self.step * 0.6, 0
                    if self.step < LEAST_STEP:
                        return
            visits = np.bincount(np.array(passes, dtype=np.int64), minlength=self.tables.n) if passes else None
            if visits is None or np.all(visits == 1):
                return
            slope = 1.0 - visits
            gap = max(target - value, 0.002 * target, 1.0)
            self.multipliers += self.step * gap / float(slope @ slope) * slope

    def remember_cycles(self, most: int) -> bool:
        """Let passes remember what the best walk came back to; False when there is nothing new, or no room."""
        _, passes = self.best_walk()
        neighbours = [list(x) for x in self.memory.neighbours]
        last: dict[int, int] = {}
        grown = False
        cycles = []
        for i, p in enumerate(passes):
            if p in last:
                cycles.append((i - last[p], last[p], i))
            last[p] = i
        for _, start, end in sorted(cycles):
            for r in passes[start + 1 : end]:
                if passes[start] not in neighbours[r] and len(neighbours[r]) < most:
                    neighbours[r].append(passes[start])
                    grown = True
        sizes = np.array([1 << len(x) for x in neighbours], dtype=np.int64)
        cells = int(sizes[self.circuit.state_pass[1:]].sum()) * (self.tables.n + 1)
        if not grown or cells > MOST_CELLS:
            return False
        self.memory = memory_of(self.tables, neighbours)
        self.look_at_the_clock(None)
        return True

    def behind(self) -> tuple[Floats, Ints]:
        """Least costs to the end with memory, multipliers taken off; and where each state's room begins."""
        c, n = self.circuit, self.tables.n
        base = self._bases()
        table = np.empty((n, self._room()))
        _backward(
            n,
            c.state_pass,
            c.arc_from,
            c.head,
            self._costs(),
            c.end_cost,
            self.memory.size,
            self.memory.change_back,
            base,
            self.hours.open_places,
            table,
            self.cancel.flag,
        )
        return table, base

    def prune(self, target: int) -> None:
        """Drop the arcs, and then states, that no plan of objective below `target` can use."""
        c, n = self.circuit, self.tables.n
        base, room = self._bases(), self._room()
        table, back = np.empty((n + 1, room)), np.zeros((n + 1, room), dtype=np.int32)
        costs = self._costs()
        _forward(
            n,
            c.state_pass,
            c.arc_from,
            c.head,
            costs,
            self.memory.size,
            self.memory.change,
            base,
            self.hours.early,
            self.hours.latest,
            table,
            back,
            self.cancel.flag,
        )
        after, _ = self.behind()
        if self.cancel.cancelled or room == 0:
            return  # tables cut short would drop arcs that are needed
        starts = base[1:]
        ahead = np.full((n + 1, c.size), FAR)
        later = np.full((n, c.size), FAR)
        ahead[:, 1:] = np.minimum.reduceat(table, starts, axis=1)
        later[:, 1:] = np.minimum.reduceat(after, starts, axis=1)
        keep = np.zeros(c.head.size, dtype=np.int64)
        limit = target - 1 - float(self.multipliers.sum()) + ROUNDING
        lasts = c.seconds + self.times.run[c.state_pass[c.head]]
        hours = self.hours.first, self.hours.latest
        _useful_arcs(n, c.state_pass, c.arc_from, c.head, costs, ahead, later, limit, lasts, *hours, keep)
        self.circuit = _kept(c, keep == 1)
        self.look_at_the_clock(target)


def _nearest(T: Compact, c: StateCircuit, size: int) -> list[list[int]]:
    """For each pass itself and its nearest others, by the cheapest arc between any of their states."""
    near = np.full((T.n + 1, T.n), np.iinfo(np.int64).max)
    tails = np.repeat(np.arange(c.size), np.diff(c.arc_from))
    np.minimum.at(near, (c.state_pass[tails], c.state_pass[c.head]), c.cost)
    near = np.minimum(near[: T.n], near[: T.n].T)
    return [[p, *[int(q) for q in np.argsort(near[p], kind="stable") if q != p][: size - 1]] for p in range(T.n)]


def _kept(c: StateCircuit, keep: NDArray[np.bool_]) -> StateCircuit:
    """The circuit with only some of its arcs, and only the states that still have one coming in."""
    tails = np.repeat(np.arange(c.size), np.diff(c.arc_from))
    reached = np.zeros(c.size, dtype=bool)
    reached[0] = True
    reached[c.head[keep]] = True
    keep = keep & reached[tails]
    number = np.cumsum(reached) - 1
    new_tails = number[tails[keep]]
    return StateCircuit(
        c.state_pass[reached].copy(),
        c.state_choice[reached].copy(),
        np.searchsorted(new_tails, np.arange(int(reached.sum()) + 1)).astype(np.int64),
        number[c.head[keep]].astype(np.int64),
        c.cost[keep].copy(),
        c.seconds[keep].copy(),
        c.end_cost[reached].copy(),
    )
