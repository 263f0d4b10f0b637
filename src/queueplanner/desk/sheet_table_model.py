"""The job sheet as Qt's tables see it: the rows on view, and below them one that is still to be written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractTableModel, QModelIndex, Qt
from typing_extensions import override

from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.desk.sheet_columns import SHEET_COLUMNS, Kind, SheetColumn
from queueplanner.desk.sheet_marks import Mark, mark_of
from queueplanner.desk.sheet_order import SheetOrder
from queueplanner.desk.sheet_picks import stock_figures
from queueplanner.desk.sheet_rows import Problems, SheetRow
from queueplanner.desk.sheet_words import head_text, hint_text, missing_text, problem_text
from queueplanner.desk.table_cells import INKS_ROLE, AnyIndex
from queueplanner.shop.errors import Problem
from queueplanner.shop.ink import Ink

_NOWHERE = QModelIndex()
#: The role under which a cell tells the sign of its problem.
MARK_ROLE = int(Qt.ItemDataRole.UserRole) + 20

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


_FLAGS = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsEditable


@dataclass(frozen=True, slots=True)
class CellLook:
    """What is drawn in a cell: its text on one line, its sign, and its inks by name."""

    text: str
    mark: Mark | None = None
    inks: tuple[tuple[Ink, str], ...] = ()


_BLANK = CellLook("")


class SheetTableModel(QAbstractTableModel):
    """Shows a `JobSheetModel` through a `SheetOrder`; `columns` are those on view."""

    def __init__(self, sheet: JobSheetModel) -> None:
        super().__init__()
        self.sheet, self.order = sheet, SheetOrder(sheet)
        self.columns: tuple[SheetColumn, ...] = tuple(c for c in SHEET_COLUMNS if c.usual)
        self._keys: list[int] = list(self.order.keys)
        self._told: dict[int, tuple[SheetRow, Problems]] = {}
        self._looks: dict[tuple[int, str], tuple[SheetRow, Problem | None, CellLook]] = {}

    def set_columns(self, columns: Sequence[SheetColumn]) -> None:
        """Show other columns."""
        self.beginResetModel()
        self.columns = tuple(columns)
        self.endResetModel()

    def key(self, row: int) -> int | None:
        """The key of a row on view; None for the row still to be written, and for one that is just going."""
        key = self._keys[row] if 0 <= row < len(self._keys) else None
        return key if key is not None and self.sheet.holds(key) else None

    def keys(self, rows: Sequence[int]) -> list[int]:
        """The keys of rows on view."""
        return [key for row in rows if (key := self.key(row)) is not None]

    def keys_from(self, row: int) -> list[int]:
        """The keys of a row and all below it."""
        return self._keys[max(0, row) :]

    def place(self, key: int, column: str) -> QModelIndex:
        """Where a cell is on view; nowhere while its row or column is not."""
        shown = [c.key for c in self.columns]
        if key not in self._keys or column not in shown:
            return _NOWHERE
        return self.index(self._keys.index(key), shown.index(column))

    @property
    def rows_on_view(self) -> int:
        """Rows without the one still to be written."""
        return len(self._keys)

    def follow(self) -> None:
        """Show the sheet as it is now; rows already on view keep their places."""
        self.order.follow()
        self.show_order()

    def show_order(self) -> None:
        """Show the rows the order has now."""
        old, new = self._keys, self.order.keys
        if old != new:
            if len(old) == len(new) and set(old) == set(new):
                self._rearrange(new)
            else:
                self._exchange(old, new)
        self._tell_changes()

    def _rearrange(self, new: list[int]) -> None:
        self.layoutAboutToBeChanged.emit()
        places = {key: row for row, key in enumerate(new)}
        old_indexes = self.persistentIndexList()
        moved = [
            self.index(places[key] if (key := self.key(i.row())) is not None else i.row(), i.column())
            for i in old_indexes
        ]
        self._keys = list(new)
        self.changePersistentIndexList(old_indexes, moved)
        self.layoutChanged.emit()

    def _exchange(self, old: list[int], new: list[int]) -> None:
        """Take out and put in the rows between those that stay at the beginning and at the end."""
        most = min(len(old), len(new))
        start = next((i for i in range(most) if old[i] != new[i]), most)
        tail = next((i for i in range(most - start) if old[-1 - i] != new[-1 - i]), most - start)
        gone, come = len(old) - tail, len(new) - tail
        # At the end the row still to be written becomes the first new row, or takes the place of the first one gone.
        at_end = int(not tail and start in (gone, come))
        if gone > start:
            self.beginRemoveRows(_NOWHERE, start + at_end, gone - 1 + at_end)
            self._keys = old[:start] + old[gone:]
            self.endRemoveRows()
        if come > start:
            self.beginInsertRows(_NOWHERE, start + at_end, come - 1 + at_end)
            self._keys = list(new)
            self.endInsertRows()

    def _tell_changes(self) -> None:
        """Tell of the rows from the first to the last whose cells or problems are others than told before."""
        sheet = self.sheet
        now = {key: (sheet.row(key), sheet.problems(key)) for key in self._keys}
        told, self._told = self._told, now
        changed = [
            place
            for place, key in enumerate(self._keys)
            if (old := told.get(key)) is None or old[0] is not now[key][0] or old[1] != now[key][1]
        ]
        if changed:
            self.dataChanged.emit(self.index(changed[0], 0), self.index(changed[-1], len(self.columns) - 1))
            self.headerDataChanged.emit(Qt.Orientation.Vertical, changed[0], changed[-1])

    def units_changed(self) -> None:
        """Tell that the figures of every cell are written in other units."""
        self._looks.clear()
        self._told.clear()
        self._tell_changes()
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(self.columns) - 1)

    def reason(self, index: AnyIndex) -> str:
        """What is wrong with a cell, in words; empty when nothing is."""
        key = self.key(index.row())
        if key is None:
            return ""
        column = self.columns[index.column()].key
        problem = self.sheet.problem(key, column)
        if problem is None:
            return ""
        if mark_of(problem) is Mark.MISSING:
            return missing_text(column)
        return problem_text(problem, self.sheet.units)

    def hint(self, index: AnyIndex) -> str:
        """What a cell holds, in words; of a stock its figures."""
        column, key = self.columns[index.column()], self.key(index.row())
        if column.kind is Kind.STOCK and key is not None:
            stock = self.sheet.texts.stock(self.sheet.kept(key, column.key))
            if stock is not None:
                return f"{stock.name}: {stock_figures(stock, self.sheet.units)}"
        return hint_text(column.key)

    @override
    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._keys) + 1

    @override
    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.columns)

    @override
    def flags(self, index: AnyIndex) -> Qt.ItemFlag:
        return _FLAGS

    def look(self, row: int, number: int) -> CellLook:
        """What is drawn in a cell; reckoned once for as long as its row and its problem stay."""
        key = self.key(row)
        if key is None:
            return _BLANK
        column = self.columns[number]
        content, problem = self.sheet.row(key), self.sheet.problem(key, column.key)
        known = self._looks.get((key, column.key))
        if known is None or known[0] is not content or known[1] is not problem:
            known = content, problem, self._look(key, column, mark_of(problem))
            self._looks[key, column.key] = known
        return known[2]

    def _look(self, key: int, column: SheetColumn, mark: Mark | None) -> CellLook:
        inks: tuple[Ink, ...] = ()
        if column.kind is Kind.INKS:
            inks = self.sheet.texts.inks(self.sheet.kept(key, column.key))
        named = tuple((ink, self.sheet.texts.ink_name(ink)) for ink in inks)
        return CellLook(" ".join(self.sheet.shown(key, column.key).split()), mark, named)

    @override
    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is Qt.Orientation.Vertical:
            return self._row_head(section, role)
        if not 0 <= section < len(self.columns):
            return None
        column = self.columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            arrow = (" ↓" if self.order.descending else " ↑") if column.key == self.order.column else ""
            return head_text(column.key, self.sheet.units) + arrow
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if column.figure else _LEFT
        return hint_text(column.key) if role == Qt.ItemDataRole.ToolTipRole else None

    def _row_head(self, section: int, role: int) -> object:
        key = self.key(section)
        if role == Qt.ItemDataRole.DisplayRole:
            return "+" if key is None else str(self.sheet.number(key))
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT
        if role == Qt.ItemDataRole.ToolTipRole and key is None:
            return self.tr("A new job")
        return None if key is None or role != MARK_ROLE else self.row_mark(key)

    def row_mark(self, key: int) -> Mark | None:
        """The sign of a row: of the worst of its problems."""
        marks = {mark_of(problem) for problem in self.sheet.problems(key).values()}
        if Mark.WRONG in marks:
            return Mark.WRONG
        return Mark.MISSING if marks else None

    @override
    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        column, key = self.columns[index.column()], self.key(index.row())
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _RIGHT if column.figure else _LEFT
        if role in _WORDS:
            return self._words(index, role)
        if key is None:
            return "" if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole) else None
        if role == Qt.ItemDataRole.EditRole:
            return self.sheet.shown(key, column.key)
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.look(index.row(), index.column()).text
        if role == INKS_ROLE:
            return list(self.look(index.row(), index.column()).inks) or None
        return mark_of(self.sheet.problem(key, column.key)) if role == MARK_ROLE else None

    def _words(self, index: AnyIndex, role: int) -> str | None:
        reason = self.reason(index)
        if role == Qt.ItemDataRole.ToolTipRole:
            return reason or None
        return reason or self.hint(index)

    @override
    def setData(self, index: AnyIndex, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Write a cell; the first one of the last row adds a job."""
        if role != Qt.ItemDataRole.EditRole or not index.isValid():
            return False
        column, key, text = self.columns[index.column()].key, self.key(index.row()), str(value)
        if key is not None:
            self.sheet.set_cell(key, column, text)
        elif text.strip():
            self.sheet.add_row({column: text})
        return True


_WORDS = frozenset({Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole})
