"""The settings cards and the materials of a whole plan, from the tasks the plan holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from queueplanner.makeready.card import settings_card
from queueplanner.makeready.card_lines import CardBefore, SettingsCard
from queueplanner.makeready.materials import DayMaterials, day_materials
from queueplanner.makeready.state import PressState, Settings, UnitState
from queueplanner.planning.plan import Plan, PlannedPass, PlannedTask
from queueplanner.shop.job import Separation
from queueplanner.shop.material_figures import MaterialFigures
from queueplanner.shop.press import PressProfile


def plan_cards(plan: Plan, press: PressProfile, start: PressState) -> tuple[SettingsCard, ...]:
    """The card of every pass of a plan, in run order; `start` is the state the plan began from."""
    return tuple(
        settings_card(press, planned.print_pass, planned.unit_of, before, planned.tasks)
        for planned, before in zip(plan.passes, stood_before(plan, press, start), strict=True)
    )


def plan_materials(plan: Plan, press: PressProfile, figures: MaterialFigures) -> DayMaterials:
    """What all passes and evenings of a plan use."""
    passes = [(p.print_pass, p.tasks) for p in plan.passes]
    return day_materials(press, figures, passes, [evening.tasks for evening in plan.evenings])


def stood_before(plan: Plan, press: PressProfile, start: PressState) -> Iterator[CardBefore]:
    """What stood on the press before each changeover, followed through the plan's tasks."""
    state, passed = start, None
    evenings = list(plan.evenings)
    for planned in plan.passes:
        while evenings and evenings[0].start < planned.makeready_start:
            state = replace(state, units=_after(state, evenings.pop(0).tasks, {}), printed=frozenset())
        yield CardBefore(state, passed)
        state, passed = _after_pass(state, planned, press), planned.print_pass


def _after_pass(state: PressState, planned: PlannedPass, press: PressProfile) -> PressState:
    print_pass = planned.print_pass
    used = {planned.unit_of[s.ink.id]: s for s in print_pass.separations}
    units = _after(state, planned.tasks, used)
    ran = tuple(replace(u, last_run_end=planned.run_end) if n in used else u for n, u in enumerate(units, 1))
    return PressState(ran, print_pass.plate_material, True, Settings.of(print_pass, press), frozenset(used))


def _after(state: PressState, tasks: Iterable[PlannedTask], used: dict[int, Separation]) -> tuple[UnitState, ...]:
    done = {(t.task, t.unit) for t in tasks}
    reduces = any(task == "reduce_tack" for task, _ in done)
    return tuple(
        _unit_after(unit, number, done, used.get(number), reduces) for number, unit in enumerate(state.units, 1)
    )


def _unit_after(
    unit: UnitState, number: int, done: set[tuple[str, int | None]], prints: Separation | None, reduces: bool
) -> UnitState:
    if ("take_plate_off", number) in done:
        unit = replace(unit, plate=None)
    if ("empty_fountain", number) in done:
        unit = replace(unit, ink=None, reduced=False)
    if ("oil_rollers", number) in done:
        unit = replace(unit, oiled=True)
    if ("fill_fountain", number) in done and prints is not None:
        unit = replace(unit, ink=prints.ink, reduced=False, oiled=False)
    if ("put_plate_on", number) in done and prints is not None:
        unit = replace(unit, plate=prints.plate)
    return replace(unit, reduced=True) if reduces and number == 2 else unit
