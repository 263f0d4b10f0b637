"""What a pass and a day use: paper, ink, dampening solution, wash solvent.

Every figure these are reckoned with is data: sheets of waste of the press and the job, laydown of the ink, and
`resources/materials.toml` for the rest, which says where each comes from.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from queueplanner.makeready.paper import LiftingHint, PaperNeed, lifting_hint, paper_need, second_side_waste
from queueplanner.shop.base import InkId, StockId
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import PrintPass
from queueplanner.shop.material_figures import MaterialFigures
from queueplanner.shop.press import PressProfile


class WashTask(Protocol):
    """A task as materials look at it: its key, and how many washes a wash block has."""

    @property
    def task(self) -> str:
        """Its key."""

    @property
    def washes(self) -> int:
        """Washes of a wash block, else 0."""


# --- ink, solution, solvent -----------------------------------------------------------------------------------


def ink_grams(coverage_percent: float, laydown_gsm: float, area_m2: float, sheets: float) -> float:
    """Grams of ink: share of the sheet covered × laydown of a solid (g/m²) × area (m²) × sheets."""
    return coverage_percent / 100 * laydown_gsm * area_m2 * sheets


@dataclass(frozen=True, slots=True)
class InkNeed:
    """The grams of one ink, and the laydown (g/m² of solid, on this stock) they were reckoned with."""

    ink: Ink
    laydown_gsm: float
    grams: float


def ink_needs(print_pass: PrintPass, figures: MaterialFigures) -> tuple[InkNeed, ...]:
    """The inks of a pass over all its sheets, make-ready waste too; what stays in the fountain is not counted."""
    sheets = print_pass.run_sheets + print_pass.makeready_waste
    factor = figures.laydown_factor.get(print_pass.stock.coating, 1.0)
    needs = []
    for separation in print_pass.separations:
        laydown = separation.ink.laydown_gsm * factor
        grams = ink_grams(separation.coverage_percent, laydown, print_pass.format.area_m2, sheets)
        needs.append(InkNeed(separation.ink, laydown, grams))
    return tuple(needs)


def wash_solvent_ml(tasks: Iterable[WashTask], press: PressProfile, figures: MaterialFigures) -> float:
    """Solvent of the washes among some tasks, ml: each wash of a unit's rollers, and every blanket when they come."""
    blankets = 1 if press.common_blanket else press.units
    return sum(
        task.washes * figures.roller_wash_ml
        if task.task == "wash_rollers"
        else blankets * figures.blanket_wash_ml
        if task.task == "wash_blankets"
        else 0.0
        for task in tasks
    )


@dataclass(frozen=True, slots=True)
class DampeningNeed:
    """Solution a run takes up, a fresh tray when the solution is changed, and the additive in both: litres and ml."""

    run_l: float
    fresh_l: float
    additive_ml: float


def dampening_need(
    print_pass: PrintPass, tasks: Iterable[WashTask], press: PressProfile, figures: MaterialFigures
) -> DampeningNeed | None:
    """The dampening of a pass; None where the profile does not say how its plates' solution is mixed."""
    dampening = press.card.dampening
    if dampening is None or print_pass.plate_material not in dampening.additive_percent:
        return None
    sheets = print_pass.run_sheets + print_pass.makeready_waste
    run_l = figures.dampening_ml_per_m2 * print_pass.format.area_m2 * sheets / 1000
    fresh_l = dampening.tray_l if any(t.task == "change_dampening" for t in tasks) else 0.0
    share = dampening.additive_percent[print_pass.plate_material] / 100
    return DampeningNeed(run_l, fresh_l, 1000 * share * (run_l + fresh_l))


# --- a pass, a day --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PassMaterials:
    """All that one pass and its changeover use."""

    print_pass: PrintPass
    paper: PaperNeed
    lifting: LiftingHint
    inks: tuple[InkNeed, ...]
    solvent_ml: float
    dampening: DampeningNeed | None


def pass_materials(
    press: PressProfile,
    figures: MaterialFigures,
    print_pass: PrintPass,
    tasks: Sequence[WashTask],
    second_side_waste: int = 0,
) -> PassMaterials:
    """What a pass and the tasks of its changeover use."""
    need = paper_need(press, print_pass, figures.ream_sheets, second_side_waste)
    return PassMaterials(
        print_pass=print_pass,
        paper=need,
        lifting=lifting_hint(need, figures),
        inks=ink_needs(print_pass, figures),
        solvent_ml=wash_solvent_ml(tasks, press, figures),
        dampening=dampening_need(print_pass, tasks, press, figures),
    )


@dataclass(frozen=True, slots=True)
class DayMaterials:
    """What a day uses: sheets and kg from the store by stock, ink in g by ink, solvent and additive in ml."""

    passes: tuple[PassMaterials, ...]
    sheets: Mapping[StockId, int]
    paper_kg: Mapping[StockId, float]
    ink_g: Mapping[InkId, float]
    solvent_ml: float
    additive_ml: float


def day_materials(
    press: PressProfile,
    figures: MaterialFigures,
    planned: Sequence[tuple[PrintPass, Sequence[WashTask]]],
    evenings: Iterable[Sequence[WashTask]] = (),
) -> DayMaterials:
    """What a day's passes with their changeovers' tasks use, and the tasks of its evenings.

    A first side whose second side is among the passes draws the sheets that one will waste, too.
    """
    waste = second_side_waste([p for p, _ in planned])
    passes = tuple(pass_materials(press, figures, p, tasks, waste.get(p.id, 0)) for p, tasks in planned)
    sheets: dict[StockId, int] = {}
    kg: dict[StockId, float] = {}
    ink: dict[InkId, float] = {}
    for item in passes:
        stock = item.print_pass.stock.id
        if item.paper.new:
            sheets[stock] = sheets.get(stock, 0) + item.paper.sheets
            kg[stock] = kg.get(stock, 0.0) + item.paper.kg
        for need in item.inks:
            ink[need.ink.id] = ink.get(need.ink.id, 0.0) + need.grams
    solvent = sum(p.solvent_ml for p in passes) + sum(wash_solvent_ml(e, press, figures) for e in evenings)
    additive = sum(p.dampening.additive_ml for p in passes if p.dampening is not None)
    return DayMaterials(passes, sheets, kg, ink, solvent, additive)
