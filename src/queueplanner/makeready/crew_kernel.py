"""The optimal makespan of a changeover's tasks for two persons: a best-first search over sets of tasks, compiled.

Tasks are numbers, sets of tasks are bits of one whole number. Within the search the changeover runs from its end to
its start: it is the same problem with every precedence turned round, and on a shop's own seconds it is several times
quicker than the other way (measured).

Why it is exact. In some best schedule every task starts at the start of the changeover or at the end of another task
(else move it earlier). So it is enough to look at the moments when a person becomes free: the free person starts a
task now, or waits for the other one to finish. A search node is such a moment: the tasks begun, the one still
running, the time now and the time at which that one ends. Three things are left out, each because something at least
as good stays in: waiting where a task would fit whole into the wait; after a wait, starting a task that could as well
have begun when the wait did; a node that another one with the same tasks is ahead of. Nodes are taken in the order of
a lower bound, and the search ends when none is left whose bound is below the best schedule found. There is no time
limit: an odd set of tasks (many places, few bindings) can take seconds, a changeover does not.
"""

# A number out of an array is Any to the checker, a whole number to the compiler.
# mypy: no-warn-return-any

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from queueplanner.makeready.compiled import compiled

Ints = NDArray[np.int64]
SmallInts = NDArray[np.int32]

#: A set of tasks is one signed 64-bit number.
MOST_TASKS = 62

#: List schedules tried in each direction before anything is searched.
_LISTS = 12

#: Nodes looked at newest first before an old one has its turn: a dive that finds nothing is not the last.
_DIVE_NODES = 100

# Whole numbers of the compiler's own width: plain ones would have the functions they are given to compiled once more.
_ZERO: Any = np.int64(0)
_NONE: Any = np.int64(-1)

_TURNING = 1
_STOPPED = 2

# Columns of a node.
_SET = 0  # which set of tasks has begun
_RUNNING = 1  # the task still running, -1 none
_NOW = 2  # seconds: a person is free
_END = 3  # seconds: the other is free too
_WAITED = 4  # the task waited for just now, -1 none
_BELOW = 5  # next node with the same bound, plus 1
_PARENT = 6
_BESIDE = 7  # next node with the same set and running task, plus 1
_BOUND = 8  # no schedule from here is shorter; -1 once its children are made
_NODE_WIDTH = 9

# Columns of a child offered to the search; the last four as in a node.
_CHILD_BEGUN = 0
_CHILD_WIDTH = 5

# Places in the counters.
_NODES = 0
_SETS = 1
_BEST = 2  # shortest makespan found
_LAST = 3  # node that ends it
_FLOOR = 4  # no node left has a lower bound
_EARLY = 5  # the oldest node not yet looked at again
_DIVE = 6  # nodes taken since one was
_COUNTERS = 7

# Columns that sum up the tasks a set leaves; before them come the loads of each place outside, turning, stopped.
_ALL = 0  # seconds of all
_ALL_TURNING = 1
_ALL_STOPPED = 2
_PLACE = 3  # largest load of a place
_TURNING_TWICE = 4  # largest 2 * turning + outside of a place
_STOPPED_TWICE = 5
_TURNING_FIRST = 6  # largest turning load of a place
_TURNING_PLACE = 7
_TURNING_SECOND = 8  # largest of the other places
_STOPPED_FIRST = 9
_STOPPED_PLACE = 10
_STOPPED_SECOND = 11
_CHAIN = 12  # longest chain
_SUMMARY = 13


class Block(NamedTuple):
    """Tasks to be scheduled together, longest chain first; numbers and bits are places in these arrays.

    `need` are all tasks to be finished before a task in the direction searched, `follow` all that wait for it,
    `clash` all that cannot run beside it, `chain` the seconds of the longest chain that begins with it.
    """

    seconds: Ints
    place: Ints
    mode: Ints
    need: Ints
    follow: Ints
    clash: Ints
    chain: Ints
    places: int


class Store(NamedTuple):
    """What the search remembers. `slot` finds a set's number, plus 1; `label` its nodes, plus 1, by running task."""

    node: SmallInts
    slot: SmallInts
    mask: Ints
    load: SmallInts
    label: SmallInts
    level: SmallInts
    tally: Ints


