from __future__ import annotations

import signal
from pathlib import Path

from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication

from queueplanner.desk.app import run
from queueplanner.desk.day_model import DayState
from queueplanner.desk.main_window import MainWindow
from queueplanner.exchange.demo import DEMO_DAY, demo_jobs


def test_the_program_opens_a_list_and_ends_when_its_window_is_closed(qapp: QApplication, tmp_path: Path) -> None:
    seen: list[DayState] = []

    def look() -> None:
        window = next(w for w in qapp.topLevelWidgets() if isinstance(w, MainWindow) and w.isVisible())
        if window.model.state is DayState.READY:
            seen.append(window.model.state)
            window.close()
        else:
            QTimer.singleShot(20, look)

    QTimer.singleShot(0, look)
    before = signal.getsignal(signal.SIGINT)
    settings = QSettings(str(tmp_path / "desk.ini"), QSettings.Format.IniFormat)
    assert run(demo_jobs(), DEMO_DAY, plan_at_once=False, settings=settings) == 0
    assert seen == [DayState.READY]
    assert signal.getsignal(signal.SIGINT) is before
    assert settings.value("appearance") == "system"
