"""Paints the moment it is now: a line across all rows, with a pointer and the time at its head."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from queueplanner.desk.figures import Figures
from queueplanner.desk.theme import TextRole
from queueplanner.desk.viewport import Viewport

_POINTER_PX, _PAD_PX = 6.0, 5.0


def paint_now(painter: QPainter, view: Viewport, figures: Figures, now: float, word: str) -> None:
    """The line and its head, if the moment is in sight; `word` takes the time."""
    x = view.x(now)
    if not view.picture.start <= now <= view.scale.end or not view.left <= x <= view.left + view.chart_width:
        return
    rows, text = view.rows, view.theme.colour("text")
    painter.setPen(QPen(view.theme.colour("surface"), 4))
    painter.drawLine(QPointF(x, rows.hours.bottom), QPointF(x, rows.bottom))
    painter.setPen(QPen(text, 2))
    painter.drawLine(QPointF(x, rows.hours.bottom), QPointF(x, rows.bottom))
    painter.setFont(view.theme.font(TextRole.STRONG))
    said = word.format(time=figures.clock(int(now)))
    width = painter.fontMetrics().horizontalAdvance(said) + 2 * _PAD_PX
    left = min(max(view.left, x - width / 2), view.left + view.chart_width - width)
    box = QRectF(left, rows.hours.top + 1, width, rows.hours.height - 1)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(text)
    painter.drawRoundedRect(box, 3, 3)
    tip = [(x - _POINTER_PX, box.bottom()), (x + _POINTER_PX, box.bottom()), (x, box.bottom() + _POINTER_PX + 2)]
    painter.drawPolygon(QPolygonF([QPointF(a, b) for a, b in tip]))
    painter.setPen(view.theme.colour("surface"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, said)
