"""Paints the timeline's ground: days and hours along the top, breaks shaded, closed hours folded, row names."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import lru_cache

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPolygonF

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.timeline_rows import Band
from queueplanner.planning.plan import Stretch

#: Steps of the ruler in minutes, finest first.
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 7 * 1440, 28 * 1440)
#: Lines nearer to each other than this are left out, px.
_LEAST_TICK_PX = 4.0
#: A tooth of a torn edge, and how wide a fold must be to show its teeth, px.
_TOOTH_PX, _TORN_FROM_PX = 5.0, 4.0


def paint_closed(canvas: Canvas, closed: tuple[Stretch, ...]) -> None:
    """Shade the hours in which nobody works."""
    folds = set(canvas.scale.folds)
    band = Band(canvas.rows.hours.top, canvas.rows.bottom - canvas.rows.hours.top)
    shown = [(a, b) for a, b in closed if canvas.sees(a, b) and (a, b) not in folds]
    canvas.fill_boxes([canvas.box(a, b, band) for a, b in shown], canvas.colour("sunken"))
    for start, end in folds:
        if canvas.sees(start, end):
            _paint_fold(canvas, canvas.box(start, end, band))


def paint_ruler(canvas: Canvas) -> None:
    """Hour lines and their times, and the name of each day where it begins or the picture's left edge is."""
    placed = list(_placed_ticks(canvas))
    top, bottom = canvas.rows.chart_top, canvas.rows.bottom
    painter = canvas.painter
    painter.setPen(canvas.pen("hair"))
    painter.drawLines([QLineF(x, top, x, bottom) for _, x in placed])
    painter.setPen(canvas.pen("mark"))
    painter.drawLines([QLineF(x, top - 5, x, top) for _, x in placed])
    label_width = canvas.width_of("00:00")
    soft, behind = canvas.colour("soft"), canvas.left
    for moment, x in placed:
        left = max(canvas.left, x - label_width / 2)
        if left >= behind and left + label_width <= canvas.right:
            canvas.write(canvas.figures.clock(moment), left, canvas.right, canvas.rows.hours, soft)
            behind = left + label_width + 10
    _paint_days(canvas)


def _placed_ticks(canvas: Canvas) -> Iterator[tuple[int, float]]:
    """The ticks that are drawn, and where."""
    drawn = -_LEAST_TICK_PX
    for moment in _ticks(canvas, _step_minutes(canvas)):
        x = canvas.x(moment)
        if x - drawn >= _LEAST_TICK_PX and not canvas.scale.is_folded(moment):
            drawn = x
            yield moment, x


def paint_row_names(canvas: Canvas, names: list[tuple[Band, str]]) -> None:
    """The column of row names at the left."""
    for band, name in names:
        canvas.write(name, 12, canvas.left, band, canvas.colour("soft"))


def _paint_fold(canvas: Canvas, box: QRectF) -> None:
    """Closed hours folded away: a narrow strip with torn edges; where it is hardly wider than its teeth, a line."""
    painter = canvas.painter
    painter.fillRect(box, canvas.colour("sunken"))
    if box.width() < _TORN_FROM_PX:
        canvas.line(box.left(), box.top(), box.left(), box.bottom(), canvas.pen("mark", 1.2, Qt.PenStyle.DashLine))
        return
    painter.setPen(canvas.pen("mark", 1.2))
    for x, way in ((box.left(), 1.0), (box.right(), -1.0)):
        painter.drawPolyline(_torn_edge(round(box.height()), way).translated(x, box.top()))


@lru_cache(maxsize=8)
def _torn_edge(height: int, way: float) -> QPolygonF:
    teeth = range(int(height / _TOOTH_PX))
    return QPolygonF([QPointF(way * _TOOTH_PX if i % 2 else 0.0, i * _TOOTH_PX) for i in teeth])


def _paint_days(canvas: Canvas) -> None:
    text = canvas.colour("text")
    starts = [canvas.scale.start, *(end for _, end in canvas.scale.folds)]
    for start, following in zip(starts, [*starts[1:], canvas.scale.end + 1], strict=True):
        if not canvas.sees(start, following):
            continue
        x = max(canvas.left, canvas.x(start))
        right = min(canvas.right, canvas.x(following)) - 8
        for name in (canvas.figures.long_day(start), canvas.figures.short_day(start), canvas.figures.weekday(start)):
            if canvas.write(name, x, right, canvas.rows.days, text, bold=True) is not None:
                break


def _step_minutes(canvas: Canvas) -> int:
    wanted = canvas.width_of("00:00") + 18
    for step in _STEPS_MIN:
        if step * canvas.scale.px_per_hour / 60 >= wanted:
            return step
    return _STEPS_MIN[-1]


def _ticks(canvas: Canvas, step_minutes: int) -> Iterator[int]:
    """Round local times in sight."""
    at = canvas.figures.local(int(canvas.first))
    midnight = datetime(at.year, at.month, at.day, tzinfo=at.tzinfo)
    minute = (at.hour * 60 + at.minute) // step_minutes * step_minutes
    while True:
        day, rest = divmod(minute, 24 * 60)
        local = midnight + timedelta(days=day, minutes=rest)
        moment = int(local.timestamp())
        if moment > canvas.last:
            return
        if moment >= canvas.first:
            yield moment
        minute += step_minutes
