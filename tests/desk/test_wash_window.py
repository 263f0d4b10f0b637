"""The wash table on real widgets: seen, walked by keys, explained, changed, kept, taken back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayState
from queueplanner.desk.theme import Appearance, Theme, make_theme
from queueplanner.desk.wash_book import WashBook
from queueplanner.desk.wash_paint import shade_of
from queueplanner.desk.wash_window import WashWindow
from queueplanner.exchange.shop_files import load_shop
from queueplanner.makeready.residue import WashRule
from queueplanner.shop.base import InkId
from tests.desk.pictures import grey, pixels, share_changed
from tests.desk.stand_ins import QuickPlanner, example_instance, loads
from tests.desk.test_walk import INTERACTIVE, cut_texts
from tests.desk.windows import seen, settle, window_in

BLACK, AMBER, SILVER, NAVY, CORAL = (InkId(n) for n in ("black", "amber", "silver", "office-navy", "coral"))
PAIR = (BLACK, AMBER)


def opened(qtbot, theme: Theme, folder: Path | None = None) -> WashWindow:
    book = WashBook(folder)
    book.read()
    window = WashWindow(book, theme)
    qtbot.addWidget(window)
    window.resize(1380, 900)
    window.show()
    settle()
    return window


def texts(window: WashWindow) -> list[str]:
    settle()
    return [label.text() for label in window.findChildren(QLabel) if label.isVisible()]


def test_every_pair_of_inks_has_its_number_in_the_table(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    model, book = window.model, window.grid
    assert book.model().rowCount() == book.model().columnCount() == 20
    lightness = [ink.colour.L for ink in model.inks]
    assert lightness == sorted(lightness, reverse=True)
    for row, old in enumerate(model.inks):
        for column, new in enumerate(model.inks):
            cell = window._book.cell((old.id, new.id))
            shown = model.index(row, column).data()
            assert shown == ("" if cell is None else str(cell.count.washes))


def test_choosing_a_cell_tells_why_in_words_and_numbers(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    said = " ".join(texts(window))
    assert "2 washes: after one, Black in Amber reads ΔE00 4.4, after two 0.4; tolerance 1.5." in said
    assert "The other way round: 1 wash." in said


def test_the_pointer_tells_a_cell_without_choosing_it(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    there = window.grid.visualRect(window.model.place((CORAL, NAVY))).center()
    QTest.mouseMove(window.grid.viewport(), there - QPoint(3, 0))
    QTest.mouseMove(window.grid.viewport(), there)
    settle()
    assert window.remark.text.startswith("Coral to Office navy")
    assert "ink families" in window.remark.text
    assert window._pair == PAIR


def test_arrow_keys_walk_the_table(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    QTest.keyClick(window.grid, Qt.Key.Key_Right)
    names = [ink.id for ink in window.model.inks]
    assert window._pair == (BLACK, names[names.index(AMBER) + 1])
    QTest.keyClick(window.grid, Qt.Key.Key_Up)
    assert window._pair == (names[names.index(BLACK) - 1], names[names.index(AMBER) + 1])


@pytest.mark.parametrize("appearance", [Appearance.LIGHT, Appearance.DARK])
def test_numbers_and_rules_are_told_apart_without_colour(qtbot, light: Theme, appearance: Appearance) -> None:
    window = opened(qtbot, light)
    window.set_theme(make_theme(appearance))
    book = window._book
    pictures = {}
    for rule in WashRule:
        pair = next(p for p, c in book._cells.items() if c.count.rule is rule and c.count.washes == 2) if (
            rule is not WashRule.OVERRIDE
        ) else None
        if pair is None:
            pair = (BLACK, CORAL)
            window.show_pair(pair)
            window.fix(1)
            window.fix(2) if book.cell(pair).count.washes == 1 else None
        index = window.model.place(pair)
        window.show_pair((InkId("sealer"), InkId("sealer")))
        window.grid.scrollTo(index)
        settle()
        rect = window.grid.visualRect(index)
        whole = grey(pixels(window.grid.viewport()))
        pictures[rule] = whole[rect.top() : rect.bottom(), rect.left() : rect.right()]
    rules = list(pictures)
    for i, one in enumerate(rules):
        for other in rules[i + 1 :]:
            assert share_changed(pictures[one], pictures[other]) > 0.02, (one, other)


@pytest.mark.parametrize("appearance", [Appearance.LIGHT, Appearance.DARK])
def test_more_washes_are_farther_from_the_ground(light: Theme, appearance: Appearance) -> None:
    theme = make_theme(appearance)
    ground = theme.colour("surface").lightness()
    away = [abs(shade_of(n, theme).lightness() - ground) for n in (1, 2, 3, 4)]
    assert away == sorted(away)
    assert len(set(away)) == 4


def test_a_digit_sets_the_shops_number_and_delete_gives_it_back(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    QTest.keyClick(window.grid, Qt.Key.Key_4)
    assert window._book.overrides == {PAIR: 4}
    assert window.details.choices[4].isChecked()
    assert "set by the shop" in texts(window)
    assert any("Reckoned without that: 2 washes" in text for text in texts(window))
    QTest.keyClick(window.grid, Qt.Key.Key_Delete)
    assert window._book.overrides == {}
    assert window.details.choices[None].isChecked()


def test_the_buttons_do_the_same(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    qtbot.mouseClick(window.details.choices[1], Qt.MouseButton.LeftButton)
    assert window._book.overrides == {PAIR: 1}
    qtbot.mouseClick(window.details.choices[None], Qt.MouseButton.LeftButton)
    assert window._book.overrides == {}


def test_every_change_can_be_taken_back(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    for pair, washes in ((PAIR, 3), ((CORAL, NAVY), 1), (PAIR, 4), (PAIR, None)):
        window.show_pair(pair)
        window.fix(washes)
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window._book.overrides == {PAIR: 4, (CORAL, NAVY): 1}
    for _ in range(3):
        qtbot.mouseClick(window.details.undo_button, Qt.MouseButton.LeftButton)
    assert window._book.overrides == {}
    assert not window.details.undo_button.isEnabled()


def test_an_ink_to_itself_has_nothing_to_set(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair((BLACK, BLACK))
    QTest.keyClick(window.grid, Qt.Key.Key_3)
    assert window._book.overrides == {}
    assert not any(button.isEnabled() for button in window.details.choices.values())


def test_without_a_folder_it_says_where_it_would_be_kept(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    assert "press.toml" in window.details.kept.text()
    assert "until the program ends" in window.details.kept.text()


def test_with_a_folder_it_is_kept_in_the_press_file(qtbot, light: Theme, tmp_path: Path) -> None:
    (tmp_path / "press.toml").write_text("# ours\nresidue_r = 0.2\n", encoding="utf-8")
    window = opened(qtbot, light, tmp_path)
    assert "r = 0.2" in window.standing.text()
    window.show_pair(PAIR)
    window.fix(4)
    assert load_shop(tmp_path).press.overrides == {PAIR: 4}
    assert (tmp_path / "press.toml").read_text(encoding="utf-8").startswith("# ours\nresidue_r = 0.2\n")
    assert "press.toml" in window.details.kept.text()
    window.undo()
    assert load_shop(tmp_path).press.overrides == {}


def test_what_cannot_be_written_is_told_in_place_and_not_taken(qtbot, light: Theme, tmp_path: Path) -> None:
    own = '# ours\nwash_overrides = [{ old = "black", new = "amber", washes = 3 }]\n'
    (tmp_path / "press.toml").write_text(own, encoding="utf-8")
    window = opened(qtbot, light, tmp_path)
    window.show_pair(PAIR)
    window.fix(4)
    assert window._book.overrides == {PAIR: 3}
    assert window.details.trouble.isVisible()
    assert "[[wash_overrides]]" in window.details.trouble.text()
    assert (tmp_path / "press.toml").read_text(encoding="utf-8") == own


def test_files_that_cannot_be_read_are_told(qtbot, light: Theme, tmp_path: Path) -> None:
    (tmp_path / "press.toml").write_text("units = 7\n", encoding="utf-8")
    window = opened(qtbot, light, tmp_path)
    assert "units" in window.standing.text()
    assert window.model.rowCount() == 0


def test_the_constants_are_called_an_assumption_all_the_time(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    for pair in (PAIR, (BLACK, BLACK), (BLACK, SILVER)):
        window.show_pair(pair)
        assert window.standing.isVisible()
        assert "assumptions until the shop's own wash-ups have been learned" in window.standing.text()
        assert "c0 = 0.5, r = 0.1" in window.standing.text()


def test_names_are_there_for_assistive_technology(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    for child in seen(window):
        if isinstance(child, INTERACTIVE) or child.focusPolicy() & Qt.FocusPolicy.TabFocus:
            spoken = QAccessible.queryAccessibleInterface(child)
            assert spoken.text(QAccessible.Text.Name).strip(), type(child).__name__
    sentence = window.model.index(0, 1).data(Qt.ItemDataRole.AccessibleTextRole)
    assert sentence.startswith("Clear sealer to Opaque white: 1 wash")


def test_keys_alone_reach_everything_and_come_round(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.show_pair(PAIR)
    window.fix(3)
    window.activateWindow()
    window.grid.setFocus()
    settle()
    met = []
    for _ in range(20):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        met.append(QApplication.focusWidget())
        if met[-1] is window.grid:
            break
    assert met[-1] is window.grid
    assert window.details.undo_button in met
    assert any(button in met for button in window.details.choices.values())


def test_focus_is_seen_in_the_table(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.activateWindow()
    window.details.setFocus()
    settle()
    before = pixels(window.grid)
    window.grid.setFocus(Qt.FocusReason.TabFocusReason)
    settle()
    assert (before != pixels(window.grid)).any(axis=2).sum() > 100


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_no_words_are_cut(qtbot, light: Theme, scale: float) -> None:
    window = opened(qtbot, light)
    window.set_theme(make_theme(Appearance.LIGHT, scale))
    window.show_pair((NAVY, CORAL))
    settle()
    assert cut_texts(window) == []
    assert window.details.horizontalScrollBar().maximum() == 0


def test_in_a_narrow_window_the_pair_stands_below(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    window.resize(820, 900)
    settle()
    assert window.details.mapTo(window, QPoint()).y() > window.grid.mapTo(window, QPoint()).y() + 200


def test_targets_are_large_enough(qtbot, light: Theme) -> None:
    window = opened(qtbot, light)
    for header in (window.grid.horizontalHeader(), window.grid.verticalHeader()):
        assert min(header.sectionSize(i) for i in range(header.count())) >= 24
    for button in window.details.choices.values():
        assert min(button.width(), button.height()) >= 24


def test_the_menu_opens_it_and_a_change_reckons_the_plan_anew(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    window.book.take(example_instance().shop)
    window.actions_of[Act.WASHES].trigger()
    table = window._washes
    assert table is not None
    assert table.isVisible()
    white, blue = InkId("opaque-white"), InkId("harbour-blue")
    before = window.model.best
    table.show_pair((blue, white))
    table.fix(4)
    assert window.model.outdated
    assert window.model.best is not None
    assert window.model.best.order == before.order
    assert "Washes were changed" in window.header.state.text()
    wash = {t.task: t.washes for t in window.model.best.passes[2].tasks if t.unit == 1}
    assert wash["wash_rollers"] == 4
    table.fix(1)
    wash = {t.task: t.washes for t in window.model.best.passes[2].tasks if t.unit == 1}
    assert wash["wash_rollers"] == 1


def test_planning_again_makes_the_plan_up_to_date(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    window.model.outdated = True
    window.model.planning_started()
    window.model.planned(window.model.best, stopped=False)
    assert not window.model.outdated


def test_while_a_plan_is_searched_no_number_changes(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNING)
    qtbot.addWidget(window)
    table = window.show_washes()
    window.header.refresh(window.model, 1.0)
    window._refresh()
    table.show_pair(PAIR)
    table.fix(4)
    assert window.book.overrides == {}
    assert not any(button.isEnabled() for button in table.details.choices.values())
    assert "stay as they are" in table.details.kept.text()


def test_numbers_of_the_session_hold_for_a_list_read_later(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    window.book.take(example_instance().shop)
    pair = (InkId("harbour-blue"), InkId("opaque-white"))
    assert window.book.fix(pair, 4)
    window.work._load = loads
    window.work._planner = QuickPlanner()
    window.open_list(Path("day.csv"))
    qtbot.waitUntil(lambda: window.model.state is DayState.READY and not window.work.busy, timeout=5000)
    assert window.model.day is not None
    assert window.model.day.instance.shop.press.overrides == {pair: 4}
    assert replace(window.model.day.instance, shop=example_instance().shop) == example_instance()
