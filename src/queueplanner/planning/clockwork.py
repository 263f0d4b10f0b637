"""Where on the clock a make-ready and its run can stand."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from queueplanner.shop.calendar import WorkClock

Stretch = tuple[int, int]


class Misfit(StrEnum):
    """Why a pass does not fit into a working day."""

    MAKEREADY = "its make-ready does not end before the day does"
    RUN_START = "its run cannot start before the day ends"
    RUN_END = "its run does not end before the day does, and this press may not leave a run overnight"
    PAUSE = "its run would pause longer than the open time of its inks"


@dataclass(frozen=True, slots=True)
class Placement:
    """A make-ready and its run on the clock, in stretches without breaks and closed time."""

    makeready: tuple[Stretch, ...]
    run: tuple[Stretch, ...]

    @property
    def run_start(self) -> int:
        """When the run starts."""
        return self.run[0][0]

    @property
    def run_end(self) -> int:
        """When the run ends."""
        return self.run[-1][1]


@dataclass(frozen=True, slots=True)
class RunNeeds:
    """What binds a run: working seconds, the earliest start (dry first side), the longest pause its inks allow."""

    seconds: int
    not_before: int
    longest_pause: int
    may_cross_days: bool


def next_working(clock: WorkClock, moment: int) -> int | None:
    """The first working second at or after a moment; None past the calendar's horizon."""
    index = clock.window_at_or_after(moment)
    return None if index == len(clock.windows) else max(moment, clock.windows[index].start)


def day_of(clock: WorkClock, moment: int) -> int:
    """The working day a working moment belongs to."""
    return clock.windows[clock.window_at_or_after(moment)].day


def place_within_day(clock: WorkClock, begin: int, makeready_seconds: int, run: RunNeeds) -> Placement | Misfit:
    """Place a make-ready that begins at a working moment, and its run, or say why the day cannot hold them."""
    day = day_of(clock, begin)
    makeready = clock.pieces(begin, makeready_seconds)
    ended = makeready[-1][1] if makeready else begin
    if sum(b - a for a, b in makeready) < makeready_seconds or (makeready and day_of(clock, makeready[-1][0]) != day):
        return Misfit.MAKEREADY
    start = next_working(clock, max(ended, run.not_before))
    misfit = Misfit.RUN_START
    while start is not None and day_of(clock, start) == day:
        pieces = clock.pieces(start, run.seconds)
        if sum(b - a for a, b in pieces) < run.seconds:
            return Misfit.RUN_END
        resumed = _after_long_pause(pieces, run.longest_pause)
        if resumed is None:
            if not run.may_cross_days and day_of(clock, pieces[-1][0]) != day:
                return Misfit.RUN_END
            return Placement(tuple(makeready), tuple(pieces))
        start, misfit = resumed, Misfit.PAUSE
    return misfit


def carry_on(clock: WorkClock, begin: int, makeready_seconds: int, run: RunNeeds) -> Placement | Misfit:
    """Place what is left of a pass that is on the press: it pauses over any closed time, and only drying binds it."""
    makeready = clock.pieces(begin, makeready_seconds)
    ended = makeready[-1][1] if makeready else begin
    start = next_working(clock, max(ended, run.not_before))
    if start is None or sum(b - a for a, b in makeready) < makeready_seconds:
        return Misfit.MAKEREADY
    pieces = clock.pieces(start, run.seconds) or [(start, start)]
    if sum(b - a for a, b in pieces) < run.seconds:
        return Misfit.RUN_END
    return Placement(tuple(makeready), tuple(pieces))


def _after_long_pause(pieces: list[Stretch], longest: int) -> int | None:
    """Where a run would go on after its first pause that is too long; None if it has none."""
    for (_, stopped), (resumed, _) in pairwise(pieces):
        if resumed - stopped > longest:
            return resumed
    return None
