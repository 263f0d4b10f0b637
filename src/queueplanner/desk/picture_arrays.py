"""Shapes of the timeline as arrays, so that thousands of them are placed and culled at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from queueplanner.planning.plan import Holding, UnitSpan
from queueplanner.shop.ink import Ink

Moments = NDArray[np.float64]
Flags = NDArray[np.bool_]


class _Bar(Protocol):
    """A task where it falls on the clock."""

    @property
    def start(self) -> int: ...

    @property
    def end(self) -> int: ...

    @property
    def lane(self) -> int: ...

    @property
    def washing(self) -> bool: ...


@dataclass(frozen=True, slots=True, eq=False)
class TaskArrays:
    """Bars of make-readies in the order of their starts: `second` those of the second person, `shared` those of a
    make-ready that two persons share, `washing` those that clean.
    """

    starts: Moments
    ends: Moments
    washing: Flags
    second: Flags
    shared: Flags
    until: Moments

    @classmethod
    def of(cls, bars: Iterable[tuple[int, int, bool, bool, bool]]) -> TaskArrays:
        """From (start, end, washing, second, shared) of each bar."""
        rows = np.array(sorted(bars), dtype=np.float64).reshape(-1, 5)
        flags = rows[:, 2:].astype(bool)
        until = np.maximum.accumulate(rows[:, 1]) if len(rows) else rows[:, 1]
        return cls(rows[:, 0], rows[:, 1], flags[:, 0], flags[:, 1], flags[:, 2], until)

    def between(self, start: float, end: float) -> slice:
        """Those that can be seen between two moments."""
        first = int(np.searchsorted(self.until, start))
        return slice(first, max(first, int(np.searchsorted(self.starts, end, side="right"))))


def task_rows(bars: Sequence[_Bar], lanes: int) -> Iterator[tuple[int, int, bool, bool, bool]]:
    """Each bar of a make-ready of so many persons."""
    for bar in bars:
        yield bar.start, bar.end, bar.washing, bar.lane > 0, lanes > 1


def block_rows(bars: Sequence[_Bar], lanes: int) -> Iterator[tuple[int, int, bool, bool, bool]]:
    """The bars of a make-ready, neighbours of one kind and person joined: what can be told when tasks are narrow."""
    for lane in sorted({bar.lane for bar in bars}):
        of_lane = sorted((bar for bar in bars if bar.lane == lane), key=lambda bar: bar.start)
        for _, run in groupby(_numbered_runs(of_lane), key=lambda pair: pair[0]):
            joined = [bar for _, bar in run]
            yield joined[0].start, joined[-1].end, joined[0].washing, lane > 0, lanes > 1


def _numbered_runs(bars: Sequence[_Bar]) -> Iterator[tuple[int, _Bar]]:
    """Bars with the number of the run they belong to: a new one where the kind changes or time is left free."""
    number = 0
    for i, bar in enumerate(bars):
        if i and (bar.washing != bars[i - 1].washing or bar.start > bars[i - 1].end):
            number += 1
        yield number, bar


@dataclass(frozen=True, slots=True, eq=False)
class RibbonArrays:
    """The spans of one unit: when each ends, the number of its ink (-1: none) among `inks`, whether it prints."""

    ends: Moments
    ink: NDArray[np.int64]
    printing: Flags
    inks: tuple[Ink, ...]

    @classmethod
    def of(cls, spans: Sequence[UnitSpan]) -> RibbonArrays:
        """From the spans of a unit in the order of time."""
        inks = {span.ink.id: span.ink for span in spans if span.ink is not None}
        number = {ink_id: i for i, ink_id in enumerate(inks)}
        return cls(
            np.array([s.end for s in spans], dtype=np.float64),
            np.array([-1 if s.ink is None else number[s.ink.id] for s in spans], dtype=np.int64),
            np.array([s.holding is Holding.PRINTING for s in spans], dtype=bool),
            tuple(inks.values()),
        )
