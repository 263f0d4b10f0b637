"""When each pass must have ended in every plan that is better than the best one known, and what that forbids.

A better plan cannot be late by more than what it could still save in make-ready. So due times become deadlines, in
seconds of work since the plan's start: breaks and nights left out, waiting for earliest starts and drying let in.
Walks that cannot keep them are forbidden, place by place. All of it is a relaxation: true plans only take longer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from queueplanner.makeready.compiled import compiled
from queueplanner.planning.compact import ENDED, NEVER_DUE, WASH_S, Compact, Ints
from queueplanner.planning.slots import SLOT

_EMPTY, _GUM = SLOT[("empty_fountain", 1)], SLOT[("gum_plate", 1)]
Shorts = NDArray[np.int32]
#: Later than any working second of a plan.
NO_DEADLINE = 2**30


@dataclass(frozen=True)
class WorkTimes:
    """By pass, in working seconds since the plan's start: run, first start of make-ready, first start of the run.

    `worked` holds the working seconds before each window, `day_ends` the ends of the working days. What an evening
    washes need not be washed in working time: that may save `evening` seconds a night.
    """

    run: Ints
    ready: Ints
    dry: Ints
    worked: Ints
    day_ends: Ints
    evening: int

    @classmethod
    def of(cls, T: Compact) -> WorkTimes:
        """The work times of an instance."""
        start = int(T.start[ENDED])
        begins = np.maximum(T.window_start, start)
        lengths = np.maximum(0, T.window_end - begins)
        worked = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int64)
        dry = np.where(T.given_end > 0, T.given_end + T.dry_s, 0)
        ready = worked_until(T, worked, T.earliest)
        if T.started >= 0:
            ready[T.started] = 0
        ends = np.array([T.window_end[T.window_day == d].max() for d in np.unique(T.window_day)], dtype=np.int64)
        return cls(T.run_s, ready, worked_until(T, worked, dry), worked, ends, _evening_seconds(T))


def _evening_seconds(T: Compact) -> int:
    """The most make-ready that an evening can take over from the changeovers after it."""
    each = [T.slot_seconds[slot : slot + T.units].sum() for slot in (_EMPTY, _GUM)]
    return int(sum(each)) + T.units * (int(T.variant_seconds[WASH_S]) + 1)


def worked_until(T: Compact, worked: Ints, moments: Ints) -> Ints:
    """Working seconds from the plan's start to each moment."""
    begins = np.maximum(T.window_start, int(T.start[ENDED]))
    window = np.searchsorted(T.window_start, moments, side="right") - 1
    inside = np.clip(moments - begins[window], 0, np.maximum(0, T.window_end[window] - begins[window]))
    return np.where(window < 0, 0, worked[window] + inside).astype(np.int64)


def deadlines(T: Compact, times: WorkTimes, spare_points: int) -> Ints:
    """By pass the latest working second at which it may end in a plan whose lateness costs at most so many points."""
    due, weight = T.due[T.job], T.weight[T.job] * int(T.weights[0])
    bound = (due < NEVER_DUE) & (weight > 0)
    slack = np.where(bound, spare_points // np.maximum(1, weight), 0)
    last = int(T.window_end[-1]) if T.window_end.size else 0
    within = bound & (due + slack < last)
    moments = np.where(within, due + slack, 0)
    nights = np.searchsorted(times.day_ends, moments, side="right")
    until = worked_until(T, times.worked, moments) + nights * times.evening
    return np.where(within, until, NO_DEADLINE).astype(np.int64)


@compiled
def earliest_ends(
    n: int,
    state_pass: Ints,
    arc_from: Ints,
    head: Ints,
    seconds: Ints,
    size: Ints,
    change: Ints,
    base: Ints,
    run: Ints,
    ready: Ints,
    dry: Ints,
    latest: Ints,
    table: Shorts,
    stop: Ints,
) -> None:
    """Fill `table[k, base[s] + m]`: the first working second at which a walk of k steps to s with memory m can end.

    `latest[k, s]` is the last at which it may; where it cannot, the entry is NO_DEADLINE.
    """
    table[:] = NO_DEADLINE
    for k in range(1, n + 1):
        for s in range(0 if k == 1 else 1, 1 if k == 1 else state_pass.size):
            if stop[0]:
                return
            p = state_pass[s]
            for m in range(1, 2 if k == 1 else size[p], 2):
                ended = 0 if k == 1 else table[k - 1, base[s] + m]
                if ended >= NO_DEADLINE:
                    continue
                for a in range(arc_from[s], arc_from[s + 1]):
                    t = head[a]
                    q = state_pass[t]
                    to = 1 if k == 1 else change[p, q, m]
                    if to < 0:
                        continue
                    end = max(max(ended, ready[q]) + seconds[a], dry[q]) + run[q]
                    if end <= latest[k, t] and end < table[k, base[t] + to]:
                        table[k, base[t] + to] = end


@compiled
def latest_ends(
    n: int,
    state_pass: Ints,
    arc_from: Ints,
    head: Ints,
    seconds: Ints,
    size: Ints,
    change_back: Ints,
    base: Ints,
    run: Ints,
    ready: Ints,
    dry: Ints,
    deadline: Ints,
    table: Shorts,
    stop: Ints,
) -> None:
    """Fill `table[k, base[s] + m]`: the last working second at which s may end with k steps left and memory m.

    -1 where no walk to the end keeps every deadline.
    """
    table[:] = -1
    for s in range(1, state_pass.size):
        table[0, base[s] + 1] = deadline[state_pass[s]]
    for k in range(1, n):
        for s in range(1, state_pass.size):
            if stop[0]:
                return
            p = state_pass[s]
            for a in range(arc_from[s], arc_from[s + 1]):
                t = head[a]
                q = state_pass[t]
                for m in range(1, size[q], 2):
                    until = table[k - 1, base[t] + m]
                    if until < dry[q] + run[q]:
                        continue
                    begin = until - run[q] - seconds[a]
                    if begin < ready[q]:
                        continue
                    to = change_back[q, p, m]
                    begin = min(begin, deadline[p])
                    if to >= 0 and begin > table[k, base[s] + to]:
                        table[k, base[s] + to] = begin
