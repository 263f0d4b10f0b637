"""Beside the wash table: the chosen pair, why it takes so many washes, and the shop's own number for it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.theme import Theme
from queueplanner.desk.wash_book import WashBook
from queueplanner.desk.wash_key import WashKey, rule_text
from queueplanner.exchange.wash_override_file import PRESS_FILE
from queueplanner.exchange.wash_words import WashCell, cell_sentences


class WashDetails(QScrollArea):
    """`wanted` carries the washes chosen for the pair (None: as reckoned), `undo_wanted` asks for a step back."""

    wanted = Signal(object)
    undo_wanted = Signal()

    def __init__(self, book: WashBook, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._book, self._theme = book, theme
        self._cell: WashCell | None = None
        self._locked = False
        self.choices: dict[int | None, QPushButton] = {}
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("The chosen pair"))
        self._body = QWidget()
        self._column = QVBoxLayout(self._body)
        self._pair = QVBoxLayout()
        self._group = QButtonGroup(self)
        self.undo_button = QPushButton(self.tr("Undo"))
        self.undo_button.setProperty("look", "plain")
        self.undo_button.clicked.connect(self.undo_wanted)
        self._choosing = self._make_choices()
        self.kept = make_label("", "soft", wrap=True)
        self.trouble = make_label("", "caution", wrap=True)
        self.key = WashKey(theme)
        self._lay_out()
        self.setWidget(self._body)
        self.set_theme(theme)

    def _lay_out(self) -> None:
        self._column.addLayout(self._pair)
        self._column.addWidget(make_line())
        self._column.addWidget(make_label(self.tr("The shop's own number"), "strong", wrap=True))
        self._column.addWidget(self._choosing)
        keys = self.tr("In the table: keys 1 to 4; Delete for what is reckoned; Ctrl+Z takes back.")
        self._column.addWidget(make_label(keys, "soft", wrap=True))
        self._column.addWidget(self.trouble)
        self._column.addWidget(self.kept)
        self._column.addWidget(self.undo_button, 0, Qt.AlignmentFlag.AlignLeft)
        self._column.addWidget(make_line())
        self._column.addWidget(make_label(self.tr("Key"), "strong"))
        self._column.addWidget(self.key)
        self._column.addStretch(1)

    def _make_choices(self) -> QWidget:
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        row = QHBoxLayout()
        for washes in (None, 1, 2, 3, 4):
            button = QPushButton("" if washes is None else str(washes))
            button.setProperty("look", "plain")
            button.setCheckable(True)
            button.clicked.connect(lambda _=False, w=washes: self.wanted.emit(w))
            self._group.addButton(button)
            self.choices[washes] = button
            if washes is None:
                column.addWidget(button)
            else:
                row.addWidget(button)
                name = self.tr("1 wash") if washes == 1 else self.tr("{n} washes").format(n=washes)
                button.setAccessibleName(self.tr("{name}, set by the shop").format(name=name))
        column.addLayout(row)
        return box

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        size = theme.size
        self._column.setContentsMargins(size(16), size(12), size(16), size(16))
        self._column.setSpacing(size(8))
        self._pair.setSpacing(size(6))
        self.setMinimumWidth(size(330))
        self.key.set_theme(theme)
        self.refresh()

    def set_locked(self, locked: bool) -> None:
        """Let no number be changed, as while a plan is being searched with the numbers there are."""
        self._locked = locked
        self.refresh()

    def show_cell(self, cell: WashCell | None) -> None:
        """Show a pair; None for an ink to itself."""
        self._cell = cell
        self.refresh()

    def refresh(self) -> None:
        """Show the pair, the numbers and what is kept where as they are now."""
        clear_layout(self._pair)
        if self._cell is None:
            hint = self.tr("Choose a cell: click it, or walk the table with the arrow keys.")
            self._pair.addWidget(make_label(hint, "soft", wrap=True))
        else:
            self._fill(self._cell)
        self._check_choices()
        problems = self._book.problems
        self.trouble.setText("!  " + "  ".join(f"{p.found}: {p.wanted}" for p in problems) if problems else "")
        self.trouble.setVisible(bool(problems))
        self.kept.setText(self._where_kept())
        self.undo_button.setEnabled(bool(self._book.steps) and not self._locked)

    def _fill(self, cell: WashCell) -> None:
        inks = FlowBox(self._theme, (8, 4))
        old, new = (InkChip(self._theme, ink, ink.name) for ink in (cell.old, cell.new))
        for part in (old, make_label("→", "strong"), new):
            inks.add(part)
        self._pair.addWidget(inks)
        self._pair.addWidget(make_label(_washes(self, cell.count.washes), "figure"))
        self._pair.addWidget(make_label(rule_text(cell.count.rule), "soft", wrap=True))
        for said in cell_sentences(cell):
            self._pair.addWidget(make_label(f"{said[:1].upper()}{said[1:]}.", wrap=True))
        back = self._book.cell((cell.new.id, cell.old.id))
        if back is not None:
            text = self.tr("The other way round: {washes}.").format(washes=_washes(self, back.count.washes))
            self._pair.addWidget(make_label(text, "soft", wrap=True))

    def _check_choices(self) -> None:
        cell = self._cell
        own = cell.count.washes if cell is not None and cell.fixed else None
        reckoned = "–" if cell is None else str(cell.reckoned.washes)
        self.choices[None].setText(self.tr("As reckoned: {n}").format(n=reckoned))
        self.choices[None].setAccessibleName(self.choices[None].text())
        for washes, button in self.choices.items():
            button.setEnabled(cell is not None and not self._locked)
            button.setChecked(cell is not None and washes == own)

    def _where_kept(self) -> str:
        if self._locked:
            return self.tr("While a list is read or planned the numbers stay as they are.")
        if self._book.folder is None:
            return self.tr(
                "No shop folder is open: kept until the program ends. Started with {option} FOLDER, the program "
                "keeps it in that folder's {file}, under [[wash_overrides]]."
            ).format(file=PRESS_FILE, option="\u2011\u2011shop")
        place = Path(self._book.folder.name) / PRESS_FILE
        return self.tr("Kept in {place}, under [[wash_overrides]].").format(place=place)

    def labels(self) -> list[str]:
        """Every text on show, from top to bottom."""
        return [label.text() for label in self._body.findChildren(QLabel) if not label.isHidden()]


def _washes(widget: QWidget, count: int) -> str:
    return widget.tr("1 wash") if count == 1 else widget.tr("{n} washes").format(n=count)
