"""A swatch with the ink's name: colour never stands alone."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from queueplanner.desk.ink_colour import paint_chip
from queueplanner.desk.theme import Theme
from queueplanner.shop.ink import Ink

#: Sides of the swatch at the usual text size, px.
CHIP_WIDTH, CHIP_HEIGHT = 18, 14


class InkChip(QWidget):
    """One ink, or a dashed empty swatch with a word for no ink."""

    def __init__(self, theme: Theme, ink: Ink | None, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._ink, self._words = theme, ink, words
        self.setAccessibleName(words)

    @override
    def sizeHint(self) -> QSize:
        size = self._theme.size
        text = self.fontMetrics().horizontalAdvance(self._words)
        return QSize(size(CHIP_WIDTH) + size(7) + text + 2, max(size(24), self.fontMetrics().height()))

    @override
    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width, height = self._theme.size(CHIP_WIDTH), self._theme.size(CHIP_HEIGHT)
        box = QRectF(0, (self.height() - height) / 2, width, height)
        if self._ink is not None:
            paint_chip(painter, box, self._ink, self._theme)
        else:
            pen = painter.pen()
            pen.setColor(self._theme.colour("mark"))
            pen.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(pen)
            painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 3, 3)
        painter.setPen(self._theme.colour("text" if self._ink else "soft"))
        left = width + self._theme.size(7)
        painter.drawText(
            QRectF(left, 0, self.width() - left, self.height()), Qt.AlignmentFlag.AlignVCenter, self._words
        )
        painter.end()
