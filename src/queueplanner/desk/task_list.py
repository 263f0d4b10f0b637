"""The list of a changeover's tasks: number, minutes, name, where and why, and the cautions below."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import QGridLayout, QVBoxLayout

from queueplanner.desk.changeover_facts import ChangeoverFacts
from queueplanner.desk.figures import Figures
from queueplanner.desk.labels import make_label, make_line
from queueplanner.desk.theme import Theme
from queueplanner.desk.trade_words import place_text, state_text
from queueplanner.desk.wording import caution_text, reason_text, task_text
from queueplanner.planning.plan import PlannedTask


def _tr(text: str) -> str:
    return QCoreApplication.translate("tasks", text)


def add_tasks(column: QVBoxLayout, facts: ChangeoverFacts, figures: Figures, theme: Theme) -> None:
    """Write the tasks into a panel, those done in the run before first, then the total and the cautions."""
    letters = caution_letters([*facts.outside, *facts.inside])
    if facts.outside:
        column.addWidget(make_label(_tr("While the run before goes on"), "strong", wrap=True))
        column.addLayout(_grid(facts.outside, letters, figures, theme, first=None))
        column.addWidget(make_label(_tr("Between the runs"), "strong", wrap=True))
    column.addLayout(_grid(facts.inside, letters, figures, theme, first=1))
    column.addWidget(make_line())
    column.addWidget(make_label(_total(facts, figures), "strong", wrap=True))
    if letters:
        _add_cautions(column, letters)


def _total(facts: ChangeoverFacts, figures: Figures) -> str:
    time = figures.minutes(facts.seconds)
    if facts.crew == 1:
        return _tr("{time} min in all, for one person").format(time=time)
    work = figures.minutes(sum(t.seconds for t in facts.inside))
    return _tr("{time} min in all for {n} persons, {work} min of work").format(time=time, n=facts.crew, work=work)


def caution_letters(tasks: Sequence[PlannedTask]) -> dict[str, str]:
    """Every caution that some tasks carry once, with the letter that stands for it."""
    texts = dict.fromkeys(text for text in map(caution_text, tasks) if text)
    return dict(zip(texts, ascii_uppercase, strict=False))


def _grid(
    tasks: Sequence[PlannedTask], letters: dict[str, str], figures: Figures, theme: Theme, first: int | None
) -> QGridLayout:
    grid = QGridLayout()
    grid.setHorizontalSpacing(theme.size(10))
    grid.setVerticalSpacing(0)
    grid.setColumnStretch(2, 1)
    for column, head in ((1, _tr("min")), (2, _tr("Task"))):
        grid.addWidget(make_label(head, "soft", right=column == 1), 0, column)
    for i, task in enumerate(tasks):
        _add_task(grid, 1 + 3 * i, task, "" if first is None else str(first + i), letters, figures)
        grid.setRowMinimumHeight(3 + 3 * i, theme.size(9))
    return grid


def _add_task(
    grid: QGridLayout, row: int, task: PlannedTask, number: str, letters: dict[str, str], figures: Figures
) -> None:
    top = Qt.AlignmentFlag.AlignTop
    grid.addWidget(make_label(number, "soft", right=True), row, 0, top)
    grid.addWidget(make_label(figures.minutes(task.seconds), right=True), row, 1, top)
    grid.addWidget(make_label(task_text(task), wrap=True), row, 2)
    letter = letters.get(caution_text(task), "")
    if letter:
        mark = make_label(f"⚠ {letter}", "soft")
        mark.setAccessibleName(_tr("Caution: {text}").format(text=caution_text(task)))
        mark.setToolTip(caution_text(task))
        grid.addWidget(mark, row, 3, top)
    why = make_label(f"{_where(task)}. {reason_text(task.why)}", "soft", wrap=True)
    grid.addWidget(why, row + 1, 2, 1, 2)


def _where(task: PlannedTask) -> str:
    """Where hands are and what the press does; a unit stands in the task's name already."""
    where = state_text(task.state)
    if task.unit is None:
        where = _tr("{place}, {state}").format(place=place_text(task.place), state=where)
    return where[:1].upper() + where[1:]


def _add_cautions(column: QVBoxLayout, letters: dict[str, str]) -> None:
    column.addWidget(make_label(_tr("Cautions"), "strong"))
    for text, letter in letters.items():
        column.addWidget(make_label(f"⚠ {letter}   {text}", "caution", wrap=True))
    note = _tr("Reminders only: your local codes, the safety data sheets and the press's manual come first.")
    column.addWidget(make_label(note, "soft", wrap=True))
