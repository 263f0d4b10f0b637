"""The fast shadow of the evaluator: whole orders scored on arrays, compiled. A property test holds the two equal."""

from __future__ import annotations

import numpy as np

from queueplanner.makeready.compiled import compiled, inlined
from queueplanner.planning.compact import (
    ENDED,
    EVENED,
    IDLE_FROM,
    INK,
    LAST_END,
    LATE,
    MAKEREADY,
    OILED,
    OLD_INK,
    OLD_WASHES,
    PILE,
    PREV,
    PRINTED,
    REDUCED,
    SOLUTION,
    STATE_WIDTH,
    UNIT,
    UNIT_WIDTH,
    UNKNOWN,
    WASH_CODE,
    WASH_UPS,
    WINDOW,
    Compact,
    Ints,
)
from queueplanner.planning.flat import (
    CROSSES_DAYS,
    DAY_START,
    DAYS,
    DRY_S,
    DUE,
    EARLIEST,
    EXTERNALS,
    FIRST,
    GIVEN_END,
    INK_OF,
    JOB,
    KNOWN,
    KNOWN_RANK,
    LAST_OF_JOB,
    LONGEST_PAUSE,
    MAKEREADY_LEFT,
    MATERIAL,
    OPEN_S,
    PASSES,
    RUN_S,
    SHIFT_CREW,
    SHIFT_START,
    SHIFTS,
    START,
    STARTED,
    UNITS,
    WEIGHT,
    WEIGHTS,
    WINDOW_CREW,
    WINDOW_DAY,
    WINDOW_END,
    WINDOW_START,
    WINDOWS,
)
from queueplanner.planning.signature import (
    SLOT_EMPTY,
    SLOT_OIL,
    SLOT_WASH,
    Memo,
    changeover_signature,
    signature_seconds,
    without_external,
)

#: The score of an order that no calendar day can hold.
IMPOSSIBLE = 2**61


@inlined
def crew_at(T: Ints, moment: int) -> int:
    """The crew of the shift that holds a moment, else of the last one begun before it."""
    at = 0
    while at + 1 < T[SHIFTS] and T[T[SHIFT_START] + at + 1] <= moment:
        at += 1
    return T[T[SHIFT_CREW] + at]


@inlined
def _note_stale(T: Ints, s: Ints, u: int, until: int, marks: Ints, stale: Ints) -> None:
    """Remember, as (position, unit), the earliest unmarked ink that stood longer than its open time."""
    base = UNIT + u * UNIT_WIDTH
    ink = s[base + INK]
    if ink < 0:
        return
    last = s[base + LAST_END] if s[base + LAST_END] >= 0 else T[T[START] + ENDED]
    if until - last > T[T[OPEN_S] + ink]:
        position = s[base + IDLE_FROM]
        if not marks[position] >> u & 1 and position * 2 + u < stale[0]:
            stale[0] = position * 2 + u


@compiled
def evening(T: Ints, memo: Memo, s: Ints, marks: Ints, stale: Ints) -> bool:
    """The wash after the working day `s[EVENED]`; False when the calendar holds no day after it."""
    day = s[EVENED]
    if day + 1 >= T[DAYS]:
        return False
    start = max(s[ENDED], T[T[DAY_START] + day])
    following = T[T[DAY_START] + day + 1]
    mask, variant = 0, 0
    for u in range(T[UNITS]):
        base = UNIT + u * UNIT_WIDTH
        ink = s[base + INK]
        if ink < 0:
            continue
        last = s[base + LAST_END] if s[base + LAST_END] >= 0 else T[T[START] + ENDED]
        if last + T[T[OPEN_S] + ink] >= following:
            continue
        _note_stale(T, s, u, start, marks, stale)
        mask |= 1 << (SLOT_EMPTY + u) | 1 << (SLOT_WASH + u) | 1 << (SLOT_OIL + u)
        variant |= 1 << (WASH_CODE + 4 * u)
        s[base + INK], s[base + REDUCED], s[base + OLD_INK] = UNKNOWN, 0, ink
        s[base + OLD_WASHES], s[base + OILED] = 1, 1
        s[WASH_UPS] += 1
    if mask:
        s[MAKEREADY] += signature_seconds(T, memo, mask, variant, crew_at(T, start))
    s[PRINTED] = 0
    return True


