"""Cards and materials of whole plans: what they say stood before is what the plan says stood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest

from queueplanner.exchange.card_wording import card_rows, why_text
from queueplanner.exchange.profile_files import load_card_profile, load_material_figures
from queueplanner.makeready.card_lines import SettingsCard
from queueplanner.makeready.state import PressState
from queueplanner.planning.cards import plan_cards, plan_materials, stood_before
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.planner import plan_day
from queueplanner.planning.report import Evened, Laid, make_plan
from tests.generated_days import random_day


@cache
def planned(seed: int) -> tuple[Instance, Plan, tuple[SettingsCard, ...]]:
    """A generated day whose press has the neutral settings profile, planned, with its cards."""
    instance = random_day(seed, 6)
    press = instance.shop.press.model_copy(update={"card": load_card_profile()})
    instance = replace(instance, shop=instance.shop.model_copy(update={"press": press}))
    plan = plan_day(instance, 0.1, seed=seed)
    return instance, plan, plan_cards(plan, press, instance.state)


#: Days that some order keeps all hard rules of: one unit and two, with evenings and second sides.
SEEDS = (9101, 9104, 9105, 9109, 9110, 9112, 9113, 9114, 9118)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_ink_that_stood_before_is_the_plans(seed: int) -> None:
    instance, plan, cards = planned(seed)
    compared = 0
    for passed, card in zip(plan.passes, cards, strict=True):
        for unit in range(1, instance.shop.press.units + 1):
            held = [s for s in plan.spans if s.unit == unit and s.start < passed.makeready_start <= s.end]
            line = card.line("ink", unit)
            if not held or line is None or line.before is None:
                continue
            ink = held[0].ink
            assert dict(line.before.facts).get("ink") == (None if ink is None else ink.name)
            compared += 1
    assert compared >= len(plan.passes) - 1


@pytest.mark.parametrize("seed", SEEDS)
def test_the_press_is_followed_through_the_plan_as_the_evaluator_does(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    instance, plan, _ = planned(seed)
    seen: list[Laid] = []

    def noting(given: Instance, laid: Sequence[Laid], evened: Sequence[Evened]) -> Plan:
        seen[:] = laid
        return make_plan(given, laid, evened)

    monkeypatch.setattr("queueplanner.planning.evaluate.make_plan", noting)
    units = {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in plan.passes}
    evaluate(instance, plan.order, units)
    for laid, stood in zip(seen, stood_before(plan, instance.shop.press, instance.state), strict=True):
        assert _without_residue(stood.state) == _without_residue(laid.before)


def _without_residue(state: PressState) -> PressState:
    """Residue and the delivery's pile are no matter of the card."""
    units = tuple(replace(unit, residue=None, last_run_end=None) for unit in state.units)
    return replace(state, units=units, delivery_pile=False)


@pytest.mark.parametrize("seed", SEEDS)
def test_plates_and_inks_change_with_the_plans_tasks(seed: int) -> None:
    _, plan, cards = planned(seed)
    for passed, card in zip(plan.passes, cards, strict=True):
        done = {(t.task, t.unit) for t in passed.tasks}
        for separation in passed.print_pass.separations:
            unit = passed.unit_of[separation.ink.id]
            plate, ink = card.line("plate", unit), card.line("ink", unit)
            assert plate is not None and ink is not None
            assert plate.changed == (("put_plate_on", unit) in done)
            assert ink.changed == (("fill_fountain", unit) in done)
            # A plate is new on the card exactly where another one stood before.
            assert plate.changed == (plate.now != plate.before)
        assert (card.line("reducing_oil", 2) is not None) == (("reduce_tack", None) in done)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_line_of_every_card_has_its_words(seed: int) -> None:
    _, _, cards = planned(seed)
    for card in cards:
        assert all(row.name and row.do and row.why for row in card_rows(card))
        assert all(why_text(warning) for warning in card.warnings)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plans_materials_count_its_sheets_and_washes(seed: int) -> None:
    instance, plan, _ = planned(seed)
    figures = load_material_figures()
    day = plan_materials(plan, instance.shop.press, figures)
    waste = sum(p.print_pass.running_waste + p.print_pass.makeready_waste for p in plan.passes)
    good = sum(p.print_pass.sheets for p in plan.passes if p.print_pass.first_side is None)
    assert sum(day.sheets.values()) == good + waste
    blankets = sum(t.task == "wash_blankets" for p in plan.passes for t in p.tasks)
    solvent = plan.totals.washes * figures.roller_wash_ml
    solvent += (
        blankets * figures.blanket_wash_ml * (1 if instance.shop.press.common_blanket else instance.shop.press.units)
    )
    assert day.solvent_ml == pytest.approx(solvent)
