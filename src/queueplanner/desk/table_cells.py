"""What the desk's tables have in common: columns as a list of small records, and cells that draw ink swatches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QFontMetrics, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem
from typing_extensions import override

from queueplanner.desk.ink_chip import CHIP_HEIGHT, CHIP_WIDTH
from queueplanner.desk.ink_colour import paint_chip
from queueplanner.desk.theme import Theme
from queueplanner.shop.ink import Ink

Row = TypeVar("Row")
AnyIndex = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()

#: The role under which a cell gives its inks, each with the words beside its swatch.
INKS_ROLE = int(Qt.ItemDataRole.UserRole) + 1
#: The role under which a cell gives what it is sorted by.
SORT_ROLE = int(Qt.ItemDataRole.UserRole) + 2
#: The role under which a row gives what selecting it selects.
ROW_ROLE = int(Qt.ItemDataRole.UserRole) + 3

_MARGIN, _GAP = 8, 12


@dataclass(frozen=True, slots=True)
class Column(Generic[Row]):
    """One column: its head, with the unit of a figure; the cell's text; what it sorts by; `figure` sets it right.

    `inks` are drawn as swatches with their words; `alarm` says which cells are to stand out.
    """

    head: str
    text: Callable[[Row], str]
    sort: Callable[[Row], object]
    figure: bool = False
    inks: Callable[[Row], Sequence[tuple[Ink, str]]] | None = None
    alarm: Callable[[Row], bool] | None = None


class RowsModel(QAbstractTableModel, Generic[Row]):
    """A read-only table of rows through columns."""

    def __init__(self) -> None:
        super().__init__()
        self._columns: tuple[Column[Row], ...] = ()
        self._rows: tuple[Row, ...] = ()

    def set_table(self, columns: Sequence[Column[Row]], rows: Sequence[Row]) -> None:
        """Show other rows, or the same ones through other columns."""
        if len(columns) == len(self._columns) and len(rows) == len(self._rows):
            self._columns, self._rows = tuple(columns), tuple(rows)
            if rows:
                self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(columns) - 1))
            return
        self.beginResetModel()
        self._columns, self._rows = tuple(columns), tuple(rows)
        self.endResetModel()

    def row(self, number: int) -> Row:
        """The row at a position."""
        return self._rows[number]

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows."""
        return self._rows

    @override
    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._rows)

    @override
    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._columns)

    @override
    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal or not 0 <= section < len(self._columns):
            return None
        column = self._columns[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.head
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(column.figure)
        return None

    @override
    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        column, row = self._columns[index.column()], self._rows[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return column.text(row)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _alignment(column.figure)
        if role == INKS_ROLE:
            return tuple(column.inks(row)) if column.inks else None
        if role == SORT_ROLE:
            return column.sort(row)
        if role == ROW_ROLE:
            return row
        if role == Qt.ItemDataRole.CheckStateRole or column.alarm is None:
            return None
        return True if role == ALARM_ROLE and column.alarm(row) else None


#: The role under which a cell says that its content is an alarm.
ALARM_ROLE = int(Qt.ItemDataRole.UserRole) + 4


def _alignment(figure: bool) -> Qt.AlignmentFlag:
    return Qt.AlignmentFlag.AlignVCenter | (
        Qt.AlignmentFlag.AlignRight if figure else Qt.AlignmentFlag.AlignLeft
    )


class CellDelegate(QStyledItemDelegate):
    """Draws ink swatches with their names, and alarms in bold and in the colour of lateness."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme

    def set_theme(self, theme: Theme) -> None:
        """Draw in another palette or text size."""
        self._theme = theme

    @override
    def initStyleOption(self, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        super().initStyleOption(option, index)
        option.state &= ~QStyle.StateFlag.State_HasFocus
        if index.data(ALARM_ROLE):
            option.font.setBold(True)
            option.palette.setColor(option.palette.ColorRole.Text, self._theme.colour("late"))
            option.palette.setColor(option.palette.ColorRole.HighlightedText, self._theme.colour("late"))

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        inks = index.data(INKS_ROLE)
        if not inks:
            super().paint(painter, option, index)
            return
        styled = QStyleOptionViewItem(option)
        self.initStyleOption(styled, index)
        styled.text = ""
        style = styled.widget.style()
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, styled, painter, styled.widget)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_inks(painter, option.rect, option.fontMetrics, inks)
        painter.restore()

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        size = super().sizeHint(option, index)
        size.setHeight(max(size.height(), self._theme.size(28)))
        inks = index.data(INKS_ROLE)
        if inks:
            metrics = option.fontMetrics
            width = sum(self._chip_width(metrics, words) + self._theme.size(_GAP) for _, words in inks)
            size.setWidth(width + _MARGIN)
        return size

    def _chip_width(self, metrics: QFontMetrics, words: str) -> int:
        return self._theme.size(CHIP_WIDTH) + self._theme.size(6) + metrics.horizontalAdvance(words)

    def _paint_inks(
        self, painter: QPainter, rect: QRect, metrics: QFontMetrics, inks: Sequence[tuple[Ink, str]]
    ) -> None:
        width, height = self._theme.size(CHIP_WIDTH), self._theme.size(CHIP_HEIGHT)
        x = float(rect.left() + _MARGIN)
        for ink, words in inks:
            box = QRectF(x, rect.center().y() - height / 2 + 0.5, width, height)
            paint_chip(painter, box, ink, self._theme)
            painter.setPen(self._theme.colour("text"))
            left = x + width + self._theme.size(6)
            room = QRectF(left, rect.top(), rect.right() - left, rect.height())
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
            x += self._chip_width(metrics, words) + self._theme.size(_GAP)
