"""Time to pixels and back: runs across evenly, but folds the hours in which the shop is closed to a narrow strip."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from copy import copy
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from queueplanner.planning.plan import Plan, Stretch

#: Closed time shorter than this is a break and keeps its width.
FOLD_FROM_SECONDS = 2 * 3600
#: A fold's width as a stretch of ordinary time, seconds.
FOLD_SECONDS = 20 * 60


class TimeScale:
    """A one-to-one map between moments (epoch seconds) and the length of the day's picture, px.

    `folds` are drawn as wide as `FOLD_SECONDS`; `px_per_hour` is the zoom.
    """

    def __init__(self, start: int, end: int, folds: Sequence[Stretch], px_per_hour: float) -> None:
        self.start, self.end = start, max(end, start + 60)
        self.folds = tuple((max(a, start), min(b, self.end)) for a, b in folds if b > start and a < self.end)
        self._times, self._work = _knots(self.start, self.end, self.folds)
        self._zoom_to(px_per_hour)

    def _zoom_to(self, px_per_hour: float) -> None:
        self.px_per_hour, self._px = px_per_hour, px_per_hour / 3600

    @property
    def width(self) -> float:
        """Length of the whole picture, px."""
        return self._work[-1] * self._px

    def x(self, moment: float) -> float:
        """Where a moment stands, px from the left end; moments outside are carried on at the same zoom."""
        if moment <= self.start:
            return (moment - self.start) * self._px
        if moment >= self.end:
            return self.width + (moment - self.end) * self._px
        return _between(self._times, self._work, moment) * self._px

    def xs(self, moments: NDArray[np.float64]) -> NDArray[np.float64]:
        """`x` of many moments within the picture."""
        mapped: NDArray[np.float64] = np.interp(moments, self._times, self._work) * self._px
        return mapped

    def moment(self, x: float) -> float:
        """The moment at a place, kept within the picture."""
        work = x / self._px
        if work <= 0:
            return self.start
        return self.end if work >= self._work[-1] else _between(self._work, self._times, work)

    def is_folded(self, moment: float) -> bool:
        """Whether a moment lies inside a fold, not at its ends."""
        at = bisect_left(self.folds, moment, key=lambda fold: fold[1])
        return at < len(self.folds) and self.folds[at][0] < moment < self.folds[at][1]

    def zoomed(self, px_per_hour: float) -> TimeScale:
        """The same stretch of time at another zoom."""
        other = copy(self)
        other._zoom_to(px_per_hour)
        return other

    def fitting(self, width: float) -> float:
        """The zoom, px an hour, at which the whole picture is so wide."""
        return max(width, 1.0) * 3600 / self._work[-1]


def folds_of(plan: Plan, later: Sequence[Stretch] = ()) -> tuple[Stretch, ...]:
    """The closed stretches of a plan, and of the hours after it, that are long enough to fold, less evening washes."""
    busy = [(e.start, e.end) for e in plan.evenings if e.end > e.start]
    left = [piece for stretch in (*plan.closed, *later) for piece in _less(stretch, busy)]
    return tuple((a, b) for a, b in left if b - a >= FOLD_FROM_SECONDS)


def closed_between(open_hours: Sequence[Stretch], start: int, end: int) -> tuple[Stretch, ...]:
    """The stretches between two moments in which none of some ordered open hours lie."""
    opened = [(max(a, start), min(b, end)) for a, b in open_hours if b > start and a < end]
    edges = [start, *(t for stretch in opened for t in stretch), end]
    return tuple((a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)


def _less(stretch: Stretch, taken: Iterable[Stretch]) -> list[Stretch]:
    start, end = stretch
    pieces = []
    for a, b in sorted(taken):
        if b <= start or a >= end:
            continue
        if a > start:
            pieces.append((start, a))
        start = max(start, b)
    if start < end:
        pieces.append((start, end))
    return pieces


def _between(here: Sequence[float], there: Sequence[float], value: float) -> float:
    """The value that stands in one row of knots where `value` stands in the other."""
    i = bisect_right(here, value)
    a, b = here[i - 1], here[i]
    return there[i - 1] + (there[i] - there[i - 1]) * (value - a) / (b - a)


def _knots(start: int, end: int, folds: Sequence[Stretch]) -> tuple[list[float], list[float]]:
    """Moments at which the pace changes, and the seconds of width up to each."""
    edges = sorted({start, end, *(t for fold in folds for t in fold)})
    folded = set(folds)
    width = [0.0]
    for a, b in pairwise(edges):
        width.append(width[-1] + (FOLD_SECONDS if (a, b) in folded else b - a))
    return [float(t) for t in edges], width
