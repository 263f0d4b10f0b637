"""A figure and how sure it is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from queueplanner.learning.arrays import Floats, floats

#: The share of cases that a range is meant to hold.
RANGE_HOLDS = 0.8

_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its 80 % range: one chance in ten that the truth is below `low`, one in ten above `high`."""

    value: float
    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value is within the range, both ends counted."""
        return self.low <= value <= self.high

    def scaled(self, factor: float) -> Estimate:
        """The same figure in another unit; the factor is above 0."""
        return Estimate(self.value * factor, self.low * factor, self.high * factor)


def cut_normal(mean: float, sd: float, value: float) -> Estimate:
    """The 80 % range of a normal distribution of which only what is 0 or more can be, around a value found for it.

    Far below 0, where nothing of the distribution is left to reckon with, both ends are 0. The range is widened to
    hold the value.
    """
    below = _NORMAL.cdf(-mean / sd) if sd > 0 else 0.0
    if below > 1 - 1e-9:
        return Estimate(value, 0.0, value)
    tail = (1 - RANGE_HOLDS) / 2
    ends = [mean + sd * _NORMAL.inv_cdf(below + p * (1 - below)) if sd > 0 else mean for p in (tail, 1 - tail)]
    return Estimate(value, max(0.0, min(ends[0], value)), max(ends[1], value))


def normal_cdf(values: Floats) -> Floats:
    """Chance that a standard normal quantity is at most each of the values; any shape."""
    return floats([0.5 * math.erfc(-v / math.sqrt(2)) for v in values.ravel().tolist()]).reshape(values.shape)
