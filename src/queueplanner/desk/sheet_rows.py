"""Rows of the job sheet, and how they are read: by the very functions that read a job list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from queueplanner.exchange.csv_table import Row, Table, take_cells
from queueplanner.exchange.job_csv import check_ids, check_plates, check_press
from queueplanner.exchange.job_passes import job_of_entry
from queueplanner.exchange.job_row import read_entry
from queueplanner.shop.base import JobId
from queueplanner.shop.errors import Problem
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop

#: What the sheet is called in its problems.
SHEET_NAME = "job sheet"
#: What is found in a cell that needs something and has nothing.
NOTHING = "nothing"

Cells = Mapping[str, str]
Problems = Mapping[str, Problem]
_NONE: Problems = {}


@dataclass(frozen=True, slots=True, eq=False)
class SheetRow:
    """One row: a key that stays with it, its cells as kept (empty ones left out), and the job it last was.

    `taken` stays what it was while a cell is wrong, so that a slip of the fingers takes no job out of the day.
    """

    key: int
    cells: Cells
    taken: Job | None = None

    @property
    def empty(self) -> bool:
        """Whether nothing is in it."""
        return not any(map(str.strip, self.cells.values()))


@dataclass(frozen=True, slots=True)
class Reading:
    """What some rows say: the job of every row without a fault, and the problems of the others by column."""

    jobs: Mapping[int, Job] = field(default_factory=dict)
    problems: Mapping[int, Problems] = field(default_factory=dict)

    def of(self, key: int) -> Problems:
        """The problems of a row by column; the column "" stands for the whole row."""
        return self.problems.get(key, _NONE)


@dataclass(frozen=True, slots=True)
class _Read:
    """One row read by itself."""

    cells: Cells
    row: Row | None
    job: Job | None
    problems: tuple[Problem, ...]
    refused: tuple[Problem, ...]


class RowReader:
    """Reads rows for a shop and a day; a row whose cells are the same as before is not read again."""

    def __init__(self, shop: Shop, day: date) -> None:
        self._shop, self._day = shop, day
        self._read: dict[int, _Read] = {}

    def read(self, rows: Sequence[SheetRow]) -> Reading:
        """The jobs and problems of all rows; rows are numbered from 1, and empty ones say nothing."""
        numbered = {number: row for number, row in enumerate(rows, 1) if not row.empty}
        read = {number: self._of(row) for number, row in numbered.items()}
        self._read = {row.key: read[number] for number, row in numbered.items()}
        table, jobs = Table(SHEET_NAME), {}
        for number, one in read.items():
            if one.row is not None:
                table.rows.append(Row(number, one.row.cells))
            if one.job is not None:
                jobs[number] = one.job
        check_ids(table, jobs)
        check_plates(table, jobs)
        found: dict[int, dict[str, Problem]] = {}
        for number, one in read.items():
            _add(found, number, one.problems)
            _add(found, number, one.refused if number in jobs else ())
        for problem in table.problems:
            _add(found, problem.row or 0, (problem,))
        return Reading(
            {numbered[n].key: job for n, job in jobs.items() if n not in found},
            {numbered[n].key: problems for n, problems in found.items()},
        )

    def _of(self, row: SheetRow) -> _Read:
        known = self._read.get(row.key)
        return known if known is not None and known.cells is row.cells else self._read_one(row.cells)

    def _read_one(self, cells: Cells) -> _Read:
        table = Table(SHEET_NAME)
        take_cells(table, 1, cells.items())
        if not table.rows:
            return _Read(cells, None, None, tuple(table.problems), ())
        row = table.rows[0]
        entry = read_entry(row, table, self._shop, self._day)
        if entry is None:
            return _Read(cells, row, None, tuple(table.problems), ())
        job = job_of_entry(entry, self._shop.press)
        check_press(table, {1: job}, self._shop)
        return _Read(cells, row, job, (), tuple(table.problems))


def _add(found: dict[int, dict[str, Problem]], number: int, problems: Iterable[Problem]) -> None:
    """Add problems of a row, the first of each cell; they carry the row's number."""
    for problem in problems:
        columns = found.setdefault(number, {})
        placed = Problem(problem.file, number, problem.column, problem.found, problem.wanted)
        columns.setdefault(problem.column or "", placed)


def jobs_by_id(rows: Sequence[SheetRow], reading: Reading) -> dict[JobId, Job]:
    """Every job the rows stand for, in their order: those without a fault, then what faulty rows last were."""
    whole = {job.id: job for row in rows if (job := reading.jobs.get(row.key)) is not None}
    claimed = dict.fromkeys(whole)
    placed: dict[JobId, Job] = {}
    for row in rows:
        job = reading.jobs.get(row.key)
        if job is None and row.taken is not None and row.taken.id not in claimed:
            job = row.taken
            claimed[job.id] = None
        if job is not None:
            placed[job.id] = job
    return placed
