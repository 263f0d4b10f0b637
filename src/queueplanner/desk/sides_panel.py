"""The two sides of one job: work style, inks, plates and lay side of each side, beside the job sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QSignalBlocker, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QScrollArea, QVBoxLayout, QWidget
from typing_extensions import override

from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.pick_editor import PickEditor
from queueplanner.desk.sheet_columns import COLUMN_OF, PICKED, Kind
from queueplanner.desk.sheet_marks import Mark, mark_of
from queueplanner.desk.sheet_picks import picks_for, several
from queueplanner.desk.sheet_words import missing_text, name_text, problem_text
from queueplanner.desk.theme import Theme
from queueplanner.desk.trade_words import lay_side_text, work_style_text
from queueplanner.exchange import cells
from queueplanner.exchange.cells import CellFault
from queueplanner.exchange.job_passes import usual_back_lay_side
from queueplanner.exchange.job_row import columns_without_use
from queueplanner.shop.job import LaySide, WorkStyle

FRONT = ("inks", "plates", "coverage", "lay_side")
BACK = ("inks_back", "plates_back", "coverage_back", "lay_side_back", "drying_h")


@dataclass
class _Field:
    """A column's widget in the panel, and what stands around it."""

    label: QLabel
    widget: QLineEdit | QComboBox
    chips: QVBoxLayout | None
    reason: QLabel

    def set_visible(self, seen: bool) -> None:
        """Show or hide all of it; chips and reason are shown when there are any."""
        for part in (self.label, self.widget):
            part.setVisible(seen)
        if not seen:
            self.reason.hide()
        if self.chips is not None and not seen:
            clear_layout(self.chips)


