"""The paper of a pass: sheets and waste, weight, piles, and a hint about lifting it by hand."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from queueplanner.makeready.lifting import lifting_index, recommended_limit_kg
from queueplanner.shop.base import PassId
from queueplanner.shop.format import Format
from queueplanner.shop.job import PrintPass
from queueplanner.shop.material_figures import LiftingPosture, MaterialFigures
from queueplanner.shop.press import PressProfile
from queueplanner.shop.stock import Stock


def sheet_grams(size: Format, stock: Stock) -> float:
    """Weight of a sheet in g: area × grammage (ISO 536). A4 of 80 g/m² is 4.99 g."""
    return size.area_m2 * stock.grammage_gsm


@dataclass(frozen=True, slots=True)
class Pile:
    """One pile: sheets, height in mm, weight in kg."""

    sheets: int
    height_mm: float
    kg: float


@dataclass(frozen=True, slots=True)
class PaperNeed:
    """The paper of a pass. `sheets` = good ones + running waste + make-ready waste + those a second side will waste.

    `kg` is all of it, `reams` how many reams that is, `new` whether it comes from the store (a second side's sheets
    come from its first side).
    """

    good: int
    running_waste: int
    makeready_waste: int
    second_side_waste: int
    sheet_g: float
    kg: float
    reams: float
    feed_piles: tuple[Pile, ...]
    delivery_piles: tuple[Pile, ...]
    new: bool

    @property
    def sheets(self) -> int:
        """All sheets that have to stand in the feeder."""
        return self.good + self.running_waste + self.makeready_waste + self.second_side_waste


def paper_need(
    press: PressProfile, print_pass: PrintPass, ream_sheets: int = 500, second_side_waste: int = 0
) -> PaperNeed:
    """The paper of a pass and its piles; `second_side_waste` are the sheets its second side will waste.

    Make-ready waste stands in the piles here, while the time of a run counts the sheets of the run alone.
    """
    sheets = print_pass.run_sheets + print_pass.makeready_waste + second_side_waste
    grams = sheet_grams(print_pass.format, print_pass.stock)
    return PaperNeed(
        good=print_pass.sheets,
        running_waste=print_pass.running_waste,
        makeready_waste=print_pass.makeready_waste,
        second_side_waste=second_side_waste,
        sheet_g=grams,
        kg=sheets * grams / 1000,
        reams=sheets / ream_sheets,
        feed_piles=piles(press, print_pass, sheets, press.feed_pile_mm),
        delivery_piles=piles(press, print_pass, sheets, press.delivery_pile_mm),
        new=print_pass.first_side is None,
    )


def piles(press: PressProfile, print_pass: PrintPass, sheets: int, most_mm: float) -> tuple[Pile, ...]:
    """The piles that so many sheets make, none higher than `most_mm`: full ones, then what is left."""
    caliper = print_pass.stock.caliper_um
    full = max(1, press.pile_sheets(most_mm, caliper))
    counts = [full] * (sheets // full) + ([sheets % full] if sheets % full else [])
    grams = sheet_grams(print_pass.format, print_pass.stock)
    return tuple(Pile(count, count * caliper / 1000, count * grams / 1000) for count in counts)


@dataclass(frozen=True, slots=True)
class LiftingHint:
    """What the revised NIOSH lifting equation says of lifting this paper by hand: reference only, inputs beside it.

    `limit_kg` is its recommended weight limit for the posture, `sheets_at_most` the sheets that weigh no more,
    `lifts` how many such lifts the first feed pile takes (None when the equation allows none). `ream_index` is a
    ream over the limit: above 1 the equation advises against lifting a whole one.
    """

    posture: LiftingPosture
    limit_kg: float
    sheets_at_most: int
    lifts: int | None
    ream_kg: float
    ream_index: float


def lifting_hint(need: PaperNeed, figures: MaterialFigures) -> LiftingHint:
    """The hint for a pass's paper in the shop's posture."""
    limit = recommended_limit_kg(figures.lifting)
    at_most = math.floor(limit * 1000 / need.sheet_g)
    ream_kg = figures.ream_sheets * need.sheet_g / 1000
    return LiftingHint(
        posture=figures.lifting,
        limit_kg=limit,
        sheets_at_most=at_most,
        lifts=-(-need.feed_piles[0].sheets // at_most) if at_most else None,
        ream_kg=ream_kg,
        ream_index=lifting_index(ream_kg, limit),
    )


def second_side_waste(passes: Iterable[PrintPass]) -> dict[PassId, int]:
    """For each first side whose second side is among the passes, the sheets that second side wastes."""
    return {p.first_side: p.running_waste + p.makeready_waste for p in passes if p.first_side is not None}
