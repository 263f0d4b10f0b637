"""How soon the job sheet answers a key with 500 jobs: `python benchmarks/job_sheet.py [JOBS]`.

Each action is done many times on the real widget, painted, and its slowest and middle times are told in ms, and
the processor's time, which other work on the machine lengthens less.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT)]
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import Qt  # noqa: E402
from PySide6.QtGui import QGuiApplication  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication  # noqa: E402

from queueplanner.desk.job_sheet import JobSheet  # noqa: E402
from queueplanner.desk.theme import Appearance, apply_theme, make_theme  # noqa: E402
from queueplanner.exchange.demo import DEMO_WEEK, demo_jobs  # noqa: E402
from queueplanner.exchange.job_cells import cells_of_job  # noqa: E402
from queueplanner.exchange.job_csv import COLUMNS, read_jobs  # noqa: E402
from queueplanner.exchange.shop_files import load_shop  # noqa: E402
from queueplanner.exchange.tab_text import text_of_block  # noqa: E402

TIMES = 40


def many_rows(count: int) -> str:
    """Rows of the demo week over and over, each with a docket of its own, under the columns' names."""
    shop = load_shop()
    jobs = read_jobs(demo_jobs("week.csv"), shop, DEMO_WEEK)
    rows = [list(COLUMNS)]
    for number in range(count):
        cells = cells_of_job(jobs[number % len(jobs)], shop, DEMO_WEEK) | {"job": str(10_000 + number)}
        cells.pop("plates", None)
        cells.pop("plates_back", None)
        rows.append([cells.get(column, "") for column in COLUMNS])
    return text_of_block(rows)


def timed(name: str, act: Callable[[int], None], times: int = TIMES) -> None:
    taken, worked = [], []
    for number in range(times):
        begin, at_work = time.perf_counter(), time.thread_time()
        act(number)
        QApplication.processEvents()
        taken.append((time.perf_counter() - begin) * 1000)
        worked.append((time.thread_time() - at_work) * 1000)
    middle, slowest = statistics.median(taken), max(taken)
    print(f"{name:<32} middle {middle:6.1f} ms, slowest {slowest:6.1f} ms; at work {statistics.median(worked):6.1f} ms")


def key(code: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), code, held)


def main(count: int) -> None:
    app = QApplication([])
    theme = make_theme(Appearance.LIGHT)
    apply_theme(app, theme)
    sheet = JobSheet(load_shop(), [], DEMO_WEEK, theme)
    sheet.resize(1440, 900)
    sheet.show()
    sheet.activateWindow()
    sheet.table.setFocus()
    QApplication.processEvents()
    QGuiApplication.clipboard().setText(many_rows(count))
    ctrl = Qt.KeyboardModifier.ControlModifier
    timed(f"paste of {count} jobs", lambda _: key(Qt.Key.Key_V, ctrl), 1)
    print(f"{len(sheet.sheet.jobs)} jobs")
    sheet.table.go(count // 2, 2)
    timed("a digit typed", lambda n: QTest.keyClicks(QApplication.focusWidget(), str(1 + n % 9)), 6)
    timed("Enter", lambda _: key(Qt.Key.Key_Return), 1)
    timed(
        "a digit and Enter",
        lambda n: (QTest.keyClicks(QApplication.focusWidget(), str(1 + n % 9)), key(Qt.Key.Key_Return))[0],
    )
    timed("Down", lambda _: key(Qt.Key.Key_Down))
    timed("Delete", lambda _: (key(Qt.Key.Key_Delete), key(Qt.Key.Key_Up))[0])
    timed("undo", lambda _: key(Qt.Key.Key_Z, ctrl))
    sheet.table.go(count // 2, 7)
    timed("a letter of an ink", lambda n: QTest.keyClicks(QApplication.focusWidget(), "har"[n]), 3)
    key(Qt.Key.Key_Escape)
    key(Qt.Key.Key_Escape)
    timed("a letter of the filter", lambda n: sheet.tools.filter.setText("menus letter"[: n + 1]), 12)
    timed("filter cleared", lambda _: sheet.tools.filter.clear(), 1)
    timed("sort by a column", lambda n: sheet.do(("sort_rising", "sort_falling", "sort_none")[n % 3]), 9)
    timed("another palette", lambda n: sheet.set_theme(make_theme((Appearance.DARK, Appearance.LIGHT)[n % 2])), 4)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
