"""The materials of the day: sums, every pass, lifting by hand, and where each figure comes from."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QLabel, QWidget

from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayState, Pick
from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.materials_panel import MaterialsPanel
from queueplanner.desk.theme import Appearance, Theme, make_theme
from queueplanner.exchange.material_wording import lifting_text
from queueplanner.makeready.materials import DayMaterials
from queueplanner.planning.cards import plan_materials
from queueplanner.shop.base import PassId
from tests.desk.example_plan import example_plan
from tests.desk.stand_ins import example_day
from tests.desk.test_walk import cut_texts
from tests.desk.windows import settle, window_in


def used() -> DayMaterials:
    day = example_day()
    assert day.figures is not None
    return plan_materials(example_plan(), day.instance.shop.press, day.figures)


@pytest.fixture
def panel(qtbot, theme: Theme) -> MaterialsPanel:
    made = MaterialsPanel(theme)
    qtbot.addWidget(made)
    made.resize(960, 700)
    made.show()
    made.show_materials(used(), example_day())
    settle()
    return made


def cell(panel: MaterialsPanel, row: int, head: str) -> str:
    model = panel.table_model
    heads = [model.headerData(c, Qt.Orientation.Horizontal) for c in range(model.columnCount())]
    return str(model.index(row, heads.index(head)).data())


def test_the_sums_of_the_day_stand_above(panel: MaterialsPanel) -> None:
    sums = panel.labels()[0]
    day = used()
    assert f"{sum(day.sheets.values()):,} sheets" in sums
    assert f"{round(day.solvent_ml):,} ml of wash solvent" in sums
    assert f"{round(sum(day.ink_g.values())):,} g of ink" in sums
    chips = [chip.accessibleName() for chip in panel.findChildren(InkChip)]
    assert chips == [f"{name} {round(g):,} g" for name, g in _named(day)]


def _named(day: DayMaterials) -> list[tuple[str, float]]:
    names = {need.ink.id: need.ink.name for item in day.passes for need in item.inks}
    return [(names[ink], grams) for ink, grams in day.ink_g.items()]


def test_every_pass_has_a_row_with_its_piles_and_lifts(panel: MaterialsPanel) -> None:
    for row, item in enumerate(used().passes):
        assert cell(panel, row, "Pass") == item.print_pass.id
        assert cell(panel, row, "Sheets") == f"{item.paper.sheets:,}"
        assert cell(panel, row, "First pile, kg") == f"{item.paper.feed_piles[0].kg:.1f}"
        assert cell(panel, row, "Sheets a lift, at most") == f"{item.lifting.sheets_at_most:,}"
        assert cell(panel, row, "Wash solvent, ml") == f"{item.solvent_ml:.0f}"


def test_all_rows_are_seen_without_scrolling_the_table(panel: MaterialsPanel) -> None:
    assert panel.table.verticalScrollBar().maximum() == 0


def test_the_lifting_hint_is_for_the_chosen_pass_and_for_reference_only(panel: MaterialsPanel) -> None:
    panel.show_pass(PassId("1047"))
    hint = next(p.lifting for p in used().passes if p.print_pass.id == "1047")
    assert f"Pass 1047: {lifting_text(hint)}" in panel.labels()
    assert any("Reference only" in text and "local rules" in text for text in panel.labels())


def test_every_figure_tells_where_it_comes_from_one_press_away(qtbot, panel: MaterialsPanel) -> None:
    labels = panel.labels()
    for item in example_day().sources:
        at = labels.index(item.name)
        assert (labels[at - 1], labels[at + 1]) == (item.value, item.source)
    panel.resize(960, 300)
    settle()
    qtbot.mouseClick(panel.to_sources, Qt.MouseButton.LeftButton)
    head = panel._sources_head
    assert isinstance(head, QWidget)
    assert 0 <= head.mapTo(panel.viewport(), QPoint()).y() < 200


def test_in_a_narrow_panel_nothing_reaches_beyond_its_edge(panel: MaterialsPanel, light: Theme) -> None:
    panel.set_theme(make_theme(Appearance.LIGHT, 2.0))
    panel.resize(700, 700)
    settle()
    beyond = [
        child.accessibleName() or type(child).__name__
        for child in panel.findChildren(QWidget)
        if isinstance(child, (QLabel, InkChip)) and child.isVisible()
        and child.mapTo(panel.widget(), QPoint(child.width(), 0)).x() > panel.widget().width()
    ]
    assert beyond == []


def test_without_a_list_it_says_what_to_do(panel: MaterialsPanel) -> None:
    panel.show_materials(None, None)
    assert any("open a job list" in text for text in panel.labels())
    assert not panel.table.isVisible()


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_no_text_is_cut(panel: MaterialsPanel, light: Theme, scale: float) -> None:
    panel.set_theme(make_theme(Appearance.LIGHT, scale))
    settle()
    assert cut_texts(panel) == []
    assert panel.horizontalScrollBar().maximum() == 0


def test_the_menu_brings_them_and_a_row_selects_its_pass(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    window.actions_of[Act.MATERIALS].trigger()
    view = window.day_view
    assert view.tabs.currentWidget() is view.materials
    rows = view.materials.table_model.rows
    assert [r.print_pass.id for r in rows] == list(window.model.plan.order)
    view.materials.table.selectRow(4)
    assert window.model.pick == Pick(pass_id=rows[4].print_pass.id)
    window.model.select(Pick(evening=0))
    assert not view.materials.table.selectionModel().hasSelection()
