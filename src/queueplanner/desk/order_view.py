"""The run order as a table that can be changed: a context menu, and P to pin the selected pass."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from queueplanner.desk.table_cells import RowsModel
from queueplanner.desk.table_view import DeskTable
from queueplanner.desk.theme import Theme


class OrderTable(DeskTable):
    """Its context menu holds the actions it is given; `pin_wanted` comes on P."""

    pin_wanted = Signal()

    def __init__(self, model: RowsModel[Any], theme: Theme, name: str, parent: QWidget | None = None) -> None:
        super().__init__(model, theme, name, parent)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)

    def show_whole(self, column: int) -> None:
        """Make a column at least as wide as what stands in it."""
        self.setColumnWidth(column, max(self.columnWidth(column), self.sizeHintForColumn(column)))

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_P and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            self.pin_wanted.emit()
        else:
            super().keyPressEvent(event)
