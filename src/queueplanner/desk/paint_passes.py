"""Paints the row of passes: make-ready as low columns, one a task; the run as a solid block; waiting and lateness."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QPainterPath

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.picture import PassShape, Picture
from queueplanner.desk.timeline_rows import Band

#: Heights of the columns as shares of the bar: setting is lowest, washing higher, the run full.
SETTING_SHARE, WASHING_SHARE = 0.28, 0.5
#: Passes narrower than this on the average are drawn as plain blocks, px.
_DETAIL_FROM_PX = 14.0
#: Tasks narrower than this on the average are joined, px.
_TASK_FROM_PX = 2.5
#: No minutes fit in less, px.
_MINUTES_FROM_PX = 8.0


def paint_passes(canvas: Canvas, picture: Picture) -> None:
    """All passes in sight."""
    shapes = picture.passes_between(canvas.first, canvas.last)
    if len(shapes) * _DETAIL_FROM_PX > canvas.right - canvas.left:
        _paint_crowd(canvas, picture)
        return
    _paint_makeready(canvas, picture)
    for shape in shapes:
        _write_minutes(canvas, shape)
        _paint_wait(canvas, shape)
        _paint_run(canvas, shape)


def _paint_makeready(canvas: Canvas, picture: Picture) -> None:
    """The columns of all make-readies in sight, joined by kind where single tasks would be too narrow to tell apart."""
    bars, shown = picture.tasks, picture.tasks.between(canvas.first, canvas.last)
    if (shown.stop - shown.start) * _TASK_FROM_PX > canvas.right - canvas.left:
        bars, shown = picture.blocks, picture.blocks.between(canvas.first, canvas.last)
    band, shared, washing = canvas.rows.bar, bars.shared[shown], bars.washing[shown]
    lefts, rights = canvas.xs(bars.starts[shown]), canvas.xs(bars.ends[shown])
    widths = np.where(rights - lefts > 3, rights - lefts - 1, np.maximum(1.0, rights - lefts))
    shares = np.where(shared, np.where(washing, 0.26, 0.15), np.where(washing, WASHING_SHARE, SETTING_SHARE))
    heights = band.height * shares
    tops = band.bottom - heights - band.height * np.where(shared & bars.second[shown], 0.28, 0.0)
    canvas.painter.setPen(Qt.PenStyle.NoPen)
    for chosen, token in ((~washing, "comb"), (washing, "water")):
        columns = (values[chosen].tolist() for values in (lefts, tops, widths, heights))
        canvas.painter.setBrush(canvas.colour(token))
        canvas.painter.drawRects([QRectF(*box) for box in zip(*columns, strict=True)])


def _write_minutes(canvas: Canvas, shape: PassShape) -> None:
    """The minutes of make-ready in the free room above its columns."""
    band = canvas.rows.bar
    free = Band(band.top, band.height * (1 - WASHING_SHARE))
    left, right = canvas.x(shape.start) + 2, canvas.x(shape.planned.makeready_end)
    if right - left < _MINUTES_FROM_PX:
        return
    text = canvas.figures.whole_minutes(shape.planned.makeready_seconds)
    canvas.write(text, left, right, free, canvas.colour("text"))


def _paint_wait(canvas: Canvas, shape: PassShape) -> None:
    if shape.wait is None:
        return
    y = canvas.rows.bar.bottom - canvas.rows.bar.height * SETTING_SHARE / 2
    a, b = canvas.x(shape.wait[0]), canvas.x(shape.wait[1])
    canvas.line(a + 3, y, b - 3, y, canvas.pen("mark", 3, Qt.PenStyle.DotLine))


def _paint_run(canvas: Canvas, shape: PassShape) -> None:
    band = canvas.rows.bar
    pieces = shape.planned.run_pieces
    for (_, end), (start, _) in pairwise(pieces):
        canvas.line(canvas.x(end), band.middle, canvas.x(start), band.middle, canvas.pen("bar", 2))
    painter = canvas.painter
    for start, end in pieces:
        painter.fillRect(canvas.box(start, end, band).adjusted(0, 0, -1, 0), canvas.colour("bar"))
    if shape.planned.late_seconds:
        _paint_late(canvas, shape)


def _paint_late(canvas: Canvas, shape: PassShape) -> None:
    """A late run: hollow and hatched under a lid, with a torn right edge."""
    band, late, painter = canvas.rows.bar, canvas.colour("late"), canvas.painter
    box = canvas.box(*shape.planned.run_pieces[-1], band).adjusted(0, 0, -1, 0)
    painter.fillRect(box, canvas.colour("surface"))
    painter.fillRect(box, QBrush(late, Qt.BrushStyle.BDiagPattern))
    painter.fillRect(QRectF(box.left(), band.top, box.width(), 4), late)
    painter.fillRect(QRectF(box.left(), band.top, 2, band.height), late)
    painter.fillRect(QRectF(box.left(), band.bottom - 2, box.width(), 2), late)
    tooth, right = band.height / 6, box.right()
    edge = QPainterPath(QPointF(right - 2, band.top))
    for i in range(1, 7):
        edge.lineTo(right + (tooth if i % 2 else -2), band.top + i * tooth)
    edge.lineTo(right - 4, band.bottom)
    edge.lineTo(right - 4, band.top)
    painter.fillPath(edge, late)


def _paint_crowd(canvas: Canvas, picture: Picture) -> None:
    """Very many passes: plain blocks, at most one a pixel, without tasks; a bar above the late ones."""
    shown = picture.places_between(canvas.first, canvas.last)
    xs = canvas.xs(picture.moments[shown])
    late = picture.late[shown]
    band = canvas.rows.bar
    low = Band(band.bottom - band.height * SETTING_SHARE, band.height * SETTING_SHARE)
    _fill_columns(canvas, xs[:, 0], xs[:, 1], low, "comb")
    _fill_columns(canvas, xs[:, 1], xs[:, 2], band, "bar")
    _fill_columns(canvas, xs[late, 1], xs[late, 2], Band(band.top - 4, 4), "late")


def _fill_columns(
    canvas: Canvas, starts: NDArray[np.float64], ends: NDArray[np.float64], band: Band, token: str
) -> None:
    if not len(starts):
        return
    columns = np.floor(starts)
    fresh = np.concatenate(([True], columns[1:] != columns[:-1])) | (ends - starts > 1)
    boxes = [
        QRectF(a, band.top, max(1.0, b - a), band.height)
        for a, b in zip(starts[fresh].tolist(), ends[fresh].tolist(), strict=True)
    ]
    canvas.fill_boxes(boxes, canvas.colour(token))
