"""The pull list: sums equal to the materials', every plate that goes on once, every hour the one it is needed at."""

from __future__ import annotations

from dataclasses import replace

import pytest

from queueplanner.exchange.profile_files import shop_material_figures
from queueplanner.makeready.state import PressState, UnitState
from queueplanner.planning.cards import plan_materials
from queueplanner.planning.plan import Plan
from queueplanner.planning.pull_list import PullList, pull_list
from tests.exchange.plans import demo_instance, demo_plan


def pulled(plan: Plan, start: PressState | None = None) -> PullList:
    used = plan_materials(plan, demo_instance().shop.press, shop_material_figures())
    return pull_list(plan, used, start or demo_instance().state)


def test_sums_are_those_of_the_materials() -> None:
    plan = demo_plan()
    used, listed = plan_materials(plan, demo_instance().shop.press, shop_material_figures()), pulled(plan)
    assert listed.sheets == sum(used.sheets.values())
    assert listed.kg == pytest.approx(sum(used.paper_kg.values()))
    assert listed.reams == pytest.approx(listed.sheets / 500)
    assert listed.ink_grams == pytest.approx(sum(used.ink_g.values()))
    assert (listed.additive_ml, listed.solvent_ml) == (used.additive_ml, used.solvent_ml)


def test_paper_is_told_by_stock_and_format_and_no_second_side_draws_any() -> None:
    plan, listed = demo_plan(), pulled(demo_plan())
    keys = [(p.stock.id, p.format.short_mm, p.format.long_mm) for p in listed.papers]
    assert len(set(keys)) == len(keys)
    drawn = [pass_id for paper in listed.papers for pass_id in paper.passes]
    assert sorted(drawn) == sorted(p.id for p in plan.passes if p.print_pass.first_side is None)


def test_each_hour_is_the_first_changeover_that_needs_it() -> None:
    plan, listed = demo_plan(), pulled(demo_plan())
    begins = {p.id: p.makeready_start for p in plan.passes}
    for item in (*listed.papers, *listed.inks):
        assert item.ready_by == min(begins[pass_id] for pass_id in item.passes)
    for plate in listed.plates:
        assert plate.ready_by == begins[plate.pass_id]
    for items in (listed.papers, listed.plates, listed.inks):
        assert [i.ready_by for i in items] == sorted(i.ready_by for i in items)


def test_every_plate_that_goes_on_stands_once_and_none_that_is_on_the_press_already() -> None:
    plan = demo_plan()
    listed = pulled(plan)
    wanted = {s.plate.id for p in plan.passes for s in p.print_pass.separations}
    assert sorted(p.plate.id for p in listed.plates) == sorted(wanted)
    swaps = sum(task.task == "put_plate_on" for p in plan.passes for task in p.tasks)
    assert sum(plate.puts for plate in listed.plates) == swaps == plan.totals.plate_swaps
    first = listed.plates[0]
    state = demo_instance().state
    units = tuple(UnitState(plate=first.plate) if n == 0 else u for n, u in enumerate(state.units))
    assert first.plate.id not in {p.plate.id for p in pulled(plan, replace(state, units=units)).plates}


def test_a_pile_loaded_while_the_press_runs_needs_its_paper_when_that_run_begins() -> None:
    plan = demo_plan()
    second = plan.passes[1]
    tasks = tuple(replace(t, external=t.task == "load_pile", person=None, start=None) for t in second.tasks)
    moved = replace(plan, passes=(plan.passes[0], replace(second, tasks=tasks)), evenings=())
    hours = {pass_id: paper.ready_by for paper in pulled(moved).papers for pass_id in paper.passes}
    assert hours[second.id] == plan.passes[0].run_start


def test_the_paper_of_a_pass_that_has_started_is_on_the_press_already() -> None:
    plan = demo_plan()
    begun = replace(plan, passes=(replace(plan.passes[0], tasks=(), started=True), *plan.passes[1:]))
    drawn = {pass_id for paper in pulled(begun).papers for pass_id in paper.passes}
    assert drawn == {p.id for p in plan.passes[1:] if p.print_pass.first_side is None}


def test_an_ink_that_stands_on_the_press_is_told_so() -> None:
    plan, state = demo_plan(), demo_instance().state
    ink = plan.passes[0].print_pass.separations[0].ink
    units = (UnitState(ink=ink), *state.units[1:])
    listed = pulled(plan, replace(state, units=units))
    assert {i.ink.id for i in listed.inks if i.on_press} == {ink.id}


def test_materials_of_another_plan_are_refused() -> None:
    plan = demo_plan()
    used = plan_materials(plan, demo_instance().shop.press, shop_material_figures())
    with pytest.raises(ValueError, match="not those of the plan"):
        pull_list(replace(plan, passes=plan.passes[1:]), used, demo_instance().state)
