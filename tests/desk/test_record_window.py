"""The window on a record: what is done there is an action, named in the Edit menu, written at once, and taken back."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from queueplanner.desk.board import Board
from queueplanner.desk.board_commands import AS_RECEIVED, MINE, PLANNED, MovePass, Pin
from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayState, Pick
from queueplanner.desk.main_window import MainWindow
from queueplanner.desk.theme import Theme
from queueplanner.exchange.demo import demo_jobs
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.progress import CancelToken, OnProgress
from queueplanner.planning.rules import as_received, light_to_dark
from queueplanner.record.record import Record
from queueplanner.shop.base import PassId
from tests.desk.test_walk import cut_texts
from tests.desk.windows import settle

ROOT = Path(__file__).resolve().parents[2]


class LightFirst:
    """Finds the order of inks from light to dark."""

    def base(self, instance: Instance) -> Plan:
        return evaluate(instance, as_received(instance), {})

    def plan(
        self, instance: Instance, seconds: float, on_better: OnProgress, cancel: CancelToken, also: Any = ()
    ) -> Plan:
        return evaluate(instance, light_to_dark(instance), {})


def opened(qtbot, place: Path, **more: Any) -> MainWindow:
    window = MainWindow(planner=LightFirst())
    qtbot.addWidget(window)
    window.resize(1440, 940)
    window.show()
    window.open_record(place, **more)
    wait(qtbot, window)
    return window


def wait(qtbot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: not window.work.busy, timeout=20000)
    settle()


@pytest.fixture
def window(qtbot, light: Theme, tmp_path: Path):
    made = opened(qtbot, tmp_path / "record.sqlite")
    yield made
    made.close()


def board_of(window: MainWindow) -> Board:
    assert window.work.desk is not None
    return window.work.desk.board


def select(window: MainWindow, place: int) -> PassId:
    """Select the pass in a place of the order on show, in the table."""
    chosen = board_of(window).order[place]
    window.day_view.tabs.setCurrentWidget(window.day_view.order)
    window.model.select(Pick(pass_id=chosen))
    window.day_view.order.setFocus()
    settle()
    return chosen


def act(window: MainWindow, wanted: Act) -> QAction:
    action = window.actions_of[wanted]
    assert action.isEnabled(), wanted
    action.trigger()
    settle()
    return action


def words(widget) -> str:
    return "\n".join(label.text() for label in widget.findChildren(QLabel) if label.isVisible())


def buttons(widget) -> dict[str, QPushButton]:
    return {b.text(): b for b in widget.findChildren(QPushButton) if b.isVisible()}


def column(window: MainWindow, head: str) -> list[str]:
    model = window.day_view.order_model
    heads = [model.headerData(c, Qt.Orientation.Horizontal) for c in range(model.columnCount())]
    return [model.index(row, heads.index(head)).data() for row in range(model.rowCount())]


# The first run


def test_a_new_record_begins_with_the_demo_day_as_its_first_action(window: MainWindow) -> None:
    assert window.model.state is DayState.READY
    assert "demo day" in window.header.subtitle.text()
    assert window.actions_of[Act.UNDO].text() == "&Undo the demo day"
    assert len(window.model.job_rows) == 18


def test_an_own_day_begins_empty_and_says_what_to_do_next(window: MainWindow) -> None:
    act(window, Act.OWN_DAY)
    assert window.model.state is DayState.EMPTY
    assert window.views.currentWidget() is window.empty
    assert "No jobs yet on" in words(window.empty)
    assert board_of(window).jobs == ()
    act(window, Act.UNDO)
    assert window.shows_demo
    assert len(window.model.job_rows) == 18


def test_the_demo_can_be_put_back_on_the_desk(window: MainWindow) -> None:
    act(window, Act.OWN_DAY)
    act(window, Act.DEMO)
    assert window.shows_demo


def test_no_text_is_cut_and_everything_has_a_name(window: MainWindow) -> None:
    select(window, 3)
    act(window, Act.PIN)
    for size in ((1440, 940), (1024, 680)):
        window.resize(*size)
        settle()
        assert cut_texts(window) == []
    for button in buttons(window).values():
        assert button.accessibleName() or button.text()
    assert buttons(window)["Start my own day"].isEnabled()


# The Edit menu


def test_a_pass_is_moved_by_keys_and_the_move_taken_back_by_name(window: MainWindow) -> None:
    moved = select(window, 4)
    window.activateWindow()
    QTest.keyClick(window.day_view.order, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    settle()
    board = board_of(window)
    assert board.order.index(moved) == 3
    assert board.shown == MINE
    assert column(window, "Pass") == list(board.order)
    assert window.day_view.order.currentIndex().row() == 3
    assert window.actions_of[Act.UNDO].text() == f"&Undo move of {moved}"
    QTest.keyClick(window.day_view.order, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert (board.shown, board.order.index(moved)) == (AS_RECEIVED, 4)
    assert window.actions_of[Act.REDO].text() == f"&Redo move of {moved}"
    QTest.keyClick(window.day_view.order, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    settle()
    assert (board.shown, board.order.index(moved)) == (MINE, 3)


def test_p_pins_the_selected_pass_and_lets_it_go(window: MainWindow) -> None:
    pinned = select(window, 2)
    QTest.keyClick(window.day_view.order, Qt.Key.Key_P)
    settle()
    assert board_of(window).rules.places == {pinned: 2}
    assert column(window, "Fixed")[2] == "◆ pinned"
    assert window.actions_of[Act.PIN].isChecked()
    QTest.keyClick(window.day_view.order, Qt.Key.Key_P)
    settle()
    assert board_of(window).rules.places == {}
    assert set(column(window, "Fixed")) == {""}


def test_a_refused_move_is_told_in_the_window_and_changes_nothing(window: MainWindow) -> None:
    select(window, 2)
    act(window, Act.PIN)
    before = board_of(window).state
    act(window, Act.MOVE_UP)
    assert "is pinned to place 3" in window.header.state.text()
    assert board_of(window).state is before
    assert QApplication.activeModalWidget() is None
    select(window, 4)
    act(window, Act.MOVE_UP)
    assert "pinned" not in window.header.state.text()


def test_a_pass_steps_over_places_it_may_not_take(window: MainWindow) -> None:
    pinned = select(window, 4)
    act(window, Act.PIN)
    moved = select(window, 5)
    act(window, Act.MOVE_UP)
    assert board_of(window).order.index(moved) == 3
    assert board_of(window).order.index(pinned) == 4


def test_passes_are_kept_with_the_next_one_and_parted(window: MainWindow) -> None:
    first = select(window, 4)
    following = board_of(window).order[5]
    assert act(window, Act.TOGETHER).isChecked()
    assert board_of(window).rules.together == (frozenset({first, following}),)
    assert f"‖ with {following}" in column(window, "Fixed")
    act(window, Act.TOGETHER)
    assert board_of(window).rules.together == ()


def test_a_job_is_moved_to_tomorrow_and_found_there(window: MainWindow) -> None:
    board = board_of(window)
    job = board.instance.job_of[select(window, 3)].id
    act(window, Act.TOMORROW)
    assert job not in [j.id for j in board.jobs]
    act(window, Act.NEXT_DAY)
    assert [j.id for j in board.jobs] == [job]
    act(window, Act.DAY_BEFORE)
    assert len(board.jobs) == 17


def test_an_earliest_start_is_asked_for_without_blocking(window: MainWindow) -> None:
    chosen = select(window, 0)
    act(window, Act.NOT_BEFORE)
    dialog = window.order_actions.dialog
    assert dialog is not None
    assert not dialog.isModal()
    assert not dialog.freely.isEnabled()
    wanted = datetime(2026, 11, 26, 9, 0, tzinfo=board_of(window).shop.calendar.zone)
    dialog.edit.setDateTime(dialog.edit.dateTime().addSecs(round((wanted - dialog.moment).total_seconds())))
    dialog.buttons.accepted.emit()
    settle()
    assert board_of(window).rules.not_before == {chosen: int(wanted.timestamp())}
    assert "○ not before Thu 09:00" in column(window, "Fixed")
    act(window, Act.NOT_BEFORE)
    assert window.order_actions.dialog is not None
    window.order_actions.dialog.freely.click()
    assert board_of(window).rules.not_before == {}


def test_the_context_menu_of_the_run_order_holds_the_same_commands(window: MainWindow) -> None:
    select(window, 3)
    table = window.day_view.order
    assert table.contextMenuPolicy() is Qt.ContextMenuPolicy.ActionsContextMenu
    assert window.actions_of[Act.MOVE_UP] in table.actions()
    assert window.actions_of[Act.TOMORROW] in table.actions()
    assert window.actions_of[Act.NOT_BEFORE] in table.actions()


def test_without_a_selected_pass_nothing_of_one_can_be_done(window: MainWindow) -> None:
    window.model.select(None)
    assert not window.actions_of[Act.MOVE_UP].isEnabled()
    assert not window.actions_of[Act.TOMORROW].isEnabled()
    select(window, 3)
    assert window.actions_of[Act.MOVE_UP].isEnabled()


# Lists and planning


def test_reading_a_list_is_an_action_that_can_be_taken_back(qtbot, window: MainWindow, tmp_path: Path) -> None:
    rows = demo_jobs().read_text(encoding="utf-8").splitlines()
    own = tmp_path / "tomorrow.csv"
    own.write_text("\n".join(rows[:4]) + "\n", encoding="utf-8")
    window.open_list(own, date(2026, 12, 1))
    wait(qtbot, window)
    assert len(board_of(window).jobs) == 3
    assert not window.shows_demo
    assert window.actions_of[Act.UNDO].text() == "&Undo reading of tomorrow.csv"
    act(window, Act.UNDO)
    assert window.shows_demo
    act(window, Act.REDO)
    assert len(window.model.job_rows) == 3


def test_a_list_with_problems_leaves_the_day_as_it_was(qtbot, window: MainWindow, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("job,sheets,stock,format,inks\n1,many,laid-100,A4,black\n", encoding="utf-8")
    before = board_of(window).state
    window.open_list(bad)
    wait(qtbot, window)
    assert window.model.state is DayState.ERROR
    assert board_of(window).state is before
    buttons(window.problems)["Back to the day"].click()
    settle()
    assert window.model.state is DayState.READY
    assert len(window.model.job_rows) == 18


def test_planning_makes_an_order_beside_ones_own_under_its_rules(qtbot, window: MainWindow) -> None:
    pinned = select(window, 0)
    act(window, Act.PIN)
    select(window, 4)
    act(window, Act.MOVE_DOWN)
    board = board_of(window)
    mine = board.order
    act(window, Act.PLAN)
    wait(qtbot, window)
    assert board.orders == (AS_RECEIVED, MINE, PLANNED)
    assert (board.shown, board.order[0], board.rules.places) == (PLANNED, pinned, {pinned: 0})
    assert window.model.state is DayState.PLANNED
    assert window.actions_of[Act.UNDO].text() == "&Undo planned order “planned”"
    board.show(MINE)
    assert board.order == mine
    assert window.header.planned_button.text() == "Mine"
    act(window, Act.SHOW_RECEIVED)
    assert board.rules.places == {}
    assert window.header.received_button.isChecked()


def test_every_order_can_be_shown_from_the_menu(qtbot, window: MainWindow) -> None:
    select(window, 4)
    act(window, Act.MOVE_DOWN)
    act(window, Act.PLAN)
    wait(qtbot, window)
    entries = {a.text(): a for a in window._orders.menu.actions()}
    assert list(entries) == ["as received", "mine", "planned"]
    entries["mine"].trigger()
    assert board_of(window).shown == MINE
    assert window.model.plan == board_of(window).plan


def test_the_plan_on_show_is_always_the_boards(window: MainWindow) -> None:
    board = board_of(window)
    for wanted in (Act.MOVE_DOWN, Act.PIN, Act.TOGETHER, Act.UNDO, Act.UNDO, Act.REDO, Act.TOMORROW, Act.UNDO):
        if window.order_actions.selected is None:
            select(window, 3)
        act(window, wanted)
        assert window.model.plan is not None
        assert window.model.plan.order == board.order
        assert window.model.plan.totals == evaluate(board.instance, board.order, {}).totals


# Records that cannot be opened


def test_what_was_done_is_there_after_the_window_is_closed(qtbot, light: Theme, tmp_path: Path) -> None:
    place = tmp_path / "record.sqlite"
    first = opened(qtbot, place)
    select(first, 4)
    act(first, Act.MOVE_UP)
    order, asked = board_of(first).order, []
    qtbot.waitUntil(lambda: asked.append(QApplication.activeModalWidget()) or True)
    first.close()
    assert asked == [None]
    again = opened(qtbot, place)
    assert (board_of(again).shown, board_of(again).order) == (MINE, order)
    assert again.actions_of[Act.UNDO].text().startswith("&Undo move of")
    again.close()


def test_a_damaged_record_tells_what_to_do_and_the_backup_can_be_put_back(qtbot, light: Theme, tmp_path: Path) -> None:
    place = tmp_path / "record.sqlite"
    first = opened(qtbot, place)
    record = board_of(first).record
    assert record.backups is not None
    record.backups.make()
    first.close()
    content = place.read_bytes()
    place.write_bytes(content.replace(b"Quay Street", b"Quay Strike"))
    window = opened(qtbot, place)
    assert window.model.state is DayState.ERROR
    assert "is damaged" in words(window.problems)
    assert "backup" in words(window.problems)
    buttons(window.problems)["Put the backup in its place"].click()
    wait(qtbot, window)
    assert window.model.state is DayState.READY
    assert len(board_of(window).jobs) == 18
    window.close()


def test_a_record_of_a_newer_version_says_which_to_install(qtbot, light: Theme, tmp_path: Path) -> None:
    import sqlite3

    place = tmp_path / "record.sqlite"
    opened(qtbot, place).close()
    with sqlite3.connect(place) as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.close()
    window = opened(qtbot, place)
    assert window.model.state is DayState.ERROR
    assert "Install that version or a later one" in words(window.problems)
    assert set(buttons(window.problems)) == {"Try again"}
    assert not window.actions_of[Act.UNDO].isEnabled()


def test_a_file_of_another_program_is_left_alone(qtbot, light: Theme, tmp_path: Path) -> None:
    place = tmp_path / "letter.txt"
    place.write_text("Dear sirs, " * 200, encoding="utf-8")
    window = opened(qtbot, place)
    assert window.model.state is DayState.ERROR
    assert place.read_text(encoding="utf-8") == "Dear sirs, " * 200


# Killed

KILLED = """
import sys, time
from pathlib import Path
from PySide6.QtWidgets import QApplication
app = QApplication([])
from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import Pick
from queueplanner.desk.main_window import MainWindow
window = MainWindow()
window.show()
window.open_record(Path(sys.argv[1]))
while window.work.busy:
    app.processEvents()
    time.sleep(0.005)
