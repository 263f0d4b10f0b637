"""The state circuit: what make-ready costs at least between any two states of the press, whatever the clock says.

A state is (pass, unit choice, what each unit holds after it). Between two states the changeover's seconds are a plain
arc cost. What hangs on the clock is bounded from below: pre-damping is left out; the evenings between are
left out; an ink that could be washed early (stale, or in an evening) counts as kept or washed, whichever is cheaper.
So no plan can cost less than the cheapest tour from the start through one state of every pass to the end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from queueplanner.makeready.compiled import compiled
from queueplanner.planning.compact import (
    ENDED,
    IDLE_FROM,
    INK,
    LAST_END,
    OILED,
    OLD_INK,
    OLD_WASHES,
    PILE,
    PLATE,
    PREV,
    PRINTED,
    REDUCED,
    SOLUTION,
    STATE_WIDTH,
    UNIT,
    UNIT_WIDTH,
    UNKNOWN,
    WASH_CODE,
    Compact,
    Ints,
)
from queueplanner.planning.flat import (
    CHOICES,
    EXTERNALS,
    INK_OF,
    MAKEREADY_LEFT,
    MATERIAL,
    PASSES,
    START,
    STARTED,
    UNITS,
    WEIGHTS,
    flatten,
)
from queueplanner.planning.signature import Memo, changeover_signature, signature_seconds, without_external
from queueplanner.planning.slots import SLOT

_EMPTY = SLOT[("empty_fountain", 1)]
_WASH = SLOT[("wash_rollers", 1)]
_OIL = SLOT[("oil_rollers", 1)]
_GUM = SLOT[("gum_plate", 1)]

#: Columns of a state: pass, choice, then what each unit holds (the unit columns of a press row, without clock).
S_PASS, S_CHOICE, S_UNITS = 0, 1, 2
S_WIDTH = S_UNITS + 2 * UNIT_WIDTH


@dataclass(frozen=True)
class StateCircuit:
    """States (row 0 is the plan's start) and arcs, grouped by their tail.

    `arc_from[s] : arc_from[s + 1]` are the arcs that leave state s; `head`, `cost` their ends and costs in points of
    the objective, `seconds` the least make-ready on them. `end_cost[s]` is the least the evening after a plan that ends
    in s can cost.
    """

    state_pass: Ints
    state_choice: Ints
    arc_from: Ints
    head: Ints
    cost: Ints
    seconds: Ints
    end_cost: Ints

    @property
    def size(self) -> int:
        """How many states there are, the start included."""
        return int(self.state_pass.size)


@compiled
def _hash_row(row: Ints) -> int:
    value = 1469598103934665603
    for x in row:
        value = (value ^ (x + 7)) * 1099511628211
        value ^= value >> 29
    return value


@compiled
def _load(T: Ints, state: Ints, gums: bool, s: Ints) -> None:
    """A press row for a state, with a clock at which nothing has stood long."""
    p = state[S_PASS]
    s[:] = 0
    if p == T[PASSES]:
        s[:] = T[T[START] : T[START] + STATE_WIDTH]
    else:
        s[SOLUTION] = T[T[MATERIAL] + p]
        s[PILE] = 1
    s[PREV] = p
    s[PRINTED] = 0
    if gums and p < T[PASSES]:
        for u in range(T[UNITS]):
            if T[T[INK_OF] + p * 4 + state[S_CHOICE] * 2 + u] >= 0:
                s[PRINTED] |= 1 << u
    s[ENDED] = 0
    for u in range(T[UNITS]):
        for column in range(IDLE_FROM):
            s[UNIT + u * UNIT_WIDTH + column] = state[S_UNITS + u * UNIT_WIDTH + column]
        s[UNIT + u * UNIT_WIDTH + LAST_END] = 0


@compiled
def _cheapest_crew(T: Ints, memo: Memo, mask: int, variant: int, crews: int) -> int:
    """Seconds of a set of tasks for the quickest crew that ever works; bit 0 of `crews` one person, bit 1 two."""
    if crews & 2:
        return signature_seconds(T, memo, mask, variant, 2)
    return signature_seconds(T, memo, mask, variant, 1)


@compiled
def _arc_cost(T: Ints, memo: Memo, s: Ints, p: int, c: int, crews: int, fresh: Ints) -> int:
    mask, variant, seconds = changeover_signature(T, s, p, c, 0, 0, fresh)
    if s[PREV] < T[PASSES] and T[EXTERNALS]:
        mask, seconds = without_external(T, mask, seconds, s[PREV], p)
    if crews & 2:
        seconds = signature_seconds(T, memo, mask, variant, 2)
    wash_ups = (mask >> _EMPTY & 1) + (mask >> (_EMPTY + 1) & 1)
    return T[T[WEIGHTS] + 1] * seconds + T[T[WEIGHTS] + 2] * wash_ups


@compiled
def _wash_cost(T: Ints, memo: Memo, units: int, crews: int) -> int:
    """What emptying and washing some units (as bits) before a night costs."""
    mask, variant, wash_ups = 0, 0, 0
    for u in range(T[UNITS]):
        if units >> u & 1:
            mask |= 1 << (_EMPTY + u) | 1 << (_WASH + u) | 1 << (_OIL + u)
            variant |= 1 << (WASH_CODE + 4 * u)
            wash_ups += 1
    if mask == 0:
        return 0
    return T[T[WEIGHTS] + 1] * _cheapest_crew(T, memo, mask, variant, crews) + T[T[WEIGHTS] + 2] * wash_ups


@compiled
def _least_arc_cost(T: Ints, memo: Memo, s: Ints, p: int, c: int, crews: int, stales: Ints, fresh: Ints) -> int:
    """The arc's cost with each ink kept, or washed early, whichever is cheaper.

    One person never gains by washing early. Two may: a stale ink's wash can hide beside other work, so it counts
    nothing here; an evening's wash cannot.
    """
    least = _arc_cost(T, memo, s, p, c, crews, fresh)
    if crews == 1:
        return least
    washed = s.copy()
    other = np.zeros_like(fresh)
    for which in range(1, 1 << T[UNITS]):
        washed[:] = s
        real, in_the_evening = True, 0
        for u in range(T[UNITS]):
            if which >> u & 1:
                base = UNIT + u * UNIT_WIDTH
                ink = s[base + INK]
                if ink < 0:
                    real = False
                    break
                if not stales[ink]:
                    in_the_evening |= 1 << u
                washed[base + INK], washed[base + REDUCED] = UNKNOWN, 0
                washed[base + OLD_INK], washed[base + OLD_WASHES], washed[base + OILED] = ink, 1, 1
        if in_the_evening:
            washed[PRINTED] = 0
        if real:
            cost = _arc_cost(T, memo, washed, p, c, crews, other) + _wash_cost(T, memo, in_the_evening, crews)
            least = min(least, cost)
    return least


@compiled
def _end_cost(T: Ints, memo: Memo, s: Ints, crews: int, washed_at_end: Ints) -> int:
    units = 0
    for u in range(T[UNITS]):
        ink = s[UNIT + u * UNIT_WIDTH + INK]
        if ink >= 0 and washed_at_end[ink]:
            units |= 1 << u
    return _wash_cost(T, memo, units, crews)


@compiled
def _explore(
    T: Ints,
    memo: Memo,
    crews: int,
    stales: Ints,
    washed_at_end: Ints,
    gums: bool,
    last_use: Ints,
    states: Ints,
    arcs: Ints,
    end_cost: Ints,
) -> tuple[int, int]:
    """Walk all states that can be reached; the number of states and arcs, or (-1, 0) when the room is too small.

    A plate that no pass but p wants becomes its ghost once p has printed: only its kind matters from then on.
    """
    room = states.shape[0]
    size = 8
    while size < 4 * room:
        size *= 2
    table = np.full(size, -1, np.int64)
    s = np.zeros(STATE_WIDTH, np.int64)
    fresh = np.zeros(2 * UNIT_WIDTH + 8, np.int64)
    fresh_row = np.zeros(states.shape[1], np.int64)
    states[0, :] = 0
    states[0, S_PASS] = T[PASSES]
    for u in range(T[UNITS]):
        for column in range(IDLE_FROM):
            states[0, S_UNITS + u * UNIT_WIDTH + column] = T[T[START] + UNIT + u * UNIT_WIDTH + column]
        states[0, S_UNITS + u * UNIT_WIDTH + LAST_END] = 0
    count, made, at = 1, 0, 0
    while at < count:
        tail_pass = states[at, S_PASS]
        _load(T, states[at], gums, s)
        end_cost[at] = _end_cost(T, memo, s, crews, washed_at_end)
        for p in range(T[PASSES]):
            if p == tail_pass or (p == T[STARTED]) != (at == 0 and T[STARTED] >= 0):
                continue
            for c in range(T[T[CHOICES] + p]):
                if p == T[STARTED]:  # it is on the press: what is left of its make-ready, and the units as they are
                    cost = T[T[WEIGHTS] + 1] * T[MAKEREADY_LEFT]
                    for i in range(2 * UNIT_WIDTH):
                        fresh[i] = s[UNIT + i]
                else:
                    cost = _least_arc_cost(T, memo, s, p, c, crews, stales, fresh)
                fresh_row[:] = 0
                fresh_row[S_PASS], fresh_row[S_CHOICE] = p, c
                for i in range(2 * UNIT_WIDTH):
                    if i % UNIT_WIDTH < IDLE_FROM and i % UNIT_WIDTH != LAST_END and i < T[UNITS] * UNIT_WIDTH:
                        fresh_row[S_UNITS + i] = fresh[i]
                for u in range(T[UNITS]):
                    plate = fresh_row[S_UNITS + u * UNIT_WIDTH + PLATE]
                    if plate >= 0 and last_use[plate, 0] == p:
                        fresh_row[S_UNITS + u * UNIT_WIDTH + PLATE] = last_use[plate, 1]
                slot = _hash_row(fresh_row) & (size - 1)
                while table[slot] >= 0 and not np.array_equal(states[table[slot]], fresh_row):
                    slot = (slot + 1) & (size - 1)
                if table[slot] < 0:
                    if count == room:
                        return -1, 0
                    states[count] = fresh_row
                    table[slot] = count
                    count += 1
                if made == arcs.shape[0]:
                    return -1, 0
                arcs[made, 0], arcs[made, 1], arcs[made, 2] = at, table[slot], cost
                made += 1
        at += 1
    return count, made


def state_circuit(T: Compact, memo: Memo, most_states: int = 20_000) -> StateCircuit | None:
    """The circuit of an instance; None when it has more states than `most_states`."""
    T, last_use = _with_ghosts(T)
    row = flatten(T)
    crews = 0
    for crew in np.unique(T.shift_crew):
        crews |= 1 << (int(crew) - 1)
    stales, washed_at_end, gums = _early_washes(T, crews)
    out_degree = int(T.choices.sum())
    room = 256
    while room <= most_states:
        states = np.zeros((room, S_WIDTH), dtype=np.int64)
        arcs = np.zeros((room * out_degree, 3), dtype=np.int64)
        end_cost = np.zeros(room, dtype=np.int64)
        count, made = _explore(row, memo, crews, stales, washed_at_end, gums, last_use, states, arcs, end_cost)
        if count > 0:
            tails = arcs[:made, 0]
            arc_from = np.searchsorted(tails, np.arange(count + 1))
            return StateCircuit(
                states[:count, S_PASS].copy(),
                states[:count, S_CHOICE].copy(),
                arc_from.astype(np.int64),
                arcs[:made, 1].copy(),
                arcs[:made, 2].copy(),
                _least_seconds(T, arcs[:made, 2]),
                end_cost[:count].copy(),
            )
        room *= 4
    return None


def _least_seconds(T: Compact, cost: Ints) -> Ints:
    """The least make-ready seconds an arc of some cost can hold: at most one wash-up a unit is in it."""
    washed = T.units * int(T.weights[2])
    return np.maximum(0, (cost - washed) // max(1, int(T.weights[1]))) if T.weights[1] else np.zeros_like(cost)


def _with_ghosts(T: Compact) -> tuple[Compact, Ints]:
    """The tables with a ghost for each kind of plate, and by plate its only wanting pass (or -1) and its ghost."""
    count = T.plate_metal.size
    wanted: dict[int, set[int]] = {plate: set() for plate in range(count)}
    for p in range(T.n):
        for plate in T.plate_of[p].flat:
            if plate >= 0:
                wanted[int(plate)].add(p)
    kinds: dict[tuple[int, ...], int] = {}
    last_use = np.full((2 * count, 2), UNKNOWN, dtype=np.int64)
    for plate in range(count):
        kind = (T.plate_metal[plate], T.plate_polyester[plate], T.plate_automatic[plate], *T.packing[plate])
        ghost = kinds.setdefault(tuple(map(int, kind)), count + plate)
        if len(wanted[plate]) == 1:
            last_use[plate] = wanted[plate].pop(), ghost
    return T._replace(
        plate_metal=np.tile(T.plate_metal, 2),
        plate_polyester=np.tile(T.plate_polyester, 2),
        plate_automatic=np.tile(T.plate_automatic, 2),
        packing=np.tile(T.packing, (2, 2)),
    ), last_use


def _early_washes(T: Compact, crews: int) -> tuple[Ints, Ints, bool]:
    """By ink: whether it can go stale at all, and whether no night can pass without a wash that costs something.

    Last, whether gumming may be reckoned: only where an evening, which makes it needless, always costs more.
    """
    day_end = np.array([T.window_end[T.window_day == d].max() for d in np.unique(T.window_day)], dtype=np.int64)
    night = int((T.day_start[1:] - day_end[:-1]).min(initial=2**40))
    longest_day = int((day_end - np.minimum(T.day_start, day_end)).max())
    stales = ((T.open_s < longest_day) | (T.open_s >= night)).astype(np.int64)
    washed_at_end = T.open_s < night
    if crews != 1:
        washed_at_end &= stales == 0
    gums = bool(np.all(T.open_s < night)) and T.slot_seconds[_GUM] <= T.slot_seconds[_OIL]
    return stales, washed_at_end.astype(np.int64), gums
