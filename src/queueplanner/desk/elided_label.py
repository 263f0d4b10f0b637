"""A line of text that ends in an ellipsis when it is wider than its place."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from queueplanner.desk.theme import Theme


class ElidedLabel(QWidget):
    """Shows passing remarks whose full content also stands elsewhere."""

    def __init__(self, theme: Theme, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._text = theme, ""
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    @property
    def text(self) -> str:
        """The whole text."""
        return self._text

    def set_text(self, text: str) -> None:
        """Show another text."""
        if text != self._text:
            self._text = text
            self.setAccessibleDescription(text)
            self.update()

    def set_theme(self, theme: Theme) -> None:
        """Paint in another palette or text size."""
        self._theme = theme
        self.updateGeometry()

    @override
    def sizeHint(self) -> QSize:
        return QSize(self._theme.size(200), self._theme.size(28))

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self._theme.colour("soft"))
        text = self.fontMetrics().elidedText(self._text, Qt.TextElideMode.ElideRight, self.width())
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignVCenter, text)
        painter.end()
