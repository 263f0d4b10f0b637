"""The pull list: what has to be fetched and made for a plan, and the hour it must stand ready.

Paper, ink and additive are sums of the day's materials, never reckoned anew; plates follow from the plan's tasks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from queueplanner.makeready.materials import DayMaterials, InkNeed, PassMaterials
from queueplanner.makeready.state import PressState
from queueplanner.planning.plan import Plan, PlannedPass
from queueplanner.shop.base import PassId, PlateId
from queueplanner.shop.format import Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import PrintPass
from queueplanner.shop.plate import Plate
from queueplanner.shop.stock import Stock


@dataclass(frozen=True, slots=True)
class PaperPull:
    """Paper of one stock in one format from the store: sheets, reams, kg, the passes, and when it must be there.

    `reams` are of the shop's own ream, 500 sheets if it says no other. `ready_by`, epoch seconds, is the beginning of
    the first changeover that needs it, or of the run before when the pile is loaded while that runs.
    """

    stock: Stock
    format: Format
    sheets: int
    reams: float
    kg: float
    passes: tuple[PassId, ...]
    ready_by: int


@dataclass(frozen=True, slots=True)
class PlatePull:
    """A plate that is put on: for which pass, in which unit and ink first, and when that changeover begins.

    `ready_by` is epoch seconds; a plate that comes back on stands here once. `puts` counts how often it goes on.
    """

    plate: Plate
    ink: Ink
    unit: int
    pass_id: PassId
    title: str
    puts: int
    ready_by: int


@dataclass(frozen=True, slots=True)
class InkPull:
    """One ink: grams on the sheets, the passes that print it, and when the first changeover with it begins.

    What stays in the fountain is not in the grams. `on_press` tells that it stands in a unit when the plan begins.
    """

    ink: Ink
    grams: float
    passes: tuple[PassId, ...]
    ready_by: int
    on_press: bool


@dataclass(frozen=True, slots=True)
class PullList:
    """All that a plan takes out of store, plate room and ink room, each in the order it is needed."""

    papers: tuple[PaperPull, ...]
    plates: tuple[PlatePull, ...]
    inks: tuple[InkPull, ...]
    additive_ml: float
    solvent_ml: float

    @property
    def sheets(self) -> int:
        """All sheets from the store."""
        return sum(paper.sheets for paper in self.papers)

    @property
    def reams(self) -> float:
        """All reams."""
        return sum(paper.reams for paper in self.papers)

    @property
    def kg(self) -> float:
        """Weight of all the paper."""
        return sum(paper.kg for paper in self.papers)

    @property
    def ink_grams(self) -> float:
        """All ink on the sheets."""
        return sum(ink.grams for ink in self.inks)


def pull_list(plan: Plan, materials: DayMaterials, start: PressState) -> PullList:
    """The pull list of a plan, from its materials and the state it began from.

    What is on the press when the plan begins is not to be fetched: its plates, the paper of a pass that has started.
    Raises ValueError when the materials are those of another plan.
    """
    if plan.order != tuple(item.print_pass.id for item in materials.passes):
        raise ValueError("the materials are not those of the plan")
    pairs = list(zip(plan.passes, materials.passes, strict=True))
    return PullList(
        papers=tuple(_papers(pairs, _paper_hours(plan))),
        plates=tuple(_plates(plan, start)),
        inks=tuple(_inks(pairs, materials, start)),
        additive_ml=materials.additive_ml,
        solvent_ml=materials.solvent_ml,
    )


_Pair = tuple[PlannedPass, PassMaterials]


def _paper_hours(plan: Plan) -> Mapping[PassId, int]:
    """When the paper of each pass must stand at the press."""
    hours = {}
    for number, planned in enumerate(plan.passes):
        beforehand = number > 0 and any(task.external and task.task == "load_pile" for task in planned.tasks)
        hours[planned.id] = plan.passes[number - 1].run_start if beforehand else planned.makeready_start
    return hours


def _papers(pairs: list[_Pair], hours: Mapping[PassId, int]) -> Iterator[PaperPull]:
    groups: dict[tuple[str, float, float], list[_Pair]] = {}
    for planned, item in pairs:
        if item.paper.new and not planned.started:
            groups.setdefault(_paper_key(planned.print_pass), []).append((planned, item))
    for group in groups.values():
        first = group[0][0]
        yield PaperPull(
            stock=first.print_pass.stock,
            format=first.print_pass.format,
            sheets=sum(item.paper.sheets for _, item in group),
            reams=sum(item.paper.reams for _, item in group),
            kg=sum(item.paper.kg for _, item in group),
            passes=tuple(planned.id for planned, _ in group),
            ready_by=hours[first.id],
        )


def _paper_key(print_pass: PrintPass) -> tuple[str, float, float]:
    return print_pass.stock.id, print_pass.format.short_mm, print_pass.format.long_mm


def _plates(plan: Plan, start: PressState) -> Iterator[PlatePull]:
    there = {unit.plate.id for unit in start.units if unit.plate is not None}
    puts = _puts(plan)
    for planned in plan.passes:
        for separation in planned.print_pass.separations:
            unit, plate = planned.unit_of[separation.ink.id], separation.plate
            if plate.id in there or not _goes_on(planned, unit):
                continue
            there.add(plate.id)
            title = planned.job.title
            yield PlatePull(plate, separation.ink, unit, planned.id, title, puts[plate.id], planned.makeready_start)


def _puts(plan: Plan) -> Mapping[PlateId, int]:
    counts: dict[PlateId, int] = {}
    for planned in plan.passes:
        for separation in planned.print_pass.separations:
            if _goes_on(planned, planned.unit_of[separation.ink.id]):
                counts[separation.plate.id] = counts.get(separation.plate.id, 0) + 1
    return counts


def _goes_on(planned: PlannedPass, unit: int) -> bool:
    return any(task.task == "put_plate_on" and task.unit == unit for task in planned.tasks)


def _inks(pairs: list[_Pair], materials: DayMaterials, start: PressState) -> Iterator[InkPull]:
    standing = {unit.ink.id for unit in start.units if unit.ink is not None}
    users: dict[str, list[tuple[PlannedPass, InkNeed]]] = {}
    for planned, item in pairs:
        for need in item.inks:
            users.setdefault(need.ink.id, []).append((planned, need))
    for ink_id, grams in materials.ink_g.items():
        using = users[ink_id]
        first, need = using[0]
        passes = tuple(planned.id for planned, _ in using)
        yield InkPull(need.ink, grams, passes, first.makeready_start, ink_id in standing)