board = window.work.desk.board
for act, place in zip(sys.argv[2].split(","), (4, 3, 4, 8)):
    window.model.select(Pick(pass_id=board.order[place]))
    window.actions_of[Act(act)].trigger()
together = sorted(map(sorted, board.rules.together))
print(board.shown, board.order, together, board.rules.places, len(board.jobs), flush=True)
time.sleep(60)
"""


def killed_after(place: Path, acts: str) -> str:
    """Run a window in a process of its own, do some acts, kill it as `kill -9` does; what it last showed."""
    env = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "QT_QPA_PLATFORM": "offscreen"}
    command = [sys.executable, "-c", KILLED, str(place), acts]
    process = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        return process.stdout.readline().strip()
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL")
def test_a_killed_window_has_lost_nothing(tmp_path: Path) -> None:
    place, seen = tmp_path / "record.sqlite", []
    for acts in ("move up", "pin", "together,tomorrow", "undo"):
        shown = killed_after(place, acts)
        with Record.open(place, clock=lambda: datetime(2026, 11, 25, 15, tzinfo=UTC)) as record:
            board = Board.open(record)
            together = sorted(map(sorted, board.rules.together))
            again = f"{board.shown} {board.order} {together} {board.rules.places} {len(board.jobs)}"
        assert again == shown
        seen.append(shown)
    assert len(set(seen)) == 4
    assert seen[0].startswith("mine ")


def test_commands_given_to_the_board_by_others_are_shown_too(window: MainWindow) -> None:
    board = board_of(window)
    board.do(MovePass(board.order[4], 0))
    board.do(Pin(board.order[0]))
    settle()
    assert window.model.plan is not None
    assert window.model.plan.order == board.order
    assert column(window, "Fixed")[0] == "◆ pinned"
    assert window.actions_of[Act.UNDO].text().startswith("&Undo pin of")


def test_a_pass_carried_on_the_timeline_falls_into_the_order_of_the_board(window: MainWindow, qtbot) -> None:
    board = board_of(window)
    before = board.order
    carried = before[3]
    window.model.select(Pick(pass_id=carried))
    timeline = window.day_view.timeline
    timeline.setFocus()
    QTest.keyClick(timeline, Qt.Key.Key_M)
    assert timeline.carrier.drag is not None
    QTest.keyClick(timeline, Qt.Key.Key_Left)
    qtbot.waitUntil(lambda: timeline.carrier.drag is not None and timeline.carrier.drag.answer() is not None)
    place = timeline.carrier.drag.place
    assert place != 3
    QTest.keyClick(timeline, Qt.Key.Key_Return)
    assert timeline.carrier.drag is None
    assert board.order[place] == carried
    assert board.undo_text() == f"undo move of {carried}"
    window.actions_of[Act.UNDO].trigger()
    assert board.order == before


def test_while_a_day_is_planned_no_pass_can_be_carried(window: MainWindow) -> None:
    timeline = window.day_view.timeline
    assert timeline.carrier.can_take(board_of(window).order[0])
    window.model.planning_started()
    assert not timeline.carrier.can_take(board_of(window).order[0])
