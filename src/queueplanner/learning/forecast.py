"""A plan's times as ranges, and each pass's chance of being late: the day lived through ten thousand times.

Every day the passes come in their order, in the hours of the shop, as the plan's evaluator lays them: a make-ready
begins when the run before has ended, not before the pass's earliest start; the run not before its first side is dry; a
pass is begun only on a day that is expected to hold it, and a run does not pause longer than its inks may stand. What
differs from the plan are the seconds that make-ready and run take. Whoever begins a pass knows only the expected ones:
what then takes longer than the day is finished after hours, or next morning where a run may cross the night.

Times are log-normal around their expected seconds. Besides each its own, all make-readies of a day can be slow or quick
together, and all runs, as they are where the learned figures themselves are uncertain.

Not in it: washes that become necessary because a pass slips to another day, and the evening's wash, which takes nothing
of the next day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.estimate import RANGE_HOLDS, Estimate
from queueplanner.learning.work_hours import WorkHours

DAYS, SEED = 10_000, 20_260_302
_TAIL = (1 - RANGE_HOLDS) / 2
_LEVELS = (_TAIL, 0.5, 1 - _TAIL)


class WrongFirstSide(ValueError):
    """A pass waits for one that does not stand before it: its `position` and that of the first side."""

    def __init__(self, position: int, first_side: int) -> None:
        self.position, self.first_side = position, first_side
        super().__init__(f"pass {position} waits for pass {first_side}, which does not stand before it")


@dataclass(frozen=True, slots=True)
class PassTimes:
    """What decides the times of one pass; seconds and epoch seconds.

    `makeready_s` (of the whole crew) and `run_s` are expected working seconds, the spreads their relative standard
    deviations. `earliest` binds the make-ready. The run waits until `drying_s` after the end of the pass at position
    `dry_after`, and until `dry_not_before`. `longest_pause` is what its inks stand. `due` None: never late.
    """

    makeready_s: float
    run_s: float
    makeready_spread: float = 0.0
    run_spread: float = 0.0
    earliest: float = -math.inf
    dry_after: int | None = None
    drying_s: float = 0.0
    dry_not_before: float = -math.inf
    longest_pause: float = math.inf
    due: float | None = None


@dataclass(frozen=True, slots=True)
class CommonSpread:
    """Relative standard deviations of what a day's make-readies have in common, and its runs."""

    makeready: float = 0.0
    run: float = 0.0


@dataclass(frozen=True, slots=True)
class PassForecast:
    """When a pass's make-ready begins and its run starts and ends: medians with 80 % ranges, epoch seconds.

    `late_chance` is None without a due time; `late_seconds` are those to expect, 0 without one.
    """

    begin: Estimate
    run_start: Estimate
    end: Estimate
    late_chance: float | None
    late_seconds: float


def forecast(
    hours: WorkHours,
    passes: Sequence[PassTimes],
    start: float,
    *,
    common: CommonSpread | None = None,
    runs_cross_days: bool = False,
    started: bool = False,
    days: int = DAYS,
    seed: int = SEED,
) -> tuple[PassForecast, ...]:
    """Live through a plan's passes, in order, from its start (epoch seconds) so many times.

    `started`: the first pass is on the press already; it goes on whatever the hours. The same seed gives the same
    forecast. Raises WrongFirstSide.
    """
    rng = np.random.default_rng(seed)
    shared = common or CommonSpread()
    slow_ready, slow_run = _factors(rng, shared.makeready, days), _factors(rng, shared.run, days)
    ended, ends, found = np.full(days, float(start)), list[Floats](), list[PassForecast]()
    for position, times in enumerate(passes):
        if times.dry_after is not None and not 0 <= times.dry_after < position:
            raise WrongFirstSide(position, times.dry_after)
        ready = times.makeready_s * slow_ready * _factors(rng, times.makeready_spread, days)
        run = times.run_s * slow_run * _factors(rng, times.run_spread, days)
        dry = np.full(days, times.dry_not_before)
        if times.dry_after is not None:
            dry = np.maximum(dry, ends[times.dry_after] + times.drying_s)
        on_press = started and position == 0
        laid = _Laying(hours, times, dry, runs_cross_days).laid(ended, ready, run, on_press=on_press)
        ended = laid[2]
        ends.append(ended)
        found.append(_summed_up(*laid, times.due))
    return tuple(found)


def _factors(rng: np.random.Generator, spread: float, count: int) -> Floats:
    """Log-normal factors of mean 1."""
    if spread == 0:
        return np.ones(count)
    sd = math.sqrt(math.log1p(spread * spread))
    return floats(np.exp(sd * rng.standard_normal(count) - sd * sd / 2))


@dataclass(frozen=True, slots=True)
class _Laying:
    """Lays one pass into the hours of all the days at once; `dry` is when its first side may be printed on."""

    hours: WorkHours
    times: PassTimes
    dry: Floats
    runs_cross_days: bool

    def laid(self, ended: Floats, ready: Floats, run: Floats, *, on_press: bool) -> tuple[Floats, Floats, Floats]:
        """When make-ready begins, run starts and run ends, after the run before has ended."""
        hours = self.hours
        if on_press:
            begin = hours.next_working(ended)
            start = hours.next_working(np.maximum(hours.after_work(begin, ready), self.dry))
            return begin, start, hours.after_work(start, run)
        begin = self._day_that_holds_it(hours.next_working(np.maximum(ended, self.times.earliest)))
        done = np.maximum(hours.after_work_that_day(begin, ready), self.dry)
        start = self._past_pauses(hours.next_working(done))
        if self.runs_cross_days:
            return begin, start, hours.after_work(start, run)
        closing = hours.closing(begin)
        over = done >= closing
        start = np.where(over, done, start)
        within = np.where(over, hours.starts[-1], start)  # any working moment: not looked at
        return begin, start, np.where(over, done + run, hours.after_work_that_day(within, run))

    def _day_that_holds_it(self, begin: Floats) -> Floats:
        """The first beginning from which the expected seconds fit the day; mornings after the first."""
        hours, times = self.hours, self.times
        while True:
            ready = hours.after_work(begin, np.full(len(begin), times.makeready_s))
            start = self._past_pauses(hours.next_working(np.maximum(ready, self.dry)))
            day = hours.day_of(begin)
            fits = hours.day_of(start) == day
            if not self.runs_cross_days:
                fits &= hours.day_of_last(start, times.run_s) == day
            if fits.all():
                return begin
            begin = np.where(fits, begin, hours.morning_after(day))

    def _past_pauses(self, start: Floats) -> Floats:
        """Runs that would pause too long start after that pause."""
        hours, times = self.hours, self.times
        if times.longest_pause >= hours.longest_pause:
            return start
        long_after = hours.pauses_longer_than(times.longest_pause)
        while True:
            pause = long_after[hours.window_at(start)]
            last = hours.window_of_work(hours.work_until(start) + times.run_s)
            held = pause < last
            if not held.any():
                return start
            start = np.where(held, hours.starts[np.minimum(pause + 1, len(hours.starts) - 1)], start)


def _summed_up(begin: Floats, run_start: Floats, end: Floats, due: float | None) -> PassForecast:
    chance = None if due is None else float(np.mean(end > due))
    late = 0.0 if due is None else float(np.mean(np.maximum(end - due, 0.0)))
    return PassForecast(_range(begin), _range(run_start), _range(end), chance, late)


def _range(values: Floats) -> Estimate:
    low, middle, high = np.quantile(values, _LEVELS).tolist()
    return Estimate(middle, low, high)