@inlined
def place(T: Ints, window: int, begin: int, seconds: int, run_s: int, dry: int, pause: int, out: Ints) -> bool:
    """Place a make-ready from a working moment on, and its run; start, end and last window of the run go into `out`."""
    day = T[T[WINDOW_DAY] + window]
    w, now, left = window, begin, seconds
    while True:
        took = min(T[T[WINDOW_END] + w] - now, left)
        now += took
        left -= took
        if left == 0:
            break
        w += 1
        if w >= T[WINDOWS] or T[T[WINDOW_DAY] + w] != day:
            return False
        now = T[T[WINDOW_START] + w]
    start = max(now, dry)
    while w < T[WINDOWS] and T[T[WINDOW_END] + w] <= start:
        w += 1
    while w < T[WINDOWS] and T[T[WINDOW_DAY] + w] == day:
        start = max(start, T[T[WINDOW_START] + w])
        v, now, left = w, start, run_s
        broken = -1
        while True:
            took = min(T[T[WINDOW_END] + v] - now, left)
            now += took
            left -= took
            if left == 0:
                break
            v += 1
            if v >= T[WINDOWS]:
                return False
            if broken < 0 and T[T[WINDOW_START] + v] - T[T[WINDOW_END] + v - 1] > pause:
                broken = v
                break
            now = T[T[WINDOW_START] + v]
        if broken < 0:
            if T[CROSSES_DAYS] == 0 and T[T[WINDOW_DAY] + v] != day:
                return False
            out[0], out[1], out[2] = start, now, v
            return True
        w = broken
        start = T[T[WINDOW_START] + w]
    return False


@compiled
def _carry_on(T: Ints, window: int, begin: int, seconds: int, run_s: int, dry: int, out: Ints) -> bool:
    """Place what is left of the pass on the press: it pauses over any closed time, and nothing else binds it."""
    w, now, left = window, begin, seconds
    for stage in range(2):
        if stage == 1:
            now, left = max(now, dry), run_s
            while w < T[WINDOWS] and T[T[WINDOW_END] + w] <= now:
                w += 1
        while left > 0 or stage == 1:
            if w >= T[WINDOWS]:
                return False
            now = max(now, T[T[WINDOW_START] + w])
            if stage == 1 and left == run_s:
                out[0] = now
            took = min(T[T[WINDOW_END] + w] - now, left)
            now += took
            left -= took
            if left == 0:
                break
            w += 1
    out[1], out[2] = now, w
    return True


@compiled
def _go_on(T: Ints, s: Ints, p: int, c: int, dry: int, marks: Ints, ends: Ints, stale: Ints, scratch: Ints) -> bool:
    """Bring the pass on the press to its end: no changeover, no evening before, its units as they are."""
    w = 0
    while w < T[WINDOWS] and T[T[WINDOW_END] + w] <= s[ENDED]:
        w += 1
    if w == T[WINDOWS]:
        return False
    begin = max(s[ENDED], T[T[WINDOW_START] + w])
    seconds = T[MAKEREADY_LEFT]
    placed = scratch[2 * UNIT_WIDTH :]
    if not _carry_on(T, w, begin, seconds, T[T[RUN_S] + p], dry, placed):
        return False
    for u in range(T[UNITS]):
        for column in range(UNIT_WIDTH):
            scratch[u * UNIT_WIDTH + column] = s[UNIT + u * UNIT_WIDTH + column]
        s[UNIT + u * UNIT_WIDTH + IDLE_FROM] = 1
    _settle(T, s, p, c, 0, 0, seconds, marks, ends, stale, scratch)
    return True


