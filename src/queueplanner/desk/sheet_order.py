"""Which rows of the job sheet are on view and in what order: a sorting and a filter that change no row."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime

from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.desk.sheet_columns import COLUMN_OF, Kind
from queueplanner.exchange import cells
from queueplanner.exchange.cells import CellFault
from queueplanner.exchange.near import folded

_DIGITS = re.compile(r"(\d+)")
_NUMBERS = frozenset({Kind.COUNT, Kind.NUMBER, Kind.LENGTH, Kind.THICKNESS})

SortKey = tuple[tuple[int, float, str], ...]


class SheetOrder:
    """The keys on view. A row that is edited keeps its place, and stays, until it is sorted or filtered anew."""

    def __init__(self, model: JobSheetModel) -> None:
        self._model = model
        self.column: str | None = None
        self.descending = False
        self.filter = ""
        self.keys: list[int] = list(model.keys)
        self._all = set(model.keys)

    def sort(self, column: str | None, descending: bool = False) -> None:
        """Sort by a column; None: as the rows stand. Rows with nothing to sort by come last either way."""
        self.column, self.descending = column, descending
        self.apply()

    def narrow(self, text: str) -> None:
        """Show only rows in which every word of a text stands somewhere."""
        self.filter = text
        self.apply()

    def apply(self) -> None:
        """Sort and filter anew."""
        words = folded(self.filter).split()
        self._all = set(self._model.keys)
        kept = [key for key in self._model.keys if self._holds(key, words)]
        self.keys = kept if self.column is None else self._sorted(kept, self.column)

    def follow(self) -> None:
        """Follow the model: rows gone go, new ones come behind the row they stand behind in the sheet."""
        if self.column is None and not self.filter:
            self.apply()
            return
        keys = [key for key in self.keys if self._model.holds(key)]
        place = -1
        on_view = set(keys)
        for key in self._model.keys:
            if key in on_view:
                place = keys.index(key)
            elif key not in self._all:
                place += 1
                keys.insert(place, key)
        self.keys = keys
        self._all = set(self._model.keys)

    def find(
        self, text: str, columns: Sequence[str], start: tuple[int, str] | None, back: bool = False
    ) -> tuple[int, str] | None:
        """The next cell on view that holds a text, going on from a cell and round the end; None where there is none."""
        wanted = folded(text)
        places = [(key, column) for key in self.keys for column in columns]
        if not wanted or not places:
            return None
        if back:
            places.reverse()
        begin = places.index(start) + 1 if start in places else 0
        for key, column in (*places[begin:], *places[:begin]):
            if wanted in folded(self._model.shown(key, column)):
                return key, column
        return None

    def _holds(self, key: int, words: Sequence[str]) -> bool:
        if not words:
            return True
        row = self._model.row(key)
        text = "\n".join(folded(self._model.shown(key, column)) for column in row.cells)
        return all(word in text for word in words)

    def _sorted(self, keys: Sequence[int], column: str) -> list[int]:
        by = {key: sort_key(self._model, key, column) for key in keys}
        filled = [key for key in keys if by[key] is not None]
        filled.sort(key=lambda key: by[key] or (), reverse=self.descending)
        return filled + [key for key in keys if by[key] is None]


def sort_key(model: JobSheetModel, key: int, column: str) -> SortKey | None:
    """What a cell is sorted by; None for an empty cell and for one that says nothing."""
    kept = model.kept(key, column)
    kind = COLUMN_OF[column].kind
    if not kept.strip():
        return None
    if kind not in _NUMBERS and kind is not Kind.MOMENT:
        return natural(model.shown(key, column))
    try:
        if kind is Kind.MOMENT:
            return ((0, _seconds(cells.moment(kept.strip(), model.day, model.shop.calendar.zone)), ""),)
        return ((0, cells.number(kept.strip(), 0, 1e12), ""),)
    except CellFault:
        return None


def natural(text: str) -> SortKey:
    """Text with its numbers by size: `A4` before `A10`, `1047-2` before `1047-10`."""
    parts = _DIGITS.split(folded(text))
    return tuple((0, float(part), "") if part.isdecimal() else (1, 0.0, part) for part in parts if part)


def _seconds(moment: datetime) -> float:
    return moment.astimezone(UTC).timestamp()
