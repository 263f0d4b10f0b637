"""The proof of a day: every partial order that could still beat the best plan, with its true clock.

Layer by layer, a label is a set of printed passes, the state of the circuit it stands in, and the press row with times.
A label is dropped when what it costs so far and the least its completion can cost (from `walks`) do not beat the best
plan, or when another label with the same passes and the same press is better in everything that can still matter.
If no label is left, the best plan is proven best. If the room runs out, nothing is claimed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

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
    OLD_INK,
    PLATE,
    PRINTED,
    STATE_WIDTH,
    UNIT,
    UNIT_WIDTH,
    WASH_S,
    WINDOW,
    Compact,
    Ints,
)
from queueplanner.planning.deadlines import Shorts
from queueplanner.planning.flat import (
    DAY_START,
    DRY_S,
    EARLIEST,
    FIRST,
    GIVEN_END,
    KNOWN,
    KNOWN_RANK,
    LONGEST_PAUSE,
    OPEN_S,
    PASSES,
    RUN_S,
    SLOT_SECONDS,
    START,
    UNITS,
    VARIANT_SECONDS,
    WEIGHTS,
    WINDOW_END,
    WINDOW_START,
    WINDOWS,
    flatten,
)
from queueplanner.planning.kernel import (
    IMPOSSIBLE,
    evening,
    partial_score,
    step,
)
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.proof_day import Day, day_of_proof, eased
from queueplanner.planning.signature import SLOT_EMPTY, SLOT_OIL, Memo
from queueplanner.planning.walks import FAR, ROUNDING, Floats, Walks

#: Columns of a label beside its press row and run ends.
L_SET, L_STATE, L_COST, L_DIRTY, L_CALM, L_FIRM, L_PARENT, L_NEXT, L_REVERSED = range(9)
L_WIDTH = 9


class Bounds(NamedTuple):
    """What prunes labels: the circuit that is left, completion costs with memory, the multipliers, and fixed rules.

    `until` is the last working second at which a state may end, laid out as `behind`, and `worked` the working seconds
    before each window (see `deadlines`). `before` and `group` hold, by pass, the passes that come before it and those
    it stays together with, as bits; `pin_of` its pinned place and `pin_at` the pass pinned to a place, -1 for none.
    `firsts` are the first sides: only the ends of their runs are kept with a label.
    """

    state_pass: Ints
    state_choice: Ints
    arc_from: Ints
    head: Ints
    cost: Ints
    behind: Floats
    base: Ints
    neighbours: Ints
    size: Ints
    multipliers: Floats
    until: Shorts
    worked: Ints
    before: Ints
    group: Ints
    pin_of: Ints
    pin_at: Ints
    firsts: Ints


@dataclass(frozen=True)
class Verdict:
    """What a proof came to: `closed` if no better plan exists than `best`; `rows` when a better one was found.

    `bound` is an objective no plan is below, where the proof was eased and did not close; 0 says nothing. `through`
    tells that the room was large enough.
    """

    closed: bool
    labels: int
    rows: Ints | None = None
    value: int = IMPOSSIBLE
    bound: int = 0
    through: bool = False


@compiled
def _completion(T: Ints, b: Bounds, left: int, state: int, done: int, ended: int) -> float:
    """The least a completion costs from a state with so many passes left, none of those done visited again.

    It may not begin so late (`ended`, in working seconds) that a deadline cannot be kept.
    """
    p = b.state_pass[state]
    gone = 0
    for i in range(1, b.neighbours.shape[1]):
        q = b.neighbours[p, i]
        if q >= 0 and done >> q & 1:
            gone |= 1 << i
    least = FAR
    for m in range(1, b.size[p], 2):
        if m & gone == 0 and ended <= b.until[left, b.base[state] + m]:
            least = min(least, b.behind[left, b.base[state] + m])
    for q in range(T[PASSES]):
        if not done >> q & 1:
            least += b.multipliers[q]
    return least


@compiled
def _latest_end(T: Ints, s: Ints, ends: Ints, done: int, spare: int) -> int:
    """A moment after which no completion within the budget can end; `spare` seconds of make-ready are left in it."""
    moment, work, waits = s[ENDED], spare, 0
    for p in range(T[PASSES]):
        if done >> p & 1:
            continue
        work += T[T[RUN_S] + p]
        moment = max(moment, T[T[EARLIEST] + p])
        if T[T[FIRST] + p] >= 0:
            if done >> T[T[FIRST] + p] & 1:
                moment = max(moment, ends[T[T[FIRST] + p]] + T[T[DRY_S] + p])
            else:
                waits += T[T[DRY_S] + p]
        elif T[T[GIVEN_END] + p] > 0:
            moment = max(moment, T[T[GIVEN_END] + p] + T[T[DRY_S] + p])
    for w in range(T[WINDOWS]):
        if T[T[WINDOW_END] + w] <= moment:
            continue
        begin = max(moment, T[T[WINDOW_START] + w])
        if begin + work <= T[T[WINDOW_END] + w]:
            return begin + work + waits
        work -= T[T[WINDOW_END] + w] - begin
    return IMPOSSIBLE


@compiled
def _cannot_stale(T: Ints, s: Ints, calm: bool, day: Day) -> bool:
    """Whether no ink that is in the press now can go stale before it is washed in the evening."""
    if not (day.nightly or calm):
        return False
    end = day.ends[s[EVENED]]
    for u in range(T[UNITS]):
        base = UNIT + u * UNIT_WIDTH
        if s[base + INK] >= 0:
            last = s[base + LAST_END] if s[base + LAST_END] >= 0 else T[T[START] + ENDED]
            if last + T[T[OPEN_S] + s[base + INK]] < end:
                return False
    return True


@compiled
def _none_to_come_can_stale(T: Ints, s: Ints, done: int, day: Day) -> bool:
    """Whether no ink of the passes to come can go stale on the first day: waiting less could make it stand longer."""
    shortest = IMPOSSIBLE
    for p in range(T[PASSES]):
        if not done >> p & 1:
            shortest = min(shortest, T[T[LONGEST_PAUSE] + p])
    return s[ENDED] + shortest >= day.ends[0]


@inlined
def _worked(T: Ints, b: Bounds, s: Ints) -> int:
    """Working seconds from the plan's start to the end of the last run."""
    begins = max(T[T[WINDOW_START] + s[WINDOW]], T[T[START] + ENDED])
    return b.worked[s[WINDOW]] + max(0, s[ENDED] - begins)


