"""A CSV file as a table: rows by column name with their true line numbers, and every fault of its form.

Reads what RFC 4180 describes, with a comma or a semicolon between cells, any line end, and a `sep=` line if
there is one. It mends nothing: a row whose cells cannot be told apart is a problem, not a guess.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from queueplanner.exchange.near import folded, shown, suggestion
from queueplanner.exchange.text_file import read_text
from queueplanner.shop.errors import BadInput, Problem

MOST_ROWS, MOST_COLUMNS, MOST_CELL = 5_000, 100, 2_000

_SEP_LINE = re.compile(r'"?sep=(.)"?(?:\r\n|\r|\n|$)', re.IGNORECASE)
_QUOTED = re.compile(r'"(?:[^"]+|"")*+"')
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the line of the file it begins on, and its cells by column, without spaces around them."""

    number: int
    cells: Mapping[str, str]


@dataclass(slots=True)
class Table:
    """The sound rows of a file, the needed columns it lacks, and every problem."""

    file: str
    columns: tuple[str, ...] = ()
    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    missing: set[str] = field(default_factory=set)
    _noted: set[tuple[int | None, str | None, str]] = field(default_factory=set)

    def note(self, row: int | None, column: str | None, found: str, wanted: str) -> None:
        """Add a problem of this file, unless the same has been found there already."""
        if (row, column, found) not in self._noted:
            self._noted.add((row, column, found))
            self.problems.append(Problem(self.file, row, column, found, wanted))


def read_table(path: Path, known: Sequence[str], required: Sequence[str]) -> Table:
    """Read a CSV file with named columns.

    Raises BadInput for what is no such file at all; faults of rows and columns are the table's problems.
    """
    text = read_text(path, "a CSV file in UTF-8")
    table = Table(str(path))
    start, delimiter = _delimiter(text)
    records = _records(text, start, delimiter)
    header = next((r for r in records if any(c.strip() for c in r.cells)), None)
    if header is None or not _take_header(table, header, known, required):
        raise BadInput(table.problems or [Problem(str(path), 1, None, "no header", "begin with the column names")])
    count = 0
    for record in records:
        if record.fault is None and not any(c.strip() for c in record.cells):
            continue
        count += 1
        if count > MOST_ROWS:
            table.note(record.line, None, f"more than {MOST_ROWS} rows", "give fewer jobs at a time")
            break
        _take_row(table, record, delimiter)
    return table


@dataclass(frozen=True, slots=True)
class _Record:
    line: int
    cells: list[str]
    fault: tuple[str, str] | None = None


def _delimiter(text: str) -> tuple[int, str]:
    """Where the header begins, and what stands between its cells."""
    if (sep := _SEP_LINE.match(text)) and sep.group(1) in ",;":
        return sep.end(), sep.group(1)
    first = next((line for line in _LINE_END.split(text[: MOST_CELL * MOST_COLUMNS]) if line.strip()), "")
    bare = _QUOTED.sub("", first)
    return 0, ";" if bare.count(";") > bare.count(",") else ","


def _records(text: str, start: int, delimiter: str) -> Iterator[_Record]:
    """Cut a text into records. A faulty one is given up at the end of the line of its fault."""
    bare = re.compile(rf"[^{delimiter}\r\n]*")
    position, line = start, 1 + len(_LINE_END.findall(text[:start]))
    while position < len(text):
        begin, cells = line, []
        fault = None
        more = True
        while more:
            cell, end, fault = _cell(text, position, delimiter, bare)
            if fault is not None:
                position = _end_of_line(text, position)
                break
            line += len(_LINE_END.findall(text, position, end))
            cells.append(cell)
            more = text.startswith(delimiter, end)
            position = end + more
        if match := _LINE_END.match(text, position):
            position, line = match.end(), line + 1
        yield _Record(begin, cells, fault)


