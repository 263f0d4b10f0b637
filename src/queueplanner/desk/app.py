"""Starts the desk: the window first, everything heavy after it."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from PySide6.QtCore import QSettings, QTimer
from PySide6.QtWidgets import QApplication

from queueplanner.desk.main_window import MainWindow
from queueplanner.desk.theme import apply_theme


def run(
    jobs_path: Path | None = None,
    day: date | None = None,
    plan_at_once: bool = True,
    settings: QSettings | None = None,
    shop_folder: Path | None = None,
    record: Path | str | None = None,
    demo: bool = False,
) -> int:
    """Open the window, with a job list if one is given, and plan it at once if asked; gives the exit code.

    `day` is the plan's day, else the next working day; `settings` is where looks are kept, else the user's own;
    `shop_folder` holds the shop's own files, else it is the record's shop. `record` is the record's path or address,
    else it is at the user's own place; `demo` puts the demo day on the desk.
    """
    app = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(app, QApplication)
    app.setApplicationName("queueplanner")
    app.setOrganizationName("queueplanner")
    window = MainWindow(settings or QSettings(), shop_folder=shop_folder)
    apply_theme(app, window.theme)
    window.show()

    def then() -> None:
        if jobs_path is not None:
            window.open_list(jobs_path, day, then_plan=plan_at_once)
        elif demo:
            window.open_demo(then_plan=plan_at_once)

    QTimer.singleShot(0, lambda: window.open_record(record, then, demo=jobs_path is None))
    with _interruptible():
        return app.exec()


@contextmanager
def _interruptible() -> Iterator[None]:
    """Let Ctrl+C in the terminal end the program at once: Qt's loop gives Python no turn to see it."""
    before = signal.signal(signal.SIGINT, signal.SIG_DFL)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