@inlined
def _may_come(b: Bounds, last: int, p: int, done: int, k: int) -> bool:
    """Whether the fixed rules let a pass come at a place, after the passes done, of which `last` came last."""
    if done >> p & 1 or b.before[p] & ~done:
        return False
    if last >= 0 and b.group[last] & ~done and not b.group[last] >> p & 1:
        return False
    return b.pin_at[k] == p or (b.pin_at[k] < 0 and b.pin_of[p] < 0)


@compiled
def _newly_reversed(T: Ints, p: int, done: int) -> int:
    """Points for the passes not done yet that the known order has before p."""
    count = 0
    if T[KNOWN] and T[T[KNOWN_RANK] + p] >= 0:
        for q in range(T[PASSES]):
            if not done >> q & 1 and 0 <= T[T[KNOWN_RANK] + q] < T[T[KNOWN_RANK] + p]:
                count += 1
    return count * T[T[WEIGHTS] + 3]


@compiled
def _better_in_all(
    T: Ints,
    a: Ints,
    a_ends: Ints,
    b: Ints,
    b_ends: Ints,
    b_calm: bool,
    done: int,
    firsts: Ints,
    day: Day,
    ahead: int,
) -> bool:
    """Whether label a (press row and run ends) is at least as good as b in all that can still matter.

    Both with inks that cannot go stale any more; `b_calm`: the completions of both end within the first day; `ahead`
    are the points for reversed pairs that a has more than b.
    """
    for u in range(T[UNITS]):
        base = UNIT + u * UNIT_WIDTH
        for column in range(IDLE_FROM):
            if column not in (LAST_END, PLATE) and a[base + column] != b[base + column]:
                return False
    score_a, score_b = partial_score(T, a) + ahead, partial_score(T, b)
    same_clock = a[ENDED] == b[ENDED] and a[EVENED] == b[EVENED] and a[PRINTED] == b[PRINTED]
    for u in range(T[UNITS]):
        same_clock = same_clock and a[UNIT + u * UNIT_WIDTH + LAST_END] == b[UNIT + u * UNIT_WIDTH + LAST_END]
    for f in range(firsts.size):
        if done >> firsts[f] & 1:
            if a_ends[f] > b_ends[f]:
                return False
            same_clock = same_clock and a_ends[f] == b_ends[f]
    if day.eased and day.gain > 0 and a[LATE] > b[LATE]:
        return False
    if same_clock:
        return score_a <= score_b
    alike = b_calm or (day.eased and day.nights and a[EVENED] == b[EVENED])
    if not (day.steady and alike and a[ENDED] <= b[ENDED] and a[PRINTED] == b[PRINTED]):
        return False
    return score_a + day.damp_points <= score_b


