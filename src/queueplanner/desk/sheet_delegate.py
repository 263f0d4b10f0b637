"""Cells of the job sheet: drawn with their signs and swatches, written in with a list where there is one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QLineEdit,
    QStyle,
    QStyleOptionViewItem,
    QWidget,
)
from typing_extensions import override

from queueplanner.desk.pick_editor import PickEditor
from queueplanner.desk.sheet_columns import PICKED, Kind
from queueplanner.desk.sheet_marks import MARK_PX, Mark, paint_mark
from queueplanner.desk.sheet_picks import picks_for, several
from queueplanner.desk.sheet_table_model import MARK_ROLE, SheetTableModel
from queueplanner.desk.sheet_words import name_text
from queueplanner.desk.table_cells import AnyIndex, CellDelegate
from queueplanner.desk.theme import Theme
from queueplanner.shop.ink import Ink

_MARGIN = 8
#: Where the current cell goes after a key that ends the writing: rows down, columns to the right.
_GOES = {
    (Qt.Key.Key_Return, False): (1, 0),
    (Qt.Key.Key_Return, True): (-1, 0),
    (Qt.Key.Key_Enter, False): (1, 0),
    (Qt.Key.Key_Enter, True): (-1, 0),
    (Qt.Key.Key_Tab, False): (0, 1),
    (Qt.Key.Key_Backtab, True): (0, -1),
    (Qt.Key.Key_Backtab, False): (0, -1),
    (Qt.Key.Key_Up, False): (-1, 0),
    (Qt.Key.Key_Down, False): (1, 0),
}


class SheetDelegate(CellDelegate):
    """Draws and edits cells. `moved` is called when a key ended the writing, with rows down and columns right."""

    def __init__(self, model: SheetTableModel, theme: Theme) -> None:
        super().__init__(theme)
        self._model = model
        self._elided: dict[tuple[str, int], str] = {}
        self.set_theme(theme)

    def moved(self, down: int, right: int) -> None:
        """Set by the table: go on to another cell."""

    @override
    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: AnyIndex) -> QWidget:
        model = index.model()
        assert isinstance(model, SheetTableModel)
        column, texts = model.columns[index.column()], model.sheet.texts
        editor: QLineEdit
        if column.kind in PICKED:

            def is_right(text: str) -> bool:
                return column.kind not in (Kind.INKS, Kind.OWN_TASKS) and texts.is_right(column, text)

            editor = PickEditor(
                picks_for(column, texts), self._theme, several=several(column), is_right=is_right, parent=parent
            )
        else:
            editor = QLineEdit(parent)
        editor.setFrame(False)
        editor.setProperty("look", "cell")
        editor.setAlignment(Qt.AlignmentFlag(index.data(Qt.ItemDataRole.TextAlignmentRole)))
        editor.setAccessibleName(name_text(column.key))
        editor.setAccessibleDescription(model.hint(index))
        return editor

    @override
    def setEditorData(self, editor: QWidget, index: AnyIndex) -> None:
        assert isinstance(editor, QLineEdit)
        if not editor.isModified():
            editor.setText(str(index.data(Qt.ItemDataRole.EditRole) or ""))
            editor.selectAll()

    @override
    def setModelData(self, editor: QWidget, model: object, index: AnyIndex) -> None:
        assert isinstance(editor, QLineEdit)
        assert isinstance(model, SheetTableModel)
        model.setData(index, editor.text())

    @override
    def updateEditorGeometry(self, editor: QWidget, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        least = self._theme.size(160) if isinstance(editor, PickEditor) else option.rect.width()
        rect = QRect(option.rect)
        rect.setWidth(max(rect.width(), least))
        editor.setGeometry(rect)

    @override
    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and isinstance(editor, QLineEdit):
            return self._on_key(editor, event)
        return super().eventFilter(editor, event)

    def _on_key(self, editor: QLineEdit, event: QKeyEvent) -> bool:
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        key = Qt.Key(event.key())
        listed = isinstance(editor, PickEditor)
        if key is Qt.Key.Key_Escape and not (isinstance(editor, PickEditor) and editor.offered):
            self.closeEditor.emit(editor, QAbstractItemDelegate.EndEditHint.RevertModelCache)
            return True
        goes = _GOES.get((key, shift))
        if goes is None or (listed and key in (Qt.Key.Key_Up, Qt.Key.Key_Down)):
            return False
        if isinstance(editor, PickEditor):
            editor.settle()
        self.commitData.emit(editor)
        self.closeEditor.emit(editor, QAbstractItemDelegate.EndEditHint.NoHint)
        self.moved(*goes)
        return True

    @override
    def set_theme(self, theme: Theme) -> None:
        super().set_theme(theme)
        self._font, self._metrics = theme.font(), QFontMetrics(theme.font())
        self._elided.clear()

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        """Drawn by hand, not by the style: hundreds of cells are drawn for one key."""
        row, column, rect = index.row(), index.column(), option.rect
        look = self._model.look(row, column)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, self._theme.colour("picked"))
        if look.text:
            painter.setFont(self._font)
            room = self._with_mark(painter, rect, look.mark) if look.mark else rect
            if look.inks:
                self._paint_inks_within(painter, room, look.inks)
            else:
                self._paint_text(painter, room, look.text, figure=self._model.columns[column].figure)
        elif look.mark:
            self._with_mark(painter, rect, look.mark)
        view = option.widget
        if isinstance(view, QAbstractItemView) and view.currentIndex() == index:
            self._paint_ring(painter, rect, focus=view.hasFocus())

    def _paint_inks_within(self, painter: QPainter, room: QRect, inks: Sequence[tuple[Ink, str]]) -> None:
        painter.save()
        painter.setClipRect(room)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_inks(painter, room, self._metrics, inks)
        painter.restore()

    def _with_mark(self, painter: QPainter, rect: QRect, mark: Mark) -> QRect:
        """Draw a cell's sign, and give the room left beside it."""
        side, gap = self._theme.size(MARK_PX), self._theme.size(4)
        box = QRectF(rect.left() + _MARGIN, rect.center().y() - side / 2 + 0.5, side, side)
        paint_mark(painter, box, mark, self._theme)
        if mark is Mark.WRONG:
            painter.setPen(QPen(self._theme.colour("late"), 2))
            low = rect.bottom() - 1.0
            painter.drawLine(QPointF(rect.left() + 1, low), QPointF(rect.right() - 1, low))
        return rect.adjusted(side + gap, 0, 0, 0)

    def _paint_text(self, painter: QPainter, room: QRect, text: str, *, figure: bool) -> None:
        inner = room.adjusted(_MARGIN, 0, -_MARGIN, 0)
        shown = self._elided.get((text, inner.width()))
        if shown is None:
            shown = self._metrics.elidedText(text, Qt.TextElideMode.ElideRight, inner.width())
            self._elided[text, inner.width()] = shown
        painter.setPen(self._theme.colour("text"))
        across = Qt.AlignmentFlag.AlignRight if figure else Qt.AlignmentFlag.AlignLeft
        painter.drawText(inner, across | Qt.AlignmentFlag.AlignVCenter, shown)

    def _paint_ring(self, painter: QPainter, rect: QRect, *, focus: bool) -> None:
        painter.setPen(QPen(self._theme.colour("focus" if focus else "mark"), 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(rect).adjusted(1, 1, -2, -2))

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        size = super().sizeHint(option, index)
        mark = self._theme.size(MARK_PX + 4) if index.data(MARK_ROLE) else 0
        return QSize(size.width() + mark + self._theme.size(8), size.height())
