"""A small drawing of who does which task when, for a crew of two: one lane a person, time runs across."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from queueplanner.desk.theme import Theme
from queueplanner.planning.plan import PlannedTask
from queueplanner.shop.press import TaskState


class CrewLanes(QWidget):
    """`tasks` in the order of the list beside it: each box bears its number there.

    Full boxes need the press stopped, hatched ones the drive turning, hollow ones neither.
    """

    def __init__(self, theme: Theme, tasks: Sequence[PlannedTask], words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._tasks = theme, tuple(tasks)
        self._persons = sorted({t.person for t in tasks if t.person is not None})
        self._end = max(((t.start or 0) + t.seconds for t in tasks), default=0)
        self.setAccessibleName(words)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    @override
    def sizeHint(self) -> QSize:
        return QSize(self._theme.size(240), self._theme.size(30) * len(self._persons))

    @override
    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.size(120), self.sizeHint().height())

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._end:
            return
        painter = QPainter(self)
        lane = self.height() / len(self._persons)
        scale = (self.width() - 2) / self._end
        for number, task in enumerate(self._tasks, 1):
            if task.person is None or task.start is None:
                continue
            top = self._persons.index(task.person) * lane
            box = QRectF(1 + task.start * scale, top + 2, max(2.0, task.seconds * scale - 1), lane - 5)
            self._paint_task(painter, box, task, str(number))
        painter.end()

    def _paint_task(self, painter: QPainter, box: QRectF, task: PlannedTask, number: str) -> None:
        colour = self._theme.colour("comb")
        surface, text = self._theme.colour("surface"), self._theme.colour("text")
        painter.fillRect(box, surface)
        if task.state is TaskState.STOPPED:
            painter.fillRect(box, self._theme.colour("bar"))
            text = self._theme.colour("on_bar")
        elif task.state is TaskState.TURNING:
            painter.fillRect(box, QBrush(colour, Qt.BrushStyle.BDiagPattern))
        painter.setPen(QPen(colour, 1))
        painter.drawRect(box)
        width = painter.fontMetrics().horizontalAdvance(number)
        if width + 4 <= box.width():
            middle = QRectF(box.center().x() - width / 2 - 2, box.top(), width + 4, box.height())
            if task.state is TaskState.TURNING:
                painter.fillRect(middle.adjusted(0, 2, 0, -2), surface)
            painter.setPen(text)
            painter.drawText(middle, Qt.AlignmentFlag.AlignCenter, number)
