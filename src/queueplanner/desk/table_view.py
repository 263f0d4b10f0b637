"""A table view with the desk's habits: whole rows, sorting by the head, columns as wide as their content."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QItemSelectionModel, QSortFilterProxyModel, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget
from typing_extensions import override

from queueplanner.desk.table_cells import ROW_ROLE, SORT_ROLE, AnyIndex, CellDelegate, RowsModel
from queueplanner.desk.theme import Theme

#: The least height of a row, px: WCAG 2.2 SC 2.5.8.
LEAST_ROW_PX = 24


class _Sorted(QSortFilterProxyModel):
    """Sorts by what a column says it sorts by; rows without a value come last either way."""

    @override
    def lessThan(self, left: AnyIndex, right: AnyIndex) -> bool:
        first, second = left.data(SORT_ROLE), right.data(SORT_ROLE)
        if first is None or second is None:
            rising = self.sortOrder() is Qt.SortOrder.AscendingOrder
            return first is not None if rising else second is not None
        return bool(first < second)


class DeskTable(QTableView):
    """Shows a `RowsModel`. `row_chosen` carries the row a user moves to, `opened` comes on Enter or a double click."""

    row_chosen = Signal(object)
    opened = Signal()

    def __init__(self, model: RowsModel[Any], theme: Theme, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._quiet = False
        self._sized_for = (-1, -1)
        self._source = model
        self._proxy = _Sorted()
        self._proxy.setSourceModel(model)
        self._delegate = CellDelegate(theme)
        self.setModel(self._proxy)
        self.setItemDelegate(self._delegate)
        self.setAccessibleName(name)
        self.setSortingEnabled(True)
        self.sortByColumn(-1, Qt.SortOrder.AscendingOrder)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.verticalHeader().hide()
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionsClickable(True)
        head.setAccessibleName(name)
        self.doubleClicked.connect(lambda _: self.opened.emit())
        self.selectionModel().currentRowChanged.connect(lambda now, _: self._moved(now))
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._delegate.set_theme(theme)
        self.verticalHeader().setMinimumSectionSize(LEAST_ROW_PX)
        self.verticalHeader().setDefaultSectionSize(theme.size(30))
        self.setMinimumHeight(theme.size(150))
        self.fit_columns()
        self.verticalScrollBar().setValue(0)
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())

    def fit_columns(self) -> None:
        """Make every column as wide as its content; the last one takes what is left."""
        self.resizeColumnsToContents()
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        self.horizontalHeader().setStretchLastSection(True)

    def show_row(self, number: int | None) -> None:
        """Select a row of the model without telling anybody."""
        self._quiet = True
        if number is None:
            self.clearSelection()
            self.setCurrentIndex(self._proxy.index(-1, -1))
        else:
            index = self._proxy.mapFromSource(self._source.index(number, 0))
            flags = QItemSelectionModel.SelectionFlag
            self.selectionModel().setCurrentIndex(index, flags.ClearAndSelect | flags.Rows)
            self.scrollTo(index)
        self._quiet = False

    def _moved(self, now: AnyIndex) -> None:
        if not self._quiet and now.isValid():
            self.row_chosen.emit(now.data(ROW_ROLE))

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
        else:
            super().keyPressEvent(event)
