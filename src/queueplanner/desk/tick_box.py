"""A box to tick that shows on either ground: hollow or ticked, ringed when the keys act on it."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QWidget
from typing_extensions import override

from queueplanner.desk.theme import Theme

_SIDE, _GAP, _MARGIN = 18, 8, 5


class TickBox(QCheckBox):
    """A choice that is on or off, in one line of words."""

    def __init__(self, theme: Theme, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._theme = theme

    def set_theme(self, theme: Theme) -> None:
        """Draw in another palette or text size."""
        self._theme = theme
        self.updateGeometry()

    @override
    def sizeHint(self) -> QSize:
        size = self._theme.size
        words = self.fontMetrics().horizontalAdvance(self.text())
        height = max(size(28), self.fontMetrics().height() + 2 * size(_MARGIN))
        return QSize(size(_SIDE + _GAP) + 2 * size(_MARGIN) + words, height)

    @override
    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @override
    def hitButton(self, pos: QPoint) -> bool:
        return self.rect().contains(pos)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        size, side = self._theme.size, self._theme.size(_SIDE)
        box = QRectF(size(_MARGIN), (self.height() - side) / 2, side, side)
        painter.setPen(QPen(self._theme.colour("text"), 2))
        painter.setBrush(self._theme.colour("surface"))
        painter.drawRoundedRect(box, 3, 3)
        if self.isChecked():
            painter.setPen(QPen(self._theme.colour("text"), max(2.5, side / 6)))
            painter.drawPolyline([box.topLeft() + QPointF(x * side, y * side) for x, y in _TICK])
        painter.setPen(self._theme.colour("text"))
        left = box.right() + size(_GAP)
        painter.drawText(
            QRectF(left, 0, self.width() - left, self.height()), Qt.AlignmentFlag.AlignVCenter, self.text()
        )
        if self.hasFocus():
            painter.setPen(QPen(self._theme.colour("focus"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        painter.end()


_TICK = ((0.22, 0.52), (0.42, 0.74), (0.80, 0.26))