@compiled
def two_person_seconds(n: int, seconds: Ints, place: Ints, mode: Ints, preds: Ints) -> int:
    """The shortest time in which two persons do n tasks, seconds: always the optimum, the same on every call.

    seconds: of each task, at least 0; a task of 0 s needs neither person nor place. place: any numbers, one task at
    a time in each. mode: 0 outside, 1 turning, 2 stopped; turning and stopped never overlap. preds: of each task the
    tasks to be finished before it, bit i for task i; no cycle. At most 62 tasks. Nothing is checked here.
    """
    return two_person_starts(n, seconds, place, mode, preds, np.zeros(n, np.int64))


@compiled
def two_person_starts(n: int, seconds: Ints, place: Ints, mode: Ints, preds: Ints, starts: Ints) -> int:
    """As `two_person_seconds`; fills `starts` with each task's start in an optimal schedule, seconds from the start."""
    before = _closure(n, preds)
    left = _ZERO
    for i in range(n):
        if seconds[i] > 0:
            left |= 1 << i
    total = _ZERO
    while left:
        block = _next_block(n, left, before)
        total += _block_starts(n, block, seconds, place, mode, before, total, starts)
        left &= ~block
    for i in range(n):
        if seconds[i] == 0:
            starts[i] = 0
            for j in range(n):
                if before[i] >> j & 1:
                    starts[i] = max(starts[i], starts[j] + seconds[j])
    return total


@compiled
def _closure(n: int, preds: Ints) -> Ints:
    """All tasks before each one, near and far."""
    before = preds[:n].copy()
    again = True
    while again:
        again = False
        for i in range(n):
            mask = before[i]
            for j in range(n):
                if mask >> j & 1:
                    mask |= before[j]
            if mask != before[i]:
                before[i] = mask
                again = True
    return before


@compiled
def _next_block(n: int, left: int, before: Ints) -> int:
    """The smallest set among the tasks left that the others all wait for: it can be scheduled by itself."""
    block = 0
    for i in range(n):
        if left >> i & 1 and before[i] & left == 0:
            block |= 1 << i
    again = True
    while again:
        again = False
        for i in range(n):
            if left >> i & 1 and not block >> i & 1 and block & ~before[i]:
                block |= 1 << i | before[i] & left
                again = True
    return block


@compiled
def _block_starts(
    n: int, chosen: int, seconds: Ints, place: Ints, mode: Ints, before: Ints, base: int, starts: Ints
) -> int:
    """Schedules the chosen tasks as best can be, from the second `base` on; fills `starts`; gives their makespan."""
    member, lead = _longest_first(n, chosen, seconds, before)
    if member.size == 1:
        starts[member[0]] = base
        return seconds[member[0]]
    block = _turned_block(member, lead, seconds, place, mode, before)
    turned = np.zeros(member.size, np.int64)
    load = np.zeros(3 * block.places + _SUMMARY, np.int32)
    _sum_up(block, _ZERO, load)
    floor = _bound(block, load, _ZERO, _NONE, _ZERO, _ZERO)
    best = _best_list(block, floor, turned)
    if best > floor:
        best = _search(block, floor, best, turned)
    for k in range(member.size):
        starts[member[k]] = base + best - turned[k] - block.seconds[k]
    return best


@compiled
def _longest_first(n: int, chosen: int, seconds: Ints, before: Ints) -> tuple[Ints, Ints]:
    """The chosen tasks by the longest chain that ends with each, the longest first; and those chains' seconds."""
    longest = np.zeros(n, np.int64)
    again = True
    while again:
        again = False
        for i in range(n):
            chain = 0
            for j in range(n):
                if (chosen & before[i]) >> j & 1:
                    chain = max(chain, longest[j])
            if longest[i] != chain + seconds[i]:
                longest[i] = chain + seconds[i]
                again = True
    member = np.zeros(n, np.int64)
    size = 0
    for i in range(n):
        if chosen >> i & 1:
            at = size
            while at > 0 and longest[member[at - 1]] < longest[i]:
                member[at] = member[at - 1]
                at -= 1
            member[at] = i
            size += 1
    lead = np.zeros(size, np.int64)
    for k in range(size):
        lead[k] = longest[member[k]]
    return member[:size], lead


