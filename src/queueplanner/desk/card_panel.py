"""The settings card of the selected pass: what changes against the pass before, and what everything is now."""

from __future__ import annotations

from itertools import groupby

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.day_model import Pick
from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.theme import Theme
from queueplanner.desk.tick_box import TickBox
from queueplanner.exchange.card_wording import CardRow, card_rows, caution_letters, why_text
from queueplanner.makeready.card_lines import SettingsCard


class CardPanel(QScrollArea):
    """Shows one card, or says why there is none. What changes is bold and has a mark; the rest is one plain line."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._card: SettingsCard | None = None
        self._pick: Pick | None = None
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Settings card"))
        self._body = QWidget()
        self._outer = QVBoxLayout(self._body)
        self._head = QVBoxLayout()
        self.changes_only = TickBox(theme, self.tr("Only what changes"))
        self.changes_only.toggled.connect(self._build)
        self._column = QVBoxLayout()
        self._outer.addLayout(self._head)
        self._outer.addWidget(self.changes_only, 0, Qt.AlignmentFlag.AlignLeft)
        self._outer.addLayout(self._column)
        self._outer.addStretch(1)
        self.setWidget(self._body)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        size = theme.size
        self.changes_only.set_theme(theme)
        self.setMinimumWidth(size(300))
        self._outer.setContentsMargins(size(16), size(12), size(16), size(16))
        for column in (self._outer, self._head, self._column):
            column.setSpacing(size(8))
        self._build()

    def show_card(self, card: SettingsCard | None, pick: Pick | None) -> None:
        """Show the card of what is selected; None where it has none."""
        if (card, pick) != (self._card, self._pick):
            self._card, self._pick = card, pick
            self._build()
            self.verticalScrollBar().setValue(0)

    @property
    def card(self) -> SettingsCard | None:
        """What is shown."""
        return self._card

    def _build(self) -> None:
        self._body.setUpdatesEnabled(False)
        clear_layout(self._head)
        clear_layout(self._column)
        self.changes_only.setVisible(self._card is not None)
        if self._card is None:
            self._add_none()
        else:
            self._fill(self._card)
        self._body.setUpdatesEnabled(True)

    def _add_none(self) -> None:
        evening = self._pick is not None and self._pick.evening is not None
        title = self.tr("An evening has no settings") if evening else self.tr("No pass chosen")
        hint = self.tr("Click a pass in the timeline or a row of a table to see its settings card.")
        self._head.addWidget(make_label(title, "title", wrap=True))
        self._head.addWidget(make_label(hint, "soft", wrap=True))

    def _fill(self, card: SettingsCard) -> None:
        changed = len(card.changes)
        self._head.addWidget(make_label(self.tr("Settings for {p}").format(p=card.print_pass.id), "title", wrap=True))
        told = self.tr("▸ {n} of {all} lines change, {rest} stay as they are").format(
            n=changed, all=len(card.lines), rest=len(card.lines) - changed
        )
        self._head.addWidget(make_label(told, "soft", wrap=True))
        for warning in card.warnings:
            text = why_text(warning)
            self._head.addWidget(make_label(f"!  {text[:1].upper()}{text[1:]}.", "caution", wrap=True))
        rows = card_rows(card, changes_only=self.changes_only.isChecked())
        letters = caution_letters(card, changes_only=True)
        for group, of_group in groupby(rows, key=lambda row: row.group):
            self._column.addWidget(make_line())
            self._column.addWidget(make_label(group, "strong", wrap=True))
            self._column.addLayout(self._grid(tuple(of_group), letters))
        self._add_cautions(letters)

    def _grid(self, rows: tuple[CardRow, ...], letters: dict[str, str]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(8))
        grid.setVerticalSpacing(self._theme.size(2))
        grid.setColumnStretch(1, 4)
        grid.setColumnStretch(2, 5)
        told = ""
        for number, row in enumerate(rows):
            if row.changed:
                # The same reason is not said twice running: a change of format alone sets ten things.
                self._add_changed(grid, 4 * number, row, "" if row.why == told else row.reason, letters)
                told = row.why
            else:
                self._add_unchanged(grid, 4 * number, row)
            grid.setRowMinimumHeight(4 * number + 3, self._theme.size(7))
        return grid

    def _add_changed(self, grid: QGridLayout, at: int, row: CardRow, why: str, letters: dict[str, str]) -> None:
        mark = make_label("▸", "strong")
        mark.setAccessibleName(self.tr("changes"))
        grid.addWidget(mark, at, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(make_label(row.name, "strong", wrap=True), at, 1, 1, 2)
        grid.addWidget(make_label(row.value or row.do, "strong" if row.value else "", wrap=True), at + 1, 1, 1, 3)
        if row.cautions:
            text = " ".join(f"⚠ {letters[caution]}" for caution in row.cautions)
            sign = make_label(text, "soft")
            sign.setAccessibleName(self.tr("Caution: {text}").format(text=row.caution))
            grid.addWidget(sign, at, 3, Qt.AlignmentFlag.AlignTop)
        more = " ".join(part for part in (f"{row.do}." if row.value else "", why) if part)
        if more:
            grid.addWidget(make_label(more, "soft", wrap=True), at + 2, 1, 1, 3)

    def _add_unchanged(self, grid: QGridLayout, at: int, row: CardRow) -> None:
        grid.addWidget(make_label(row.name, "soft", wrap=True), at, 1)
        grid.addWidget(make_label(row.value or row.do, "soft", wrap=True), at, 2, 1, 2)

    def _add_cautions(self, letters: dict[str, str]) -> None:
        if not letters:
            return
        self._column.addWidget(make_line())
        self._column.addWidget(make_label(self.tr("Cautions"), "strong"))
        for text, letter in letters.items():
            self._column.addWidget(make_label(f"⚠ {letter}   {text}", "caution", wrap=True))
        note = self.tr("Reminders only: your local codes, the safety data sheets and the press's manual come first.")
        self._column.addWidget(make_label(note, "soft", wrap=True))

    def labels(self) -> list[str]:
        """Every text on show, from top to bottom."""
        return [label.text() for label in self._body.findChildren(QLabel)]
