"""What of a day a proof may use: which of two labels is the better one, and when nothing is reckoned stale."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from queueplanner.planning.compact import (
    ENDED,
    FIRST_WASH_CODES,
    LAST_END,
    UNIT,
    UNIT_WIDTH,
    WASH_S,
    Compact,
    Ints,
)
from queueplanner.planning.signature import SLOT_EMPTY, SLOT_OIL
from queueplanner.planning.slots import SLOT

_PRE_DAMP = SLOT[("pre_damp_plate", 1)]


class Day(NamedTuple):
    """What of the calendar decides which of two labels is the better one.

    `ends` are the ends of the working days; `steady` tells that one crew works all the first day, that every evening
    washes every ink or none, and that no break outlasts an open time: then sooner is never worse within that day.
    `nightly` tells that no run crosses a night, so that no ink outlives the day it was last used on. `eased` tells that
    nothing is reckoned stale (see `eased`); with `nights`, that it may then be left until the next morning what would
    still go today, so that sooner is never worse on any day: no run crosses a night, and each is washed for alike.
    An ink that went stale is washed sooner, and so perhaps while the press would wait, or beside other work of two
    persons: then what follows ends sooner. Each can bring up to `gain` seconds; from the `oldest` run end on, one can
    in each unit after every `shortest` open time. One person gains no more than the waiting so far; an evening takes
    up to `evening` seconds. `weights` sums all jobs'.
    """

    ends: Ints
    steady: bool
    nightly: bool
    damp_points: int
    eased: bool = False
    nights: bool = False
    gain: int = 0
    oldest: int = 0
    shortest: int = 1
    weights: int = 0
    evening: int = 0
    alone: bool = True


def day_of_proof(T: Compact) -> Day:
    """Read from the calendar what the proof may use."""
    first = T.window_day == T.window_day[0]
    day_end = np.array([T.window_end[T.window_day == d].max() for d in np.unique(T.window_day)], dtype=np.int64)
    night = int((T.day_start[1:] - day_end[:-1]).min(initial=2**40))
    starts, stops = T.window_start[first], T.window_end[first]
    longest_break = int((starts[1:] - stops[:-1]).max(initial=0))
    one_crew = np.unique(T.window_crew[first]).size == 1
    lasting = T.day_start[1] - _oldest_run_end(T) if T.day_start.size > 1 else 2**40
    evenings_alike = np.all((T.open_s < night) | (T.open_s >= lasting))
    steady = bool(one_crew and evenings_alike and np.all(T.open_s >= longest_break))
    polyester = int(T.plate_polyester.any()) * int((T.material == 1).sum() + 2)
    within = T.window_day[1:] == T.window_day[:-1]
    pauses = T.window_start[1:] - T.window_end[:-1]
    all_alike = T.shift_crew.min() == T.shift_crew.max() and bool(np.all(T.open_s < night))
    short = int(pauses[within].max(initial=0)) <= int(T.open_s.min(initial=2**40))
    nights = bool(T.crosses_days == 0 and T.started < 0 and all_alike and short)
    nightly = bool(T.crosses_days == 0 and T.started < 0 and np.all(T.open_s < night))
    damp = int(T.weights[1] * T.slot_seconds[_PRE_DAMP]) * polyester
    shortest, weights = int(T.open_s.min(initial=2**40)), int(T.weight.sum())
    oldest, gain, alone = _oldest_run_end(T), _most_gained(T), bool(T.shift_crew.max() == 1)
    slots = (SLOT_EMPTY, SLOT_OIL)
    evening_s = sum(int(T.slot_seconds[slot : slot + T.units].sum()) for slot in slots) + T.units * int(
        T.variant_seconds[WASH_S]
    )
    return Day(
        day_end, steady, nightly, damp, False, nights, gain, oldest, max(1, shortest), weights, evening_s, alone
    )  # fmt: skip


def _most_gained(T: Compact) -> int:
    """The most seconds of a changeover that an earlier wash can take over: emptying and every wash."""
    return int(max(T.slot_seconds[SLOT_EMPTY : SLOT_EMPTY + 2])) + int(T.variant_seconds[WASH_S + FIRST_WASH_CODES - 1])


def _oldest_run_end(T: Compact) -> int:
    """The earliest moment at which an ink that is in the press can have been used last."""
    ends = [int(T.start[UNIT + u * UNIT_WIDTH + LAST_END]) for u in range(T.units)]
    return min([int(T.start[ENDED]), *(end for end in ends if end >= 0)])


def eased(T: Compact) -> Compact | None:
    """The day with nothing that hangs on how long an ink or plate has stood; None where that could cost more.

    One person never gains by an ink that goes stale: it is emptied, washed and oiled sooner, and inked anew later, for
    the same minutes and the oil at least. So each order costs at most as much as it really does, and no run ends later.
    """
    wash = T.variant_seconds[WASH_S:]
    more = wash[FIRST_WASH_CODES:]
    alike = all(wash[0] + more[i - 1] >= wash[i] for i in range(1, FIRST_WASH_CODES))
    if not (alike and np.all(T.shift_crew == 1)):
        return None
    seconds = T.slot_seconds.copy()
    seconds[_PRE_DAMP : _PRE_DAMP + 2] = 0
    return T._replace(slot_seconds=seconds)