@inlined
def step(
    T: Ints,
    memo: Memo,
    s: Ints,
    p: int,
    c: int,
    position: int,
    marks: Ints,
    ends: Ints,
    stale: Ints,
    scratch: Ints,
) -> bool:
    """Put a pass behind the others: `s` becomes the press after its run. False when no working day can hold it.

    `ends` holds the end of every run so far, by pass; `scratch` is room for two units and a placement.
    """
    dry = 0
    if T[T[FIRST] + p] >= 0:
        dry = ends[T[T[FIRST] + p]] + T[T[DRY_S] + p]
    elif T[T[GIVEN_END] + p] > 0:
        dry = T[T[GIVEN_END] + p] + T[T[DRY_S] + p]
    if p == T[STARTED]:
        return _go_on(T, s, p, c, dry, marks, ends, stale, scratch)
    begin = max(s[ENDED], T[T[EARLIEST] + p])
    w = s[WINDOW]
    while w < T[WINDOWS] and T[T[WINDOW_END] + w] <= begin:
        w += 1
    while w < T[WINDOWS]:
        begin = max(begin, T[T[WINDOW_START] + w])
        day = T[T[WINDOW_DAY] + w]
        while s[EVENED] < day:
            if not evening(T, memo, s, marks, stale):
                return False
            s[EVENED] += 1
        old = marks[position]
        if position == 0:
            old |= _stale_at_start(T, s, begin)
        mask, variant, seconds = changeover_signature(T, s, p, c, begin, old, scratch)
        if position > 0 and T[EXTERNALS]:
            mask, seconds = without_external(T, mask, seconds, s[PREV], p)
        if T[T[WINDOW_CREW] + w] > 1:
            seconds = signature_seconds(T, memo, mask, variant, T[T[WINDOW_CREW] + w])
        placed = scratch[2 * UNIT_WIDTH :]
        if place(T, w, begin, seconds, T[T[RUN_S] + p], dry, T[T[LONGEST_PAUSE] + p], placed):
            _settle(T, s, p, c, position, mask, seconds, marks, ends, stale, scratch)
            return True
        while w < T[WINDOWS] and T[T[WINDOW_DAY] + w] == day:
            w += 1
    return False


@compiled
def _stale_at_start(T: Ints, s: Ints, begin: int) -> int:
    """The units whose ink has stood longer than its open time when the plan's first changeover begins."""
    old = 0
    for u in range(T[UNITS]):
        base = UNIT + u * UNIT_WIDTH
        if s[base + INK] >= 0:
            last = s[base + LAST_END] if s[base + LAST_END] >= 0 else T[T[START] + ENDED]
            if begin - last > T[T[OPEN_S] + s[base + INK]]:
                old |= 1 << u
    return old


@inlined
def _settle(
    T: Ints,
    s: Ints,
    p: int,
    c: int,
    position: int,
    mask: int,
    seconds: int,
    marks: Ints,
    ends: Ints,
    stale: Ints,
    scratch: Ints,
) -> None:
    """Move the press on to the end of a placed run."""
    run_start, run_end = scratch[2 * UNIT_WIDTH], scratch[2 * UNIT_WIDTH + 1]
    printed = 0
    for u in range(T[UNITS]):
        base, at = UNIT + u * UNIT_WIDTH, u * UNIT_WIDTH
        uses = T[T[INK_OF] + p * 4 + c * 2 + u] >= 0
        if uses and position > 0:
            _note_stale(T, s, u, run_start, marks, stale)
        for column in range(IDLE_FROM):
            s[base + column] = scratch[at + column]
        if uses:
            printed |= 1 << u
            s[base + LAST_END] = run_end
            s[base + IDLE_FROM] = position + 1
        s[WASH_UPS] += mask >> (SLOT_EMPTY + u) & 1
    s[PREV], s[SOLUTION], s[PRINTED], s[PILE] = p, T[T[MATERIAL] + p], printed, 1
    s[ENDED], s[WINDOW] = run_end, scratch[2 * UNIT_WIDTH + 2]
    s[EVENED] = T[T[WINDOW_DAY] + s[WINDOW]]
    s[MAKEREADY] += seconds
    ends[p] = run_end
    if T[T[LAST_OF_JOB] + p]:
        late = run_end - T[T[DUE] + T[T[JOB] + p]]
        if late > 0:
            s[LATE] += late * T[T[WEIGHT] + T[T[JOB] + p]]


