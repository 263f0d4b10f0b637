"""A window of its own that lists every key, made from the table of commands."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QGridLayout, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.commands import commands
from queueplanner.desk.labels import make_label
from queueplanner.desk.theme import Theme


class KeysDialog(QDialog):
    """Not modal: it may stay open beside the work. Esc closes it."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(self.tr("Keys and pointer"))
        self.setAccessibleName(self.windowTitle())
        body = QWidget()
        grid = QGridLayout(body)
        grid.setHorizontalSpacing(theme.size(28))
        grid.setVerticalSpacing(theme.size(6))
        for row, (keys, text) in enumerate([*self._of_commands(), *self._of_timeline()]):
            grid.addWidget(make_label(keys, "strong"), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(make_label(text, wrap=True), row, 1)
        grid.setColumnStretch(1, 1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(body)
        scroll.setAccessibleName(self.windowTitle())
        close = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        close.rejected.connect(self.close)
        column = QVBoxLayout(self)
        column.addWidget(scroll)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(theme.size(620), theme.size(740))

    def _of_commands(self) -> list[tuple[str, str]]:
        native = QKeySequence.SequenceFormat.NativeText
        return [
            (QKeySequence(c.keys[0]).toString(native), c.text.replace("&", "").rstrip("…"))
            for c in commands()
            if c.keys
        ]

    def _of_timeline(self) -> list[tuple[str, str]]:
        return [
            (self.tr("← →"), self.tr("In the timeline: the pass before, the next one")),
            (self.tr("Home, End"), self.tr("In the timeline: first and last")),
            (self.tr("+ − 0"), self.tr("In the timeline: closer, farther, whole plan")),
            (self.tr("Shift+← →"), self.tr("In the timeline: move along")),
            (self.tr("Page up, down"), self.tr("In the timeline: move along by a page")),
            (self.tr("T"), self.tr("In the timeline: tasks of the make-readies, or not")),
            (self.tr("M"), self.tr("In the timeline: carry the selected pass by ← →; Enter drops, Esc gives up")),
            (self.tr("Enter"), self.tr("To the changeover of the selected pass")),
            (self.tr("P"), self.tr("In the run order: pin the pass to its place, or let it go")),
            (self.tr("1 to 4"), self.tr("In the wash table: the shop's own number of washes")),
            (self.tr("Delete"), self.tr("In the wash table: back to what is reckoned")),
            (self.tr("Ctrl+Z"), self.tr("In the wash table: take the last change back")),
            (self.tr("Ctrl+wheel"), self.tr("Zoom where the pointer is")),
            (self.tr("Drag, wheel"), self.tr("Move along the timeline")),
            (self.tr("Drag a bar"), self.tr("Carry a pass to another place; Esc gives up")),
        ]
