from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtWidgets import QApplication

from queueplanner.desk.changeover_facts import ChangeoverFacts, Item, changeover_facts, task_order
from queueplanner.desk.changeover_panel import ChangeoverPanel
from queueplanner.desk.crew_lanes import CrewLanes
from queueplanner.desk.day_model import Pick
from queueplanner.desk.task_list import caution_letters
from queueplanner.desk.theme import Theme
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Plan, PlannedPass
from queueplanner.shop.base import PassId
from queueplanner.shop.format import NAMED_FORMATS
from tests.desk.example_plan import BOARD, SILK, example_plan

MENU = Pick(pass_id=PassId("1047"))


def facts_of(pick: Pick, plan: Plan | None = None) -> ChangeoverFacts:
    facts = changeover_facts(plan or example_plan(), pick)
    assert facts is not None
    return facts


def with_menu(**changes: object) -> Plan:
    plan = example_plan()
    menu: PlannedPass = replace(plan.passes[2], **changes)  # type: ignore[arg-type]
    return replace(plan, passes=(*plan.passes[:2], menu, *plan.passes[3:]))


@pytest.fixture
def panel(qtbot, theme: Theme) -> ChangeoverPanel:
    made = ChangeoverPanel(theme)
    qtbot.addWidget(made)
    made.resize(400, 900)
    made.show()
    return made


def test_the_inks_before_and_after_stand_side_by_side() -> None:
    first, second = facts_of(MENU).inks
    assert (first.before.name, first.after.name) == ("Harbour blue", "Opaque white")
    assert second.same
    assert second.after.name == "Black"


def test_only_settings_that_change_are_told_as_changes() -> None:
    changed = {s.item: (s.before, s.after) for s in facts_of(MENU).settings if not s.same}
    assert changed == {
        Item.FORMAT: (NAMED_FORMATS["sra3"], NAMED_FORMATS["a3"]),
        Item.STOCK: (SILK, BOARD),
        Item.CALIPER: (110, 380),
    }


def test_changed_settings_are_written_with_an_arrow_and_the_others_named(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), MENU)
    labels = panel.labels()
    assert labels[labels.index("Format") + 1] == "SRA3 → A3"
    assert labels[labels.index("Caliper") + 1] == "110 µm → 380 µm"
    assert "Unchanged: feed edge, lay side" in labels


def test_tasks_come_in_the_order_they_are_begun() -> None:
    tasks = facts_of(MENU).inside
    assert [t.start for t in tasks] == sorted(t.start for t in tasks if t.start is not None)
    assert task_order(tuple(reversed(tasks))) == tasks


def test_an_evening_empties_every_unit() -> None:
    facts = facts_of(Pick(evening=0))
    assert [change.before.name for change in facts.inks] == ["Brick red", "Black"]
    assert [change.after for change in facts.inks] == [None, None]


def test_a_pass_that_is_not_in_the_plan_has_no_changeover() -> None:
    assert changeover_facts(example_plan(), Pick(pass_id=PassId("9999"))) is None


def test_the_panel_lists_each_task_with_minutes_and_reason(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), MENU)
    labels = panel.labels()
    assert "Changeover to 1047" in labels
    wash = labels.index("Wash the rollers 3 times, unit 1")
    assert labels[wash - 1] == "13.0"
    assert any(text.startswith("Drive turning.") for text in labels[wash:])


def test_the_minutes_listed_add_up_to_the_total(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), MENU)
    total = example_plan().passes[2].makeready_seconds / 60
    assert f"{total:.1f} min in all, for one person" in panel.labels()
    assert sum(t.seconds for t in facts_of(MENU).inside) / 60 == total


def test_every_caution_is_written_out_once_and_marked_at_its_tasks(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), MENU)
    labels = panel.labels()
    for text, letter in caution_letters(facts_of(MENU).inside).items():
        assert labels.count(f"⚠ {letter}   {text}") == 1
        assert f"⚠ {letter}" in labels


def test_a_task_done_in_the_run_before_is_listed_apart_and_not_counted(panel: ChangeoverPanel) -> None:
    menu = example_plan().passes[2]
    outside = replace(menu.tasks[1], external=True, person=None, start=None)
    plan = with_menu(
        tasks=(menu.tasks[0], outside, *menu.tasks[2:]), makeready_seconds=menu.makeready_seconds - outside.seconds
    )
    panel.show_pick(plan, MENU)
    labels = panel.labels()
    heads = [labels.index(text) for text in ("While the run before goes on", "Load the pile", "Between the runs")]
    assert heads == sorted(heads)
    assert f"{(menu.makeready_seconds - outside.seconds) / 60:.1f} min in all, for one person" in labels


def test_warnings_stand_above_the_tasks(panel: ChangeoverPanel) -> None:
    plan = with_menu(warnings=(Reason.of("caliper_drift", set=100, now=130),))
    panel.show_pick(plan, MENU)
    labels = panel.labels()
    warning = next(i for i, text in enumerate(labels) if text.startswith("!"))
    assert "130 µm" in labels[warning]
    assert warning < labels.index("Task")


def test_two_persons_get_a_drawing_of_who_does_what(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), MENU)
    assert panel.findChild(CrewLanes) is None
    menu = example_plan().passes[2]
    tasks = tuple(replace(t, person=1 + i % 2, start=(t.start or 0) // 2) for i, t in enumerate(menu.tasks))
    panel.show_pick(with_menu(tasks=tasks, crew=2, makeready_seconds=menu.makeready_seconds // 2), MENU)
    lanes = panel.findChild(CrewLanes)
    assert lanes is not None
    assert lanes.accessibleName()
    assert not lanes.grab().isNull()
    assert any("of work" in text for text in panel.labels())


def test_without_a_selection_the_panel_says_how_to_get_one(panel: ChangeoverPanel) -> None:
    panel.show_pick(example_plan(), None)
    assert any("Click a pass" in text for text in panel.labels())


def test_no_text_is_cut_at_the_panels_least_width(panel: ChangeoverPanel) -> None:
    panel.resize(panel.minimumWidth(), 900)
    panel.show_pick(example_plan(), MENU)
    QApplication.processEvents()
    assert panel.horizontalScrollBar().maximum() == 0
    body = panel.widget()
    assert body.width() <= panel.viewport().width()
