"""A line to write in with a list under it: a few letters pick, and what is in no list may be written too."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPoint, QRectF, QSize, Qt
from PySide6.QtGui import QFocusEvent, QHideEvent, QKeyEvent, QPainter
from PySide6.QtWidgets import QLineEdit, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget
from typing_extensions import override

from queueplanner.desk.ink_chip import CHIP_HEIGHT, CHIP_WIDTH
from queueplanner.desk.ink_colour import paint_chip
from queueplanner.desk.sheet_picks import Pick, matches
from queueplanner.desk.table_cells import AnyIndex
from queueplanner.desk.theme import Theme

_NOWHERE = QModelIndex()
_PICK_ROLE = int(Qt.ItemDataRole.UserRole) + 1
#: The most lines of a list on view at once.
_MOST_LINES = 9

_LEFT_BY_TAB = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)


class PickEditor(QLineEdit):
    """Enter, Tab and a press take the pick in front; Up and Down choose; Esc closes the list, then gives back.
    Whoever goes elsewhere leaves what is written as it is.

    `several` picks are joined by plus signs: a plus takes the first and begins the next. What stands written and is
    right by itself (`is_right`) is kept as it is.
    """

    def __init__(
        self,
        picks: Sequence[Pick],
        theme: Theme,
        *,
        several: bool = False,
        is_right: Callable[[str], bool] = lambda _: False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._picks, self._theme, self._several, self._is_right = tuple(picks), theme, several, is_right
        self._list: _PickList | None = None
        self._typed = False
        self.textEdited.connect(self._on_typed)

    def set_picks(self, picks: Sequence[Pick]) -> None:
        """Offer other picks."""
        self._picks = tuple(picks)

    @property
    def offered(self) -> tuple[Pick, ...]:
        """The picks in the open list."""
        return self._list.picks if self._list is not None and self._list.isVisible() else ()

    def open_list(self, typed: str = "") -> None:
        """Open the list with what fits; nothing typed: with everything."""
        found = matches(typed, self._picks)
        if not found:
            self.close_list()
            return
        if self._list is None:
            self._list = _PickList(self._theme, self.window())
            self._list.setAccessibleName(self.accessibleName() or self.tr("Picks"))
            self._list.clicked.connect(lambda index: self._take(index.data(_PICK_ROLE)))
        self._list.show_picks(found, self, self._typed)

    def close_list(self) -> None:
        """Close the list."""
        if self._list is not None:
            self._list.hide()

    def settle(self) -> None:
        """Take the pick in front, where something was typed that is not right by itself."""
        pick = self._list.current() if self._list is not None and self._list.isVisible() else None
        if pick is not None and not (self._typed and self._part() and self._is_right(self._part())):
            self._take(pick)
        self.close_list()

    def _part(self) -> str:
        """What is being written: everything, or what follows the last plus."""
        return (self.text().rpartition("+")[2] if self._several else self.text()).strip()

    def _take(self, pick: Pick) -> None:
        before = self.text().rpartition("+")[0].strip() if self._several else ""
        self.setText(f"{before} + {pick.text}" if before else pick.text)
        self._typed = False
        self.close_list()

    def _on_typed(self) -> None:
        self._typed = True
        if self._several and self.text().endswith("+"):
            self._begin_next()
        elif part := self._part():
            self.open_list(part)
        else:
            self.close_list()

    def _begin_next(self) -> None:
        """A plus: take what stands before it, and offer the rest."""
        self.setText(self.text()[:-1])
        self.settle()
        self.setText(f"{self.text().strip()} + ")
        self._typed = False
        self.open_list()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, alt = event.key(), bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        if key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            if self.offered and self._list is not None:
                self._list.step(1 if key == Qt.Key.Key_Down else -1)
            elif alt or key == Qt.Key.Key_Down:
                self.open_list()
            return
        if key == Qt.Key.Key_Escape and self.offered:
            self.close_list()
            return
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.settle()
        super().keyPressEvent(event)

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        if event.reason() in _LEFT_BY_TAB:
            self.settle()
        self.close_list()
        super().focusOutEvent(event)

    @override
    def hideEvent(self, event: QHideEvent) -> None:
        self.close_list()
        super().hideEvent(event)


class _PickModel(QAbstractListModel):
    def __init__(self) -> None:
        super().__init__()
        self.picks: tuple[Pick, ...] = ()

    def set_picks(self, picks: Sequence[Pick]) -> None:
        """Offer other picks."""
        self.beginResetModel()
        self.picks = tuple(picks)
        self.endResetModel()

    @override
    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.picks)

    @override
    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        pick = self.picks[index.row()]
        if role == _PICK_ROLE:
            return pick
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{pick.text}, {pick.more}" if pick.more else pick.text
        return pick.text if role == Qt.ItemDataRole.DisplayRole else None


class _PickList(QListView):
    """The list below the line, or above it where there is no room. It never takes the keys."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme, self._model, self._home = theme, _PickModel(), parent
        self.setModel(self._model)
        self.setItemDelegate(_PickDelegate(theme, self))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setProperty("look", "picks")
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.hide()

    @property
    def picks(self) -> tuple[Pick, ...]:
        """What is offered."""
        return self._model.picks

    def current(self) -> Pick | None:
        """The pick in front."""
        index = self.currentIndex()
        return self._model.picks[index.row()] if index.isValid() else None

    def step(self, by: int) -> None:
        """To the next pick, round the ends."""
        row, count = self.currentIndex().row(), len(self._model.picks)
        row = (row + by) % count if row >= 0 else (0 if by > 0 else count - 1)
        self.setCurrentIndex(self._model.index(row))

    def show_picks(self, picks: Sequence[Pick], line: QWidget, choose: bool) -> None:
        """Offer picks at a line; `choose` sets the first in front."""
        self._model.set_picks(picks)
        self._place(line)
        self.setCurrentIndex(self._model.index(0) if choose else _NOWHERE)
        self.show()
        self.raise_()

    def _place(self, line: QWidget) -> None:
        rows = min(_MOST_LINES, len(self._model.picks))
        hint = self.itemDelegate().sizeHint(QStyleOptionViewItem(), self._model.index(0))
        wide = max(self.sizeHintForColumn(0) + self._theme.size(24), line.width())
        height = rows * hint.height() + 2 * self.frameWidth() + 2
        window = self._home
        corner = line.mapTo(window, QPoint(0, line.height()))
        if corner.y() + height > window.height() and corner.y() - line.height() >= height:
            corner.setY(corner.y() - line.height() - height)
        height = min(height, window.height() - max(0, corner.y()))
        corner.setX(max(0, min(corner.x(), window.width() - wide)))
        self.setGeometry(corner.x(), corner.y(), min(wide, window.width()), max(height, hint.height() + 4))


