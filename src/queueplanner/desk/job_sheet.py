"""The job sheet: the day's jobs as people enter them, in a table with keys as in any spreadsheet.

Errors are marked in their cells, with the reason in a line below; no box ever stands in the way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date

from PySide6.QtCore import QLocale, QPoint, Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QPushButton, QSplitter, QVBoxLayout, QWidget

from queueplanner.desk.figures import english
from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.desk.labels import make_label, set_look
from queueplanner.desk.sheet_bars import FindBar, SplitBar
from queueplanner.desk.sheet_columns import SHEET_COLUMNS
from queueplanner.desk.sheet_marks import Mark, mark_of
from queueplanner.desk.sheet_table import SheetTable, clipboard_text, set_clipboard
from queueplanner.desk.sheet_table_model import SheetTableModel
from queueplanner.desk.sheet_tools import SheetTools, sheet_menu
from queueplanner.desk.sheet_units import Units
from queueplanner.desk.sheet_words import choice_words, step_text
from queueplanner.desk.sides_panel import SidesPanel
from queueplanner.desk.table_cells import AnyIndex
from queueplanner.desk.theme import Theme
from queueplanner.exchange.tab_text import block_of_text
from queueplanner.shop.base import JobId
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop


class JobSheet(QWidget):
    """The table, its buttons, the line of reasons, and the two sides of the job on the right.

    `jobs_changed` carries the code of an edit, its facts, and the jobs changed, new or gone (None); rows that are not
    yet whole stay here as drafts. `row_chosen` carries the id of the job of the current row, or None. `undo_wanted`
    and `redo_wanted` come instead of the sheet's own undo once `own_undo` is False.
    """

    jobs_changed = Signal(str, object, object)
    row_chosen = Signal(object)
    undo_wanted = Signal()
    redo_wanted = Signal()

    def __init__(
        self,
        shop: Shop,
        jobs: Iterable[Job],
        day: date,
        theme: Theme,
        units: Units | None = None,
        locale: QLocale | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.own_undo = True
        self._quiet = False
        self._splitting: int | None = None
        chosen = units or Units(decimal_mark=(locale or english()).decimalPoint())
        self.sheet = JobSheetModel(shop, jobs, day, self._tell, units=chosen, words=choice_words())
        self._model = SheetTableModel(self.sheet)
        self.table = SheetTable(self._model, theme)
        self.tools = SheetTools(theme, chosen)
        self.find_bar, self.split_bar = FindBar(theme), SplitBar(theme)
        self.sides = SidesPanel(self.sheet, theme)
        self.reason = make_label("", wrap=True)
        self.count = make_label("", "soft")
        self.mend = QPushButton(self.tr("Next to mend"))
        self._lay_out(theme)
        self._connect()
        self.sheet.seen = self._follow
        self._refresh()

    # For the window

    def show_jobs(self, jobs: Iterable[Job]) -> None:
        """Show jobs as they are elsewhere; half-typed rows stay."""
        self.sheet.show_jobs(jobs)

    def show_in(self, shop: Shop, day: date) -> None:
        """Read the rows for another shop or day."""
        self.sheet.show_in(shop, day)
        self._model.units_changed()
        self.sides.set_theme(self._theme)

    def show_job(self, job_id: JobId | None) -> None:
        """Make a job's row the current one, without telling anybody."""
        self._quiet = True
        for key in self.sheet.keys:
            job = self.sheet.row(key).taken
            if job is not None and job.id == job_id and (place := self._model.place(key, self._here())).isValid():
                self.table.go(place.row(), place.column())
        self._quiet = False

    def drafts(self) -> list[dict[str, str]]:
        """The cells of every row that is no whole job yet."""
        return self.sheet.drafts()

    def add_drafts(self, rows: Iterable[Mapping[str, str]]) -> None:
        """Put drafts back, as `drafts` gave them."""
        self.sheet.add_kept(rows)

    def set_units(self, units: Units) -> None:
        """Show in other units."""
        self.sheet.set_units(units)
        self._model.units_changed()
        self.table.fit_columns()
        self.sides.set_theme(self._theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        for part in (self.table, self.tools, self.find_bar, self.split_bar, self.sides):
            part.set_theme(theme)
        self._size_parts(theme)

    # Building

    def _lay_out(self, theme: Theme) -> None:
        self._theme = theme
        self.mend.setProperty("look", "plain")
        self.mend.setAccessibleName(self.mend.text())
        self.mend.setToolTip(self.tr("F8: to the next cell that is wrong or still empty"))
        self.reason.setAccessibleName(self.tr("About the current cell"))
        self._below = FlowBox(theme, (10, 4))
        self._below.add(self.count)
        self._below.add(self.mend)
        self._below.push_right(self.mend)
        left = QWidget()
        self._column = QVBoxLayout(left)
        for part in (self.tools, self.find_bar, self.split_bar):
            self._column.addWidget(part)
        self._column.addWidget(self.table, 1)
        self._column.addWidget(self.reason)
        self._column.addWidget(self._below)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.addWidget(left)
        self._split.addWidget(self.sides)
        self._split.setStretchFactor(0, 1)
        self._split.setCollapsible(0, False)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._split)
        self.setFocusProxy(self.table)
        self._size_parts(theme)

    def _size_parts(self, theme: Theme) -> None:
        gap = theme.size(8)
        self._column.setContentsMargins(gap, gap, gap, gap)
        self._column.setSpacing(gap)
        self._split.setHandleWidth(theme.size(6))
        self._split.setSizes([theme.size(900), theme.size(310)])
        self._below.set_theme(theme)

    def _connect(self) -> None:
        self.table.wish.connect(self.do)
        self.table.moved_to.connect(self._on_moved)
        self.table.customContextMenuRequested.connect(self._open_menu)
        self.table.horizontalHeader().sectionClicked.connect(self._on_head)
        self.tools.wish.connect(self.do)
        self.tools.narrowed.connect(self._narrow)
        self.tools.all_columns.connect(self._show_columns)
        self.tools.units_chosen.connect(self.set_units)
        self.find_bar.wanted.connect(self._find)
        self.find_bar.closed.connect(self.table.setFocus)
        self.split_bar.wanted.connect(self._split_job)
        self.split_bar.closed.connect(self.table.setFocus)
        self.mend.clicked.connect(lambda: self.do("next_problem"))

    # Doing

    def do(self, code: str) -> None:
        """Do what a command's code says to the selection."""
        act = self._acts().get(code)
        if act is not None and self.can(code):
            act()

    def can(self, code: str) -> bool:
        """Whether a command has anything to act on."""
        if code == "undo":
            return not self.own_undo or self.sheet.undo_step is not None
        if code == "redo":
            return not self.own_undo or self.sheet.redo_step is not None
        if code == "split":
            key = self._key()
            job = None if key is None else self.sheet.job_of(key)
            return job is not None and job.passes[0].sheets > 1
        if code in ("cut", "copy", "clear", "fill_down", "duplicate", "remove"):
            return bool(self.table.chosen_rows())
        return True

    def _acts(self) -> Mapping[str, Callable[[], None]]:
        return {
            "copy": self._copy,
            "cut": self._cut,
            "paste": self._paste,
            "clear": lambda: self.sheet.clear(self._keys(), self._columns()),
            "fill_down": self._fill_down,
            "add_row": lambda: self.table.go(self._model.rows_on_view, 0),
            "insert": self._insert,
            "duplicate": lambda: self._go_to(self.sheet.duplicate(self._keys())),
            "remove": lambda: self.sheet.remove(self._keys()),
            "split": self._ask_split,
            "undo": self._undo,
            "redo": self._redo,
            "find": self.find_bar.open_bar,
            "find_next": lambda: self.find_bar.go(back=False),
            "find_previous": lambda: self.find_bar.go(back=True),
            "next_problem": lambda: self._to_problem(1),
            "previous_problem": lambda: self._to_problem(-1),
            "select_all": self.table.selectAll,
            "select_rows": self._select_rows,
            "select_columns": self._select_columns,
            "sort_rising": lambda: self._sort(self._here(), descending=False),
            "sort_falling": lambda: self._sort(self._here(), descending=True),
            "sort_none": lambda: self._sort(None, descending=False),
            "leave": lambda: self._leave(forth=True),
            "leave_back": lambda: self._leave(forth=False),
            "give_back": self._give_back,
        }

    def _copy(self) -> None:
        set_clipboard(self.sheet.copied(self._keys(), self._columns()))

    def _cut(self) -> None:
        self._copy()
        self.sheet.clear(self._keys(), self._columns(), "cut")

    def _paste(self) -> None:
        """Paste from the selection's first cell on; a single cell goes into every cell of the selection."""
        text = clipboard_text()
        block = block_of_text(text)
        if not block:
            return
        rows, columns = self.table.chosen_rows(), self.table.chosen_columns()
        if len(block) == len(block[0]) == 1 and len(rows) * len(columns) > 1:
            filled = [block[0] * len(columns)] * len(rows)
            self.sheet.set_block(self._keys(), self._columns(), filled, "paste")
            return
        top, left = self.table.first_row(), columns[0]
        shown = [column.key for column in self._model.columns]
        self.sheet.paste(text, self._model.keys_from(top), shown[left:])
        last = min(left + max(map(len, block)), len(shown)) - 1
        self.table.select_block((top, min(top + len(block), self._model.rows_on_view) - 1), (left, last))

    def _fill_down(self) -> None:
        """Fill the selection from its first row; a single row from the row above it."""
        rows = self.table.chosen_rows()
        if len(rows) == 1 and rows[0] > 0:
            rows = [rows[0] - 1, rows[0]]
        if len(rows) > 1:
            self.sheet.fill_down(self._model.keys(rows), self._columns())

    def _insert(self) -> None:
        key = self._key()
        if key is None:
            self.table.go(self._model.rows_on_view, 0)
        else:
            self._go_to(self.sheet.insert(key, max(1, len(self.table.chosen_rows()))))

    def _ask_split(self) -> None:
        key = self._key()
        job = None if key is None else self.sheet.job_of(key)
        if key is not None and job is not None:
            self._splitting = key
            self.split_bar.open_bar(job.id, job.passes[0].sheets, self.sheet.split_id(key))

    def _split_job(self, sheets: int, new_id: str) -> None:
        """Split the job that was asked about, as long as it still has so many sheets."""
        key = self._splitting
        job = self.sheet.job_of(key) if key is not None and self.sheet.holds(key) else None
        if key is not None and job is not None and sheets < job.passes[0].sheets:
            self._go_to([self.sheet.split(key, sheets, new_id)])

    def _undo(self) -> None:
        if not self.own_undo:
            self.undo_wanted.emit()
        elif (step := self.sheet.undo()) is not None:
            self._say(self.tr("Undone: {what}").format(what=step_text(step)))

    def _redo(self) -> None:
        if not self.own_undo:
            self.redo_wanted.emit()
        elif (step := self.sheet.redo()) is not None:
            self._say(self.tr("Done again: {what}").format(what=step_text(step)))

    def _find(self, text: str, back: bool) -> None:
        columns = [column.key for column in self._model.columns]
        key = self._key()
        start = None if key is None else (key, self._here())
        found = self._model.order.find(text, columns, start, back)
        if found is None:
            self.find_bar.say(self.tr("Not found"))
            return
        self.find_bar.say("")
        place = self._model.place(*found)
        self.table.go(place.row(), place.column())

    def _to_problem(self, by: int) -> None:
        """To the next cell that is wrong or still empty, round the end; columns and rows not on view are shown."""
        places = [
            (key, column.key)
            for key in self.sheet.keys
            for column in SHEET_COLUMNS
            if self.sheet.problem(key, column.key)
        ]
        if not places:
            return
        key, here = self._key(), self._here()
        order = {column.key: number for number, column in enumerate(SHEET_COLUMNS)}
        rank = {key: number for number, key in enumerate(self.sheet.keys)}
        now = (rank.get(key, -1) if key is not None else -1, order[here])
        ranked = sorted((rank[k], order[c], k, c) for k, c in places)
        after = [r for r in ranked if r[:2] > now] if by > 0 else [r for r in reversed(ranked) if r[:2] < now]
        _, _, to_key, to_column = (after or (ranked if by > 0 else ranked[::-1]))[0]
        self._show_cell(to_key, to_column)

    def _show_cell(self, key: int, column: str) -> None:
        if column not in {c.key for c in self._model.columns}:
            self.tools.more.setChecked(True)
        if not self._model.place(key, column).isValid():
            self.tools.filter.clear()
        place = self._model.place(key, column)
        self.table.go(place.row(), place.column())
        self.table.setFocus()

    def _select_rows(self) -> None:
        rows = self.table.chosen_rows()
        if rows:
            self.table.select_block((rows[0], rows[-1]), (0, self._model.columnCount() - 1))

    def _select_columns(self) -> None:
        columns = self.table.chosen_columns()
        self.table.select_block((0, max(0, self._model.rows_on_view - 1)), (columns[0], columns[-1]))

    def _leave(self, *, forth: bool) -> None:
        """To the widget before or behind the table."""
        QWidget.focusNextPrevChild(self.table, forth)

    def _give_back(self) -> None:
        """Close what is open; else only the current cell stays selected."""
        for bar in (self.find_bar, self.split_bar):
            if bar.isVisible():
                bar.close_bar()
                return
        now = self.table.currentIndex()
        self.table.go(now.row(), now.column())

    # Looking

    def _sort(self, column: str | None, *, descending: bool) -> None:
        self._model.order.sort(column, descending)
        self._model.show_order()
        self._model.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, self._model.columnCount() - 1)

    def _on_head(self, section: int) -> None:
        """A press on a head: rising, falling, as listed."""
        column, order = self._model.columns[section].key, self._model.order
        if order.column != column:
            self._sort(column, descending=False)
        elif not order.descending:
            self._sort(column, descending=True)
        else:
            self._sort(None, descending=False)

    def _narrow(self, words: str) -> None:
        self._model.order.narrow(words)
        self._model.show_order()
        self._refresh()

    def _show_columns(self, everything: bool) -> None:
        here, key = self._here(), self._key()
        self._sort(None, descending=False)
        self._model.set_columns([c for c in SHEET_COLUMNS if everything or c.usual])
        self.table.fit_columns()
        shown = [column.key for column in self._model.columns]
        row = self._model.rows_on_view if key is None else self._model.place(key, shown[0]).row()
        self.table.go(row, shown.index(here) if here in shown else 0)

    # Following

    def _follow(self) -> None:
        """The rows have changed."""
        self._model.follow()
        self._refresh()

    def _tell(self, code: str, facts: Mapping[str, object], jobs: Mapping[JobId, Job | None]) -> None:
        self.jobs_changed.emit(code, dict(facts), dict(jobs))

    def _on_moved(self, index: AnyIndex) -> None:
        self._refresh()
        if not self._quiet:
            key = self._model.key(index.row()) if index.isValid() else None
            job = None if key is None else self.sheet.row(key).taken
            self.row_chosen.emit(None if job is None else job.id)

    def _refresh(self) -> None:
        """The line of reasons, the counts, the buttons and the panel, as things are now."""
        index = self.table.currentIndex()
        key = self._key()
        if self.sides.key != key:
            self.sides.show_row(key)
        else:
            self.sides.refresh()
        words, wrong = self._about(index)
        if wrong and words != self.reason.text():
            self._announce(words)
        self.reason.setText(words)
        set_look(self.reason, "late" if wrong else "soft")
        self._count()
        for code, button in self.tools.buttons.items():
            button.setEnabled(self.can(code))
        self._name_undo()
        self.table.empty_words = "" if self.sheet.rows else self._next_steps()

    def _about(self, index: AnyIndex) -> tuple[str, bool]:
        """What is to be said about the current cell, and whether it is wrong."""
        if not index.isValid():
            return "", False
        key = self._model.key(index.row())
        row = None if key is None else self.sheet.problems(key).get("")
        if row is not None:
            return f"{row.found}; {row.wanted}", True
        reason = self._model.reason(index)
        problem = None if key is None else self.sheet.problem(key, self._here())
        return reason or self._model.hint(index), mark_of(problem) is Mark.WRONG

    def _count(self) -> None:
        rows = [row for row in self.sheet.rows if not row.empty]
        drafts = [row for row in rows if self.sheet.job_of(row.key) is None]
        words = self.tr("{jobs} jobs").format(jobs=len(rows) - len(drafts))
        if len(rows) - len(drafts) == 1:
            words = self.tr("1 job")
        if drafts:
            words += self.tr(", {rows} to mend").format(rows=len(drafts))
        hidden = len(self.sheet.rows) - self._model.rows_on_view
        if hidden:
            words += self.tr(", {rows} filtered out").format(rows=hidden)
        self.count.setText(words)
        self.mend.setVisible(bool(drafts))
        self._below.arrange()

    def _name_undo(self) -> None:
        for code, step, words in (
            ("undo", self.sheet.undo_step, self.tr("Undo")),
            ("redo", self.sheet.redo_step, self.tr("Redo")),
        ):
            button = self.tools.buttons[code]
            named = f"{words} {step_text(step)}" if step is not None and self.own_undo else words
            button.setToolTip(named)
            button.setAccessibleName(named)

    def _say(self, words: str) -> None:
        """Say what was done, in the line of reasons, until the next move."""
        self.reason.setText(words)
        set_look(self.reason, "soft")
        self._announce(words)

    def _announce(self, words: str) -> None:
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self.reason, words))

    def _next_steps(self) -> str:
        return self.tr(
            "No jobs yet. Type the first one into the row above: its docket, then Tab to the next cell.\n"
            "Or copy rows from a spreadsheet and paste them here with Ctrl+V; a line of column names may come first.\n"
            "Sheets, stock, format and inks make a row a job; everything else may stay empty."
        )

    def _open_menu(self, at: QPoint) -> None:
        sheet_menu(self, self.do, self.can).popup(self.table.viewport().mapToGlobal(at))

    # The selection

    def _key(self) -> int | None:
        return self._model.key(self.table.currentIndex().row())

    def _keys(self) -> list[int]:
        return self._model.keys(self.table.chosen_rows())

    def _columns(self) -> list[str]:
        return [self._model.columns[number].key for number in self.table.chosen_columns()]

    def _here(self) -> str:
        """The column of the current cell."""
        return self._model.columns[max(0, self.table.currentIndex().column())].key

    def _go_to(self, keys: list[int]) -> None:
        """Select whole rows."""
        rows = [place.row() for key in keys if (place := self._model.place(key, self._model.columns[0].key)).isValid()]
        if rows:
            self.table.select_block((rows[0], rows[-1]), (0, self._model.columnCount() - 1))
