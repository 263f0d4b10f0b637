"""Working hours as arrays: where many moments at once stand in them, and where so much work from them ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Floats, Ints, floats

#: After the last window the hours go on without end, beginning so many seconds later: a plan that runs so late is
#: late, and more than that need not be known.
AFTER_THE_LAST = 16 * 3600.0


@dataclass(frozen=True, slots=True)
class WorkHours:
    """Stretches of working time in order: starts, ends and working days of the windows, half-open, epoch seconds.

    `worked` has the working seconds before each window. The last window has no end and is a day of its own.
    """

    starts: Floats
    ends: Floats
    days: Ints
    worked: Floats

    @classmethod
    def of(cls, windows: Sequence[tuple[float, float, int]]) -> WorkHours:
        """The hours of windows (start, end, working day) in order of time; days rise. Raises ValueError if they don't.

        There must be one at least.
        """
        if not windows:
            raise ValueError("no working hours")
        starts, ends, days = (list(column) for column in zip(*windows, strict=True))
        edges = [edge for start, end, _ in windows for edge in (start, end)]
        if sorted(edges) != edges or sorted(days) != days:
            raise ValueError("working hours overlap, or are out of order")
        lengths = np.subtract(ends, starts)
        return cls(
            starts=floats([*starts, ends[-1] + AFTER_THE_LAST]),
            ends=floats([*ends, np.inf]),
            days=np.asarray([*days, days[-1] + 1], dtype=np.int64),
            worked=floats(np.concatenate([[0.0], np.cumsum(lengths)])),
        )

    @property
    def longest_pause(self) -> float:
        """Seconds of the longest pause between two windows."""
        return float(np.max(self.starts[1:] - self.ends[:-1]))

    def window_at(self, moments: Floats) -> Ints:
        """The window that holds each moment, else the next one."""
        return np.searchsorted(self.ends, moments, side="right").astype(np.int64)

    def next_working(self, moments: Floats) -> Floats:
        """The first working moment at or after each."""
        return floats(np.maximum(moments, self.starts[self.window_at(moments)]))

    def day_of(self, moments: Floats) -> Ints:
        """The working day of each working moment."""
        return self.days[self.window_at(moments)]

    def day_of_last(self, begins: Floats, seconds: float) -> Ints:
        """The working day on which the last of so many seconds is worked, begun at working moments."""
        return self.days[self.window_of_work(self.work_until(begins) + seconds)]

    def closing(self, moments: Floats) -> Floats:
        """When the working day of each working moment ends; endless for the last."""
        return self.ends[np.searchsorted(self.days, self.day_of(moments), side="right") - 1]

    def morning_after(self, days: Ints) -> Floats:
        """When the first working day after each begins; the last has none after it and begins itself."""
        following = np.searchsorted(self.days, days, side="right")
        return self.starts[np.minimum(following, len(self.starts) - 1)]

    def after_work(self, begins: Floats, seconds: Floats) -> Floats:
        """When work of so many seconds ends that begins at working moments and pauses when nobody works."""
        done = self.work_until(begins) + seconds
        window = self.window_of_work(done)
        ends = self.starts[window] + (done - self.worked[window])
        return floats(np.where(seconds > 0, ends, begins))

    def after_work_that_day(self, begins: Floats, seconds: Floats) -> Floats:
        """The same, but what is left at the day's closing is done after hours."""
        closing = self.closing(begins)
        last = np.searchsorted(self.ends, closing, side="left")
        over = self.work_until(begins) + seconds - np.append(self.worked[1:], np.inf)[last]
        late = np.where(over > 0, closing, 0.0) + np.maximum(over, 0.0)
        return floats(np.where(over > 0, late, self.after_work(begins, seconds)))

    def work_until(self, moments: Floats) -> Floats:
        """Working seconds from the first window's start to each working moment."""
        window = self.window_at(moments)
        return floats(self.worked[window] + (moments - self.starts[window]))

    def window_of_work(self, done: Floats) -> Ints:
        """The window in which the last of so many working seconds has just been done."""
        return np.searchsorted(self.worked[1:], done, side="left").astype(np.int64)

    def pauses_longer_than(self, seconds: float) -> Ints:
        """For each window the first, from it on, that a longer pause follows; the number of windows where none does."""
        count = len(self.starts)
        long = np.append(self.starts[1:] - self.ends[:-1] > seconds, False)
        positions = np.where(long, np.arange(count), count)
        return np.minimum.accumulate(positions[::-1])[::-1].astype(np.int64)
