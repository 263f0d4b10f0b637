"""Signs in the job sheet: a filled triangle for what is wrong, a hollow diamond for what is still empty."""

from __future__ import annotations

from enum import StrEnum

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from queueplanner.desk.sheet_rows import NOTHING
from queueplanner.desk.theme import Theme
from queueplanner.shop.errors import Problem

#: Side of a sign at the usual text size, px.
MARK_PX = 15


class Mark(StrEnum):
    """What a sign says."""

    WRONG = "wrong"
    MISSING = "missing"


def mark_of(problem: Problem | None) -> Mark | None:
    """The sign of a cell's problem."""
    if problem is None:
        return None
    return Mark.MISSING if problem.found == NOTHING else Mark.WRONG


def paint_mark(painter: QPainter, box: QRectF, mark: Mark, theme: Theme) -> None:
    """A sign in a square box."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    inner = box.adjusted(1, 1, -1, -1)
    if mark is Mark.WRONG:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.colour("late"))
        painter.drawPolygon(
            QPolygonF([QPointF(inner.center().x(), inner.top()), inner.bottomRight(), inner.bottomLeft()])
        )
        painter.setPen(
            QPen(theme.colour("surface"), max(1.6, box.width() / 9), Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap)
        )
        x, side = inner.center().x(), inner.height()
        painter.drawLine(QPointF(x, inner.top() + 0.40 * side), QPointF(x, inner.top() + 0.65 * side))
        painter.drawPoint(QPointF(x, inner.top() + 0.85 * side))
    else:
        painter.setPen(QPen(theme.colour("soft"), max(1.4, box.width() / 10)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        middle, reach = inner.center(), inner.width() * 0.38
        painter.drawPolygon(QPolygonF([middle + QPointF(*at) * reach for at in ((0, -1), (1, 0), (0, 1), (-1, 0))]))
    painter.restore()