@compiled
def _turned_block(member: Ints, chain: Ints, seconds: Ints, place: Ints, mode: Ints, before: Ints) -> Block:
    """The tasks turned end to start, in the order given; their places numbered from 0."""
    n = member.size
    table = np.zeros((6, n), np.int64)
    block = Block(table[0], table[1], table[2], table[3], table[4], table[5], chain, 0)
    places = 0
    for k in range(n):
        i = member[k]
        block.seconds[k] = seconds[i]
        block.mode[k] = mode[i]
        block.place[k] = -1
        for m in range(n):
            j = member[m]
            if before[j] >> i & 1:
                block.need[k] |= 1 << m
            if before[i] >> j & 1:
                block.follow[k] |= 1 << m
            if m < k and place[j] == place[i]:
                block.place[k] = block.place[m]
            if m != k and (place[j] == place[i] or (mode[i] != mode[j] and mode[i] * mode[j] > 0)):
                block.clash[k] |= 1 << m
        block.clash[k] |= block.need[k] | block.follow[k]
        if block.place[k] < 0:
            block.place[k] = places
            places += 1
    return Block(table[0], table[1], table[2], table[3], table[4], table[5], chain, places)


@compiled
def _best_list(block: Block, floor: int, starts: Ints) -> int:
    """The shortest of some list schedules, both ways, for a start; fills `starts`."""
    n = block.seconds.size
    back = block.seconds.copy()
    _chains(block, back)
    best = block.seconds.sum() + 1
    trial = np.zeros(n, np.int64)
    word = 1
    for turn in range(2 * _LISTS):
        forward = turn & 1 == 1
        rank = back.copy() if forward else block.chain.copy()
        if turn > 1:
            for k in range(n):
                word = word * 1103515245 + 12345 & 0x7FFFFFFF
                rank[k] *= 64 + (word >> 16) % (16 + turn)
        total = _list_schedule(block, block.follow if forward else block.need, rank, trial)
        if total < best:
            best = total
            for k in range(n):
                starts[k] = total - trial[k] - block.seconds[k] if forward else trial[k]
            if best <= floor:
                return best
    return best


@compiled
def _chains(block: Block, longest: Ints) -> None:
    """Lengthens each task's own seconds to those of the longest chain that ends with it."""
    again = True
    while again:
        again = False
        for k in range(longest.size):
            for m in range(longest.size):
                if block.need[k] >> m & 1 and longest[m] + block.seconds[k] > longest[k]:
                    longest[k] = longest[m] + block.seconds[k]
                    again = True


@compiled
def _list_schedule(block: Block, need: Ints, rank: Ints, starts: Ints) -> int:
    """Makespan when whoever is free takes the task of the highest rank that can be started; fills `starts`."""
    n = block.seconds.size
    begun = 0
    running = -1
    now = 0
    end = 0
    while True:
        done = begun if running < 0 else begun & ~(1 << running)
        barred = begun if running < 0 else begun | block.clash[running]
        best = -1
        for k in range(n):
            if not barred >> k & 1 and need[k] & ~done == 0 and (best < 0 or rank[k] > rank[best]):
                best = k
        if best < 0:
            if running < 0:
                return now
            now = end
            running = -1
            continue
        begun |= 1 << best
        starts[best] = now
        ends = now + block.seconds[best]
        if running < 0:
            running = best
            end = ends
        elif ends < end:
            now = ends
        else:
            now = end
            running = best if ends > end else -1
            end = ends


