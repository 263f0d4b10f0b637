"""What a cell of the job sheet shows, and what somebody's words in it come to.

A cell is kept as a job list writes it: mm, decimal points, ids, English words. It is shown in the units and the
language of the place, inks and stocks by name. What cannot be understood is kept, and shown, letter by letter.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from queueplanner.desk.sheet_columns import Kind, SheetColumn
from queueplanner.desk.sheet_units import USUAL_UNITS, LengthUnit, ThicknessUnit, Units, decimal_of
from queueplanner.exchange import cells
from queueplanner.exchange.cells import CellFault
from queueplanner.exchange.job_cells import format_cell, number_cell, plain
from queueplanner.exchange.job_row import by_name
from queueplanner.exchange.near import folded
from queueplanner.shop.ink import Ink
from queueplanner.shop.shop import Shop
from queueplanner.shop.stock import Stock

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?", re.ASCII)
_BARE_SIZE = re.compile(r"\s*\d+(?:[.,]\d+)?\s*[x×*]\s*\d+(?:[.,]\d+)?\s*")
_MOST = 1e9


@dataclass
class SheetText:
    """Turns kept text into shown text and back. `words` are the place's words for a column's choices."""

    shop: Shop
    units: Units = USUAL_UNITS
    words: Mapping[str, str] = field(default_factory=dict)
    _known: dict[tuple[str, str], str] = field(default_factory=dict)

    def shown(self, column: SheetColumn, text: str) -> str:
        """A kept text as it is shown; `kept` of it means the same again."""
        if not text:
            return ""
        known = self._known.get((column.key, text))
        if known is None:
            known = self._known[column.key, text] = self._shown(column, text)
        return known

    def kept(self, column: SheetColumn, text: str) -> str:
        """What somebody wrote, as it is kept; letter by letter where it means nothing."""
        if not text.strip():
            return ""
        try:
            return _KEPT.get(column.kind, SheetText._as_written)(self, column, text.strip())
        except CellFault:
            return text

    def is_right(self, column: SheetColumn, text: str) -> bool:
        """Whether a text in a column with a list means something as it stands."""
        kept = self.kept(column, text)
        if column.kind is Kind.FORMAT:
            return self.shop.format_named(kept) is not None
        if column.kind is Kind.STOCK:
            return self.stock(kept) is not None
        return kept in column.choices

    def inks(self, text: str) -> tuple[Ink, ...]:
        """The inks a kept text names; none when any of it names none."""
        try:
            return tuple(by_name(part, self.shop.inks, "ink") for part in cells.joined(text)) if text else ()
        except CellFault:
            return ()

    def stock(self, text: str) -> Stock | None:
        """The stock a kept text names."""
        try:
            return by_name(text, self.shop.stocks, "stock") if text else None
        except CellFault:
            return None

    def word(self, choice: str) -> str:
        """The place's word for a choice."""
        return self.words.get(choice, choice)

    def ink_name(self, ink: Ink) -> str:
        """How an ink is called in a cell: by its name, or by its id where the name leads elsewhere."""
        return ink.name if "+" not in ink.name and self.inks(ink.name) == (ink,) else ink.id

    def stock_name(self, stock: Stock) -> str:
        """How a stock is called in a cell."""
        return stock.name if self.stock(stock.name) == stock else stock.id

    def _shown(self, column: SheetColumn, text: str) -> str:
        try:
            return _SHOWN.get(column.kind, SheetText._as_written)(self, column, text)
        except CellFault:
            return text

    def _as_written(self, _: SheetColumn, text: str) -> str:
        return text

    # Numbers

    def _shown_number(self, _: SheetColumn, text: str) -> str:
        cells.number(text, 0, _MOST)
        return self._marked(text)

    def _kept_number(self, _: SheetColumn, text: str) -> str:
        cells.number(text, 0, _MOST)
        return text.replace(",", ".")

    def _shown_percents(self, _: SheetColumn, text: str) -> str:
        return self._percents(text, self._marked)

    def _kept_percents(self, _: SheetColumn, text: str) -> str:
        return self._percents(text, lambda part: part.replace(",", "."))

    def _percents(self, text: str, written: Callable[[str], str]) -> str:
        parts = cells.joined(text)
        for part in parts:
            cells.number(part.removesuffix("%").strip(), 0, _MOST)
        return "+".join(map(written, parts))

    def _shown_length(self, column: SheetColumn, text: str) -> str:
        if self.units.length is LengthUnit.MM:
            return self._shown_number(column, text)
        return self.units.shown_length(_decimal(text))

    def _kept_length(self, column: SheetColumn, text: str) -> str:
        if self.units.length is LengthUnit.MM:
            return self._kept_number(column, text)
        return number_cell(float(self.units.mm_of_length(_foreign(text))))

    def _shown_thickness(self, _: SheetColumn, text: str) -> str:
        return self.units.shown_thickness(_decimal(text))

    def _kept_thickness(self, _: SheetColumn, text: str) -> str:
        value = _decimal(text) if self.units.thickness is ThicknessUnit.UM else _foreign(text)
        return number_cell(float(self.units.mm_of_thickness(value)))

    def _shown_strips(self, _: SheetColumn, text: str) -> str:
        return self._strips(text, lambda number: self.units.shown_length(Decimal(number.replace(",", "."))))

    def _kept_strips(self, _: SheetColumn, text: str) -> str:
        def mm(number: str) -> str:
            return plain(float(self.units.mm_of_length(Decimal(number.replace(",", ".")))))

        return self._strips(text, mm)

    def _strips(self, text: str, converted: Callable[[str], str]) -> str:
        cells.strips(text)
        return _NUMBER.sub(lambda match: converted(match.group()), text)

    def _marked(self, text: str) -> str:
        return text.replace(",", ".").replace(".", self.units.decimal_mark)

    # Names

    def _shown_choice(self, _: SheetColumn, text: str) -> str:
        return self.word(text)

    def _kept_choice(self, column: SheetColumn, text: str) -> str:
        named = {_loosely(self.word(choice)): choice for choice in column.choices}
        named |= {_loosely(choice): choice for choice in column.choices}
        return named.get(_loosely(text), text)

    def _shown_inks(self, _: SheetColumn, text: str) -> str:
        found = self.inks(text)
        return " + ".join(map(self.ink_name, found)) if found else text

    def _kept_inks(self, _: SheetColumn, text: str) -> str:
        return "+".join(self._id_of(by_name(part, self.shop.inks, "ink"), part) for part in cells.joined(text))

    def _id_of(self, ink: Ink, written: str) -> str:
        return ink.id if self.inks(ink.id) == (ink,) else written

    def _shown_stock(self, _: SheetColumn, text: str) -> str:
        found = self.stock(text)
        return self.stock_name(found) if found else text

    def _kept_stock(self, _: SheetColumn, text: str) -> str:
        found = by_name(text, self.shop.stocks, "stock")
        return found.id if self.stock(found.id) == found else text

    def _shown_format(self, _: SheetColumn, text: str) -> str:
        found = self.shop.format_named(text)
        if found is None or found.name is not None or folded(text) in map(folded, self.shop.formats):
            return text
        sides = (self.units.shown_length(Decimal(repr(side))) for side in (found.short_mm, found.long_mm))
        return " x ".join(sides) + (" in" if self.units.length is LengthUnit.INCH else "")

    def _kept_format(self, _: SheetColumn, text: str) -> str:
        for name in self.shop.formats:
            if folded(name) == folded(text):
                return name
        bare_inches = self.units.length is LengthUnit.INCH and _BARE_SIZE.fullmatch(text)
        found = self.shop.format_named(f"{text} in" if bare_inches else text)
        return format_cell(found, self.shop) if found is not None else text


