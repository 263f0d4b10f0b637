"""Shifts, breaks and working days as plain lists of half-open intervals, walked through one by one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from tests.oracle.problem import Shift

Interval = tuple[int, int]
GAP_BETWEEN_DAYS = 4 * 3600


@dataclass(frozen=True)
class Day:
    """A working day: a run of shifts with gaps under four hours; [first one's start, last one's end)."""

    start: int
    end: int


def working_intervals(shifts: tuple[Shift, ...], breaks: tuple[Interval, ...]) -> list[Interval]:
    """The shifts without the breaks, touching pieces joined, in order."""
    pieces = sorted((shift.start, shift.end) for shift in shifts)
    for break_start, break_end in breaks:
        before = [(start, min(end, break_start)) for start, end in pieces]
        after = [(max(start, break_end), end) for start, end in pieces]
        pieces = sorted({(start, end) for start, end in before + after if start < end})
    joined: list[Interval] = []
    for start, end in pieces:
        if joined and joined[-1][1] == start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined


def working_days(shifts: tuple[Shift, ...]) -> list[Day]:
    """Shifts gathered into working days."""
    days: list[Day] = []
    for shift in sorted(shifts, key=lambda s: s.start):
        if days and shift.start < days[-1].end:
            raise ValueError("shifts overlap")
        if days and shift.start - days[-1].end < GAP_BETWEEN_DAYS:
            days[-1] = Day(days[-1].start, shift.end)
        else:
            days.append(Day(shift.start, shift.end))
    return days


class Clock:
    """When there is work, which working day a moment belongs to and who is there."""

    def __init__(self, shifts: tuple[Shift, ...], breaks: tuple[Interval, ...]) -> None:
        self.shifts = sorted(shifts, key=lambda s: s.start)
        self.work = working_intervals(shifts, breaks)
        self.days = working_days(shifts)

    def next_working(self, moment: int) -> int | None:
        """The first moment of work at or after the given one; None when the calendar has no more."""
        for start, end in self.work:
            if moment < end:
                return max(moment, start)
        return None

    def advance(self, start: int, seconds: int) -> int | None:
        """When so much work begun at `start` is done, pauses left out; None when the calendar ends before."""
        left = seconds
        for piece_start, piece_end in self.work:
            begin = max(start, piece_start)
            if begin >= piece_end:
                continue
            if left <= piece_end - begin:
                return begin + left
            left -= piece_end - begin
        return None

    def pauses(self, start: int, end: int) -> list[Interval]:
        """The closed times (breaks, gaps, nights) that lie inside work running from `start` to `end`."""
        return [
            (before[1], after[0])
            for before, after in pairwise(self.work)
            if start < before[1] and after[0] < end
        ]

    def day_of(self, moment: int) -> Day:
        """The working day a moment of work lies in."""
        return next(day for day in self.days if day.start <= moment < day.end)

    def day_after(self, day: Day) -> Day | None:
        """The next working day."""
        later = [other for other in self.days if other.start >= day.end]
        return later[0] if later else None

    def work_in(self, day: Day) -> int:
        """Seconds of work a day has."""
        return sum(end - start for start, end in self.work if day.start <= start < day.end)

    def crew_at(self, moment: int) -> int:
        """People of the shift a moment lies in; after a shift's end, of the shift that began last."""
        return [shift for shift in self.shifts if shift.start <= moment][-1].crew
