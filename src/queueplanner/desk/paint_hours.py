"""Paints the timeline's ground: days and hours along the top, breaks shaded, closed hours folded, row names."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPolygonF

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.timeline_rows import Band
from queueplanner.planning.plan import Stretch

#: Steps of the ruler in minutes, finest first.
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 180, 360, 720)


def paint_closed(canvas: Canvas, closed: tuple[Stretch, ...]) -> None:
    """Shade the hours in which nobody works."""
    folds = set(canvas.scale.folds)
    height = canvas.rows.bottom - canvas.rows.hours.top
    for start, end in closed:
        if not canvas.sees(start, end) or (start, end) in folds:
            continue
        box = canvas.box(start, end, Band(canvas.rows.hours.top, height))
        canvas.painter.fillRect(box, canvas.colour("sunken"))
    for start, end in folds:
        if canvas.sees(start, end):
            _paint_fold(canvas, canvas.box(start, end, Band(canvas.rows.hours.top, height)))


def paint_ruler(canvas: Canvas) -> None:
    """Hour lines and their times, and the name of each day where it begins or the picture's left edge is."""
    step = _step_minutes(canvas)
    label_width = canvas.width_of("00:00")
    soft = canvas.colour("soft")
    behind = canvas.left
    for moment in _ticks(canvas, step):
        if any(a < moment < b for a, b in canvas.scale.folds):
            continue
        x = canvas.x(moment)
        canvas.line(x, canvas.rows.chart_top, x, canvas.rows.bottom, canvas.pen("hair"))
        canvas.line(x, canvas.rows.chart_top - 5, x, canvas.rows.chart_top, canvas.pen("mark"))
        left = max(canvas.left, x - label_width / 2)
        if left >= behind and left + label_width <= canvas.right:
            canvas.write(canvas.figures.clock(moment), left, canvas.right, canvas.rows.hours, soft)
            behind = left + label_width + 10
    _paint_days(canvas)


def paint_row_names(canvas: Canvas, names: list[tuple[Band, str]]) -> None:
    """The column of row names at the left."""
    for band, name in names:
        canvas.write(name, 12, canvas.left, band, canvas.colour("soft"))


def _paint_fold(canvas: Canvas, box: QRectF) -> None:
    """Closed hours folded away: a narrow strip with torn edges."""
    tooth = 5.0
    painter = canvas.painter
    painter.fillRect(box, canvas.colour("sunken"))
    painter.setPen(canvas.pen("mark", 1.2))
    for x, way in ((box.left(), 1.0), (box.right(), -1.0)):
        teeth = range(int(box.height() / tooth))
        points = [QPointF(x + (way * tooth if i % 2 else 0.0), box.top() + i * tooth) for i in teeth]
        painter.drawPolyline(QPolygonF(points))


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
