"""The part of a plan's picture that is in sight: its zoom, its place, and where things stand in it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from PySide6.QtCore import QPointF, QRectF

from queueplanner.desk.day_model import Pick
from queueplanner.desk.picture import EveningShape, PassShape, Picture
from queueplanner.desk.theme import Theme
from queueplanner.desk.time_scale import TimeScale, folds_of
from queueplanner.desk.timeline_rows import Extra, Rows, least_height, lines_in, make_rows
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Stretch

#: The closest zoom, px an hour.
MOST_PX_PER_HOUR = 3000.0
#: The farthest zoom of a plan that is shorter: so much clock time is in sight, seconds.
FARTHEST_SECONDS = 7 * 24 * 3600
#: From this zoom on, px an hour, make-readies are split into their tasks.
SPLIT_FROM_PX_PER_HOUR = 700.0
#: Lines of task names: at least by the zoom, at least when they are asked for, and at most.
_LINES_BY_ZOOM, _LINES_ASKED_FOR, _MOST_LINES = 2, 3, 5
_NO_RULES = OrderRules()
#: Empty time kept to the right of the plan's end, seconds.
_TAIL_SECONDS = 30 * 60
#: Empty room at the right edge of the widget, px.
_MARGIN_PX = 12


@dataclass(frozen=True)
class Viewport:
    """A widget of `width` × `height` px looking at a picture.

    `left` px are taken by the row names; `wish` is the zoom asked for in px an hour, None for the whole day;
    `offset` px of the picture are scrolled away. `split` asks for make-readies split into tasks or not; None leaves
    that to the zoom. `rules` is what a person has fixed of the order, `later` the closed hours after the plan's end.
    """

    picture: Picture
    theme: Theme
    left: int
    width: int
    height: int
    wish: float | None = None
    offset: float = 0.0
    split: bool | None = None
    rules: OrderRules = _NO_RULES
    later: tuple[Stretch, ...] = ()

    @cached_property
    def rows(self) -> Rows:
        """The bands from top to bottom."""
        extra = Extra(self._task_lines, self.has_fixed)
        return make_rows(self.theme, self.picture.units, left=self.left, height=self.height, extra=extra)

    @property
    def least_height(self) -> int:
        """The least height at which all rows that are asked for can be read, px."""
        return least_height(self.theme, len(self.picture.units), Extra(self._least_lines, self.has_fixed))

    @property
    def has_fixed(self) -> bool:
        """Whether anything is pinned or kept together."""
        return bool(self.rules.places or self.rules.together)

    @property
    def is_split(self) -> bool:
        """Whether make-readies are split into their tasks."""
        return self._least_lines > 0

    @property
    def _least_lines(self) -> int:
        if self.split is not None:
            return _LINES_ASKED_FOR if self.split else 0
        return _LINES_BY_ZOOM if self.scale.px_per_hour >= SPLIT_FROM_PX_PER_HOUR else 0

    @property
    def _task_lines(self) -> int:
        """The least lines, and more where there is room."""
        least = self._least_lines
        return min(_MOST_LINES, least + lines_in(self.theme, self.height - self.least_height)) if least else 0

    @property
    def chart_width(self) -> float:
        """How wide the chart is, px."""
        return max(40.0, float(self.width - self.left - self.theme.size(_MARGIN_PX)))

    @property
    def _base(self) -> TimeScale:
        return _scales(self.picture, self.later)[0]

    @property
    def _week(self) -> TimeScale:
        """The picture carried on to a week, for plans that are shorter."""
        return _scales(self.picture, self.later)[1]

    @cached_property
    def scale(self) -> TimeScale:
        """Time to px of the picture."""
        fitting = self._base.fitting(self.chart_width)
        if self.wish is None or self.wish >= fitting:
            return self._base.zoomed(self.wish or fitting)
        return self._week.zoomed(max(self.wish, self._week.fitting(self.chart_width)))

    @property
    def overhang(self) -> int:
        """How far the picture can be scrolled, px."""
        return max(0, round(self.scale.width - self.chart_width))

    def x(self, moment: float) -> float:
        """Where a moment stands on the widget."""
        return self.left + self.scale.x(moment) - self.offset

    def moment(self, x: float) -> float:
        """The moment at a place on the widget."""
        return self.scale.moment(self.offset + x - self.left)

    @property
    def closed(self) -> tuple[Stretch, ...]:
        """The hours in which nobody works, as far as the picture may go."""
        return (*self.picture.plan.closed, *self.later)

    def zoomed(self, factor: float, at: float | None = None) -> Viewport:
        """Closer (factor over 1) or farther, keeping the moment at `at` (else the middle) where it is."""
        at = self.left + self.chart_width / 2 if at is None else max(at, float(self.left))
        moment = self.moment(at)
        wanted = min(MOST_PX_PER_HOUR, self.scale.px_per_hour * factor)
        closer = replace(self, wish=self._stopping_at_whole(wanted), offset=0.0)
        return closer.scrolled(closer.scale.x(moment) - (at - self.left))

    def _stopping_at_whole(self, wanted: float) -> float | None:
        """A zoom that passes by the whole plan on its way stops there; a zoom of 0 asks for the whole plan."""
        whole, now = self._base.fitting(self.chart_width), self.scale.px_per_hour
        passes_by = min(now, wanted) < whole < max(now, wanted)
        if wanted <= 0 or (passes_by and not math.isclose(now, whole)) or math.isclose(wanted, whole):
            return None
        return max(wanted, self._week.fitting(self.chart_width))

    def scrolled(self, offset: float) -> Viewport:
        """Scrolled to an offset, kept within the picture."""
        return replace(self, offset=min(float(self.overhang), max(0.0, offset)))

    def showing(self, start: float, end: float) -> Viewport:
        """Scrolled no more than is needed to see a stretch of time."""
        left, right = self.scale.x(start), self.scale.x(end)
        if left < self.offset:
            return self.scrolled(left - self.chart_width * 0.1)
        if right > self.offset + self.chart_width:
            return self.scrolled(min(left - self.chart_width * 0.1, right - self.chart_width * 0.9))
        return self

    def pick_at(self, place: QPointF) -> Pick | None:
        """What stands at a place on the widget."""
        if place.x() < self.left:
            return None
        moment = self.moment(place.x())
        here: list[PassShape | EveningShape] = [*self.picture.passes_between(moment, moment)]
        here += self.picture.evenings
        return next((s.pick for s in here if s.start <= moment < s.end), None)

    def unit_at(self, place: QPointF) -> int | None:
        """The unit whose rows a place is in."""
        return next((u.unit for u in self.rows.units if u.name.top <= place.y() < u.plate.bottom), None)

    def column_of(self, pick: Pick | None) -> QRectF | None:
        """Where a pass or evening stands, from its label to the stock; None if it is out of sight."""
        shape = self.picture.shape_of(pick)
        if shape is None:
            return None
        x = self.x(shape.start)
        rows = self.rows
        column = QRectF(x, rows.labels[0].top, max(2.0, self.x(shape.end) - x), rows.bottom - rows.labels[0].top)
        chart = QRectF(self.left, 0, self.chart_width, rows.bottom)
        return column.intersected(chart) if column.intersects(chart) else None


@lru_cache(maxsize=4)
def _scales(picture: Picture, later: tuple[Stretch, ...]) -> tuple[TimeScale, TimeScale]:
    """The scales of a picture and of its week, at any zoom: what stays the same however it is looked at."""
    plan, end = picture.plan, picture.end + _TAIL_SECONDS
    week = max(end, picture.start + FARTHEST_SECONDS)
    return (
        TimeScale(picture.start, end, folds_of(plan), 60.0),
        TimeScale(picture.start, week, folds_of(plan, later), 60.0),
    )
