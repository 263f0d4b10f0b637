"""What is wrong with a job list, all of it at once, in the window and not in a box before it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication, Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.theme import Theme
from queueplanner.shop.errors import Problem


class ProblemPanel(QScrollArea):
    """A heading, and a line for every problem: where, what was found, what would be right; a button to try again."""

    again_wanted = Signal()
    back_wanted = Signal()
    backup_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._body = QFrame()
        self._body.setProperty("look", "problems")
        self._column = QVBoxLayout(self._body)
        self._shown: tuple[tuple[Problem, ...], str] = ((), "")
        self._record = self._back = self._backup = False
        self.setWidgetResizable(True)
        self.setWidget(self._body)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Problems in the job list"))

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self.show_problems(*self._shown, record=self._record, back=self._back, backup=self._backup)

    def show_problems(
        self,
        problems: Sequence[Problem],
        failure: str = "",
        *,
        record: bool = False,
        back: bool = False,
        backup: bool = False,
    ) -> None:
        """Show every problem of a list, or one sentence about what else went wrong, if `record` with the record.

        With `back` there is a day to go back to, with `backup` a backup to put in the record's place.
        """
        self._shown = (tuple(problems), failure)
        self._record, self._back, self._backup = record, back, backup
        clear_layout(self._column)
        size = self._theme.size
        self._column.setContentsMargins(size(24), size(18), size(24), size(18))
        self._column.setSpacing(size(8))
        self._column.addWidget(make_label(f"!  {self.title_text(len(problems))}", "title", wrap=True))
        self._column.addWidget(make_label(failure or self._advice(), "soft", wrap=True))
        self._column.addLayout(self._buttons())
        self._column.addWidget(make_line())
        if problems:
            self._column.addLayout(self._grid(problems))
        self._column.addStretch(1)

    def title_text(self, count: int) -> str:
        """The heading for so many problems."""
        if count == 0:
            return self.tr("This could not be opened")
        if count == 1:
            return self.tr("1 thing to mend, nothing has been taken in")
        return self.tr("{count} things to mend, nothing has been taken in").format(count=count)

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(self._theme.size(8))
        again = self.tr("Try again") if self._record else self.tr("Read the list again")
        offers = [(self._backup, self.tr("Put the backup in its place"), self.backup_wanted)]
        offers += [(True, again, self.again_wanted), (self._back, self.tr("Back to the day"), self.back_wanted)]
        for offered, text, signal in offers:
            if offered:
                button = QPushButton(text)
                button.clicked.connect(signal)
                row.addWidget(button)
        row.addStretch(1)
        return row

    def _advice(self) -> str:
        return self.tr("Mend them in the file, save it, and read the list again (F5).")

    def _grid(self, problems: Sequence[Problem]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(18))
        grid.setVerticalSpacing(self._theme.size(8))
        heads = (self.tr("Row"), self.tr("Column"), self.tr("Found"), self.tr("What would be right"))
        for column, head in enumerate(heads):
            grid.addWidget(make_label(head, "soft", right=column == 0), 0, column)
        for row, problem in enumerate(problems, 1):
            where = "–" if problem.row is None else str(problem.row)
            top = Qt.AlignmentFlag.AlignTop
            grid.addWidget(make_label(where, "strong", right=True), row, 0, top)
            grid.addWidget(make_label(problem.column or "–", "strong"), row, 1, top)
            grid.addWidget(make_label(problem.found, wrap=True), row, 2)
            grid.addWidget(make_label(problem.wanted, wrap=True), row, 3)
        grid.setColumnStretch(2, 2)
        grid.setColumnStretch(3, 3)
        return grid


def failure_text(kind: str) -> str:
    """A sentence for a fault that is the program's own."""
    return QCoreApplication.translate(
        "problems", "Something went wrong that is no fault of the list ({kind}). The details are on the terminal."
    ).format(kind=kind)