@compiled
def _waited_for(T: Ints, done: int) -> int:
    """First sides that are done and whose second sides are not, as bits: their drying still matters."""
    waited = 0
    for p in range(T[PASSES]):
        first = T[T[FIRST] + p]
        if first >= 0 and done >> first & 1 and not done >> p & 1:
            waited |= 1 << first
    return waited


@compiled
def _could_be_sooner(T: Ints, b: Bounds, s: Ints, done: int, day: Day) -> int:
    """Seconds by which a run may end sooner than without stale inks (see `Day`)."""
    most = T[UNITS] * ((s[ENDED] - day.oldest) // day.shortest) * day.gain
    if most == 0 or not day.alone:
        return most
    waited = _worked(T, b, s) - s[MAKEREADY] + s[EVENED] * day.evening
    for p in range(T[PASSES]):
        if done >> p & 1:
            waited -= T[T[RUN_S] + p]
    return min(most, max(0, waited))


@inlined
def _surely_late(T: Ints, s: Ints, sooner: int, day: Day) -> int:
    """Points of lateness so far that no stale ink can take away."""
    return T[T[WEIGHTS] + 0] * max(0, s[LATE] - sooner * day.weights)


@inlined
def _until_morning(T: Ints, memo: Memo, s: Ints, marks: Ints, stale: Ints) -> bool:
    """Let the press stand until the next working day; False past the calendar."""
    if not evening(T, memo, s, marks, stale):
        return False
    s[EVENED] += 1
    s[ENDED] = max(s[ENDED], T[T[DAY_START] + s[EVENED]])
    return True


@compiled
def _washed_already(T: Ints, s: Ints) -> int:
    """Points of evening washes that the circuit reckons only where the unit is inked anew."""
    points = 0
    if s[EVENED] > 0:
        for u in range(T[UNITS]):
            base = UNIT + u * UNIT_WIDTH
            if s[base + INK] < 0 and s[base + OLD_INK] >= 0:
                seconds = T[T[SLOT_SECONDS] + SLOT_EMPTY + u] + T[T[SLOT_SECONDS] + SLOT_OIL + u]
                seconds += T[T[VARIANT_SECONDS] + WASH_S]
                points += seconds * T[T[WEIGHTS] + 1] + T[T[WEIGHTS] + 2]
    return points


@compiled
def _find(table: Ints, labels: Ints, key_set: int, key_state: int) -> int:
    """The place of a key in the layer's hash table."""
    mask = table.size - 1
    at = (key_set * 1099511628211 ^ key_state * 2654435761 ^ key_set >> 23) & mask
    while table[at] >= 0 and (labels[table[at], L_SET] != key_set or labels[table[at], L_STATE] != key_state):
        at = (at + 1) & mask
    return at


@compiled
def grow_layer(
    T: Ints,
    memo: Memo,
    b: Bounds,
    day: Day,
    target: int,
    k: int,
    labels: Ints,
    rows: Ints,
    ends: Ints,
    count: int,
    to_labels: Ints,
    to_rows: Ints,
    to_ends: Ints,
    table: Ints,
    stop: Ints,
) -> int:
    """All labels of k + 1 passes from those of k; how many, or -1 when the room is too small."""
    n = T[PASSES]
    made = 0
    table[:] = -1
    marks = np.zeros(n + 2, np.int64)
    stale = np.zeros(1, np.int64)
    scratch = np.zeros(2 * UNIT_WIDTH + 8, np.int64)
    row = np.zeros(STATE_WIDTH, np.int64)
    row_ends = np.zeros(n, np.int64)
    own_ends = np.zeros(b.firsts.size, np.int64)
    for i in range(count):
        if stop[0]:
            return -1
        if labels[i, L_SET] < 0:
            continue
        s, done = labels[i, L_STATE], labels[i, L_SET]
        for a in range(b.arc_from[s], b.arc_from[s + 1]):
            t = b.head[a]
            p = b.state_pass[t]
            if not _may_come(b, b.state_pass[s] if k > 0 else -1, p, done, k):
                continue
            after = done | 1 << p
            sooner = _could_be_sooner(T, b, rows[i], done, day)
            worked = _worked(T, b, rows[i]) - sooner
            rest = _completion(T, b, n - k - 1, t, after, worked + T[T[RUN_S] + p])
            newly = _newly_reversed(T, p, done)
            known = labels[i, L_REVERSED] + newly
            cost = labels[i, L_COST] + b.cost[a] + newly
            if cost + _surely_late(T, rows[i], sooner, day) + rest > target - 1 + ROUNDING:
                continue
            mornings = 2 if day.eased and day.nights and not labels[i, L_CALM] else 1
            for morning in range(mornings):
                row[:] = rows[i]
                for f in range(b.firsts.size):
                    row_ends[b.firsts[f]] = ends[i, f]
                stale[0] = IMPOSSIBLE
                if morning == 1 and not _until_morning(T, memo, row, marks, stale):
                    break
                if not step(T, memo, row, p, b.state_choice[t], k, marks, row_ends, stale, scratch):
                    continue
                dirty = labels[i, L_DIRTY] or stale[0] != IMPOSSIBLE
                sooner = _could_be_sooner(T, b, row, after, day)
                rest = _completion(T, b, n - k - 1, t, after, _worked(T, b, row) - sooner)
                surely = _surely_late(T, row, sooner, day)
                so_far = cost + surely
                if so_far + rest > target - 1 + ROUNDING:
                    continue
                spare = (target - 1 - so_far) // max(1, T[T[WEIGHTS] + 1])
                latest = _latest_end(T, row, row_ends, after, spare)
                calm = latest <= day.ends[0]
                firm = (day.eased and (calm or day.nights)) or (not dirty and _cannot_stale(T, row, calm, day))
                credit = 0 if calm else _washed_already(T, row)
                if day.eased:
                    credit += T[T[WEIGHTS] + 0] * row[LATE] - surely
                calm = calm and (day.eased or _none_to_come_can_stale(T, row, after, day))
                if firm and partial_score(T, row) - credit + known + rest > target - 1 + ROUNDING:
                    continue
                for f in range(b.firsts.size):
                    own_ends[f] = row_ends[b.firsts[f]]
                waited = _waited_for(T, after)
                at = _find(table, to_labels, after, t)
                other, beaten, slot = table[at], False, -1
                while other >= 0 and firm:
                    if to_labels[other, L_COST] >= 0 and to_labels[other, L_FIRM]:
                        more = to_labels[other, L_REVERSED] - known
                        both = calm and to_labels[other, L_CALM] == 1
                        if _better_in_all(
                            T, to_rows[other], to_ends[other], row, own_ends, both, waited, b.firsts, day, more
                        ):
                            beaten = True
                            break
                        if _better_in_all(
                            T, row, own_ends, to_rows[other], to_ends[other], both, waited, b.firsts, day, -more
                        ):
                            to_labels[other, L_COST] = -1
                            slot = other
                    other = to_labels[other, L_NEXT]
                if beaten:
                    continue
                if slot < 0:
                    if made == to_labels.shape[0]:
                        return -1
                    slot = made
                    to_labels[slot, L_NEXT] = table[at]
                    to_labels[slot, L_SET], to_labels[slot, L_STATE] = after, t
                    table[at] = slot
                    made += 1
                to_labels[slot, L_COST], to_labels[slot, L_DIRTY] = cost, dirty
                to_labels[slot, L_CALM], to_labels[slot, L_FIRM] = calm, firm
                to_labels[slot, L_PARENT], to_labels[slot, L_REVERSED] = i, known
                to_rows[slot] = row
                to_ends[slot] = own_ends
    for i in range(made):
        if to_labels[i, L_COST] < 0:
            to_labels[i, L_SET] = -1
    return made


@compiled
def closing_score(T: Ints, memo: Memo, row: Ints, eased: bool) -> int:
    """The objective of a full clean label after its last evening; IMPOSSIBLE when that evening needs a second look.

    Eased, no evening does.
    """
    marks = np.zeros(T[PASSES] + 2, np.int64)
    stale = np.zeros(1, np.int64)
    stale[0] = IMPOSSIBLE
    s = row.copy()
    if not evening(T, memo, s, marks, stale) or (stale[0] != IMPOSSIBLE and not eased):
        return IMPOSSIBLE
    return partial_score(T, s)


def bounds_of(walks: Walks) -> Bounds:
    """The pruning tables of a bounding state."""
    behind, base = walks.behind()
    widest = max(len(x) for x in walks.memory.neighbours)
    neighbours = np.full((walks.tables.n, widest), -1, dtype=np.int64)
    for p, row in enumerate(walks.memory.neighbours):
        neighbours[p, : len(row)] = row
    c = walks.circuit
    return Bounds(
        c.state_pass,
        c.state_choice,
        c.arc_from,
        c.head,
        c.cost,
        behind,
        base,
        neighbours,
        walks.memory.size,
        walks.multipliers,
        walks.hours.until,
        walks.times.worked,
        *_fixed_rules(walks.tables),
    )


def _fixed_rules(T: Compact) -> tuple[Ints, Ints, Ints, Ints, Ints]:
    """Who comes before and stays with each pass, as bits, and the pins both ways."""
    before, group = np.zeros(T.n, dtype=np.int64), np.zeros(T.n, dtype=np.int64)
    pin_of, pin_at = np.full(T.n, -1, dtype=np.int64), np.full(T.n, -1, dtype=np.int64)
    for earlier, later in T.turns.reshape(-1, 2):
        before[later] |= 1 << int(earlier)
    if T.group_of.size:
        for p in range(T.n):
            if T.group_of[p] >= 0:
                group[p] = sum(1 << int(q) for q in np.flatnonzero(T.group_of == T.group_of[p]))
    for p, place in T.pins.reshape(-1, 2):
        pin_of[p], pin_at[place] = place, p
    firsts = np.unique(T.first[T.first >= 0]).astype(np.int64)
    return before, group, pin_of, pin_at, firsts


def prove(
    T: Compact, memo: Memo, walks: Walks, target: int, room: int, cancel: CancelToken, *, ease: bool = False
) -> Verdict:
    """Look for a plan of an objective below `target` among all; `room` is the most labels a layer may hold.

    A better plan found is given back unproven: prove again with its objective. With `ease` the day is `eased`: then far
    fewer labels are left, and what is found is a bound; a day on which nothing is ever stale is proven by it.
    """
    true, day = T, day_of_proof(T)._replace(eased=ease)
    if ease:
        easier = eased(T)
        if easier is None or not day.steady:
            return Verdict(False, 0)
        T = easier
    bounds, n, row = bounds_of(walks), T.n, flatten(T)
    size = 1
    while size < 2 * room:
        size *= 2
    table = np.empty(size, dtype=np.int64)
    now, then = (_layer(room, bounds.firsts.size) for _ in range(2))
    now[0][0], now[1][0], now[2][0] = 0, T.start, 0
    now[0][0, L_NEXT] = -1
    history: list[Shorts] = []
    count, total = 1, 1
    for k in range(n):
        if cancel.cancelled:
            return Verdict(False, total)
        made = grow_layer(row, memo, bounds, day, target, k, *now, count, *then, table, cancel.flag)
        if made < 0:
            return Verdict(False, total)
        now, then = then, now
        history.append(now[0][:made, (L_STATE, L_PARENT)].astype(np.int32))
        count, total = made, total + made
        if made == 0:
            return Verdict(True, total)
    labels, rows, _ = now
    full = [i for i in range(count) if labels[i, L_SET] >= 0]
    least = [IMPOSSIBLE if labels[i, L_DIRTY] and not ease else closing_score(row, memo, rows[i], ease) for i in full]
    least = [value + int(labels[i, L_REVERSED]) for i, value in zip(full, least, strict=True)]
    if ease:
        least = [value - _not_surely(row, bounds, rows[i], n, day) for i, value in zip(full, least, strict=True)]
    better = {i: value for i, value in zip(full, least, strict=True) if value < target or value >= IMPOSSIBLE // 2}
    verdict = _best_of_full(true, memo, [_order_of(bounds, history, i, n) for i in better], target, total)
    if ease and better and verdict.rows is None:
        return Verdict(False, total, bound=min(better.values()), through=True)
    return verdict


def _not_surely(row: Ints, bounds: Bounds, s: Ints, n: int, day: Day) -> int:
    """Points of lateness of a full order that a stale ink could take away."""
    sooner = int(_could_be_sooner(row, bounds, s, (1 << n) - 1, day))
    return int(row[row[WEIGHTS]] * min(s[LATE], sooner * day.weights))


def _layer(room: int, firsts: int) -> tuple[Ints, Ints, Ints]:
    """Room for the labels of a layer, their press rows and the ends of first sides; memory is taken as it fills."""
    return (
        np.empty((room, L_WIDTH), np.int64),
        np.empty((room, STATE_WIDTH), np.int64),
        np.empty((room, firsts), np.int64),
    )


def _best_of_full(T: Compact, memo: Memo, orders: list[Ints], target: int, total: int) -> Verdict:
    """Of some full orders one that beats the target; closed if none does."""
    from queueplanner.planning.search import Searcher

    searcher = Searcher(T, memo)
    best: int = target
    best_rows: Ints | None = None
    for order in orders:
        value = searcher.score(order)
        if value < best:
            best, best_rows = value, order
    return Verdict(best_rows is None, total, best_rows, best)


def _order_of(bounds: Bounds, history: list[Shorts], last: int, n: int) -> Ints:
    order = np.zeros((2, n), dtype=np.int64)
    at = last
    for k in range(n - 1, -1, -1):
        state, parent = history[k][at]
        order[0, k] = bounds.state_pass[state]
        order[1, order[0, k]] = bounds.state_choice[state]
        at = int(parent)
    return order
