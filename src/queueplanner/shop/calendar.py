"""The shop's hours: shifts, breaks and closed days, and the clock that counts working seconds through them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Annotated, Self
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import Field, model_validator

from queueplanner.shop.base import ShopModel

#: Shifts closer together than this make one working day.
NIGHT_SECONDS = 4 * 3600

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


class Break(ShopModel):
    """A pause within a shift, local time."""

    start: time
    end: time


class Shift(ShopModel):
    """One shift on some weekdays: local times (an end at or before the start is on the next day), crew, breaks."""

    days: Annotated[frozenset[str], Field(strict=False, min_length=1)]
    start: time
    end: time
    crew: Annotated[int, Field(ge=1, le=2)]
    breaks: Annotated[tuple[Break, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _days_exist(self) -> Self:
        if wrong := sorted(self.days - set(WEEKDAYS)):
            raise ValueError(f"days: no such weekday: {', '.join(wrong)}; write monday to sunday")
        return self


class Calendar(ShopModel):
    """The weekly pattern of shifts in one time zone, with closed days."""

    time_zone: str
    shifts: Annotated[tuple[Shift, ...], Field(strict=False, min_length=1)]
    closed: Annotated[frozenset[date], Field(strict=False)] = frozenset()

    @model_validator(mode="after")
    def _is_possible(self) -> Self:
        try:
            ZoneInfo(self.time_zone)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise ValueError(f"time_zone: '{self.time_zone}' is no zone of the IANA time zone database") from None
        WorkClock.of(self, datetime(2026, 1, 1, tzinfo=ZoneInfo(self.time_zone)), days=14)
        return self

    @property
    def zone(self) -> ZoneInfo:
        """The time zone."""
        return ZoneInfo(self.time_zone)

    def first_shift_start(self, day: date) -> datetime | None:
        """When the first shift of a calendar day starts; None on a day without shifts."""
        starts = [s.start for s in self.shifts if WEEKDAYS[day.weekday()] in s.days and day not in self.closed]
        return datetime.combine(day, min(starts), self.zone) if starts else None

    def with_crew(self, crew: int) -> Calendar:
        """The same hours, every shift with another crew."""
        return self.model_copy(update={"shifts": tuple(s.model_copy(update={"crew": crew}) for s in self.shifts)})


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of uninterrupted working time, half-open, epoch seconds; its working day and crew."""

    start: int
    end: int
    day: int
    crew: int


