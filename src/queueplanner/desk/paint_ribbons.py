"""Paints a unit's ribbon: ink stands high while it prints, low while it waits; waves mark its wash."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import zip_longest

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.ink_colour import paint_ink, screen_colour
from queueplanner.desk.picture import InkShape, Picture, WashShape
from queueplanner.desk.picture_arrays import RibbonArrays
from queueplanner.desk.timeline_rows import Band, UnitRows
from queueplanner.planning.plan import Holding, UnitSpan

#: How high standing ink is drawn, as a share of the ribbon.
STANDING_SHARE = 0.34
#: How long a wave is, px.
_WAVE_PX = 8.0
#: Longest slope between two levels, px.
_SLOPE_PX = 7.0
#: A ribbon of more spans than this many px each is drawn without outlines.
_DETAIL_FROM_PX = 8.0


def paint_track(canvas: Canvas, rows: UnitRows) -> None:
    """The bed a unit's ribbon runs in: neither black nor white, so that both inks stand out from it."""
    bed = QRectF(canvas.left, rows.ribbon.top - 1, canvas.right - canvas.left, rows.ribbon.height + 1)
    canvas.painter.fillRect(bed, canvas.colour("track"))


def paint_ribbon(canvas: Canvas, picture: Picture, rows: UnitRows) -> None:
    """Everything in one unit's rows."""
    band = rows.ribbon
    if _crowded(canvas, picture):
        _paint_crowd(canvas, picture.ribbons[rows.unit], band)
        return
    spans = canvas.in_sight(picture.spans[rows.unit])
    _paint_washes(canvas, canvas.in_sight(picture.washes[rows.unit]), rows)
    shapes = canvas.in_sight(picture.inks[rows.unit])
    for shape in shapes:
        paint_ink(canvas.painter, _outline(canvas, shape, band), shape.ink, canvas.theme)
    _paint_names(canvas, shapes, rows.name)
    _paint_plates(canvas, spans, rows.plate)


def _crowded(canvas: Canvas, picture: Picture) -> bool:
    """Whether there is no room for outlines in the fullest unit; all units are drawn alike."""
    most = max(int(np.ptp(np.searchsorted(r.ends, (canvas.first, canvas.last)))) for r in picture.ribbons.values())
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


def _paint_washes(canvas: Canvas, washes: Sequence[WashShape], rows: UnitRows) -> None:
    """Three waves wherever the rollers are washed."""
    canvas.painter.setBrush(Qt.BrushStyle.NoBrush)
    canvas.painter.setPen(QPen(canvas.colour("water"), 2))
    for wash in washes:
        box = canvas.box(wash.start, wash.end, rows.ribbon, least=8)
        hidden = max(0.0, (canvas.left - 20 - box.left()) // _WAVE_PX * _WAVE_PX)
        width = min(box.width() - hidden, canvas.right - canvas.left + 40)
        canvas.painter.drawPath(_waves(round(width), round(box.height())).translated(box.left() + hidden, box.top()))


@lru_cache(maxsize=64)
def _waves(width: int, height: int) -> QPainterPath:
    """Three waves below each other in a box."""
    rise, path = 3.0, QPainterPath()
    for y in (height * (0.25 + 0.27 * i) for i in range(3)):
        path.moveTo(0, y)
        x, up = 0.0, True
        while x + 2 < width:
            to = min(width, x + _WAVE_PX / 2)
            path.quadTo((x + to) / 2, y + (-rise if up else rise), to, y)
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


def _paint_crowd(canvas: Canvas, ribbon: RibbonArrays, band: Band) -> None:
    """Very many spans: plain blocks in the inks' colours, at most one a pixel."""
    first = int(np.searchsorted(ribbon.ends, canvas.first))
    last = min(len(ribbon.ends), int(np.searchsorted(ribbon.ends, canvas.last)) + 1)
    rights = np.minimum(canvas.xs(ribbon.ends[first:last]), canvas.right)
    columns = np.floor(rights)
    fresh = np.concatenate((columns[1:] != columns[:-1], np.ones(min(1, len(rights)), dtype=bool)))
    rights, ink, printing = rights[fresh], ribbon.ink[first:last][fresh], ribbon.printing[first:last][fresh]
    lefts = np.concatenate(([canvas.left], rights[:-1])) if len(rights) else rights
    widths = np.maximum(1.0, rights - lefts)
    heights = band.height * np.where(printing, 1.0, STANDING_SHARE)
    for number in np.unique(ink[ink >= 0]).tolist():
        chosen = ink == number
        boxes = zip(lefts[chosen].tolist(), widths[chosen].tolist(), heights[chosen].tolist(), strict=True)
        rects = [QRectF(x, band.bottom - high, wide, high) for x, wide, high in boxes]
        canvas.fill_boxes(rects, QColor(screen_colour(ribbon.inks[number])))
    canvas.line(canvas.left, band.bottom, canvas.right, band.bottom, canvas.pen("ring_out"))