class SidesPanel(QScrollArea):
    """Shows one row of a `JobSheetModel` and writes into it; every change is one step that can be undone."""

    def __init__(self, sheet: JobSheetModel, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sheet, self._theme = sheet, theme
        self._key: int | None = None
        self._fields: dict[str, _Field] = {}
        self.setAccessibleName(self.tr("The two sides of the job"))
        self.setProperty("look", "bare")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._build()
        self.show_row(None)

    @property
    def key(self) -> int | None:
        """The row on show."""
        return self._key

    def field(self, column: str) -> QLineEdit | QComboBox:
        """The widget a column is written in."""
        return self._fields[column].widget

    def reason(self, column: str) -> str:
        """What stands under a column's widget about its fault."""
        label = self._fields[column].reason
        return "" if label.isHidden() else label.text()

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self._build()
        self.show_row(self._key)

    def show_row(self, key: int | None) -> None:
        """Show a row, or that there is none to show."""
        self._key = key if key is not None and self._sheet.holds(key) else None
        self.refresh()

    def refresh(self) -> None:
        """Show the row as it is now."""
        if self._key is not None and not self._sheet.holds(self._key):
            self._key = None
        key = self._key
        self._body.setEnabled(key is not None)
        if key is None:
            self._title.setText(self.tr("No job chosen"))
            self._explain.setText(self.tr("Choose a row to see its two sides here."))
            for field in self._fields.values():
                field.set_visible(False)
            for part in (self._front_title, self._back_title, self._back_note, *self._lines):
                part.hide()
            return
        title = self._sheet.kept(key, "title")
        self._title.setText(f"{self._sheet.name_of(key) or self.tr('A new job')}{f'  {title}' if title else ''}")
        self._show_sides(key)

    def _show_sides(self, key: int) -> None:
        style = self._style(key)
        self._explain.setText(self._style_words(style))
        unused = set(columns_without_use(style))
        for column in ("work_style", *FRONT, *BACK):
            self._fields[column].set_visible(column not in unused or bool(self._sheet.kept(key, column)))
            self._fill(column, key)
        self._front_title.show()
        self._front_title.setText(self.tr("First side") if style.two_sided else self.tr("Printed side"))
        self._lines[0].show()
        for part in (self._lines[1], self._back_title):
            part.setVisible(style.two_sided)
        self._back_note.setVisible(style.same_plates)

    # Building

    def _build(self) -> None:
        theme = self._theme
        body = QWidget()
        self._body = body
        column = QVBoxLayout(body)
        margin = theme.size(12)
        column.setContentsMargins(margin, theme.size(8), margin, margin)
        column.setSpacing(theme.size(6))
        self._title = make_label("", "title", wrap=True)
        self._explain = make_label("", "soft", wrap=True)
        self._front_title, self._back_title = make_label("", "strong"), make_label(self.tr("Second side"), "strong")
        self._back_note = make_label(self.tr("The same inks and plates as on the first side."), "soft", wrap=True)
        column.addWidget(self._title)
        column.addLayout(self._grid(("work_style",)))
        column.addWidget(self._explain)
        self._lines = (make_line(), make_line())
        column.addWidget(self._lines[0])
        column.addWidget(self._front_title)
        column.addLayout(self._grid(FRONT))
        column.addWidget(self._lines[1])
        column.addWidget(self._back_title)
        column.addWidget(self._back_note)
        column.addLayout(self._grid(BACK))
        column.addStretch(1)
        self.setWidget(body)
        self.setMinimumWidth(body.minimumSizeHint().width() + self.verticalScrollBar().sizeHint().width() + 4)

    def _grid(self, columns: tuple[str, ...]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(10))
        grid.setVerticalSpacing(self._theme.size(4))
        grid.setColumnStretch(1, 1)
        for number, column in enumerate(columns):
            field = self._field(column)
            self._fields[column] = field
            grid.addWidget(field.label, 3 * number, 0)
            grid.addWidget(field.widget, 3 * number, 1)
            if field.chips is not None:
                grid.addLayout(field.chips, 3 * number + 1, 1)
            grid.addWidget(field.reason, 3 * number + 2, 0, 1, 2)
        return grid

    def _field(self, column: str) -> _Field:
        name = self._short_name(column)
        label = make_label(name)
        widget = self._choice(column) if COLUMN_OF[column].kind is Kind.CHOICE else self._line(column)
        widget.setAccessibleName(f"{name} ({name_text(column)})" if name != name_text(column) else name)
        widget.setMinimumSize(self._theme.size(184), self._theme.size(30))
        label.setBuddy(widget)
        chips = QVBoxLayout() if COLUMN_OF[column].kind is Kind.INKS else None
        return _Field(label, widget, chips, make_label("", "late", wrap=True))

    def _line(self, column: str) -> QLineEdit:
        made = COLUMN_OF[column]
        if made.kind in PICKED:
            line: QLineEdit = PickEditor(picks_for(made, self._sheet.texts), self._theme, several=several(made))
        else:
            line = QLineEdit()
        line.editingFinished.connect(lambda: self._write(column, line.text()))
        return line

    def _choice(self, column: str) -> QComboBox:
        box = _CalmBox(self._theme)
        box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        box.setMinimumContentsLength(6)
        for choice in COLUMN_OF[column].choices:
            box.addItem(self._sheet.texts.word(choice), choice)
        if column.startswith("lay_side"):
            box.insertItem(0, "", "")
        write = self._write_style if column == "work_style" else lambda text: self._write(column, text)
        box.activated.connect(lambda _: write(str(box.currentData())))
        return box

    # Filling

    def _fill(self, column: str, key: int) -> None:
        field = self._fields[column]
        shown, kept = self._sheet.shown(key, column), self._sheet.kept(key, column)
        if isinstance(field.widget, QComboBox):
            self._fill_choice(column, field.widget, key)
        elif field.widget.text() != shown:
            field.widget.setText(shown)
            field.widget.setCursorPosition(0)
        if isinstance(field.widget, QLineEdit) and column.startswith("plates"):
            field.widget.setPlaceholderText(self.tr("of its own"))
        if field.chips is not None:
            self._fill_chips(field.chips, kept)
        problem = self._sheet.problem(key, column)
        words = "" if problem is None else problem_text(problem, self._sheet.units)
        if mark_of(problem) is Mark.MISSING:
            words = missing_text(column)
        field.reason.setText(words)
        field.reason.setVisible(bool(words) and not field.widget.isHidden())
        field.widget.setAccessibleDescription(words)

    def _fill_choice(self, column: str, box: QComboBox, key: int) -> None:
        kept = self._sheet.kept(key, column)
        with QSignalBlocker(box):
            if column == "lay_side":
                side = LaySide(self._sheet.shop.press.default_lay_side)
                box.setItemText(0, self.tr("{side} (usual)").format(side=lay_side_text(side)))
            elif column == "lay_side_back":
                box.setItemText(0, self._proposed(key))
            found = box.findData(kept) if kept else 0
            box.setCurrentIndex(found if found >= 0 else -1)

    def _proposed(self, key: int) -> str:
        side = usual_back_lay_side(self._style(key), self._front_lay_side(key))
        return self.tr("{side} (proposed)").format(side=lay_side_text(side))

    def _fill_chips(self, column: QVBoxLayout, kept: str) -> None:
        clear_layout(column)
        for ink in self._sheet.texts.inks(kept):
            column.addWidget(InkChip(self._theme, ink, ink.name))

    # Writing

    def _write(self, column: str, text: str) -> None:
        if self._key is None or text == self._sheet.shown(self._key, column):
            return
        self._sheet.set_cell(self._key, column, text)

    def _write_style(self, choice: str) -> None:
        """Another work style; cells it has no use for are emptied in the same step."""
        if self._key is None or choice == str(self._style(self._key)):
            return
        texts: dict[str, str] = {"work_style": choice}
        texts |= dict.fromkeys(columns_without_use(WorkStyle(choice)), "")
        self._sheet.set_cells(self._key, texts, "work_style")

    # Reading

    def _style(self, key: int) -> WorkStyle:
        return WorkStyle(self._word(key, "work_style", WorkStyle, WorkStyle.ONE_SIDE))

    def _front_lay_side(self, key: int) -> LaySide:
        usual = LaySide(self._sheet.shop.press.default_lay_side)
        return LaySide(self._word(key, "lay_side", LaySide, usual))

    def _word(
        self, key: int, column: str, kind: type[WorkStyle] | type[LaySide], default: WorkStyle | LaySide
    ) -> WorkStyle | LaySide:
        """The choice in a cell, or the default where it is empty or wrong."""
        try:
            text = self._sheet.kept(key, column).strip()
            return cells.choice(text, kind) if text else default
        except CellFault:
            return default

    def _short_name(self, column: str) -> str:
        words: Mapping[str, str] = {
            "inks_back": name_text("inks"),
            "plates_back": name_text("plates"),
            "coverage": self.tr("Coverage, %"),
            "coverage_back": self.tr("Coverage, %"),
            "lay_side_back": name_text("lay_side"),
            "drying_h": self.tr("Drying, h"),
        }
        return words.get(column, name_text(column))

    def _style_words(self, style: WorkStyle) -> str:
        words = {
            WorkStyle.ONE_SIDE: self.tr("One pass; the back stays empty."),
            WorkStyle.SHEETWISE: self.tr("The second side has plates of its own; the sheet is turned over sideways."),
            WorkStyle.WORK_AND_TURN: self.tr(
                "Both sides from the same plates; the sheet is turned over sideways and keeps its leading edge."
            ),
            WorkStyle.WORK_AND_TUMBLE: self.tr(
                "Both sides from the same plates; the sheet is tumbled and leads with its other edge."
            ),
        }[style]
        return f"{work_style_text(style)[:1].upper()}{work_style_text(style)[1:]}: {words[:1].lower()}{words[1:]}"


class _CalmBox(QComboBox):
    """A list box that the wheel does not change while the panel is scrolled."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setProperty("look", "calm")

    @override
    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._theme.colour("soft" if self.isEnabled() else "mark"), self._theme.size(2)))
        reach, x, y = self._theme.size(4), self.width() - self._theme.size(14), self.height() / 2 + 1
        painter.drawPolyline(
            [QPointF(x - reach, y - reach / 2), QPointF(x, y + reach / 2), QPointF(x + reach, y - reach / 2)]
        )
        painter.end()