@compiled
def _search(block: Block, floor: int, best: int, starts: Ints) -> int:
    """The optimal makespan of a block, given a lower bound and a schedule; fills `starts` where it finds better."""
    sums = _sums(block.seconds, best)
    low = sums[floor]
    if low >= best:
        return best
    store = _new_store(block, best, low)
    tally = store.tally
    n = block.seconds.size
    child = np.zeros((_most_children(n), _CHILD_WIDTH), np.int64)
    while tally[_FLOOR] < tally[_BEST]:
        top = _next_node(store, low)
        if top < 0:
            tally[_FLOOR] += 1
            tally[_EARLY] = 0
            continue
        if _is_ahead(store, top):
            store = _with_room(store, n)
            if store.node[top, _RUNNING] < 0:
                made = _children_both_free(block, store, top, child)
            else:
                made = _children_one_free(block, store, top, child)
            for c in range(made):
                _offer(block, store, sums, low, top, child[c])
    if tally[_LAST] >= 0:
        _trace(store, starts)
    return tally[_BEST]


@compiled
def _next_node(store: Store, low: int) -> int:
    """The node of the lowest bound to look at next, -1 for none: as a rule the newest, now and then the oldest."""
    tally = store.tally
    floor = tally[_FLOOR]
    tally[_DIVE] += 1
    if tally[_DIVE] >= _DIVE_NODES:
        tally[_DIVE] = 0
        while tally[_EARLY] < tally[_NODES]:
            old = tally[_EARLY]
            tally[_EARLY] += 1
            if store.node[old, _BOUND] == floor:
                store.node[old, _BOUND] = -1
                return old
    while True:
        top = store.level[floor - low] - 1
        if top < 0:
            return -1
        store.level[floor - low] = store.node[top, _BELOW]
        if store.node[top, _BOUND] >= 0:
            store.node[top, _BOUND] = -1
            return top


@compiled
def _sums(seconds: Ints, best: int) -> Ints:
    """For each number of seconds up to `best` the next that some tasks' seconds add up to.

    In some optimal schedule every start is another task's end, so the makespan is such a sum.
    """
    hit = np.zeros(best + 1, np.bool_)
    hit[0] = True
    reached = 0
    for each in seconds:
        reached = min(reached + each, best)
        for value in range(reached, each - 1, -1):
            if hit[value - each]:
                hit[value] = True
    up = np.zeros(best + 1, np.int64)
    up[best] = best
    for value in range(best - 1, -1, -1):
        up[value] = value if hit[value] else up[value + 1]
    return up


@compiled
def _most_children(n: int) -> int:
    """The most children a node of n tasks can have: two tasks start, or one."""
    return n * (n + 1) // 2


@compiled
def _new_store(block: Block, best: int, low: int) -> Store:
    """A store that holds the root: nothing begun, both persons free."""
    n = block.seconds.size
    store = Store(
        np.zeros((256, _NODE_WIDTH), np.int32),
        np.zeros(256, np.int32),
        np.zeros(64, np.int64),
        np.zeros((64, 3 * block.places + _SUMMARY), np.int32),
        np.zeros((64, 2 * n + 1), np.int32),
        np.zeros(best - low + 1, np.int32),
        np.zeros(_COUNTERS, np.int64),
    )
    store.node[0, _RUNNING] = -1
    store.node[0, _WAITED] = -1
    store.node[0, _PARENT] = -1
    store.slot[_free_slot(store.slot, store.mask, _ZERO)] = 1
    store.level[0] = 1
    store.tally[_NODES] = 1
    store.tally[_SETS] = 1
    store.tally[_BEST] = best
    store.tally[_LAST] = -1
    store.tally[_FLOOR] = low
    return store


@compiled
def _with_room(store: Store, n: int) -> Store:
    """The store, larger where the children of one more node might not fit."""
    room = _most_children(n)
    node, slot, mask, load, label = store.node, store.slot, store.mask, store.load, store.label
    nodes, sets = store.tally[_NODES] + room, store.tally[_SETS] + room
    if nodes <= node.shape[0] and sets <= load.shape[0]:
        return store
    if nodes > node.shape[0]:
        node = _longer(node, 2 * nodes)
    if sets > load.shape[0]:
        masks = np.zeros(2 * sets, np.int64)
        for k in range(store.tally[_SETS]):
            masks[k] = mask[k]
        mask = masks
        load = _longer(load, 2 * sets)
        label = _longer(label, 2 * sets)
        size = slot.size
        while size < 4 * sets:
            size *= 2
        slot = np.zeros(size, np.int32)
        for k in range(store.tally[_SETS]):
            slot[_free_slot(slot, mask, mask[k])] = k + 1
    return Store(node, slot, mask, load, label, store.level, store.tally)


