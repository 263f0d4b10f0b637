"""Passes and a press for the tests of settings cards and materials: invented, no shop's own."""

from __future__ import annotations

from typing import Any

from queueplanner.exchange.profile_files import load_card_profile
from queueplanner.exchange.shop_files import load_shop
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink, InkKind, Tack
from queueplanner.shop.job import LaySide, PrintPass, Separation
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import PressProfile
from queueplanner.shop.stock import Coating, Grain, Stock

A4 = Format(short_mm=210.0, long_mm=297.0, name="A4")
A3 = Format(short_mm=297.0, long_mm=420.0, name="A3")
SLIP = Format(short_mm=114.0, long_mm=229.0)


def demo_press(**changes: Any) -> PressProfile:
    """The demo press with the neutral settings profile; `changes` to its own fields."""
    return load_shop().press.model_copy(update={"card": load_card_profile()} | changes)


def stock(caliper_um: int = 100, **changes: Any) -> Stock:
    """A stock of a caliper, uncoated, 80 g/m² unless said."""
    facts: dict[str, Any] = {
        "id": StockId(f"stock-{caliper_um}"),
        "name": f"Stock {caliper_um}",
        "grammage_gsm": 80.0,
        "caliper_um": caliper_um,
        "coating": Coating.UNCOATED,
        "grain": Grain.LONG,
        "speed_sph": 6000,
    }
    return Stock(**(facts | changes))


def ink(name: str, lightness: float = 50, tack: float | None = None) -> Ink:
    """A grey ink, with a tack reading if wanted."""
    reading = None if tack is None else Tack(value=tack, instrument="one instrument")
    return Ink(
        id=InkId(name), name=name, kind=InkKind.SPOT, lightness=lightness, open_time_h=8, drying_time_h=4, tack=reading
    )


def separation(of: Ink, coverage: float = 20, **plate: Any) -> Separation:
    """A separation on a metal plate of the length the demo press changes by itself."""
    facts: dict[str, Any] = {
        "id": PlateId(f"plate-{of.id}"),
        "material": PlateMaterial.METAL,
        "length_mm": 488.0,
        "thickness_um": 150,
    }
    return Separation(ink=of, plate=Plate(**(facts | plate)), coverage_percent=coverage)


BLACK = ink("black", 16, 9.5)
PALE = ink("pale", 80, 12.0)


def print_pass(name: str = "p", **changes: Any) -> PrintPass:
    """A pass: 1,000 A4 sheets, long edge first, in black."""
    facts: dict[str, Any] = {
        "id": PassId(name),
        "job": JobId(name),
        "sheets": 1000,
        "format": A4,
        "feed_edge": FeedEdge.LONG,
        "stock": stock(),
        "lay_side": LaySide.OPERATOR,
        "separations": (separation(BLACK),),
    }
    return PrintPass(**(facts | changes))
