"""Paints a unit's ribbon: ink stands high while it prints, low while it waits; waves mark its wash."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.ink_colour import paint_ink, screen_colour
from queueplanner.desk.picture import InkShape, Picture, WashShape
from queueplanner.desk.timeline_rows import Band, UnitRows
from queueplanner.planning.plan import Holding, UnitSpan

#: How high standing ink is drawn, as a share of the ribbon.
STANDING_SHARE = 0.34
#: Longest slope between two levels, px.
_SLOPE_PX = 7.0
#: A ribbon of more spans than this many px each is drawn without outlines.
_DETAIL_FROM_PX = 6.0


def paint_track(canvas: Canvas, rows: UnitRows) -> None:
    """The bed a unit's ribbon runs in: neither black nor white, so that both inks stand out from it."""
    bed = QRectF(canvas.left, rows.ribbon.top - 1, canvas.right - canvas.left, rows.ribbon.height + 1)
    canvas.painter.fillRect(bed, canvas.colour("track"))


def paint_ribbon(canvas: Canvas, picture: Picture, rows: UnitRows) -> None:
    """Everything in one unit's rows."""
    band = rows.ribbon
    spans = canvas.in_sight(picture.spans[rows.unit])
    if _crowded(canvas, picture):
        _paint_crowd(canvas, spans, picture.ends_between(rows.unit, spans), band)
        return
    for wash in canvas.in_sight(picture.washes[rows.unit]):
        _paint_wash(canvas, wash, rows)
    shapes = canvas.in_sight(picture.inks[rows.unit])
    for shape in shapes:
        paint_ink(canvas.painter, _outline(canvas, shape, band), shape.ink, canvas.theme)
    _paint_names(canvas, shapes, rows.name)
    _paint_plates(canvas, spans, rows.plate)


def _crowded(canvas: Canvas, picture: Picture) -> bool:
    """Whether there is no room for outlines in the fullest unit; all units are drawn alike."""
    most = max(len(canvas.in_sight(spans)) for spans in picture.spans.values())
    return most * _DETAIL_FROM_PX > canvas.right - canvas.left


def _level(span: UnitSpan, band: Band) -> float:
    share = 1.0 if span.holding is Holding.PRINTING else STANDING_SHARE
    return band.bottom - band.height * share


def _outline(canvas: Canvas, shape: InkShape, band: Band) -> QPainterPath:
    """The ribbon's outline: flat below, stepped with short slopes above."""
    left, right = canvas.x(shape.start), canvas.x(shape.end)
    path = QPainterPath(QPointF(left, band.bottom))
    for span, x1, x2 in _levels(canvas, shape):
        slope = min(_SLOPE_PX, (x2 - x1) / 3)
        y = _level(span, band)
        path.lineTo(x1 + slope / 2, y)
        path.lineTo(x2 - slope / 2, y)
    path.lineTo(right, band.bottom)
    path.closeSubpath()
    return path


def _levels(canvas: Canvas, shape: InkShape) -> Iterator[tuple[UnitSpan, float, float]]:
    """The spans of a ribbon in sight; far ends are drawn in just beyond the edge."""
    for span in canvas.in_sight(shape.spans):
        yield span, max(canvas.left - 20, canvas.x(span.start)), min(canvas.right + 20, canvas.x(span.end))


def _paint_names(canvas: Canvas, shapes: Sequence[InkShape], band: Band) -> None:
    """Each ink's name above its ribbon, kept in sight while the ribbon is."""
    text = canvas.colour("text")
    for shape, following in zip_longest(shapes, shapes[1:]):
        left = max(canvas.left + 2, canvas.x(shape.start))
        right = min(canvas.right, canvas.x(following.start) - 10 if following else canvas.right)
        canvas.write(shape.ink.name, left, right, band, text)


def _paint_wash(canvas: Canvas, wash: WashShape, rows: UnitRows) -> None:
    """Three waves where the rollers are washed."""
    box = canvas.box(wash.start, wash.end, rows.ribbon, least=8)
    painter = canvas.painter
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(canvas.colour("water"), 2))
    for i in range(3):
        painter.drawPath(_wave(box, box.top() + box.height() * (0.25 + 0.27 * i)))


def _wave(box: QRectF, y: float) -> QPainterPath:
    length, height = 8.0, 3.0
    path = QPainterPath(QPointF(box.left(), y))
    x, up = box.left(), True
    while x + 2 < box.right():
        to = min(box.right(), x + length / 2)
        path.quadTo(QPointF((x + to) / 2, y + (-height if up else height)), QPointF(to, y))
        x, up = to, not up
    return path


def _paint_plates(canvas: Canvas, spans: Sequence[UnitSpan], band: Band) -> None:
    """A thin line under the ribbon as long as one plate stays on."""
    held: tuple[str, int, int] | None = None
    pen = canvas.pen("mark", band.height * 0.45)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    for span in [*spans, None]:
        plate = span.plate.id if span is not None and span.plate is not None else None
        if held is not None and (span is None or plate != held[0]):
            canvas.line(canvas.x(held[1]) + 1.5, band.middle + 1, canvas.x(held[2]) - 1.5, band.middle + 1, pen)
            held = None
        if span is not None and plate is not None:
            held = (plate, held[1] if held else span.start, span.end)


def _paint_crowd(canvas: Canvas, spans: Sequence[UnitSpan], ends: NDArray[np.float64], band: Band) -> None:
    """Very many spans: plain blocks in the inks' colours, at most one a pixel."""
    rights = canvas.left - canvas.offset + canvas.scale.xs(ends)
    columns = np.floor(rights)
    fresh = np.flatnonzero(np.concatenate((columns[1:] != columns[:-1], [True])))
    boxes: dict[str, list[QRectF]] = {}
    left = canvas.left
    for i in fresh.tolist():
        span, right = spans[i], float(rights[i])
        if span.ink is not None:
            y = _level(span, band)
            box = QRectF(left, y, max(1.0, right - left), band.bottom - y)
            boxes.setdefault(screen_colour(span.ink), []).append(box)
        left = right
    canvas.painter.setPen(Qt.PenStyle.NoPen)
    for colour, rects in boxes.items():
        canvas.painter.setBrush(QColor(colour))
        canvas.painter.drawRects(rects)
    canvas.line(canvas.left, band.bottom, canvas.right, band.bottom, canvas.pen("ring_out"))
