"""The settings card beside the changeover: changes from old to new, the rest, cautions, warnings."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from queueplanner.desk.card_panel import CardPanel
from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayState, Pick
from queueplanner.desk.theme import Appearance, Theme, make_theme
from queueplanner.exchange.card_wording import card_rows, caution_letters
from queueplanner.makeready.card_lines import SettingsCard
from queueplanner.planning.cards import plan_cards
from queueplanner.shop.base import PassId
from tests.desk.example_plan import example_plan
from tests.desk.pictures import pixels
from tests.desk.stand_ins import example_instance
from tests.desk.test_walk import cut_texts
from tests.desk.windows import settle, window_in

MENU = Pick(pass_id=PassId("1047"))


def menu_card() -> SettingsCard:
    instance = example_instance()
    return plan_cards(example_plan(), instance.shop.press, instance.state)[2]


@pytest.fixture
def panel(qtbot, theme: Theme) -> CardPanel:
    made = CardPanel(theme)
    qtbot.addWidget(made)
    made.resize(400, 900)
    made.show()
    made.show_card(menu_card(), MENU)
    settle()
    return made


def test_what_changes_reads_from_old_to_new_with_what_to_do(panel: CardPanel) -> None:
    labels = panel.labels()
    rear = labels.index("Rear stop")
    assert labels[rear - 1] == "▸"
    assert labels[rear + 1] == "320 mm → 297 mm"
    assert any(text.startswith("Set it to the sheet's rear edge.") for text in labels[rear:])


def test_every_line_of_the_card_is_there(panel: CardPanel) -> None:
    labels = panel.labels()
    for row in card_rows(menu_card()):
        assert row.name in labels
        assert (row.value or row.do) in labels
    assert labels.count("▸") == len(menu_card().changes)


def test_the_groups_stand_in_working_order(panel: CardPanel) -> None:
    groups = list(dict.fromkeys(row.group for row in card_rows(menu_card())))
    places = [panel.labels().index(group, 3) for group in groups]
    assert places == sorted(places)


def test_only_what_changes_is_a_box_to_tick_by_pointer_or_key(qtbot, panel: CardPanel) -> None:
    stays = [row.name for row in card_rows(menu_card()) if not row.changed]
    names = {row.name for row in card_rows(menu_card(), changes_only=True)}
    qtbot.mouseClick(panel.changes_only, Qt.MouseButton.LeftButton)
    assert not {name for name in stays if name not in names} & set(panel.labels())
    QTest.keyClick(panel.changes_only, Qt.Key.Key_Space)
    assert set(stays) <= set(panel.labels())


def test_the_box_is_seen_ticked_and_ringed(panel: CardPanel) -> None:
    box = panel.changes_only
    panel.activateWindow()
    panel.setFocus()
    settle()
    hollow = pixels(box)
    box.setChecked(True)
    settle()
    ticked = pixels(box)
    assert (hollow != ticked).any(axis=2).mean() > 0.002
    box.setFocus(Qt.FocusReason.TabFocusReason)
    settle()
    assert (ticked != pixels(box)).any(axis=2)[:4].sum() >= 2


def test_every_caution_letter_is_written_out_once_below(panel: CardPanel) -> None:
    labels = panel.labels()
    letters = caution_letters(menu_card(), changes_only=True)
    for text, letter in letters.items():
        assert labels.count(f"⚠ {letter}   {text}") == 1
    used = {part for text in labels if text.startswith("⚠ ") and len(text) < 16 for part in text.split() if part != "⚠"}
    assert used == set(letters.values())
    assert any("your local codes" in text for text in labels)


def test_warnings_stand_above_the_lines(panel: CardPanel) -> None:
    labels = panel.labels()
    warning = next(i for i, text in enumerate(labels) if text.startswith("!"))
    assert "beyond the scale of pile height" in labels[warning]
    assert warning < labels.index("Stock")


def test_a_reason_is_not_said_twice_running(panel: CardPanel) -> None:
    told = [row.why for row in card_rows(menu_card()) if row.changed]
    again = next(why for why, after in pairwise(told) if why == after)
    said = sum(f"{again[:1].upper()}{again[1:]}." in text for text in panel.labels())
    assert 1 <= said < told.count(again)


def test_an_evening_and_nothing_say_what_to_do(panel: CardPanel) -> None:
    panel.show_card(None, Pick(evening=0))
    assert "An evening has no settings" in panel.labels()
    panel.show_card(None, None)
    assert "No pass chosen" in panel.labels()
    assert not panel.changes_only.isVisible()


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_no_text_is_cut_at_the_least_width(panel: CardPanel, light: Theme, scale: float) -> None:
    panel.set_theme(make_theme(Appearance.LIGHT, scale))
    panel.resize(panel.minimumWidth(), 900)
    settle()
    assert panel.horizontalScrollBar().maximum() == 0
    assert panel.widget().width() <= panel.viewport().width()
    assert cut_texts(panel) == []


def test_the_menu_brings_the_card_of_the_selected_pass_and_it_follows(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    assert window.day_view.card.card is None
    window.actions_of[Act.CARD].trigger()
    assert window.day_view.side.currentWidget() is window.day_view.card
    assert window.day_view.card.card == menu_card()
    window.model.step(1)
    assert window.day_view.card.card is not None
    assert window.day_view.card.card.print_pass.id == window.model.pick.pass_id
    window.model.select(Pick(evening=0))
    assert window.day_view.card.card is None
