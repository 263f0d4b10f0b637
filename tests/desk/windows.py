"""Windows in every state the desk can be in: what the walks visit. A new state belongs in this list."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from PySide6.QtWidgets import QApplication, QWidget

from queueplanner.desk.day_model import DayState, Pick
from queueplanner.desk.main_window import MainWindow
from queueplanner.planning.plan import Claim, ClaimKind
from queueplanner.shop.base import PassId
from tests.desk.example_plan import example_plan, jobs
from tests.desk.stand_ins import PROBLEMS, QuickPlanner, example_day, loads

SOURCE = Path("day.csv")


def _loading(window: MainWindow) -> None:
    window.model.load_started(SOURCE)


def _ready(window: MainWindow) -> None:
    _loading(window)
    day = example_day()
    window.model.loaded(jobs(), day.as_received, day)


def _planning(window: MainWindow) -> None:
    _ready(window)
    window.model.planning_started()
    window.model.progressed(4.0, example_plan(extra_washes=2))
    window.model.select(Pick(pass_id=PassId("1047")))


def _planned(window: MainWindow) -> None:
    _ready(window)
    window.model.planning_started()
    window.model.planned(example_plan(claim=Claim(ClaimKind.WITHIN, 3.1)), stopped=False)
    window.model.select(Pick(pass_id=PassId("1047")))


def _stopped(window: MainWindow) -> None:
    _ready(window)
    window.model.planning_started()
    window.model.planned(example_plan(), stopped=True)
    window.model.select(Pick(evening=0))


def _error(window: MainWindow) -> None:
    _loading(window)
    window.model.refused(PROBLEMS)


#: What can be in front below the timeline, on the left and on the right.
PAGES: dict[str, Callable[[MainWindow], None]] = {
    "card": lambda window: window.day_view.show_card(),
    "materials": lambda window: window.day_view.show_materials(),
}

STATES: dict[DayState, Callable[[MainWindow], None]] = {
    DayState.EMPTY: lambda window: None,
    DayState.LOADING: _loading,
    DayState.READY: _ready,
    DayState.PLANNING: _planning,
    DayState.PLANNED: _planned,
    DayState.STOPPED: _stopped,
    DayState.ERROR: _error,
}


def window_in(state: DayState) -> MainWindow:
    """A window in a state, painted."""
    window = MainWindow(load=loads, planner=QuickPlanner())
    window.resize(1440, 940)
    window.show()
    STATES[state](window)
    settle()
    return window


def settle() -> None:
    """Let layouts and paints catch up."""
    for _ in range(3):
        QApplication.processEvents()


def seen(window: QWidget) -> Iterator[QWidget]:
    """Every visible child."""
    yield from (child for child in window.findChildren(QWidget) if child.isVisible())
