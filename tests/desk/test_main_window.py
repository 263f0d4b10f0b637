from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayState, Pick, Shown
from queueplanner.desk.main_window import MainWindow
from queueplanner.desk.theme import Appearance, Theme
from queueplanner.planning.plan import ClaimKind
from queueplanner.shop.base import PassId
from tests.desk.example_plan import example_plan
from tests.desk.stand_ins import PROBLEMS, QuickPlanner, contradiction, loads, refuses
from tests.desk.windows import settle, window_in

SOURCE = Path(__file__).resolve().parents[2] / "src"
LIST = Path("day.csv")


def window_with(qtbot, planner: QuickPlanner | None = None, load=loads) -> MainWindow:
    window = MainWindow(load=load, planner=planner or QuickPlanner())
    qtbot.addWidget(window)
    window.show()
    return window


def wait_for(qtbot, window: MainWindow, state: DayState) -> None:
    qtbot.waitUntil(lambda: window.model.state is state and not window.work.busy, timeout=5000)


def words(widget) -> list[str]:
    return [label.text() for label in widget.findChildren(QLabel) if label.isVisible()]


def test_an_empty_window_says_what_to_do_next(qtbot, light: Theme) -> None:
    window = window_with(qtbot)
    assert any("Open a job list" in text for text in words(window.empty))
    assert not window.header.plan_button.isEnabled()
    assert not window.header.stop_button.isEnabled()


def test_a_list_is_opened_and_planned_without_another_click_if_asked(qtbot, light: Theme) -> None:
    window = window_with(qtbot)
    window.open_list(LIST, then_plan=True)
    wait_for(qtbot, window, DayState.PLANNED)
    assert window.model.plan is not None
    assert window.model.plan.claim.kind is ClaimKind.PROVEN_BEST
    assert "no order of these passes is better" in window.header.state.text()


def test_a_list_opened_alone_waits_for_the_plan_button(qtbot, light: Theme) -> None:
    window = window_with(qtbot)
    window.open_list(LIST)
    wait_for(qtbot, window, DayState.READY)
    qtbot.mouseClick(window.header.plan_button, Qt.MouseButton.LeftButton)
    wait_for(qtbot, window, DayState.PLANNED)


def test_better_plans_are_shown_while_planning_goes_on_and_stop_keeps_the_best(qtbot, light: Theme) -> None:
    window = window_with(qtbot, QuickPlanner(until_stopped=True))
    window.open_list(LIST, then_plan=True)
    qtbot.waitUntil(lambda: window.model.best is not None, timeout=5000)
    assert window.model.state is DayState.PLANNING
    assert window.header.stop_button.isEnabled()
    qtbot.mouseClick(window.header.stop_button, Qt.MouseButton.LeftButton)
    assert window.header.state.text().startswith("Stopping")
    assert not window.header.stop_button.isEnabled()
    wait_for(qtbot, window, DayState.STOPPED)
    assert window.model.plan is not None
    assert window.model.plan.order == example_plan().order


def test_the_window_goes_on_living_while_planning(qtbot, light: Theme) -> None:
    window = window_with(qtbot, QuickPlanner(until_stopped=True))
    beats: list[int] = []
    timer = QTimer()
    timer.timeout.connect(lambda: beats.append(threading.get_ident()))
    timer.start(5)
    window.open_list(LIST, then_plan=True)
    qtbot.waitUntil(lambda: len(beats) > 20 and window.model.state is DayState.PLANNING, timeout=5000)
    window.work.stop()
    wait_for(qtbot, window, DayState.STOPPED)


def test_every_problem_of_a_list_is_shown_in_the_window(qtbot, light: Theme) -> None:
    window = window_with(qtbot, load=refuses)
    window.open_list(LIST)
    wait_for(qtbot, window, DayState.ERROR)
    settle()
    shown = words(window.problems)
    assert "!  3 things to mend, nothing has been taken in" in shown
    for problem in PROBLEMS:
        assert problem.found in shown
        assert problem.wanted in shown
    assert QApplication.activeModalWidget() is None


def test_a_mended_list_can_be_read_again(qtbot, light: Theme) -> None:
    answers = iter([refuses, loads, loads])

    def load(path, day):
        return next(answers)(path, day)

    window = window_with(qtbot, load=load)
    window.open_list(LIST)
    wait_for(qtbot, window, DayState.ERROR)
    settle()
    again = next(b for b in window.problems.findChildren(QPushButton) if b.text() == "Read the list again")
    qtbot.mouseClick(again, Qt.MouseButton.LeftButton)
    wait_for(qtbot, window, DayState.READY)
    window.actions_of[Act.REOPEN].trigger()
    assert window.model.state is DayState.LOADING
    wait_for(qtbot, window, DayState.READY)


def test_a_contradiction_is_told_in_the_window_and_the_jobs_stay(qtbot, light: Theme) -> None:
    window = window_with(qtbot, QuickPlanner(error=contradiction()))
    window.open_list(LIST, then_plan=True)
    wait_for(qtbot, window, DayState.READY)
    assert "fits into no working day" in window.header.state.text()
    assert len(window.model.job_rows) == 6


