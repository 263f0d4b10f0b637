"""A widget that sets its children side by side and goes on in the next line when the width is used up."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget
from typing_extensions import override

from queueplanner.desk.theme import Theme


class FlowBox(QWidget):
    """Children keep their size hints; `gap` px lie between them and between lines, before scaling by the theme.

    The box is as high as its lines are; it sets that height itself whenever its width or a child changes.
    """

    def __init__(self, theme: Theme, gap: tuple[int, int], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._size: Callable[[float], int] = theme.size
        self._gap = gap
        self._items: list[QWidget] = []
        self._pushed: QWidget | None = None
        self._middle = 0
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def add(self, child: QWidget) -> None:
        """Add a child behind the others."""
        child.setParent(self)
        self._items.append(child)

    def set_theme(self, theme: Theme) -> None:
        """Lay out for another text size."""
        self._size = theme.size
        self.arrange()

    def arrange(self) -> None:
        """Place the children anew."""
        gap = self._size(self._gap[0])
        lines = self._lines(gap)
        pushed = self._first_pushed()
        y = 0
        for line in lines:
            x, height = 0, max(size.height() for _, size in line)
            for child, size in line:
                if len(lines) == 1 and child is pushed:
                    x += self._spare(line, gap)
                child.setGeometry(x, y + (height - size.height()) // 2 * self._middle, size.width(), size.height())
                x += size.width() + gap
            y += height + self._size(self._gap[1])
        height = max(0, y - self._size(self._gap[1]))
        if self.minimumHeight() != height or self.height() != height:
            self.setFixedHeight(height)

    def push_right(self, first: QWidget) -> None:
        """While all children are in one line, set this one and those behind it to the right end."""
        self._pushed, self._middle = first, 1

    def _first_pushed(self) -> QWidget | None:
        if self._pushed is None:
            return None
        behind = self._items[self._items.index(self._pushed) :]
        return next((child for child in behind if not child.isHidden()), None)

    def _lines(self, gap: int) -> list[list[tuple[QWidget, QSize]]]:
        lines: list[list[tuple[QWidget, QSize]]] = []
        used = 0
        for child in self._items:
            if child.isHidden():
                continue
            size = self._wanted(child)
            if not lines or used + gap + size.width() > self.width():
                lines.append([])
                used = -gap
            lines[-1].append((child, size))
            used += gap + size.width()
        return lines

    def _wanted(self, child: QWidget) -> QSize:
        size = child.sizeHint().expandedTo(child.minimumSize()).boundedTo(child.maximumSize())
        size.setWidth(min(size.width(), max(1, self.width())))
        if child.hasHeightForWidth():
            size.setHeight(max(child.minimumHeight(), child.heightForWidth(size.width())))
        return size

    def _spare(self, line: list[tuple[QWidget, QSize]], gap: int) -> int:
        return max(0, self.width() - sum(size.width() + gap for _, size in line) + gap)

    @override
    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.LayoutRequest:
            self.arrange()
        return super().event(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        self.arrange()

    @override
    def minimumSizeHint(self) -> QSize:
        widest = max((child.sizeHint().width() for child in self._items), default=0)
        return QSize(widest, self.minimumHeight())

    @override
    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()
