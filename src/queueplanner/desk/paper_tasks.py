"""The tasks of a changeover on paper: a box to tick, minutes, name, what can hurt; and why each wash comes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_marks import Face, Piece, beside, stack, tick_box, words
from queueplanner.desk.paper_size import mm
from queueplanner.desk.paper_words import Columns, caution_words, tr
from queueplanner.desk.wording import reason_text, task_text
from queueplanner.exchange.wording import task_cautions
from queueplanner.planning.plan import PlannedTask

_GAP_MM = 6.0


def task_rows(tasks: Sequence[PlannedTask], width: float, figures: Figures) -> Iterator[Piece]:
    """All tasks in two columns: one person's in the order of work, or those of two persons side by side."""
    before = [task for task in tasks if task.external]
    inside = sorted((task for task in tasks if not task.external), key=lambda task: task.start or 0)
    if before:
        yield words(tr("While the pass before runs"), Face.STRONG, width)
        yield _two_columns(*_halves(before), width, figures)
    second = [task for task in inside if task.person == 2]
    if second:
        yield _two_persons([task for task in inside if task.person != 2], second, width, figures)
    elif inside:
        if before:
            yield words(tr("When that run is over"), Face.STRONG, width)
        yield _two_columns(*_halves(inside), width, figures)


def wash_rows(tasks: Iterable[PlannedTask], width: float) -> Iterator[Piece]:
    """Why each wash of rollers comes, and how often."""
    columns = Columns.of(width, (27, 0))
    for task in tasks:
        if task.task == "wash_rollers":
            name = tr("Wash, unit {n}").format(n=task.unit) if task.unit else tr("Wash")
            yield columns.row([words(name, Face.STRONG, columns.widths[0]), reason_text(task.why)])


def _halves(tasks: Sequence[PlannedTask]) -> tuple[Sequence[PlannedTask], Sequence[PlannedTask]]:
    middle = (len(tasks) + 1) // 2
    return tasks[:middle], tasks[middle:]


def _two_columns(left: Sequence[PlannedTask], right: Sequence[PlannedTask], width: float, figures: Figures) -> Piece:
    half = (width - mm(_GAP_MM)) / 2
    columns = Columns.of(half, (3.0, 9.5, 0), right={1})
    return beside([_column(tasks, columns, figures) for tasks in (left, right)], _GAP_MM)


def _column(tasks: Sequence[PlannedTask], columns: Columns, figures: Figures) -> Piece:
    rows = [columns.row([tick_box(), figures.minutes(task.seconds), _name(task)]) for task in tasks]
    width = sum(columns.widths) + mm(columns.gap_mm) * (len(columns.widths) - 1)
    made = stack(rows)
    return Piece(width, made.height, made.marks)


def _two_persons(first: Sequence[PlannedTask], second: Sequence[PlannedTask], width: float, figures: Figures) -> Piece:
    half = (width - mm(_GAP_MM)) / 2
    columns = Columns.of(half, (3.0, 12.0, 8.5, 0), right={1, 2}, gap_mm=1.5)
    made = []
    for person, tasks in ((1, first), (2, second)):
        head = columns.row(["", tr("at min"), tr("min"), tr("Person {n}").format(n=person)], Face.STRONG)
        rows = [
            columns.row([tick_box(), figures.minutes(t.start or 0), figures.minutes(t.seconds), _name(t)])
            for t in tasks
        ]
        column = stack([head, *rows])
        made.append(Piece(half, column.height, column.marks))
    return beside(made, _GAP_MM)


def _name(task: PlannedTask) -> str:
    told = caution_words(task_cautions(task))
    return f"{task_text(task)} {told}" if told else task_text(task)