@inlined
def partial_score(T: Ints, s: Ints) -> int:
    """The objective of what has been placed so far."""
    return T[T[WEIGHTS] + 0] * s[LATE] + T[T[WEIGHTS] + 1] * s[MAKEREADY] + T[T[WEIGHTS] + 2] * s[WASH_UPS]


@compiled
def _late_by_count(T: Ints, ends: Ints) -> int:
    """Weighted lateness of the jobs whose last pass no rule fixes."""
    total = 0
    for p in range(T[PASSES]):
        j = T[T[JOB] + p]
        if T[T[LAST_OF_JOB] + p]:
            continue
        last, decided = True, False
        for q in range(T[PASSES]):
            if T[T[JOB] + q] == j:
                decided = decided or T[T[LAST_OF_JOB] + q] == 1
                last = last and (ends[q] < ends[p] or q == p)
        if last and not decided and ends[p] > T[T[DUE] + j]:
            total += (ends[p] - T[T[DUE] + j]) * T[T[WEIGHT] + j]
    return total


@compiled
def reversed_points(T: Ints, order: Ints) -> int:
    """Points for the pairs of passes of the known order that an order has the other way round."""
    if T[KNOWN] == 0:
        return 0
    count = 0
    for i in range(1, order.size):
        rank = T[T[KNOWN_RANK] + order[i]]
        if rank >= 0:
            for j in range(i):
                if T[T[KNOWN_RANK] + order[j]] > rank:
                    count += 1
    return count * T[T[WEIGHTS] + 3]


@compiled
def score(
    T: Ints,
    memo: Memo,
    order: Ints,
    choice: Ints,
    states: Ints,
    begin_at: int,
    limit: int,
    ends: Ints,
    marks: Ints,
    scratch: Ints,
) -> int:
    """The objective of an order and unit choice, or any number above `limit` once that is certain.

    An order may leave whole jobs out; the ends of their passes must then be 0.

    `states[i]` is the press before position i; rows up to `begin_at` must be right and unmarked. On return
    `marks[n + 1]` tells up to which row they are: all of them, unless a stale wash had to be marked.
    """
    n = order.size
    marks[:] = 0
    marks[n + 1] = n
    known = reversed_points(T, order)
    stale = scratch[2 * UNIT_WIDTH + 4 :]
    first = begin_at
    while True:
        stale[0] = IMPOSSIBLE
        for i in range(first, n):
            s = states[i + 1]
            s[:] = states[i]
            if not step(T, memo, s, order[i], choice[order[i]], i, marks, ends, stale, scratch):
                return IMPOSSIBLE
            if partial_score(T, s) + known > limit and stale[0] == IMPOSSIBLE:
                return partial_score(T, s) + known
        s = states[n + 1]
        s[:] = states[n]
        if not evening(T, memo, s, marks, stale):
            return IMPOSSIBLE
        if stale[0] == IMPOSSIBLE:
            return partial_score(T, s) + T[T[WEIGHTS] + 0] * _late_by_count(T, ends) + known
        first = stale[0] // 2  # what lies before the mark is as it was
        marks[first] |= 1 << (stale[0] % 2)
        marks[n + 1] = min(marks[n + 1], first)


def workspace(T: Compact) -> tuple[Ints, Ints, Ints, Ints]:
    """Fresh room for `score`: states, ends, marks, scratch."""
    states = np.zeros((T.n + 2, STATE_WIDTH), dtype=np.int64)
    states[0] = T.start
    return (
        states,
        np.zeros(T.n, dtype=np.int64),
        np.zeros(T.n + 2, dtype=np.int64),
        np.zeros(2 * UNIT_WIDTH + 8, dtype=np.int64),
    )
