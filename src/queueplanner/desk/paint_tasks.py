"""Paints a make-ready split into its tasks: each task's number and name on lines below the bar, with a leader to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.changeover_facts import task_order
from queueplanner.desk.picture import EveningShape, PassShape, Picture, TaskBar
from queueplanner.desk.wording import task_text
from queueplanner.planning.plan import PlannedTask

#: Room between two names, px.
_GAP_PX = 10.0
#: A name's distance from its leader, px.
_INDENT_PX = 4.0


@dataclass(frozen=True, slots=True)
class TaskLabel:
    """A task's words where they stand: at `left` on a line counted from 0 from the bar, reaching to `right`."""

    words: str
    left: float
    right: float
    line: int


def paint_tasks(canvas: Canvas, picture: Picture) -> None:
    """The tasks of every make-ready and evening in sight."""
    lines = canvas.rows.tasks
    if not lines:
        return
    for label in lay_out_tasks(canvas, picture):
        band = lines[label.line]
        x = label.left - _INDENT_PX
        canvas.line(x, canvas.rows.bar.bottom, x, band.bottom - 4, canvas.pen("mark"))
        canvas.write(label.words, label.left, label.right + 1, band, canvas.colour("text"))


def lay_out_tasks(canvas: Canvas, picture: Picture) -> list[TaskLabel]:
    """Which task is named where: as near to the bar as its name fits before what follows, else by its number alone."""
    bars = [*_bars(picture.passes_between(canvas.first, canvas.last)), *_bars(canvas.in_sight(picture.evenings))]
    bars = sorted((b for b in bars if canvas.first <= b[1].start <= canvas.last), key=lambda b: b[1].start)
    labels: list[TaskLabel] = []
    for number, bar in reversed(bars):  # from the right: then a name knows what it may reach up to, on each line
        label = _fitted(canvas, number, bar, labels)
        if label is not None:
            labels.append(label)
    return labels[::-1]


def _fitted(canvas: Canvas, number: int, bar: TaskBar, placed: Sequence[TaskLabel]) -> TaskLabel | None:
    """The fullest wording on the line nearest to the bar that has room for it; leaders of lower lines need room too."""
    left = canvas.x(bar.start) + _INDENT_PX + 1
    for words in (f"{number} {task_text(bar.task)}", str(number)):
        width = canvas.width_of(words)
        for line in range(len(canvas.rows.tasks)):
            behind = min((p.left for p in placed if p.line >= line), default=canvas.right + _GAP_PX)
            if left + width <= behind - _GAP_PX:
                return TaskLabel(words, left, left + width, line)
    return None


def _bars(shapes: Iterable[PassShape | EveningShape]) -> Iterator[tuple[int, TaskBar]]:
    """Each task's first bar with its number: the one the list of the changeover gives it."""
    for shape in shapes:
        tasks = [bar.task for bar in shape.tasks]
        number_of = {id(task): number for number, task in enumerate(task_order(_once(tasks)), 1)}
        seen: set[int] = set()
        for bar in shape.tasks:
            if id(bar.task) not in seen:
                seen.add(id(bar.task))
                yield number_of[id(bar.task)], bar


def _once(tasks: Sequence[PlannedTask]) -> list[PlannedTask]:
    return list({id(task): task for task in tasks}.values())