def _cell(text: str, position: int, delimiter: str, bare: re.Pattern[str]) -> tuple[str, int, tuple[str, str] | None]:
    """The cell at a position, where it ends, and what is wrong with its quotation marks."""
    if not text.startswith('"', position):
        match = bare.match(text, position)
        assert match is not None, "a bare cell may be empty"
        advice = "put a cell with quotation marks in quotation marks and double its own"
        return match.group(), match.end(), (shown(match.group()), advice) if '"' in match.group() else None
    match = _QUOTED.match(text, position)
    if match is None:
        return (
            "",
            position,
            ("a quotation mark that is never closed", "close it, or double one that is meant"),
        )
    end = match.end()
    if end < len(text) and text[end] not in f"{delimiter}\r\n":
        advice = "double a quotation mark that belongs to the text"
        return "", end, ("text after a closing quotation mark", advice)
    cell = match.group()[1:-1].replace('""', '"')
    if delimiter in cell and _LINE_END.search(cell):
        advice = f"close it; a cell over several lines may not hold a '{delimiter}'"
        return "", end, ("a quotation mark that runs on over the next row", advice)
    return cell, end, None


def _end_of_line(text: str, position: int) -> int:
    match = _LINE_END.search(text, position)
    return match.start() if match else len(text)


def _take_header(table: Table, header: _Record, known: Sequence[str], required: Sequence[str]) -> bool:
    """Note what is wrong with the header; False when no row could be read under it."""
    if header.fault is not None:
        table.note(header.line, None, *header.fault)
        return False
    if len(header.cells) > MOST_COLUMNS:
        table.note(header.line, None, f"{len(header.cells)} columns", f"give at most {MOST_COLUMNS}")
        return False
    names = [folded(cell) for cell in header.cells]
    if len(names) == 1 and "\t" in header.cells[0]:
        table.note(header.line, None, "tabs between the columns", "put commas or semicolons between them")
        return False
    for index, name in enumerate(names):
        if (bad := _unprintable(header.cells[index])) is not None:
            table.note(header.line, f"number {index + 1}", bad, "take it out")
        elif name and name not in known:
            table.note(header.line, name, "a column that nothing reads", suggestion(name, known, "column"))
        elif name and name in names[:index]:
            table.note(header.line, name, "the column twice", "keep one of them")
    for name in required:
        if name not in names:
            table.missing.add(name)
            table.note(header.line, name, "no such column", "add it: every job needs it")
    table.columns = tuple(names)
    return any(name in known for name in names)


def _take_row(table: Table, record: _Record, delimiter: str) -> None:
    """Add a record as a row, or what is wrong with it as problems."""
    if record.fault is not None:
        table.note(record.line, None, *record.fault)
        return
    if (found := len(record.cells)) != (expected := len(table.columns)):
        wanted = f"the header names {expected}"
        if found > expected:
            wanted += f"; put a cell that holds a '{delimiter}' in quotation marks"
        table.note(record.line, None, f"{found} cells", wanted)
        return
    take_cells(table, record.line, zip(table.columns, record.cells, strict=True))


def take_cells(table: Table, number: int, given: Iterable[tuple[str, str]]) -> None:
    """Add a row of columns and cells to a table, or what no cell may hold as problems."""
    sound, cells = True, {}
    for index, (column, cell) in enumerate(given):
        sound &= _cell_is_sound(table, number, column or f"number {index + 1}", column, cell)
        cells[column] = " ".join(cell.split())
    if sound:
        table.rows.append(Row(number, cells))


def _cell_is_sound(table: Table, line: int, place: str, column: str, cell: str) -> bool:
    if len(cell) > MOST_CELL:
        table.note(line, place, f"{len(cell)} characters", f"write at most {MOST_CELL}")
        return False
    if (bad := _unprintable(cell)) is not None:
        table.note(line, place, bad, "take it out")
        return False
    if not column and cell.strip():
        table.note(line, place, shown(cell), "give the column a name, or empty the cell")
        return False
    return True


def _unprintable(cell: str) -> str | None:
    """The first control character of a cell by its code point; line ends and tabs count as spaces."""
    for character in cell:
        if unicodedata.category(character) == "Cc" and character not in "\t\r\n":
            return f"the control character U+{ord(character):04X}"
    return None
