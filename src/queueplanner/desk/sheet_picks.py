"""What can be picked for a cell, and which of it somebody means who has typed a few letters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from queueplanner.desk.sheet_columns import Kind, SheetColumn
from queueplanner.desk.sheet_text import SheetText
from queueplanner.desk.sheet_units import LengthUnit, Units
from queueplanner.exchange.near import folded
from queueplanner.shop.format import NAMED_FORMATS, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.stock import Stock


@dataclass(frozen=True, slots=True)
class Pick:
    """One thing to pick: what it writes, what stands smaller beside it, other names it goes by, and its ink."""

    text: str
    more: str = ""
    other: str = ""
    ink: Ink | None = None


def picks_for(column: SheetColumn, texts: SheetText) -> tuple[Pick, ...]:
    """Everything to pick for a column; formats only as far as the press takes them."""
    shop = texts.shop
    if column.kind is Kind.CHOICE:
        return tuple(Pick(texts.word(choice), other=choice) for choice in column.choices)
    if column.kind is Kind.INKS:
        return tuple(Pick(texts.ink_name(ink), str(ink.kind), ink.id, ink) for ink in shop.inks.values())
    if column.kind is Kind.STOCK:
        return tuple(
            Pick(texts.stock_name(stock), stock_figures(stock, texts.units), stock.id) for stock in shop.stocks.values()
        )
    if column.kind is Kind.FORMAT:
        return _formats(texts)
    if column.kind is Kind.OWN_TASKS:
        return tuple(Pick(task.name) for task in shop.press.own_tasks)
    return ()


def several(column: SheetColumn) -> bool:
    """Whether a cell holds several picks joined by plus signs."""
    return column.kind in (Kind.INKS, Kind.OWN_TASKS)


def matches(typed: str, picks: Sequence[Pick]) -> list[Pick]:
    """The picks that hold what was typed: names that begin with it first, then words that do, then any place."""
    wanted = folded(typed)
    if not wanted:
        return list(picks)
    ranked = [(rank, place) for place, pick in enumerate(picks) if (rank := _rank(wanted, pick)) is not None]
    return [picks[place] for _, place in sorted(ranked)]


def stock_figures(stock: Stock, units: Units) -> str:
    """A stock's weight and caliper in the place's units."""
    caliper = units.shown_caliper(stock.caliper_um)
    return f"{units.shown_weight(stock.grammage_gsm)} {units.weight.value}, {caliper} {units.thickness.value}"


def format_figures(sheet: Format, units: Units) -> str:
    """A format's sides in the place's units."""
    short, long = (units.shown_side(side) for side in (sheet.short_mm, sheet.long_mm))
    return f"{short} × {long} {units.length.value}"


def _formats(texts: SheetText) -> tuple[Pick, ...]:
    press = texts.shop.press
    named = dict(texts.shop.formats)
    named |= {sheet.name: sheet for sheet in NAMED_FORMATS.values() if sheet.name and sheet.name not in named}
    fits = [
        (name, sheet)
        for name, sheet in named.items()
        if press.format_short_mm.holds(sheet.short_mm) and press.format_long_mm.holds(sheet.long_mm)
    ]
    if texts.units.length is LengthUnit.INCH:
        fits.sort(key=lambda pair: pair[0] not in ("Letter", "Legal", "Ledger", "Half Letter"))
    return tuple(Pick(name, format_figures(sheet, texts.units)) for name, sheet in fits)


def _rank(wanted: str, pick: Pick) -> int | None:
    """How well a pick fits, 0 best; None when not at all."""
    names = [folded(pick.text), folded(pick.other)]
    words = [word for name in names for word in name.replace("-", " ").split()]
    initials = "".join(word[0] for word in names[0].replace("-", " ").split())
    if wanted in names:
        return 0
    if any(name.startswith(wanted) for name in names):
        return 1
    if any(word.startswith(wanted) for word in words):
        return 2
    if initials.startswith(wanted):
        return 3
    if any(wanted in name for name in names):
        return 4
    return 5 if wanted in folded(pick.more) else None
