"""The wash table as a picture that keys and pointer walk: rows the ink that comes out, columns the one that goes in."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPointF, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFontMetrics, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)
from typing_extensions import override

from queueplanner.desk.ink_chip import CHIP_HEIGHT, CHIP_WIDTH
from queueplanner.desk.ink_colour import paint_chip
from queueplanner.desk.table_cells import AnyIndex
from queueplanner.desk.theme import TextRole, Theme
from queueplanner.desk.wash_book import WashBook
from queueplanner.desk.wash_paint import paint_cell, paint_same
from queueplanner.exchange.wash_words import WashCell, cell_sentences, light_to_dark
from queueplanner.shop.base import InkId
from queueplanner.shop.ink import Ink

_NOWHERE = QModelIndex()
#: Sides of a cell at the usual text size, px.
CELL_WIDTH, CELL_HEIGHT = 38, 28
#: A name longer than this, px at the usual text size, or than this share of the table's side is cut in the heads; the
#: whole one stands beside the table.
_LONGEST_NAME, _LARGEST_SHARE = 200, 0.28

Pair = tuple[InkId, InkId]


class WashTableModel(QAbstractTableModel):
    """The table of a `WashBook`, inks from light to dark."""

    def __init__(self, book: WashBook) -> None:
        super().__init__()
        self._book = book
        self.inks: tuple[Ink, ...] = ()

    def refresh(self) -> None:
        """Show the book as it is now."""
        inks = light_to_dark(self._book.shop.inks.values()) if self._book.shop is not None else ()
        if [ink.id for ink in inks] != [ink.id for ink in self.inks]:
            self.beginResetModel()
            self.inks = inks
            self.endResetModel()
        elif inks:
            self.inks = inks
            self.dataChanged.emit(self.index(0, 0), self.index(len(inks) - 1, len(inks) - 1))

    def pair(self, index: AnyIndex) -> Pair:
        """The inks of a cell."""
        return self.inks[index.row()].id, self.inks[index.column()].id

    def cell(self, index: AnyIndex) -> WashCell | None:
        """What stands in a cell; None for an ink to itself."""
        return self._book.cell(self.pair(index))

    def place(self, pair: Pair) -> QModelIndex:
        """Where a pair stands."""
        ids = [ink.id for ink in self.inks]
        return self.index(ids.index(pair[0]), ids.index(pair[1])) if set(pair) <= set(ids) else _NOWHERE

    @override
    def rowCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.inks)

    @override
    def columnCount(self, parent: AnyIndex = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self.inks)

    @override
    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if role == Qt.ItemDataRole.DisplayRole and 0 <= section < len(self.inks):
            return self.inks[section].name
        return None

    @override
    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid():
            return None
        cell = self.cell(index)
        if role == Qt.ItemDataRole.DisplayRole:
            return "" if cell is None else str(cell.count.washes)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self.sentence(index)
        return None

    def sentence(self, index: AnyIndex) -> str:
        """A cell in words."""
        cell = self.cell(index)
        if cell is None:
            return self.tr("{ink} to itself: no wash").format(ink=self.inks[index.row()].name)
        return self.tr("{old} to {new}: {why}").format(
            old=cell.old.name, new=cell.new.name, why="; ".join(cell_sentences(cell))
        )


class WashGrid(QTableView):
    """`chosen` carries the pair moved to, `pointed` the sentence of the cell under the pointer ("" for none), `wanted`
    the washes a key asks for (None: as reckoned).
    """

    chosen = Signal(object)
    pointed = Signal(str)
    wanted = Signal(object)

    def __init__(self, model: WashTableModel, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._model = theme, model
        self._delegate = _Cells(theme)
        self.setModel(model)
        self.setItemDelegate(self._delegate)
        self.setHorizontalHeader(InkHeader(Qt.Orientation.Horizontal, model, theme, self))
        self.setVerticalHeader(InkHeader(Qt.Orientation.Vertical, model, theme, self))
        self._corner = QLabel(self.tr("from ↓   to →"), self)
        self._corner.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
        self.setCornerButtonEnabled(False)
        for button in self.findChildren(QAbstractButton):
            button.setAccessibleName(self._corner.text())
        self.setAccessibleName(self.tr("Washes from the ink of a row to the ink of a column"))
        for header, name in (
            (self.horizontalHeader(), self.tr("Inks that go in")),
            (self.verticalHeader(), self.tr("Inks that come out")),
        ):
            header.setAccessibleName(name)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setMouseTracking(True)
        self.entered.connect(lambda index: self.pointed.emit(model.sentence(index)))
        self.selectionModel().currentChanged.connect(lambda now, _: self._moved(now))
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self._delegate.theme = theme
        for header, side in (
            (self.horizontalHeader(), theme.size(CELL_WIDTH)),
            (self.verticalHeader(), theme.size(CELL_HEIGHT)),
        ):
            assert isinstance(header, InkHeader)
            header.set_theme(theme)
            header.setMinimumSectionSize(24)
            header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
            header.setDefaultSectionSize(side)
        self.setMinimumSize(theme.size(360), theme.size(130))
        self._place_corner()
        self.viewport().update()

    def show_pair(self, pair: Pair) -> None:
        """Select a pair's cell."""
        self.setCurrentIndex(self._model.place(pair))

    def _moved(self, now: AnyIndex) -> None:
        for header in (self.horizontalHeader(), self.verticalHeader()):
            header.viewport().update()
        if now.isValid():
            self.chosen.emit(self._model.pair(now))

    def _place_corner(self) -> None:
        for header in (self.horizontalHeader(), self.verticalHeader()):
            header.resizeSections()
        self.updateGeometries()
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())
        width, height = self.verticalHeader().width(), self.horizontalHeader().height()
        gap = self._theme.size(6)
        self._corner.setGeometry(2, 2, width - gap, height - gap)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place_corner()

    @override
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        super().mouseMoveEvent(event)
        if not self.indexAt(event.position().toPoint()).isValid():
            self.pointed.emit("")

    @override
    def leaveEvent(self, event: QEnterEvent) -> None:  # type: ignore[override]
        super().leaveEvent(event)
        self.pointed.emit("")

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier):
            if Qt.Key.Key_1 <= key <= Qt.Key.Key_4:
                self.wanted.emit(key - Qt.Key.Key_0)
                return
            if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
                self.wanted.emit(None)
                return
        super().keyPressEvent(event)


