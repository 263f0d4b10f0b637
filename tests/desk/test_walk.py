"""Visits every visible child of the window in every state, and holds each to the same bar."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QFontMetricsF
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QHeaderView,
    QLabel,
    QPushButton,
    QScrollBar,
    QTabBar,
    QTableView,
    QWidget,
)

from queueplanner.desk.changeover_panel import ChangeoverPanel
from queueplanner.desk.commands import commands, menu_titles
from queueplanner.desk.day_model import DayState
from queueplanner.desk.main_window import MainWindow
from queueplanner.desk.palette import contrast
from queueplanner.desk.problem_panel import ProblemPanel
from queueplanner.desk.theme import LEAST_CAPITAL_PX, Appearance, Theme
from queueplanner.desk.timeline import Timeline
from tests.desk.pictures import pixels
from tests.desk.windows import PAGES, STATES, seen, settle, window_in

INTERACTIVE = (QAbstractButton, QTableView, QTabBar, Timeline, ChangeoverPanel, ProblemPanel, QHeaderView)


@pytest.fixture(params=[*STATES, *PAGES], ids=str)
def window(request, qtbot, light: Theme) -> MainWindow:
    made = window_in(DayState.PLANNED if request.param in PAGES else request.param)
    qtbot.addWidget(made)
    if request.param in PAGES:
        PAGES[request.param](made)
        settle()
    return made


def test_every_state_is_walked() -> None:
    assert set(STATES) == set(DayState)


def test_whatever_can_be_used_has_a_name(window: MainWindow) -> None:
    nameless = []
    for child in seen(window):
        if isinstance(child, INTERACTIVE) or child.focusPolicy() & Qt.FocusPolicy.TabFocus:
            spoken = QAccessible.queryAccessibleInterface(child)
            if not spoken.text(QAccessible.Text.Name).strip():
                nameless.append(f"{type(child).__name__} {child.objectName()}")
    assert nameless == []


def test_a_buttons_visible_words_are_in_its_name(window: MainWindow) -> None:
    for button in (c for c in seen(window) if isinstance(c, QPushButton) and len(c.text()) > 1):
        spoken = QAccessible.queryAccessibleInterface(button).text(QAccessible.Text.Name)
        assert button.text().rstrip("…").casefold() in spoken.casefold()


def test_targets_are_large_enough(window: MainWindow) -> None:
    small = [
        (type(c).__name__, c.width(), c.height())
        for c in seen(window)
        if isinstance(c, (QAbstractButton, Timeline, QTableView)) and min(c.width(), c.height()) < 24
        and c.focusPolicy() is not Qt.FocusPolicy.NoFocus
    ]
    assert small == []


def test_capitals_are_tall_enough(window: MainWindow) -> None:
    low = [
        (c.text(), QFontMetricsF(c.font()).capHeight())
        for c in seen(window)
        if isinstance(c, (QLabel, QAbstractButton)) and c.text()
        and QFontMetricsF(c.font()).capHeight() < LEAST_CAPITAL_PX
    ]
    assert low == []


def cut_texts(window: QWidget) -> list[str]:
    cut = []
    for child in seen(window):
        if isinstance(child, QPushButton) and child.width() < child.sizeHint().width():
            cut.append(child.text())
        if isinstance(child, QLabel) and child.text():
            needed = child.heightForWidth(child.width()) if child.wordWrap() else child.sizeHint().height()
            wide = not child.wordWrap() and child.width() < child.sizeHint().width()
            if wide or child.height() < needed - 1:
                cut.append(child.text())
    return cut


def test_no_text_is_cut(window: MainWindow) -> None:
    assert cut_texts(window) == []


def test_no_text_is_cut_at_twice_the_size_or_in_a_small_window(window: MainWindow) -> None:
    window.set_looks(Appearance.LIGHT, 2.0)
    settle()
    assert cut_texts(window) == []
    window.set_looks(Appearance.LIGHT, 1.0)
    window.resize(1024, 680)
    settle()
    assert cut_texts(window) == []


def test_the_tab_key_comes_round_to_where_it_began(window: MainWindow) -> None:
    window.activateWindow()
    settle()
    stops = [c for c in seen(window) if c.focusPolicy() & Qt.FocusPolicy.TabFocus and c.isEnabled()]
    if not stops:
        return
    stops[0].setFocus(Qt.FocusReason.TabFocusReason)
    first, visited = QApplication.focusWidget(), []
    for _ in range(len(stops) + 1):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        visited.append(QApplication.focusWidget())
        if visited[-1] is first:
            break
    assert visited[-1] is first
    assert len(visited) <= len(stops) + 1


@pytest.mark.parametrize("appearance", [Appearance.LIGHT, Appearance.DARK])
def test_focus_changes_a_ring_of_enough_contrast(qtbot, light: Theme, appearance: Appearance) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    window.set_looks(appearance, 1.0)
    window.activateWindow()
    settle()
    for stop in (window.header.open_button, window.day_view.timeline, window.day_view.jobs, window.day_view.panel):
        window.header.plan_button.setFocus()
        settle()
        before = pixels(stop)
        stop.setFocus(Qt.FocusReason.TabFocusReason)
        settle()
        after = pixels(stop)
        changed = (before != after).any(axis=2)
        middle = changed[: , changed.shape[1] // 2]
        assert middle[:4].sum() >= 2, type(stop).__name__
    assert contrast(window.theme.palette.focus, window.theme.palette.surface) >= 3.0


def test_no_two_shortcuts_or_mnemonics_clash() -> None:
    keys = [key for command in commands() for key in command.keys]
    assert len(keys) == len(set(keys))
    for menu in menu_titles():
        letters = [c.text[c.text.index("&") + 1].casefold() for c in commands() if c.menu is menu]
        assert len(letters) == len(set(letters)), menu
    tops = [title[title.index("&") + 1].casefold() for title in menu_titles().values()]
    assert len(tops) == len(set(tops))


def test_one_letter_keys_act_only_inside_their_widget() -> None:
    assert all("+" in key or key.startswith("F") for command in commands() for key in command.keys)


def test_scroll_bars_of_the_day_run_one_way_only(window: MainWindow) -> None:
    window.resize(1024, 680)
    settle()
    across = [
        bar for bar in seen(window)
        if isinstance(bar, QScrollBar) and bar.orientation() is Qt.Orientation.Horizontal and bar.maximum() > 0
        and not isinstance(bar.parent().parent(), QTableView) and not isinstance(bar.parent(), Timeline)
    ]
    assert across == []
