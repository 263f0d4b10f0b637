"""Bars that open above the job sheet and ask for a little: what to find, and how to split a job."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.labels import make_label, set_look
from queueplanner.desk.theme import Theme


class SheetBar(QFrame):
    """A bar of small widgets in a row; Esc closes it. `closed` says that the keys go back to the table."""

    closed = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setProperty("look", "card")
        self._row = FlowBox(theme, (10, 6), self)
        self._column = QVBoxLayout(self)
        self._column.addWidget(self._row)
        self.setVisible(False)

    def set_theme(self, theme: Theme) -> None:
        """Show in another text size."""
        self._theme = theme
        gap = theme.size(8)
        self._column.setContentsMargins(gap, gap, gap, gap)
        self._row.set_theme(theme)

    def close_bar(self) -> None:
        """Close the bar."""
        self.hide()
        self.closed.emit()

    def _button(self, text: str, look: str = "plain") -> QPushButton:
        button = QPushButton(text)
        button.setProperty("look", look)
        button.setAutoDefault(False)
        self._row.add(button)
        return button

    def _line(self, name: str, wide: int) -> QLineEdit:
        label = make_label(name)
        line = QLineEdit()
        line.setAccessibleName(name)
        line.setFixedWidth(self._theme.size(wide))
        line.setMinimumHeight(self._theme.size(30))
        label.setBuddy(line)
        self._row.add(label)
        self._row.add(line)
        return line

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_bar()
        else:
            super().keyPressEvent(event)


class FindBar(SheetBar):
    """Finds the next cell that holds a text: Enter on, Shift+Enter back. `wanted` carries the text and the way."""

    wanted = Signal(str, bool)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self.line = self._line(self.tr("Find"), 240)
        self.next = self._button(self.tr("Next"))
        self.previous = self._button(self.tr("Previous"))
        self.answer = make_label("", "soft")
        self._row.add(self.answer)
        self.done = self._button(self.tr("Close"))
        self._row.push_right(self.done)
        self.next.clicked.connect(lambda: self.go(back=False))
        self.previous.clicked.connect(lambda: self.go(back=True))
        self.done.clicked.connect(self.close_bar)
        self.set_theme(theme)

    def open_bar(self) -> None:
        """Open the bar to write in."""
        self.say("")
        self.show()
        self.line.setFocus()
        self.line.selectAll()

    def go(self, *, back: bool = False) -> None:
        """Look for the text."""
        if self.line.text().strip():
            self.wanted.emit(self.line.text(), back)

    def say(self, words: str) -> None:
        """What came of it."""
        self.answer.setText(words)
        self.answer.setVisible(bool(words))
        self._row.arrange()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_F3):
            self.go(back=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        else:
            super().keyPressEvent(event)


class SplitBar(SheetBar):
    """Asks how many sheets stay with a job and what the other part is called. `wanted` carries both."""

    wanted = Signal(int, str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._total = 0
        self.title = make_label("", "strong")
        self._row.add(self.title)
        self.first = self._line(self.tr("Sheets that stay"), 110)
        self.first.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.rest = QLabel()
        self._row.add(self.rest)
        self.new_id = self._line(self.tr("The other part's docket"), 150)
        self.split = self._button(self.tr("Split"), "main")
        self.done = self._button(self.tr("Close"))
        self._row.push_right(self.done)
        self.first.textChanged.connect(self._reckon)
        self.new_id.textChanged.connect(self._reckon)
        self.split.clicked.connect(self._go)
        self.done.clicked.connect(self.close_bar)
        self.set_theme(theme)

    def open_bar(self, job: str, sheets: int, new_id: str) -> None:
        """Ask about a job with so many sheets."""
        self._total = sheets
        self.title.setText(self.tr("Split {job}").format(job=job))
        self.first.setText(str(sheets - sheets // 2))
        self.new_id.setText(new_id)
        self._reckon()
        self.show()
        self.first.setFocus()
        self.first.selectAll()

    def _sheets(self) -> int | None:
        text = self.first.text().strip()
        value = int(text) if text.isdecimal() and text.isascii() and len(text) < 10 else 0
        return value if 0 < value < self._total else None

    def _reckon(self) -> None:
        sheets = self._sheets()
        if sheets is None:
            words = self.tr("Write a whole number from 1 to {most}").format(most=self._total - 1)
        else:
            words = self.tr("the other part: {rest}").format(rest=self._total - sheets)
        self.rest.setText(words)
        set_look(self.rest, "late" if sheets is None else "soft")
        self.split.setEnabled(sheets is not None and bool(self.new_id.text().strip()))
        self._row.arrange()

    def _go(self) -> None:
        sheets = self._sheets()
        if sheets is not None and self.new_id.text().strip():
            self.wanted.emit(sheets, self.new_id.text().strip())
            self.close_bar()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._go()
        else:
            super().keyPressEvent(event)
