"""The job sheet's table: keys as in any spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import (
    QEvent,
    QItemSelection,
    QItemSelectionModel,
    QItemSelectionRange,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QLineEdit,
    QTableView,
    QWidget,
)
from typing_extensions import override

from queueplanner.desk.sheet_columns import Kind
from queueplanner.desk.sheet_delegate import SheetDelegate
from queueplanner.desk.sheet_marks import MARK_PX, Mark, paint_mark
from queueplanner.desk.sheet_table_model import MARK_ROLE, SheetTableModel
from queueplanner.desk.table_cells import AnyIndex
from queueplanner.desk.table_view import LEAST_ROW_PX
from queueplanner.desk.theme import Theme

_CTRL, _SHIFT, _ALT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)
_Flag = QItemSelectionModel.SelectionFlag
#: Least and most width of a column at the usual text size, px.
_NARROWEST, _WIDEST = 64, 300
#: Rows whose content decides how wide a column is.
_ROWS_MEASURED = 60


class SheetTable(QTableView):
    """Shows a `SheetTableModel`. `moved_to` carries the current cell, `wish` the code of a command a key asks for."""

    moved_to = Signal(object)
    wish = Signal(str)

    def __init__(self, model: SheetTableModel, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model, self._theme = model, theme
        self._anchor = (0, 0)
        self._tab_from: int | None = None
        self._cells = SheetDelegate(model, theme)
        self._cells.moved = self._after_writing  # type: ignore[method-assign]
        self.empty_words = ""
        self.setModel(model)
        self.setItemDelegate(self._cells)
        self._rows = _RowHeads(model, theme, self)
        self.setVerticalHeader(self._rows)
        self._name_parts()
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.DoubleClicked | triggers.AnyKeyPressed)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        head = self.horizontalHeader()
        head.setSectionsClickable(True)
        for chooses_column in (head.sectionPressed, head.sectionEntered):
            chooses_column.disconnect()
        self.horizontalHeader().setSortIndicatorShown(False)
        self.horizontalHeader().setResizeContentsPrecision(_ROWS_MEASURED)
        self.selectionModel().currentChanged.connect(lambda now, _: self.moved_to.emit(now))
        self.set_theme(theme)
        self.go(0, 0)

    def _name_parts(self) -> None:
        self.setAccessibleName(self.tr("Job sheet"))
        self.setAccessibleDescription(
            self.tr("One row a job. Type to write, F2 to change, Enter down, Tab right, F6 to leave the table.")
        )
        self.horizontalHeader().setAccessibleName(self.tr("Columns of the job sheet"))
        self.verticalHeader().setAccessibleName(self.tr("Rows of the job sheet"))
        for button in self.findChildren(QAbstractButton):
            button.setAccessibleName(self.tr("All cells"))

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self._cells.set_theme(theme)
        head = self._rows
        head.set_theme(theme)
        head.setMinimumSectionSize(LEAST_ROW_PX)
        head.setDefaultSectionSize(theme.size(30))
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setMinimumHeight(theme.size(150))
        self.fit_columns()

    def fit_columns(self) -> None:
        """Make every column as wide as its content and head."""
        self.resizeColumnsToContents()
        least, most = self._theme.size(_NARROWEST), self._theme.size(_WIDEST)
        for number, column in enumerate(self._model.columns):
            floor = self._theme.size(190) if column.kind in (Kind.INKS, Kind.STOCK) else least
            floor = self._theme.size(200) if column.key == "title" else floor
            width = self.columnWidth(number) + self._theme.size(16)
            self.setColumnWidth(number, min(max(width, floor), most))

    # Where one is

    def go(self, row: int, column: int, *, extend: bool = False) -> None:
        """Make a cell the current one, or extend the selection to it."""
        row = min(max(row, 0), self._model.rowCount() - 1)
        column = min(max(column, 0), self._model.columnCount() - 1)
        target = self._model.index(row, column)
        if not extend:
            self._anchor = (row, column)
        start = self._model.index(*self._anchor)
        if not start.isValid():
            start, self._anchor = target, (row, column)
        self.selectionModel().setCurrentIndex(target, _Flag.NoUpdate)
        self.selectionModel().select(QItemSelection(start, target), _Flag.ClearAndSelect)
        self.scrollTo(target)

    def step(self, down: int, right: int, *, extend: bool = False) -> None:
        """From the current cell so many rows down and columns right."""
        now = self.currentIndex()
        self.go(now.row() + down, now.column() + right, extend=extend)

    def select_block(self, rows: tuple[int, int], columns: tuple[int, int]) -> None:
        """Select rows and columns from first to last."""
        self.go(rows[0], columns[0])
        last = self._model.index(min(rows[1], self._model.rowCount() - 1), columns[1])
        self.selectionModel().select(QItemSelection(self.currentIndex(), last), _Flag.ClearAndSelect)

    def chosen_rows(self) -> list[int]:
        """The rows on view of the selection, from the top; the one still to be written left out."""
        rows = {row for part in self._parts() for row in range(part.top(), part.bottom() + 1)}
        return sorted(row for row in rows or {self.currentIndex().row()} if row < self._model.rows_on_view)

    def chosen_columns(self) -> list[int]:
        """The columns on view of the selection, from the left."""
        found = {column for part in self._parts() for column in range(part.left(), part.right() + 1)}
        return sorted(found or {max(0, self.currentIndex().column())})

    def _parts(self) -> list[QItemSelectionRange]:
        return self.selectionModel().selection().toList()

    def first_row(self) -> int:
        """The topmost row of the selection, which may be the one still to be written."""
        return min((part.top() for part in self._parts()), default=max(0, self.currentIndex().row()))

    # Keys

    @override
    def event(self, event: QEvent) -> bool:
        """Keys of the sheet come before those of the window, as long as the sheet has the keys."""
        if event.type() is QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent) and self._wish_of(event):
            event.accept()
            return True
        return super().event(event)

    @override
    def focusNextPrevChild(self, next: bool) -> bool:
        """Tab goes right and then down, until the end of the sheet lets it go."""
        if self.state() is QAbstractItemView.State.EditingState or not self._tab(1 if next else -1):
            return super().focusNextPrevChild(next)
        return True

    def _tab(self, by: int) -> bool:
        now, wide = self.currentIndex(), self._model.columnCount()
        place = now.row() * wide + now.column() + by
        if not now.isValid() or not 0 <= place < self._model.rowCount() * wide:
            return False
        came_from = self._tab_from if self._tab_from is not None else now.column()
        self.go(*divmod(place, wide))
        self._tab_from = came_from
        return True

    def _after_writing(self, down: int, right: int) -> None:
        if right:
            self._tab(right)
        else:
            self._enter(down)
        self.setFocus()

    def _enter(self, down: int) -> None:
        """Down a row, back to where a run of Tabs began."""
        now = self.currentIndex()
        column = self._tab_from if self._tab_from is not None and down > 0 else now.column()
        self._tab_from = None
        self.go(now.row() + down, column)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() not in (Qt.Key.Key_Tab, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Shift) and not (
            event.text().strip()
        ):
            self._tab_from = None
        if wish := self._wish_of(event):
            self.wish.emit(wish)
        elif not (self._moves(event) or self._writes(event)):
            if event.text().strip() or event.key() == Qt.Key.Key_Space:
                super().keyPressEvent(event)
            else:
                event.ignore()

    def _wish_of(self, event: QKeyEvent) -> str:
        """The command a key asks for; empty for none."""
        for keys, code in _STANDARD:
            if event.matches(keys):
                return code
        pressed = event.modifiers() & (_CTRL | _SHIFT | _ALT)
        return _WISHES.get((Qt.Key(event.key()), pressed), "")

    def _moves(self, event: QKeyEvent) -> bool:
        key, held = Qt.Key(event.key()), event.modifiers()
        extend, ctrl = bool(held & _SHIFT), bool(held & _CTRL)
        if held & _ALT:
            return False
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._enter(-1 if extend else 1)
        elif key in _STEPS and not ctrl:
            self.step(*_STEPS[key], extend=extend)
        elif key in _STEPS:
            self._to_edge(*_STEPS[key], extend=extend)
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self._to_end(key is Qt.Key.Key_End, whole=ctrl, extend=extend)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            page = max(1, self.viewport().height() // max(1, self.rowHeight(0)) - 1)
            self.step(page if key is Qt.Key.Key_PageDown else -page, 0, extend=extend)
        else:
            return False
        return True

    def _to_edge(self, down: int, right: int, *, extend: bool) -> None:
        now = self.currentIndex()
        row = now.row() if not down else (max(0, self._model.rows_on_view - 1) if down > 0 else 0)
        column = now.column() if not right else (self._model.columnCount() - 1 if right > 0 else 0)
        self.go(row, column, extend=extend)

    def _to_end(self, end: bool, *, whole: bool, extend: bool) -> None:
        last = max(0, self._model.rows_on_view - 1)
        row = (last if end else 0) if whole else self.currentIndex().row()
        self.go(row, self._model.columnCount() - 1 if end else 0, extend=extend)

    def _writes(self, event: QKeyEvent) -> bool:
        key = Qt.Key(event.key())
        if key is Qt.Key.Key_F2 or (key is Qt.Key.Key_Down and event.modifiers() & _ALT):
            self.write()
        elif key is Qt.Key.Key_Backspace:
            self.write("")
        else:
            return False
        return True

    def write(self, text: str | None = None) -> None:
        """Open the current cell to write in, as it is or with another text."""
        self.scrollTo(self.currentIndex())
        self.edit(self.currentIndex())
        editor = self.indexWidget(self.currentIndex()) or self._editor()
        if isinstance(editor, QLineEdit):
            editor.deselect()
            if text is not None:
                editor.setText(text)
                editor.setModified(True)

    def _editor(self) -> QLineEdit | None:
        return self.viewport().findChild(QLineEdit)

    @override
    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        super().closeEditor(editor, hint)
        self.setFocus()

    # Pointer

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        index = self.indexAt(event.position().toPoint())
        self._tab_from = None
        if index.isValid() and event.modifiers() & _SHIFT and event.button() is Qt.MouseButton.LeftButton:
            self.go(index.row(), index.column(), extend=True)
            return
        if index.isValid():
            self._anchor = (index.row(), index.column())
        super().mousePressEvent(event)

    # Looks

    @override
    def currentChanged(self, current: AnyIndex, previous: AnyIndex) -> None:
        super().currentChanged(current, previous)
        for index in (current, previous):
            if index.isValid():
                self.update(self._model.index(index.row(), index.column()))

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self.empty_words:
            return
        painter = QPainter(self.viewport())
        painter.setFont(self._theme.font())
        painter.setPen(self._theme.colour("soft"))
        below = self.rowViewportPosition(self._model.rowCount() - 1) + self.rowHeight(0) + self._theme.size(18)
        room = self.viewport().rect().adjusted(self._theme.size(16), below, -self._theme.size(16), 0)
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap, self.empty_words)
        painter.end()


class _RowHeads(QHeaderView):
    """Numbers of the rows, with the sign of a row that is still to be mended. A press chooses the row."""

    def __init__(self, model: SheetTableModel, theme: Theme, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self._model, self._theme = model, theme
        self.setSectionsClickable(True)
        self.setHighlightSections(False)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self.updateGeometry()

    @override
    def sizeHint(self) -> QSize:
        """As wide as the largest number and a sign."""
        digits = "8" * max(2, len(str(self._model.rowCount())))
        wide = self.fontMetrics().horizontalAdvance(digits) + self._theme.size(MARK_PX + 10 + 16)
        return QSize(wide, super().sizeHint().height() if not self.count() else self._theme.size(30))

    @override
    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:
        painter.save()
        super().paintSection(painter, rect, logicalIndex)
        painter.restore()
        mark = self._model.headerData(logicalIndex, Qt.Orientation.Vertical, MARK_ROLE)
        if isinstance(mark, Mark):
            side = self._theme.size(MARK_PX)
            box = QRectF(rect.left() + self._theme.size(6), rect.center().y() - side / 2 + 0.5, side, side)
            paint_mark(painter, box, mark, self._theme)


def set_clipboard(text: str) -> None:
    """Put a block of cells on the clipboard."""
    QGuiApplication.clipboard().setText(text)


def clipboard_text() -> str:
    """The text on the clipboard."""
    return QGuiApplication.clipboard().text()


_STEPS = {
    Qt.Key.Key_Up: (-1, 0),
    Qt.Key.Key_Down: (1, 0),
    Qt.Key.Key_Left: (0, -1),
    Qt.Key.Key_Right: (0, 1),
}
_STANDARD: Sequence[tuple[QKeySequence.StandardKey, str]] = (
    (QKeySequence.StandardKey.Copy, "copy"),
    (QKeySequence.StandardKey.Cut, "cut"),
    (QKeySequence.StandardKey.Paste, "paste"),
    (QKeySequence.StandardKey.Undo, "undo"),
    (QKeySequence.StandardKey.Redo, "redo"),
    (QKeySequence.StandardKey.Find, "find"),
    (QKeySequence.StandardKey.FindNext, "find_next"),
    (QKeySequence.StandardKey.FindPrevious, "find_previous"),
    (QKeySequence.StandardKey.SelectAll, "select_all"),
)
_NONE = Qt.KeyboardModifier.NoModifier
_WISHES: dict[tuple[Qt.Key, Qt.KeyboardModifier], str] = {
    (Qt.Key.Key_Delete, _NONE): "clear",
    (Qt.Key.Key_D, _CTRL): "fill_down",
    (Qt.Key.Key_Y, _CTRL): "redo",
    (Qt.Key.Key_Plus, _CTRL): "insert",
    (Qt.Key.Key_Plus, _CTRL | _SHIFT): "insert",
    (Qt.Key.Key_Minus, _CTRL): "remove",
    (Qt.Key.Key_F8, _NONE): "next_problem",
    (Qt.Key.Key_F8, _SHIFT): "previous_problem",
    (Qt.Key.Key_F6, _NONE): "leave",
    (Qt.Key.Key_F6, _SHIFT): "leave_back",
    (Qt.Key.Key_Escape, _NONE): "give_back",
    (Qt.Key.Key_Space, _SHIFT): "select_rows",
    (Qt.Key.Key_Space, _CTRL): "select_columns",
}