@dataclass(frozen=True, slots=True)
class WorkClock:
    """Working time as a row of windows; days are numbered from 0, the first that ends after the plan's start."""

    windows: tuple[Window, ...]
    shift_starts: tuple[int, ...]
    shift_crews: tuple[int, ...]
    day_starts: tuple[int, ...]
    day_ends: tuple[int, ...]
    _starts: tuple[int, ...]

    @classmethod
    def of(cls, calendar: Calendar, start: datetime, days: int = 60) -> WorkClock:
        """The windows of `days` calendar days from a plan's start on.

        Raises ValueError when shifts overlap or a break lies outside its shift.
        """
        shifts = sorted(_shifts_from(calendar, start.astimezone(calendar.zone).date(), days))
        for (_, end, _, _), (begin, _, _, _) in pairwise(shifts):
            if begin < end:
                raise ValueError(f"two shifts overlap on {datetime.fromtimestamp(begin, calendar.zone):%A}")
        plan_start = int(start.timestamp())
        return cls.of_shifts(shifts, plan_start)

    @classmethod
    def of_shifts(
        cls, shifts: Sequence[tuple[int, int, int, tuple[tuple[int, int], ...]]], plan_start: int
    ) -> WorkClock:
        """The clock of explicit shifts (start, end, crew, breaks), epoch seconds, in order."""
        grouped: list[list[tuple[int, int, int, tuple[tuple[int, int], ...]]]] = []
        for shift in shifts:
            if grouped and shift[0] - grouped[-1][-1][1] < NIGHT_SECONDS:
                grouped[-1].append(shift)
            else:
                grouped.append([shift])
        grouped = [day for day in grouped if day[-1][1] > plan_start]
        windows = tuple(
            Window(a, b, number, crew)
            for number, day in enumerate(grouped)
            for start, end, crew, breaks in day
            for a, b in _without(start, end, breaks)
        )
        flat = [shift for day in grouped for shift in day]
        return cls(
            windows=windows,
            shift_starts=tuple(s[0] for s in flat),
            shift_crews=tuple(s[2] for s in flat),
            day_starts=tuple(day[0][0] for day in grouped),
            day_ends=tuple(day[-1][1] for day in grouped),
            _starts=tuple(w.start for w in windows),
        )

    def window_at_or_after(self, moment: int) -> int:
        """Index of the window that holds a moment, else of the next one; len(windows) past the horizon."""
        index = bisect_right(self._starts, moment) - 1
        if index >= 0 and moment < self.windows[index].end:
            return index
        return index + 1

    def crew_at(self, moment: int) -> int:
        """The crew of the shift that holds a moment, else of the last one begun before it."""
        return self.shift_crews[max(0, bisect_right(self.shift_starts, moment) - 1)]

    def without(self, start: int, end: int) -> WorkClock:
        """The same clock with a stretch in which nobody works, as when the press is down."""
        cut = (
            replace(window, start=a, end=b)
            for window in self.windows
            for a, b in _without(window.start, window.end, [(start, end)])
        )
        return self._with_windows(cut)

    def longer(self, day: int, seconds: int) -> WorkClock:
        """The same clock with a working day that ends later, though not after the next one begins.

        Raises IndexError for a day past the horizon.
        """
        end = self.day_ends[day] + seconds
        if day + 1 < len(self.day_starts):
            end = min(end, self.day_starts[day + 1])
        last = max(i for i, window in enumerate(self.windows) if window.day == day)
        windows = (replace(window, end=end) if i == last else window for i, window in enumerate(self.windows))
        return replace(self._with_windows(windows), day_ends=(*self.day_ends[:day], end, *self.day_ends[day + 1 :]))

    def with_crew(self, crew: int) -> WorkClock:
        """The same hours with another crew."""
        windows = (replace(window, crew=crew) for window in self.windows)
        return replace(self._with_windows(windows), shift_crews=(crew,) * len(self.shift_crews))

    def _with_windows(self, windows: Iterable[Window]) -> WorkClock:
        kept = tuple(windows)
        return replace(self, windows=kept, _starts=tuple(window.start for window in kept))

    def pieces(self, start: int, seconds: int) -> list[tuple[int, int]]:
        """The stretches of clock time that so many working seconds take from a working moment on."""
        pieces: list[tuple[int, int]] = []
        index = self.window_at_or_after(start)
        while seconds > 0 and index < len(self.windows):
            window = self.windows[index]
            begin = max(start, window.start)
            end = min(window.end, begin + seconds)
            pieces.append((begin, end))
            seconds -= end - begin
            index += 1
        return pieces


def _without(start: int, end: int, breaks: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    for a, b in sorted(breaks):
        if start < a:
            yield start, min(a, end)
        start = max(start, b)
    if start < end:
        yield start, end


def _shifts_from(
    calendar: Calendar, first: date, days: int
) -> Iterator[tuple[int, int, int, tuple[tuple[int, int], ...]]]:
    for number in range(-1, days + 1):
        day = first + timedelta(days=number)
        if day in calendar.closed:
            continue
        for shift in calendar.shifts:
            if WEEKDAYS[day.weekday()] in shift.days:
                start, end, crew, breaks = _shift_on(shift, day, calendar.zone)
                if start < end:  # not one that lies within the hour that is left out
                    yield start, end, crew, breaks


def _shift_on(shift: Shift, day: date, zone: ZoneInfo) -> tuple[int, int, int, tuple[tuple[int, int], ...]]:
    start = datetime.combine(day, shift.start)
    end = _next(start, shift.end)
    breaks = []
    for pause in shift.breaks:
        begins = start if pause.start == shift.start else _next(start, pause.start)
        ends = _next(begins, pause.end)
        if ends > end:
            raise ValueError(f"breaks: a break of the shift that starts at {shift.start:%H:%M} ends after the shift")
        breaks.append((_epoch(begins, zone), _epoch(ends, zone)))
    return _epoch(start, zone), _epoch(end, zone), shift.crew, tuple((a, b) for a, b in breaks if a < b)


def _next(after: datetime, at: time) -> datetime:
    """The first time after a moment that a wall clock shows `at`, were it never put forward or back."""
    same_day = datetime.combine(after.date(), at)
    return same_day if same_day > after else same_day + timedelta(days=1)


def _epoch(wall: datetime, zone: ZoneInfo) -> int:
    """Epoch seconds of a wall-clock time: the first of two, and for one that is left out the moment of the jump."""
    usual, other = (int(wall.replace(tzinfo=zone, fold=fold).timestamp()) for fold in (0, 1))
    if usual <= other:
        return usual
    old = datetime.fromtimestamp(other, zone).utcoffset()
    return other + bisect_right(
        range(other, usual), False, key=lambda s: datetime.fromtimestamp(s, zone).utcoffset() != old
    )
