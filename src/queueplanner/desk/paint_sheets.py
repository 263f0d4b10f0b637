"""Paints what lies in the feeder: the format as a small sheet to scale, the stock as a line as thick as its caliper."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPen

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.picture import Picture, SheetStretch
from queueplanner.desk.timeline_rows import Band

#: A sheet this long fills the row, mm.
_FULL_MM = 520.0
#: Stretches narrower than this on the average are left out, px.
_LEAST_PX = 14.0


def paint_sheets(canvas: Canvas, picture: Picture) -> None:
    """Both rows: formats above, stocks below."""
    for stretches, band in ((picture.formats, canvas.rows.format), (picture.stocks, canvas.rows.stock)):
        shown = canvas.in_sight(stretches)
        if len(shown) * _LEAST_PX < canvas.right - canvas.left:
            _paint_row(canvas, shown, band)


def _paint_row(canvas: Canvas, stretches: Sequence[SheetStretch], band: Band) -> None:
    for stretch, following in zip_longest(stretches, stretches[1:]):
        end = following.start if following else stretch.end
        x, right = canvas.x(stretch.start), min(canvas.right, canvas.x(end))
        canvas.line(x, band.top + 3, x, band.bottom - 3, canvas.pen("mark", 1.5))
        left = max(canvas.left, x) + 6
        width, sign = canvas.width_of(stretch.text), band.height
        if left + sign + width <= right - 4 or left + width > right - 4:
            left = _paint_sign(canvas, left, right, band, stretch)
        canvas.write(stretch.text, left, right - 4, band, canvas.colour("text"))


def _paint_sign(canvas: Canvas, left: float, right: float, band: Band, stretch: SheetStretch) -> float:
    if stretch.caliper_um:
        return _paint_caliper(canvas, left, right, band, stretch.caliper_um)
    return _paint_sheet(canvas, left, right, band, stretch.sides_mm)


def _paint_sheet(canvas: Canvas, left: float, right: float, band: Band, sides: tuple[float, float]) -> float:
    room = band.height - 6
    height, width = (room * min(1.0, side / _FULL_MM) for side in sides)
    if left + width > right:
        return left
    canvas.painter.setPen(canvas.pen("mark", 1.2))
    canvas.painter.setBrush(canvas.colour("surface"))
    canvas.painter.drawRect(QRectF(left, band.middle - height / 2, width, height))
    return left + room + 5


def _paint_caliper(canvas: Canvas, left: float, right: float, band: Band, caliper_um: int) -> float:
    length = band.height - 6
    if left + length > right:
        return left
    pen = QPen(canvas.colour("mark"), max(1.0, caliper_um / 40))
    canvas.line(left, band.middle, left + length, band.middle, pen)
    return left + length + 5
