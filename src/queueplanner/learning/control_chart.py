"""Individuals and moving range charts: what is a real change, and what is noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby, pairwise

#: Mean moving range of two points over the standard deviation, 2/√π = 1.12838, as the handbooks round it.
D2 = 1.128
#: Limits of the points: 3/d2 mean moving ranges from the centre, 2.66 as the handbooks round it.
E2 = 3 / D2
#: Upper limit of the moving ranges, in mean moving ranges: 1 + 3·√(2 − 4/π)/(2/√π) = 3.26653.
D4 = 3.267
#: So many points in a row on one side of the centre are a signal (Western Electric 1956, the fourth of its rules, as
#: NIST/SEMATECH e-Handbook 6.3.2 lists them; others take nine).
RUN_LENGTH = 8


class SignalKind(StrEnum):
    """What tells a real change."""

    ABOVE = "a point above the upper limit"
    BELOW = "a point below the lower limit"
    JUMP = "a moving range above its limit"
    RUN_ABOVE = "a run of points above the centre"
    RUN_BELOW = "a run of points below the centre"


@dataclass(frozen=True, slots=True)
class Signal:
    """A signal at a point: its position, and for a run the point at which the run becomes one."""

    position: int
    kind: SignalKind


@dataclass(frozen=True, slots=True)
class ControlChart:
    """Points in order of time with their centre and limits, in the points' own unit.

    `moving_ranges` has one entry fewer than `points`: |point − the one before|. With fewer than two points in the
    baseline there are no limits: None.
    """

    points: tuple[float, ...]
    moving_ranges: tuple[float, ...]
    centre: float | None
    mean_range: float | None
    upper: float | None
    lower: float | None
    range_upper: float | None
    signals: tuple[Signal, ...]


def individuals_chart(points: Sequence[float], baseline: int | None = None) -> ControlChart:
    """The individuals and moving range chart of some points; the first `baseline` of them (all) make the limits.

    Centre ± 2.66 mean moving ranges for the points, 3.267 for the ranges (NIST/SEMATECH e-Handbook 6.3.2.2).
    """
    known = list(points)
    ranges = [abs(after - before) for before, after in pairwise(known)]
    base = known if baseline is None else known[:baseline]
    if len(base) < 2:
        centre = base[0] if base else None
        return ControlChart(tuple(known), tuple(ranges), centre, None, None, None, None, ())
    middle, width = _mean(base), _mean(ranges[: len(base) - 1])
    upper, lower, most = middle + E2 * width, middle - E2 * width, D4 * width
    signals = [*_outside(known, lower, upper), *_jumps(ranges, most), *_long_runs(known, middle)]
    signals.sort(key=lambda signal: signal.position)
    return ControlChart(tuple(known), tuple(ranges), middle, width, upper, lower, most, tuple(signals))


def _outside(points: Sequence[float], lower: float, upper: float) -> list[Signal]:
    above = [Signal(i, SignalKind.ABOVE) for i, x in enumerate(points) if x > upper]
    return above + [Signal(i, SignalKind.BELOW) for i, x in enumerate(points) if x < lower]


def _jumps(ranges: Sequence[float], most: float) -> list[Signal]:
    return [Signal(i + 1, SignalKind.JUMP) for i, width in enumerate(ranges) if width > most]


def _long_runs(points: Sequence[float], centre: float) -> list[Signal]:
    """One signal for each run that is long enough; a point on the centre ends a run."""
    found = []
    for side, group in groupby(range(len(points)), key=lambda i: (points[i] > centre) - (points[i] < centre)):
        positions = list(group)
        if side and len(positions) >= RUN_LENGTH:
            kind = SignalKind.RUN_ABOVE if side > 0 else SignalKind.RUN_BELOW
            found.append(Signal(positions[RUN_LENGTH - 1], kind))
    return found


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