@compiled
def _longer(table: SmallInts, rows: int) -> SmallInts:
    """The table with more rows, the new ones 0."""
    longer = np.zeros((rows, table.shape[1]), np.int32)
    for i in range(table.shape[0]):
        for j in range(table.shape[1]):
            longer[i, j] = table[i, j]
    return longer


@compiled
def _free_slot(slot: SmallInts, mask: Ints, begun: int) -> int:
    """Where a set's number stands or would stand."""
    # Two factors below 2**32 keep the product within 63 bits.
    at = (begun % 2147483647 * 2654435761 >> 24) & (slot.size - 1)
    while slot[at] > 0 and mask[slot[at] - 1] != begun:
        at = (at + 1) & (slot.size - 1)
    return at


@compiled
def _number_of(block: Block, store: Store, begun: int) -> int:
    """The number of a set of begun tasks; a new one is summed up first."""
    at = _free_slot(store.slot, store.mask, begun)
    if store.slot[at] > 0:
        return store.slot[at] - 1
    number = store.tally[_SETS]
    store.tally[_SETS] += 1
    store.slot[at] = number + 1
    store.mask[number] = begun
    _sum_up(block, begun, store.load[number])
    return number


@compiled
def _sum_up(block: Block, begun: int, load: SmallInts) -> None:
    """Fills the loads of the tasks not begun: by place and mode, and what the bound needs of them."""
    sums = load[3 * block.places :]
    for k in range(block.seconds.size - 1, -1, -1):
        if not begun >> k & 1:
            each = block.seconds[k]
            load[3 * block.place[k] + block.mode[k]] += each
            sums[_ALL] += each
            if block.mode[k] > 0:
                sums[_ALL + block.mode[k]] += each
            sums[_CHAIN] = block.chain[k]
    for p in range(block.places):
        outside, turning, stopped = load[3 * p], load[3 * p + 1], load[3 * p + 2]
        sums[_PLACE] = max(sums[_PLACE], outside + turning + stopped)
        sums[_TURNING_TWICE] = max(sums[_TURNING_TWICE], 2 * turning + outside)
        sums[_STOPPED_TWICE] = max(sums[_STOPPED_TWICE], 2 * stopped + outside)
        _rank(sums, _TURNING_FIRST, turning, p)
        _rank(sums, _STOPPED_FIRST, stopped, p)


@compiled
def _rank(sums: SmallInts, first: int, load: int, place: int) -> None:
    """Keeps the largest load, its place, and the largest of the other places."""
    if load > sums[first]:
        sums[first + 2] = sums[first]
        sums[first] = load
        sums[first + 1] = place
    elif load > sums[first + 2]:
        sums[first + 2] = load


