"""The key below the timeline: each sign with its word; while the pointer rests on something, what that is."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.theme import Theme

Sign = Callable[[QPainter, QRectF, Theme], None]


class KeyItem(QWidget):
    """One sign and its word."""

    def __init__(self, theme: Theme, sign: Sign, word: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._sign, self._word = theme, sign, word
        self.setAccessibleName(word)

    def set_theme(self, theme: Theme) -> None:
        """Paint in another palette or text size."""
        self._theme = theme
        self.updateGeometry()
        self.update()

    @override
    def sizeHint(self) -> QSize:
        width = self._theme.size(30) + self.fontMetrics().horizontalAdvance(self._word)
        return QSize(width, self._theme.size(24))

    @override
    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = self._theme.size(16)
        painter.save()
        self._sign(painter, QRectF(1, (self.height() - side) / 2, self._theme.size(20), side), self._theme)
        painter.restore()
        painter.setPen(self._theme.colour("soft"))
        left = self._theme.size(27)
        painter.drawText(QRectF(left, 0, self.width() - left, self.height()), Qt.AlignmentFlag.AlignVCenter, self._word)
        painter.end()


class TimelineKey(FlowBox):
    """All signs of the timeline."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, (18, 2), parent)
        self._signs_shown = [KeyItem(theme, sign, word) for word, sign in self._signs().items()]
        for item in self._signs_shown:
            self.add(item)
        self.setAccessibleName(self.tr("Key to the timeline"))

    @override
    def set_theme(self, theme: Theme) -> None:
        for item in self._signs_shown:
            item.set_theme(theme)
        super().set_theme(theme)

    def _signs(self) -> dict[str, Sign]:
        return {
            self.tr("setting"): _setting,
            self.tr("washing"): _washing,
            self.tr("run"): _run,
            self.tr("waits to dry"): _waits,
            self.tr("late"): _late,
            self.tr("due"): _due,
            self.tr("break"): _break,
            self.tr("ink prints"): _prints,
            self.tr("ink stands"): _stands,
            self.tr("rollers washed"): _waves,
            self.tr("plate stays on"): _plate,
        }


def _columns(painter: QPainter, box: QRectF, colour: QColor, share: float) -> None:
    height, width = box.height() * share, box.width() / 3
    for i in range(3):
        painter.fillRect(QRectF(box.left() + i * width, box.bottom() - height, width - 1, height), colour)


def _setting(painter: QPainter, box: QRectF, theme: Theme) -> None:
    _columns(painter, box, theme.colour("comb"), 0.45)


def _washing(painter: QPainter, box: QRectF, theme: Theme) -> None:
    _columns(painter, box, theme.colour("water"), 0.75)


def _run(painter: QPainter, box: QRectF, theme: Theme) -> None:
    painter.fillRect(box, theme.colour("bar"))


def _waits(painter: QPainter, box: QRectF, theme: Theme) -> None:
    painter.setPen(QPen(theme.colour("mark"), 3, Qt.PenStyle.DotLine))
    painter.drawLine(QPointF(box.left(), box.center().y()), QPointF(box.right(), box.center().y()))


def _late(painter: QPainter, box: QRectF, theme: Theme) -> None:
    late = theme.colour("late")
    painter.fillRect(box, theme.colour("surface"))
    painter.fillRect(box, QBrush(late, Qt.BrushStyle.BDiagPattern))
    painter.fillRect(QRectF(box.left(), box.top(), box.width(), 4), late)
    painter.fillRect(QRectF(box.left(), box.top(), 2, box.height()), late)
    painter.fillRect(QRectF(box.right() - 3, box.top(), 3, box.height()), late)


def _due(painter: QPainter, box: QRectF, theme: Theme) -> None:
    top, bottom = box.top() + 1, box.bottom() - 4
    right, middle = box.right(), (top + bottom) / 2
    points = [(box.left(), top), (right, top), (right - 5, middle), (right, bottom), (box.left(), bottom)]
    painter.setPen(QPen(theme.colour("mark"), 1.5))
    painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in points]))
    painter.drawLine(QPointF(box.left(), top), QPointF(box.left(), box.bottom()))


def _break(painter: QPainter, box: QRectF, theme: Theme) -> None:
    painter.fillRect(box, theme.colour("sunken"))
    painter.setPen(QPen(theme.colour("mark"), 1))
    painter.drawRect(box)


def _ribbon(painter: QPainter, box: QRectF, theme: Theme, share: float) -> None:
    path = QPainterPath()
    path.addRect(QRectF(box.left(), box.bottom() - box.height() * share, box.width(), box.height() * share))
    painter.fillRect(box, theme.colour("track"))
    painter.fillPath(path, theme.colour("soft"))
    painter.setPen(QPen(theme.colour("ring_out"), 1.2))
    painter.drawPath(path)


def _prints(painter: QPainter, box: QRectF, theme: Theme) -> None:
    _ribbon(painter, box, theme, 1.0)


def _stands(painter: QPainter, box: QRectF, theme: Theme) -> None:
    _ribbon(painter, box, theme, 0.34)


def _waves(painter: QPainter, box: QRectF, theme: Theme) -> None:
    painter.setPen(QPen(theme.colour("water"), 2))
    for y in (0.25, 0.55, 0.85):
        path = QPainterPath(QPointF(box.left(), box.top() + y * box.height()))
        for i in range(4):
            x = box.left() + i * box.width() / 4
            up = -3.0 if i % 2 else 3.0
            height = box.top() + y * box.height()
            path.quadTo(QPointF(x + box.width() / 8, height + up), QPointF(x + box.width() / 4, height))
        painter.drawPath(path)


def _plate(painter: QPainter, box: QRectF, theme: Theme) -> None:
    painter.setPen(QPen(theme.colour("mark"), 3))
    painter.drawLine(QPointF(box.left(), box.center().y()), QPointF(box.right(), box.center().y()))
