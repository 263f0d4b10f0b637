"""The job sheet without a window: rows of text cells, the jobs they make, and every edit as a step with undo."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from queueplanner.desk.sheet_columns import COLUMN_OF
from queueplanner.desk.sheet_rows import Problems, Reading, RowReader, SheetRow, jobs_by_id
from queueplanner.desk.sheet_split import free_id, split_cells
from queueplanner.desk.sheet_text import SheetText
from queueplanner.desk.sheet_units import USUAL_UNITS, Units
from queueplanner.exchange.job_cells import cells_of_job
from queueplanner.exchange.job_csv import COLUMNS
from queueplanner.exchange.near import folded
from queueplanner.exchange.tab_text import block_of_text, text_of_block
from queueplanner.shop.base import JobId
from queueplanner.shop.errors import Problem
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop

Facts = Mapping[str, Any]
#: Told of every edit that changes a whole job: the edit's name, its facts, and the jobs changed, new or gone (None).
OnChanged = Callable[[str, Facts, Mapping[JobId, Job | None]], None]


@dataclass(frozen=True, slots=True)
class Step:
    """One edit: its name and facts, and the rows from a place on before and after it."""

    code: str
    facts: Facts
    start: int
    before: tuple[SheetRow, ...]
    after: tuple[SheetRow, ...]


class JobSheetModel:
    """Rows, one a job, in the columns of a job list.

    Cells are given and told as they are shown (`texts` turns them); faulty ones stay, each with its problem. Rows go
    by keys that stay with them. `changed` is told of jobs, `seen` of any change to the rows. `words` are the place's
    words for choices and for the columns' heads.
    """

    def __init__(
        self,
        shop: Shop,
        jobs: Iterable[Job],
        day: date,
        changed: OnChanged = lambda _code, _facts, _jobs: None,
        seen: Callable[[], None] = lambda: None,
        units: Units = USUAL_UNITS,
        words: Mapping[str, str] | None = None,
    ) -> None:
        self.shop, self.day, self.units, self.words = shop, day, units, dict(words or {})
        self.changed, self.seen = changed, seen
        self.texts = SheetText(shop, units, self.words)
        self._reader = RowReader(shop, day)
        self._next_key = 0
        self._undo: list[Step] = []
        self._redo: list[Step] = []
        self._places: dict[int, int] = {}
        self._jobs: dict[JobId, Job] = {}
        self.rows: tuple[SheetRow, ...] = ()
        self.reading = Reading()
        self._put(self._rows_of(jobs))

    # Reading

    @property
    def jobs(self) -> tuple[Job, ...]:
        """Every job the sheet stands for, in the order of its rows."""
        return tuple(self._jobs.values())

    @property
    def keys(self) -> tuple[int, ...]:
        """The keys of all rows in order."""
        return tuple(self._places)

    def row(self, key: int) -> SheetRow:
        """A row by its key. Raises KeyError."""
        return self.rows[self._places[key]]

    def number(self, key: int) -> int:
        """The row's number, from 1, as problems tell it."""
        return self._places[key] + 1

    def holds(self, key: int) -> bool:
        """Whether there is such a row."""
        return key in self._places

    def shown(self, key: int, column: str) -> str:
        """A cell as it is shown."""
        return self.texts.shown(COLUMN_OF[column], self.row(key).cells.get(column, ""))

    def kept(self, key: int, column: str) -> str:
        """A cell as a job list would hold it."""
        return self.row(key).cells.get(column, "")

    def problems(self, key: int) -> Problems:
        """The problems of a row by column; "" stands for the whole row."""
        return self.reading.of(key)

    def problem(self, key: int, column: str) -> Problem | None:
        """What is wrong with a cell."""
        return self.reading.of(key).get(column)

    def job_of(self, key: int) -> Job | None:
        """The job a row makes; None while a cell is wrong."""
        return self.reading.jobs.get(key)

    def name_of(self, key: int) -> str:
        """What a row is called: its job's id as written."""
        return self.kept(key, "job")

    def drafts(self) -> list[dict[str, str]]:
        """The cells, as kept, of every row that is no whole job and not empty."""
        return [dict(row.cells) for row in self.rows if not row.empty and row.key not in self.reading.jobs]

    # Edits

    def set_cells(self, key: int, texts: Mapping[str, str], code: str = "set_cells") -> None:
        """Write some cells of a row, given as shown."""
        self._edit(code, self._facts([key], list(texts)), {key: texts})

    def set_cell(self, key: int, column: str, text: str) -> None:
        """Write one cell. A text that is shown there already changes nothing."""
        if text != self.shown(key, column):
            self.set_cells(key, {column: text}, "set_cell")

    def set_block(
        self, keys: Sequence[int], columns: Sequence[str], block: Sequence[Sequence[str]], code: str = "set_block"
    ) -> None:
        """Write a block of cells over some rows; rows of the block past the last key are added at the end."""
        written = {key: dict(zip(columns, texts, strict=False)) for key, texts in zip(keys, block, strict=False)}
        added = [dict(zip(columns, texts, strict=False)) for texts in block[len(keys) :]]
        facts = {"rows": len(block), "columns": list(columns[: max(map(len, block), default=0)])}
        self._edit(code, facts, written, added)

    def clear(self, keys: Sequence[int], columns: Sequence[str], code: str = "clear") -> None:
        """Empty some cells."""
        self._edit(code, self._facts(keys, columns), {key: dict.fromkeys(columns, "") for key in keys})

    def fill_down(self, keys: Sequence[int], columns: Sequence[str]) -> None:
        """Write the first row's cells into the rows below it."""
        first = {column: self.kept(keys[0], column) for column in columns}
        self._edit("fill_down", self._facts(keys[1:], columns), {}, kept=dict.fromkeys(keys[1:], first))

    def paste(self, text: str, keys: Sequence[int], columns: Sequence[str]) -> None:
        """Write tab-separated text over rows and columns from the first ones given; past the end rows are added.

        A first line of nothing but column names says which columns the others are for.
        """
        block = block_of_text(text)
        named = self._named_columns(block[0]) if block else None
        if named is not None and len(block) > 1:
            block, columns = block[1:], named
        self.set_block(keys, columns, block, "paste")

    def copied(self, keys: Sequence[int], columns: Sequence[str]) -> str:
        """A block of cells, as shown, as tab-separated text."""
        return text_of_block([[self.shown(key, column) for column in columns] for key in keys])

    def add_row(self, texts: Mapping[str, str] | None = None) -> int:
        """Add a row at the end and give its key."""
        self._edit("add_row", {"rows": 1}, {}, [texts or {}])
        return self.rows[-1].key

    def insert(self, before: int, count: int = 1) -> list[int]:
        """Insert empty rows before a row and give their keys."""
        made = [SheetRow(self._new_key(), {}) for _ in range(count)]
        place = self._places[before]
        self._apply("insert", {"rows": count}, (*self.rows[:place], *made, *self.rows[place:]))
        return [row.key for row in made]

    def duplicate(self, keys: Sequence[int]) -> list[int]:
        """Set a copy of each row below it, with the next free docket, and give the copies' keys."""
        taken, copies = self._ids(), {}
        for key in sorted(keys, key=self._places.__getitem__):
            cells = dict(self.row(key).cells)
            if "job" in cells:
                cells["job"] = free_id(cells["job"], taken)
                taken.add(folded(cells["job"]))
            copies[key] = SheetRow(self._new_key(), cells)
        self._apply("duplicate", self._facts(keys), self._with_below(copies))
        return [row.key for row in copies.values()]

    def remove(self, keys: Sequence[int]) -> None:
        """Take rows out."""
        gone = set(keys)
        self._apply("remove", self._facts(keys), tuple(row for row in self.rows if row.key not in gone))

    def split(self, key: int, first_sheets: int, new_id: str) -> int:
        """Split a job in two: so many sheets stay, the rest goes to a new row below, and gives its key.

        Both parts print from the same plates. Raises ValueError when a part would have no sheet.
        """
        first, second = split_cells(self.row(key).cells, self.job_of(key), first_sheets, new_id)
        made = SheetRow(self._new_key(), second)
        rows = self._with_below({key: made})
        facts = {**self._facts([key]), "new": new_id}
        self._apply("split", facts, tuple(_with_cells(r, first) if r.key == key else r for r in rows))
        return made.key

    def split_id(self, key: int) -> str:
        """The docket a split part would get: the next free suffix."""
        return free_id(self.name_of(key), self._ids())

    # Undo

    @property
    def undo_step(self) -> Step | None:
        """What would be undone."""
        return self._undo[-1] if self._undo else None

    @property
    def redo_step(self) -> Step | None:
        """What would be done again."""
        return self._redo[-1] if self._redo else None

    def undo(self) -> Step | None:
        """Take the last edit back."""
        if not self._undo:
            return None
        step = self._undo.pop()
        self._redo.append(step)
        self._replace(step, step.after, step.before, "undo")
        return step

    def redo(self) -> Step | None:
        """Do the last edit again that was taken back."""
        if not self._redo:
            return None
        step = self._redo.pop()
        self._undo.append(step)
        self._replace(step, step.before, step.after, "redo")
        return step

    # From outside

    def show_jobs(self, jobs: Iterable[Job]) -> None:
        """Show jobs as they are elsewhere. Rows of the same jobs stay, with what is half typed in them.

        When anything differs, what could be undone here is forgotten: it spoke of other rows. `changed` is not told.
        """
        wanted = {job.id: job for job in jobs}
        if wanted == self._jobs:
            return
        kept = []
        for row in self.rows:
            own = self._own(row)
            if own is None:
                kept.append(row)
            elif (job := wanted.pop(own.id, None)) is not None:
                kept.append(row if job == own else SheetRow(row.key, self._cells(job), job))
        self._undo.clear()
        self._redo.clear()
        self._put((*kept, *self._rows_of(wanted.values())))

    def add_kept(self, rows: Iterable[Mapping[str, str]]) -> None:
        """Add rows given as they are kept, as `drafts` gives them. That is no step to undo; `changed` is not told."""
        self._put((*self.rows, *(SheetRow(self._new_key(), dict(cells)) for cells in rows)))

    def show_in(self, shop: Shop, day: date) -> None:
        """Read all rows for another shop or day. `changed` is told of jobs that differ by it."""
        self.shop, self.day = shop, day
        self.texts = SheetText(shop, self.units, self.words)
        self._reader = RowReader(shop, day)
        before = self._jobs
        self._put(self.rows)
        self._tell("read_again", {}, before)

    def set_units(self, units: Units) -> None:
        """Show in other units."""
        self.units = units
        self.texts = SheetText(self.shop, units, self.words)
        self.seen()

    # Inside

    def _edit(
        self,
        code: str,
        facts: Facts,
        written: Mapping[int, Mapping[str, str]],
        added: Sequence[Mapping[str, str]] = (),
        kept: Mapping[int, Mapping[str, str]] | None = None,
    ) -> None:
        """Write cells given as shown into rows and into new ones, and cells given as kept."""
        news = {key: self._kept_cells(texts, key) for key, texts in written.items()} | dict(kept or {})
        rows = [_with_cells(row, news[row.key]) if row.key in news else row for row in self.rows]
        rows += [_with_cells(SheetRow(self._new_key(), {}), self._kept_cells(texts)) for texts in added]
        self._apply(code, facts, tuple(rows))

    def _kept_cells(self, texts: Mapping[str, str], key: int | None = None) -> dict[str, str]:
        """Cells as kept; what is shown in its place already stays as it is."""

        def kept(column: str, text: str) -> str:
            if key is not None and text == self.shown(key, column):
                return self.kept(key, column)
            return self.texts.kept(COLUMN_OF[column], text)

        return {column: kept(column, text) for column, text in texts.items()}

    def _apply(self, code: str, facts: Facts, rows: tuple[SheetRow, ...]) -> None:
        """Put other rows in, as one step that can be undone; rows that are the same make no step."""
        old = self.rows
        before = self._jobs
        if rows == old:
            return
        self._put(rows)
        self._undo.append(_step(code, facts, old, self.rows))
        self._redo.clear()
        self._tell(code, facts, before)

    def _replace(self, step: Step, gone: Sequence[SheetRow], back: Sequence[SheetRow], code: str) -> None:
        before = self._jobs
        self._put((*self.rows[: step.start], *back, *self.rows[step.start + len(gone) :]))
        self._tell(code, {**step.facts, "of": step.code}, before)

    def _put(self, rows: tuple[SheetRow, ...]) -> None:
        """Take rows in, read them, and note in each row the job it makes."""
        self.reading = self._reader.read(rows)
        self.rows = tuple(self._retaken(row) for row in rows)
        self._places = {row.key: place for place, row in enumerate(self.rows)}
        self._jobs = jobs_by_id(self.rows, self.reading)
        self.seen()

    def _retaken(self, row: SheetRow) -> SheetRow:
        """The row with the job it makes; an emptied one makes none, a faulty one what it made before."""
        job = None if row.empty else self.reading.jobs.get(row.key, row.taken)
        return row if job is row.taken else SheetRow(row.key, row.cells, job)

    def _tell(self, code: str, facts: Facts, before: Mapping[JobId, Job]) -> None:
        differ: dict[JobId, Job | None] = {job_id: None for job_id in before if job_id not in self._jobs}
        for job_id, job in self._jobs.items():
            old = before.get(job_id)
            if old is not job and old != job:
                differ[job_id] = job
        if differ:
            self.changed(code, facts, differ)

    def _own(self, row: SheetRow) -> Job | None:
        """The job of the day a row stands for."""
        return row.taken if row.taken is not None and self._jobs.get(row.taken.id) is row.taken else None

    def _facts(self, keys: Sequence[int], columns: Sequence[str] = ()) -> dict[str, Any]:
        facts: dict[str, Any] = {"rows": len(keys)}
        if len(keys) == 1:
            facts["job"] = self.name_of(keys[0])
        return facts | ({"columns": list(columns)} if columns else {})

    def _with_below(self, made: Mapping[int, SheetRow]) -> tuple[SheetRow, ...]:
        """All rows, with some new ones each below a row."""
        rows: list[SheetRow] = []
        for row in self.rows:
            rows.append(row)
            if row.key in made:
                rows.append(made[row.key])
        return tuple(rows)

    def _named_columns(self, heads: Sequence[str]) -> list[str] | None:
        """The columns a line names; None when anything in it is no column's name."""
        known = {folded(column): column for column in COLUMNS}
        known |= {folded(self.words[column]): column for column in COLUMNS if column in self.words}
        named = [known.get(folded(head)) for head in heads]
        found = [column for column in named if column is not None]
        return found if len(found) == len(named) and len(set(found)) == len(found) > 1 else None

    def _ids(self) -> set[str]:
        return {folded(row.cells["job"]) for row in self.rows if "job" in row.cells}

    def _rows_of(self, jobs: Iterable[Job]) -> tuple[SheetRow, ...]:
        return tuple(SheetRow(self._new_key(), self._cells(job), job) for job in jobs)

    def _cells(self, job: Job) -> dict[str, str]:
        return cells_of_job(job, self.shop, self.day)

    def _new_key(self) -> int:
        self._next_key += 1
        return self._next_key


def _with_cells(row: SheetRow, news: Mapping[str, str]) -> SheetRow:
    """A row with other cells; the same row when they are no others."""
    cells = {column: text for column, text in {**row.cells, **news}.items() if text}
    return row if cells == row.cells else SheetRow(row.key, cells, row.taken)


def _step(code: str, facts: Facts, old: tuple[SheetRow, ...], new: tuple[SheetRow, ...]) -> Step:
    """What differs between two states of the sheet: the rows between the first and the last that are not the same."""
    most = min(len(old), len(new))
    start = next((i for i in range(most) if old[i] is not new[i]), most)
    tail = next((i for i in range(most - start) if old[-1 - i] is not new[-1 - i]), most - start)
    return Step(code, facts, start, old[start : len(old) - tail], new[start : len(new) - tail])
