"""A whole shop: its lists, its press, its hours."""

from __future__ import annotations

from queueplanner.shop.base import InkId, ShopModel, StockId
from queueplanner.shop.calendar import Calendar
from queueplanner.shop.format import Format, parse_format
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import PressProfile
from queueplanner.shop.stock import Stock
from queueplanner.shop.weights import Weights


class Shop(ShopModel):
    """Inks and stocks by id, the shop's own format names, the press, the calendar and the planning weights."""

    inks: dict[InkId, Ink]
    stocks: dict[StockId, Stock]
    formats: dict[str, Format]
    press: PressProfile
    calendar: Calendar
    weights: Weights = Weights()

    def format_named(self, text: str) -> Format | None:
        """A format by the shop's own name (capitals do not matter), a standard name, or its size."""
        own = {name.casefold(): f for name, f in self.formats.items()}
        return own.get(" ".join(text.split()).casefold()) or parse_format(text)