def test_an_error_of_the_programs_own_is_told_without_a_box(qtbot, light: Theme, capsys) -> None:
    window = window_with(qtbot, QuickPlanner(error=RuntimeError("inner fault")))
    window.open_list(LIST, then_plan=True)
    wait_for(qtbot, window, DayState.READY)
    assert "no fault of the list" in window.header.state.text()
    assert "inner fault" in capsys.readouterr().err


def test_closing_the_window_stops_planning(qtbot, light: Theme) -> None:
    planner = QuickPlanner(until_stopped=True)
    window = window_with(qtbot, planner)
    window.open_list(LIST, then_plan=True)
    qtbot.waitUntil(lambda: bool(planner.asked), timeout=5000)
    window.close()
    qtbot.waitUntil(lambda: not window.work.busy, timeout=5000)
    assert not window.isVisible()


def test_both_orders_can_be_looked_at(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    qtbot.mouseClick(window.header.received_button, Qt.MouseButton.LeftButton)
    assert window.model.shown is Shown.AS_RECEIVED
    assert window.header.received_button.isChecked()
    assert not window.header.planned_button.isChecked()
    window.actions_of[Act.SHOW_PLANNED].trigger()
    assert window.header.planned_button.isChecked()


def test_what_is_selected_anywhere_is_selected_everywhere(qtbot, light: Theme) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    view = window.day_view
    view.timeline.picked.emit(Pick(pass_id=PassId("1052")))
    assert view.panel.facts is not None
    assert view.panel.facts.planned is not None
    assert view.panel.facts.planned.id == "1052"
    assert view.order.currentIndex().row() == 4
    view.tabs.setCurrentWidget(view.order)
    view.order.setFocus()
    QTest.keyClick(view.order, Qt.Key.Key_Down)
    assert window.model.pick == Pick(pass_id=PassId("1050-2"))
    assert "1050-2" in view.remark.text


def test_a_day_can_be_walked_through_with_the_keys_alone(qtbot, light: Theme) -> None:
    window = window_in(DayState.STOPPED)
    qtbot.addWidget(window)
    window.activateWindow()
    timeline = window.day_view.timeline
    timeline.setFocus()
    QTest.keyClick(timeline, Qt.Key.Key_Home)
    seen = []
    for _ in example_plan().passes:
        seen.append(window.model.pick)
        QTest.keyClick(timeline, Qt.Key.Key_Right)
    assert [pick.pass_id for pick in seen if pick] == list(example_plan().order)
    assert window.model.pick == Pick(evening=0)
    QTest.keyClick(timeline, Qt.Key.Key_Return)
    assert window.focusWidget() is window.day_view.panel


def test_commands_can_be_given_only_when_they_make_sense(qtbot, light: Theme) -> None:
    window = window_in(DayState.EMPTY)
    qtbot.addWidget(window)
    able = {act for act, action in window.actions_of.items() if action.isEnabled()}
    assert {Act.OPEN, Act.DEMO, Act.QUIT, Act.KEYS} <= able
    assert not able & {Act.PLAN, Act.STOP, Act.REOPEN, Act.NEXT, Act.SHOW_PLANNED}


def test_looks_and_text_size_are_kept_between_sessions(qtbot, light: Theme, tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "desk.ini"), QSettings.Format.IniFormat)
    window = MainWindow(settings, load=loads, planner=QuickPlanner())
    qtbot.addWidget(window)
    window.actions_of[Act.DARK].trigger()
    window.actions_of[Act.LARGER].trigger()
    window.close()
    again = MainWindow(settings, load=loads, planner=QuickPlanner())
    qtbot.addWidget(again)
    assert again.theme.palette.name == "dark"
    assert again.theme.scale == pytest.approx(1.15, abs=0.03)
    again.set_looks(Appearance.LIGHT, 1.0)


def test_settings_nobody_could_have_chosen_are_ignored(qtbot, light: Theme, tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "desk.ini"), QSettings.Format.IniFormat)
    settings.setValue("appearance", "polka dots")
    settings.setValue("text_size", "enormous")
    window = MainWindow(settings, load=loads, planner=QuickPlanner())
    qtbot.addWidget(window)
    assert window.theme.scale == pytest.approx(1.0, abs=0.03)


def test_the_keys_are_listed_in_a_window_that_blocks_nothing(qtbot, light: Theme) -> None:
    window = window_in(DayState.EMPTY)
    qtbot.addWidget(window)
    window.actions_of[Act.KEYS].trigger()
    settle()
    assert QApplication.activeModalWidget() is None
    assert any(text == "Ctrl+O" for text in words(window.findChild(type(window._keys))))


def test_the_empty_window_is_painted_before_anything_heavy_is_loaded() -> None:
    code = (
        "import sys\n"
        "from PySide6.QtWidgets import QApplication\n"
        "app = QApplication([])\n"
        "from queueplanner.desk.main_window import MainWindow\n"
        "window = MainWindow()\n"
        "window.show()\n"
        "app.processEvents()\n"
        "print([m for m in ('numpy', 'pydantic', 'coloraide', 'numba', 'ortools') if m in sys.modules])\n"
    )
    env = {**os.environ, "PYTHONPATH": str(SOURCE), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=False)
    assert done.stdout.strip() == "[]", done.stderr