class _PickDelegate(QStyledItemDelegate):
    """A pick with its swatch, and what stands smaller beside it."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        pick, theme = index.data(_PICK_ROLE), self._theme
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, theme.colour("picked"))
            bar = QRectF(option.rect).adjusted(0, 0, -(option.rect.width() - theme.size(4)), 0)
            painter.fillRect(bar, theme.colour("focus"))
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font())
        box = QRectF(option.rect).adjusted(theme.size(10), 0, -theme.size(10), 0)
        if pick.ink is not None:
            height = theme.size(CHIP_HEIGHT)
            chip = QRectF(box.left(), box.center().y() - height / 2, theme.size(CHIP_WIDTH), height)
            paint_chip(painter, chip, pick.ink, theme)
            box.setLeft(chip.right() + theme.size(8))
        painter.setPen(theme.colour("text"))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, pick.text)
        painter.setPen(theme.colour("soft"))
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight, pick.more)
        painter.restore()

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        pick, theme = index.data(_PICK_ROLE), self._theme
        view = self.parent()
        assert isinstance(view, QWidget)
        metrics = view.fontMetrics()
        wide = metrics.horizontalAdvance(pick.text) + metrics.horizontalAdvance(pick.more) + theme.size(44)
        chip = theme.size(CHIP_WIDTH + 8) if pick.ink is not None else 0
        return QSize(wide + chip, max(24, theme.size(28)))
