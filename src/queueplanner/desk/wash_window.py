"""The wash table in a window of its own, beside the day: every pair of inks, why, and the shop's own counts."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QSplitter, QVBoxLayout, QWidget
from typing_extensions import override

from queueplanner.desk.elided_label import ElidedLabel
from queueplanner.desk.labels import make_label
from queueplanner.desk.theme import Theme
from queueplanner.desk.wash_book import WashBook
from queueplanner.desk.wash_details import WashDetails
from queueplanner.desk.wash_grid import WashGrid, WashTableModel
from queueplanner.exchange.wash_words import assumption
from queueplanner.shop.base import InkId

Pair = tuple[InkId, InkId]
#: Narrower than this, px at the usual text size, the pair does not stand beside the table.
_LEAST_BESIDE = 900


class WashWindow(QDialog):
    """Not modal: it may stay open beside the work. Esc closes it, Ctrl+Z takes the last change back."""

    def __init__(self, book: WashBook, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._book, self._theme = book, theme
        self._locked = False
        self._pair: Pair | None = None
        self.setWindowFlag(Qt.WindowType.WindowMaximizeButtonHint)
        self.setWindowTitle(self.tr("Wash table"))
        self.setAccessibleName(self.windowTitle())
        self.title = make_label(self.windowTitle(), "title")
        self.hint = make_label(self._hint_text(), "soft", wrap=True)
        self.model = WashTableModel(book)
        self.grid = WashGrid(self.model, theme)
        self.remark = ElidedLabel(theme, self.tr("Under the pointer"))
        self.standing = make_label("", "caution", wrap=True)
        self.details = WashDetails(book, theme)
        self._lay_out()
        self._connect()
        self._fit_to_screen()
        self.refresh()

    def _hint_text(self) -> str:
        return self.tr("Rows: the ink that comes out. Columns: the ink that goes in. Both from light to dark.")

    def _lay_out(self) -> None:
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        for part, stretch in ((self.title, 0), (self.hint, 0), (self.grid, 1), (self.remark, 0), (self.standing, 0)):
            column.addWidget(part, stretch)
        card = QFrame()
        card.setProperty("look", "card")
        inside = QVBoxLayout(card)
        inside.setContentsMargins(2, 2, 2, 2)
        inside.addWidget(self.details)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(left)
        self._split.addWidget(card)
        self._split.setStretchFactor(0, 1)
        row = QHBoxLayout(self)
        row.addWidget(self._split)

    def _fit_to_screen(self) -> None:
        size, room = self._theme.size, self.screen().availableSize()
        wanted = (size(1380), size(960))
        self.resize(min(wanted[0], round(room.width() * 0.96)), min(wanted[1], round(room.height() * 0.94)))

    def _connect(self) -> None:
        self.grid.chosen.connect(self._choose)
        self.grid.pointed.connect(self._remark)
        self.grid.wanted.connect(self.fix)
        self.details.wanted.connect(self.fix)
        self.details.undo_wanted.connect(self.undo)
        QShortcut(QKeySequence("Ctrl+Z"), self, self.undo)
        self._book.listen(self.refresh)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._turn()

    def _turn(self) -> None:
        """In a narrow window the pair stands below the table."""
        narrow = self.width() < self._theme.size(_LEAST_BESIDE)
        way = Qt.Orientation.Vertical if narrow else Qt.Orientation.Horizontal
        if way is not self._split.orientation():
            self._split.setOrientation(way)
            self._split.setStretchFactor(1, int(narrow))
            # Shared out when the parts have told their new least sizes.
            QTimer.singleShot(0, self, self._share)

    def _share(self) -> None:
        narrow = self._split.orientation() is Qt.Orientation.Vertical
        high = self._split.height()
        self._split.setSizes([high * 3 // 5, high * 2 // 5] if narrow else [self.width(), 0])

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self.grid.set_theme(theme)
        self.remark.set_theme(theme)
        self.details.set_theme(theme)
        self._turn()

    def set_locked(self, locked: bool) -> None:
        """Let no number be changed for a while."""
        if locked != self._locked:
            self._locked = locked
            self.details.set_locked(locked)

    def refresh(self) -> None:
        """Show the book as it is now."""
        self.model.refresh()
        press = None if self._book.shop is None else self._book.shop.press
        if press is None:
            files = "  ".join(f"{problem}" for problem in self._book.problems)
            self.standing.setText(self.tr("The shop's files cannot be read. {problems}").format(problems=files))
        else:
            self.standing.setText(assumption(press))
        if press is not None and self._pair is None and len(self.model.inks) > 1:
            self.show_pair((self.model.inks[0].id, self.model.inks[1].id))
        self.details.show_cell(None if self._pair is None else self._book.cell(self._pair))
        if self._pair is not None:
            self._remark("")

    def show_pair(self, pair: Pair) -> None:
        """Choose a pair."""
        self.grid.show_pair(pair)

    def fix(self, washes: int | None) -> None:
        """Set the chosen pair's washes, or give it back to the reckoning (None)."""
        if self._pair is None or self._locked:
            return
        if self._book.fix(self._pair, washes):
            self._announce(self.model.sentence(self.grid.currentIndex()))
        else:
            self._not_done()

    def undo(self) -> None:
        """Take the last change back and show its pair."""
        if self._locked or not self._book.steps:
            return
        step = self._book.undo()
        if step is None:
            self._not_done()
            return
        self.show_pair(step.pair)
        self._announce(self.model.sentence(self.grid.currentIndex()))

    def _not_done(self) -> None:
        self.details.refresh()
        if self._book.problems:
            self._announce(self.details.trouble.text())

    def _remark(self, text: str) -> None:
        """What lies under the pointer, else what is chosen."""
        self.remark.set_text(text or self.model.sentence(self.grid.currentIndex()))

    def _choose(self, pair: Pair) -> None:
        self._pair = pair
        self._remark("")
        self.details.show_cell(self._book.cell(pair))

    def _announce(self, text: str) -> None:
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))