@compiled
def _bound(block: Block, load: SmallInts, begun: int, running: int, now: int, end: int) -> int:
    """A lower bound of the makespan: the longest chain, and what two persons need for the loads.

    Loads: give each place's outside, turning and stopped work a weight 0, 1/2 or 1, such that the weights of any two
    that may overlap add up to at most 1; then the time left is at least the weighted seconds. The weights used: all
    1/2; one place 1; turning at one place 1, its outside 1/2 and all stopped 1/2, or the other way round; turning at
    one place and stopped at another 1. All doubled here.
    """
    sums = load[3 * block.places :]
    turning = sums[_ALL_TURNING]
    stopped = sums[_ALL_STOPPED]
    rest = 0
    own = 0
    if running >= 0:
        rest = end - now
        own = 3 * block.place[running]
        if block.mode[running] == _TURNING:
            turning += rest
        elif block.mode[running] == _STOPPED:
            stopped += rest
    first_turning, first_stopped = sums[_TURNING_FIRST], sums[_STOPPED_FIRST]
    both = first_turning + first_stopped
    if sums[_TURNING_PLACE] == sums[_STOPPED_PLACE]:
        both = max(first_turning + sums[_STOPPED_SECOND], sums[_TURNING_SECOND] + first_stopped)
    twice = max(
        sums[_ALL] + rest,
        2 * max(sums[_PLACE], both),
        sums[_TURNING_TWICE] + stopped,
        sums[_STOPPED_TWICE] + turning,
    )
    low = now + sums[_CHAIN]
    if running >= 0:
        twice = max(twice, _running_twice(block, load, running, rest, own, turning, stopped))
        held = block.clash[running] & ~begun
        if held:
            low = max(low, end + block.chain[_first(held)])
        low = max(low, end)
    return max(low, now + (twice + 1) // 2)


@compiled
def _running_twice(block: Block, load: SmallInts, running: int, rest: int, own: int, turning: int, stopped: int) -> int:
    """The weighted loads in which the place of the running task counts for more; doubled."""
    sums = load[3 * block.places :]
    mode = block.mode[running]
    here_outside = load[own] + (rest if mode == 0 else 0)
    here_turning = load[own + 1] + (rest if mode == _TURNING else 0)
    here_stopped = load[own + 2] + (rest if mode == _STOPPED else 0)
    place = block.place[running]
    else_stopped = sums[_STOPPED_SECOND] if sums[_STOPPED_PLACE] == place else sums[_STOPPED_FIRST]
    else_turning = sums[_TURNING_SECOND] if sums[_TURNING_PLACE] == place else sums[_TURNING_FIRST]
    return max(
        2 * (here_outside + here_turning + here_stopped),
        2 * here_turning + here_outside + stopped,
        2 * here_stopped + here_outside + turning,
        2 * (here_turning + else_stopped),
        2 * (here_stopped + else_turning),
    )


@compiled
def _first(mask: int) -> int:
    """The lowest task of a set that is not empty."""
    k = 0
    while not mask & 255:
        mask >>= 8
        k += 8
    while not mask & 1:
        mask >>= 1
        k += 1
    return k


@compiled
def _is_ahead(store: Store, x: int) -> bool:
    """Whether a node is still worth its children: nothing found since makes it needless."""
    node = store.node[x]
    if node[_SET] < 0:
        return False
    free = store.label[node[_SET], 0] - 1
    return free < 0 or free == x or store.node[free, _NOW] > node[_NOW]


@compiled
def _children_one_free(block: Block, store: Store, x: int, child: Ints) -> int:
    """Fills in the children of a node at which one person works: the other starts a task or waits; their count."""
    node = store.node[x]
    begun = store.mask[node[_SET]]
    running, now, end = int(node[_RUNNING]), int(node[_NOW]), int(node[_END])
    done = begun & ~(1 << running)
    barred = begun | block.clash[running]
    made = 1
    waits = True
    for k in range(block.seconds.size - 1, -1, -1):
        if not barred >> k & 1 and block.need[k] & ~done == 0:
            ends = now + block.seconds[k]
            later = running if ends < end else (k if ends > end else -1)
            _fill(child[made], begun | 1 << k, later, min(ends, end), max(ends, end))
            made += 1
            if ends <= end:
                waits = False
    if waits:
        _fill(child[0], begun, _NONE, end, end)
        child[0, _WAITED] = running
    else:
        made -= 1
        child[0] = child[made]
    return made


@compiled
def _children_both_free(block: Block, store: Store, x: int, child: Ints) -> int:
    """The same for a node at which both are free: two tasks start, or one while the other person waits."""
    node = store.node[x]
    begun = store.mask[node[_SET]]
    now, waited = int(node[_NOW]), int(node[_WAITED])
    n = block.seconds.size
    ready = 0
    for k in range(n):
        if not begun >> k & 1 and block.need[k] & ~begun == 0:
            ready |= 1 << k
    # Those that could have begun with the wait just over would do so.
    fresh = ready if waited < 0 else ready & block.clash[waited]
    made = 0
    for k in range(n - 1, -1, -1):
        if not fresh >> k & 1:
            continue
        ends = now + block.seconds[k]
        beside = ready & ~block.clash[k] & ~(1 << k)
        waits = True
        for m in range(n - 1, -1, -1):
            if not beside >> m & 1:
                continue
            also = now + block.seconds[m]
            if also <= ends:
                waits = False
            if m > k and fresh >> m & 1:
                later = k if also < ends else (m if also > ends else -1)
                _fill(child[made], begun | 1 << k | 1 << m, later, min(ends, also), max(ends, also))
                made += 1
        if waits:
            _fill(child[made], begun | 1 << k, _NONE, ends, ends)
            child[made, _WAITED] = k
            made += 1
    return made


@compiled
def _fill(child: Ints, begun: int, running: int, now: int, end: int) -> None:
    """Fills in a child after no wait."""
    child[_CHILD_BEGUN] = begun
    child[_RUNNING] = running
    child[_NOW] = now
    child[_END] = end
    child[_WAITED] = -1


@compiled
def _offer(block: Block, store: Store, sums: Ints, low: int, parent: int, child: Ints) -> None:
    """Takes a child in, unless its bound is no better than the best or another node is ahead of it."""
    tally = store.tally
    if child[_END] >= tally[_BEST]:
        return
    begun = child[_CHILD_BEGUN]
    number = _number_of(block, store, begun)
    x = tally[_NODES]
    if begun == (1 << block.seconds.size) - 1:
        tally[_BEST] = child[_END]
        tally[_LAST] = x
    else:
        bound = _bound(block, store.load[number], begun, child[_RUNNING], child[_NOW], child[_END])
        if bound >= tally[_BEST]:
            return
        bound = max(sums[bound], tally[_FLOOR])
        if bound >= tally[_BEST] or not _enters(store, number, child):
            return
        store.node[x, _BELOW] = store.level[bound - low]
        store.level[bound - low] = x + 1
        store.node[x, _BOUND] = bound
    tally[_NODES] += 1
    for column in range(_RUNNING, _CHILD_WIDTH):
        store.node[x, column] = child[column]
    store.node[x, _SET] = number
    store.node[x, _PARENT] = parent


@compiled
def _enters(store: Store, number: int, child: Ints) -> bool:
    """Whether no node with the same tasks is ahead of a child; those it is ahead of are dropped.

    A node after a wait may start fewer tasks, so it is compared only with others after the same wait, and
    with those where both are free without one; it drops only the former.
    """
    label = store.label[number]
    now, end = child[_NOW], child[_END]
    free = label[0] - 1
    if free >= 0 and store.node[free, _NOW] <= now:
        return False
    head = 1 + child[_RUNNING]
    if child[_WAITED] >= 0:
        head = label.size // 2 + 1 + child[_WAITED]
    at = label[head] - 1
    last = _NONE
    while at >= 0:
        other = store.node[at]
        beside = other[_BESIDE] - 1
        if other[_NOW] <= now and other[_END] <= end:
            return False
        if now <= other[_NOW] and end <= other[_END]:
            other[_SET] = -1 - other[_SET]
            if last < 0:
                label[head] = beside + 1
            else:
                store.node[last, _BESIDE] = beside + 1
        else:
            last = at
        at = beside
    store.node[store.tally[_NODES], _BESIDE] = label[head]
    label[head] = store.tally[_NODES] + 1
    return True


@compiled
def _trace(store: Store, starts: Ints) -> None:
    """Fills the starts of the best schedule found, from its last node back."""
    x = store.tally[_LAST]
    parent = store.node[x, _PARENT]
    while parent >= 0:
        fresh = store.mask[_set_of(store, x)] & ~store.mask[_set_of(store, parent)]
        while fresh:
            k = _first(fresh)
            starts[k] = store.node[parent, _NOW]
            fresh &= fresh - 1
        x = parent
        parent = store.node[x, _PARENT]


@compiled
def _set_of(store: Store, x: int) -> int:
    """The number of a node's set; a dropped node keeps it as -1 minus the number."""
    number = store.node[x, _SET]
    return number if number >= 0 else -1 - number