_Turn = Callable[[SheetText, SheetColumn, str], str]
_SHOWN: dict[Kind, _Turn] = {
    Kind.NUMBER: SheetText._shown_number,
    Kind.PERCENTS: SheetText._shown_percents,
    Kind.LENGTH: SheetText._shown_length,
    Kind.THICKNESS: SheetText._shown_thickness,
    Kind.STRIPS: SheetText._shown_strips,
    Kind.CHOICE: SheetText._shown_choice,
    Kind.INKS: SheetText._shown_inks,
    Kind.STOCK: SheetText._shown_stock,
    Kind.FORMAT: SheetText._shown_format,
}
_KEPT: dict[Kind, _Turn] = {
    Kind.NUMBER: SheetText._kept_number,
    Kind.PERCENTS: SheetText._kept_percents,
    Kind.LENGTH: SheetText._kept_length,
    Kind.THICKNESS: SheetText._kept_thickness,
    Kind.STRIPS: SheetText._kept_strips,
    Kind.CHOICE: SheetText._kept_choice,
    Kind.INKS: SheetText._kept_inks,
    Kind.STOCK: SheetText._kept_stock,
    Kind.FORMAT: SheetText._kept_format,
}


def _loosely(text: str) -> str:
    """A word without the difference between spaces and hyphens."""
    return folded(text).replace("-", " ").replace("_", " ")


def _decimal(text: str) -> Decimal:
    """A number in the list's own form. Raises CellFault, also when it could be thousands."""
    cells.number(text, 0, _MOST)
    return Decimal(text.replace(",", "."))


def _foreign(text: str) -> Decimal:
    """A number of inches or points. Raises CellFault.

    A mark before three digits is a decimal mark: no sheet is a thousand inches, no plate a thousand points.
    """
    value = decimal_of(text)
    if value is None:
        cells.number(text, 0, _MOST)
        raise CellFault("write a number")
    return value