class _Cells(QStyledItemDelegate):
    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme

    @override
    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: AnyIndex) -> None:
        model, view = index.model(), option.widget
        assert isinstance(model, WashTableModel)
        assert isinstance(view, WashGrid)
        box, cell = QRectF(option.rect), model.cell(index)
        painter.setFont(self.theme.font())
        if cell is None:
            paint_same(painter, box, self.theme)
        else:
            paint_cell(painter, box, cell, self.theme)
        if index == view.currentIndex():
            token = "focus" if view.hasFocus() else "text"
            painter.setPen(QPen(self.theme.colour("surface"), 5))
            painter.drawRect(box.adjusted(2, 2, -3, -3))
            painter.setPen(QPen(self.theme.colour(token), 3))
            painter.drawRect(box.adjusted(2, 2, -3, -3))

    @override
    def sizeHint(self, option: QStyleOptionViewItem, index: AnyIndex) -> QSize:
        return QSize(self.theme.size(CELL_WIDTH), self.theme.size(CELL_HEIGHT))


class InkHeader(QHeaderView):
    """Names the inks beside their swatches; across, the names stand upright. The chosen cell's two are bold."""

    def __init__(self, orientation: Qt.Orientation, model: WashTableModel, theme: Theme, parent: QWidget) -> None:
        super().__init__(orientation, parent)
        self._model, self._theme = model, theme
        self.setSectionsClickable(False)
        self.setHighlightSections(False)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self.updateGeometry()

    def _grid(self) -> WashGrid:
        grid = self.parent()
        assert isinstance(grid, WashGrid)
        return grid

    @override
    def sectionSizeFromContents(self, logicalIndex: int) -> QSize:
        size = self._theme.size
        metrics = QFontMetrics(self._theme.font(TextRole.STRONG))
        level = self.orientation() is Qt.Orientation.Vertical
        grid = self._grid()
        most = min(size(_LONGEST_NAME), round(_LARGEST_SHARE * (grid.width() if level else grid.height())))
        length = min(metrics.horizontalAdvance(self._model.inks[logicalIndex].name) + 4, max(size(60), most))
        if level:
            return QSize(length + size(CHIP_WIDTH) + size(20), size(CELL_HEIGHT))
        return QSize(size(CELL_WIDTH), length + size(CHIP_HEIGHT) + size(20))

    @override
    def paintSection(self, painter: QPainter, rect: QRect, logicalIndex: int) -> None:
        ink = self._model.inks[logicalIndex]
        current = self._grid().currentIndex()
        across = self.orientation() is Qt.Orientation.Horizontal
        chosen = current.isValid() and logicalIndex == (current.column() if across else current.row())
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen:
            painter.fillRect(rect, self._theme.colour("picked"))
        painter.setPen(self._theme.colour("text"))
        painter.setFont(self._theme.font(TextRole.STRONG if chosen else TextRole.BODY))
        (self._paint_upright if across else self._paint_level)(painter, QRectF(rect), ink)
        painter.restore()

    def _paint_level(self, painter: QPainter, box: QRectF, ink: Ink) -> None:
        size = self._theme.size
        chip = QRectF(0, 0, size(CHIP_WIDTH), size(CHIP_HEIGHT))
        chip.moveCenter(QPointF(box.right() - size(6) - chip.width() / 2, box.center().y()))
        paint_chip(painter, chip, ink, self._theme)
        painter.setPen(self._theme.colour("text"))
        room = box.adjusted(size(4), 0, -(chip.width() + size(12)), 0)
        self._paint_name(painter, room, ink, Qt.AlignmentFlag.AlignRight)

    def _paint_upright(self, painter: QPainter, box: QRectF, ink: Ink) -> None:
        size = self._theme.size
        chip = QRectF(0, 0, size(CHIP_WIDTH), size(CHIP_HEIGHT))
        chip.moveCenter(QPointF(box.center().x(), box.bottom() - size(6) - chip.height() / 2))
        paint_chip(painter, chip, ink, self._theme)
        painter.setPen(self._theme.colour("text"))
        painter.translate(box.left(), chip.top() - size(6))
        painter.rotate(-90)
        room = QRectF(0, 0, chip.top() - size(6) - box.top() - size(4), box.width())
        self._paint_name(painter, room, ink, Qt.AlignmentFlag.AlignLeft)

    def _paint_name(self, painter: QPainter, room: QRectF, ink: Ink, side: Qt.AlignmentFlag) -> None:
        text = painter.fontMetrics().elidedText(ink.name, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, side | Qt.AlignmentFlag.AlignVCenter, text)
