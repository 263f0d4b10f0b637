"""Logged changeovers as rows of a linear fit: how often each figure of each crew is in, and the seconds seen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.actuals import ActualChangeover, ActualTask
from queueplanner.learning.arrays import Floats, Ints, floats
from queueplanner.learning.figures import Figure
from queueplanner.learning.shared_errors import ErrorSizes

#: However short a task, its time is never surer than that of one of so many seconds (judgement).
LEAST_SECONDS = 30.0
#: How much wider the errors of an uncertain time are (judgement).
UNCERTAIN_WIDER = 2.0
#: Stands for a crew of any number of persons.
ANY_CREW = 0


@dataclass(frozen=True, slots=True)
class Axis:
    """Which column stands for which figure of which crew; crew by crew, figures in their order; any crew first."""

    figures: tuple[Figure, ...]
    crews: tuple[int, ...]
    column: Mapping[tuple[int, Figure], int]

    @classmethod
    def of(cls, figures: Iterable[Figure], crews: Iterable[int]) -> Axis:
        """The axis of some figures for some crews, and for any."""
        names, persons = tuple(figures), (ANY_CREW, *sorted(crews))
        keys = [(crew, figure) for crew in persons for figure in names]
        return cls(names, persons, {key: i for i, key in enumerate(keys)})

    def at(self, crew: int, figure: Figure) -> int:
        """The column of a figure for a crew, for any crew where that one is not on the axis. Raises KeyError."""
        return self.column[crew if crew in self.crews else ANY_CREW, figure]

    def knows(self, task: ActualTask) -> bool:
        """Whether all figures of a task are on the axis."""
        return all((ANY_CREW, figure) in self.column for figure, _ in task.parts)


@dataclass(frozen=True, slots=True)
class Row:
    """One observation of a changeover (`case`): the tasks it is the sum of, and the seconds seen.

    `tasks` have the counts of their columns, `share` of which is seen (the crew's ratio). `wider` multiplies the error.
    `given` are seconds, not among those seen, of tasks whose figures are not on the axis.
    """

    case: int
    tasks: tuple[tuple[tuple[int, int], ...], ...]
    seconds: float
    share: float = 1.0
    wider: float = 1.0
    given: float = 0.0


def rows_of(changeovers: Sequence[ActualChangeover], axis: Axis) -> list[Row]:
    """What changeovers tell: a row for each ticked task, and one for what is left of the total where some are not."""
    rows = []
    for case, changeover in enumerate(changeovers):
        ticked = [task for task in changeover.inside if task.ticked_seconds is not None]
        for task in ticked:
            if axis.knows(task):
                columns = (_columns(changeover, task, axis),)
                rows.append(Row(case, columns, task.ticked_seconds or 0.0, wider=_wider(changeover)))
        if len(ticked) < len(changeover.inside):
            rows.append(total_row(case, changeover, axis, without_ticked=True))
    return rows


def total_row(case: int, changeover: ActualChangeover, axis: Axis, *, without_ticked: bool = False) -> Row:
    """The row of a changeover's total, or of what is left of it when its ticked tasks are taken out."""
    ratio = changeover.crew_ratio
    left = [t for t in changeover.inside if not (without_ticked and t.ticked_seconds is not None)]
    ticked = sum(t.ticked_seconds or 0.0 for t in changeover.inside) if without_ticked else 0.0
    given = ratio * sum(task.planned_seconds for task in left if not axis.knows(task))
    return Row(
        case=case,
        tasks=tuple(_columns(changeover, task, axis) for task in left if axis.knows(task)),
        seconds=changeover.seconds - ratio * ticked - given,
        share=ratio,
        wider=_wider(changeover),
        given=given,
    )


def _columns(changeover: ActualChangeover, task: ActualTask, axis: Axis) -> tuple[tuple[int, int], ...]:
    return tuple((axis.at(changeover.crew, figure), count) for figure, count in task.parts)


def _wider(changeover: ActualChangeover) -> float:
    return UNCERTAIN_WIDER if changeover.uncertain else 1.0


@dataclass(frozen=True, slots=True)
class RowTable:
    """Rows as arrays: the design (rows × columns), the seconds seen and those given, and what their errors hang on.

    Each entry is one column of one task: `task` is the task's number, `row_of_task` the row of each task.
    """

    design: Floats
    seconds: Floats
    given: Floats
    wider: Floats
    case: Ints
    row_of_task: Ints
    task: Ints
    column: Ints
    count: Floats

    @classmethod
    def of(cls, rows: Sequence[Row], axis: Axis) -> RowTable:
        """The table of some rows; those of a case lie together."""
        entries = list(_entries(rows))
        row, column = whole_numbers(e[1] for e in entries), whole_numbers(e[2] for e in entries)
        count = floats([e[3] for e in entries])
        design: Floats = np.zeros((len(rows), len(axis.column)))
        np.add.at(design, (row, column), count)
        return cls(
            design=design,
            seconds=floats([r.seconds for r in rows]),
            given=floats([r.given for r in rows]),
            wider=floats([r.wider for r in rows]),
            case=whole_numbers([r.case for r in rows]),
            row_of_task=whole_numbers([i for i, r in enumerate(rows) for _ in r.tasks]),
            task=whole_numbers(e[0] for e in entries),
            column=column,
            count=count,
        )

    def error_sizes(self, figures: Floats, common_share: float) -> ErrorSizes:
        """Sizes of the errors, seconds up to the scale: tasks err on their own, and a changeover's tasks together.

        `figures` are the seconds of all columns, in proportion to which tasks err; `common_share` is the share (0 to
        1, of variance) that is common.
        """
        n = len(self.seconds)
        each = np.bincount(self.task, self.count * figures[self.column], minlength=len(self.row_of_task))
        squares = np.bincount(self.row_of_task, each**2, minlength=n)
        whole = np.bincount(self.row_of_task, each, minlength=n)
        _, starts, case = np.unique(self.case, return_index=True, return_inverse=True)
        own = self.wider * np.sqrt(LEAST_SECONDS**2 + (1 - common_share) * squares)
        return ErrorSizes(own, self.wider * common_share**0.5 * whole, whole_numbers(starts), whole_numbers(case))


def _entries(rows: Sequence[Row]) -> Iterator[tuple[int, int, int, float]]:
    number = 0
    for i, row in enumerate(rows):
        for columns in row.tasks:
            for column, count in columns:
                yield number, i, column, row.share * count
            number += 1


def whole_numbers(values: Iterable[int]) -> Ints:
    """An array of whole numbers."""
    return np.asarray(list(values), dtype=np.int64)
