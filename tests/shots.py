"""Draws every screen of the program on the demo data as PNG files: `python tests/shots.py OUT_DIR`.

Light and dark, a small and a large window, text at twice the size, and a screen of twice the density.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT)]
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QPoint, QSize  # noqa: E402
from PySide6.QtGui import QColor, QImage, QRegion  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget  # noqa: E402

from queueplanner.desk.day_loader import LoadedDay, load_day  # noqa: E402
from queueplanner.desk.day_model import Pick, Shown  # noqa: E402
from queueplanner.desk.job_sheet import JobSheet  # noqa: E402
from queueplanner.desk.main_window import MainWindow  # noqa: E402
from queueplanner.desk.theme import Appearance  # noqa: E402
from queueplanner.exchange.demo import DEMO_DAY, DEMO_WEEK, demo_jobs  # noqa: E402
from queueplanner.planning.order_rules import OrderRules  # noqa: E402
from queueplanner.planning.plan import Plan  # noqa: E402
from queueplanner.planning.planner import best_units, plan_day  # noqa: E402
from queueplanner.planning.rules import as_received  # noqa: E402
from queueplanner.shop.base import InkId  # noqa: E402
from queueplanner.shop.errors import Problem  # noqa: E402

USUAL, SMALL, LARGE = QSize(1440, 940), QSize(1024, 680), QSize(1920, 1080)

PROBLEMS = (
    Problem("day.csv", 4, "due", "'25:10'", "write a time as HH:MM, or a day and a time"),
    Problem("day.csv", 7, "stock", "'silk-1150'", "no such stock; did you mean 'silk-115'?"),
    Problem("day.csv", 7, "sheets", "'a few'", "write a whole number from 1 to 10000000"),
    Problem("day.csv", 11, "inks", "'moss-gren'", "no such ink; did you mean 'moss-green'?"),
)


@dataclass
class Shots:
    """One window that is put into one state after the other."""

    out: Path
    day: LoadedDay
    received: Plan
    best: Plan
    week: LoadedDay | None

    def __post_init__(self) -> None:
        self.window = MainWindow()
        self.window.model.source = Path("day.csv")

    def draw(self, name: str, size: QSize, appearance: Appearance, scale: float = 1.0, density: float = 1.0) -> None:
        """Draw the window as it is."""
        self.window.set_looks(appearance, scale)
        self.window.resize(size)
        self.window.show()
        self.settle()
        self.save(self.window, name, density)

    def save(self, widget: QWidget, name: str, density: float = 1.0) -> None:
        """Write a widget's picture."""
        image = QImage(widget.size() * density, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(density)
        image.fill(QColor(self.window.theme.palette.window))
        widget.render(image, QPoint(), QRegion())
        image.save(str(self.out / f"{name}.png"))
        print(f"{name}.png  {image.width()} × {image.height()}")

    def settle(self) -> None:
        """Let layouts catch up."""
        for _ in range(4):
            QApplication.processEvents()

    def wait_for_figures(self) -> None:
        """Let the figures of a pass in the hand come."""
        drag = self.window.day_view.timeline.carrier.drag
        while drag is not None and drag.answer() is None:
            QApplication.processEvents()

    def open_day(self, planned: bool) -> None:
        """The demo day, as received or planned."""
        model = self.window.model
        model.loaded(self.day.instance.jobs, self.received, self.day)
        if planned:
            model.planning_started()
            model.seconds = 12.0
            model.planned(self.best, stopped=False)

    def costliest(self) -> Pick:
        """The pass with the longest make-ready."""
        return Pick(pass_id=max(self.best.passes, key=lambda p: p.makeready_seconds).id)


def screens(shots: Shots) -> Iterator[tuple[str, Callable[[], None]]]:
    """Every state worth a picture, in order, with what leads to it."""
    window, model = shots.window, shots.window.model
    yield "empty", lambda: None
    yield "reading", lambda: model.load_started(Path("day.csv"))
    yield "problems", lambda: model.refused(PROBLEMS)
    yield "received", lambda: shots.open_day(planned=False)
    yield "planning", lambda: (model.planning_started(), model.progressed(6.0, shots.best))  # type: ignore[func-returns-value]
    yield "planned", lambda: (shots.open_day(planned=True), model.select(shots.costliest()))  # type: ignore[func-returns-value]
    yield "planned_evening", lambda: model.select(model.picks()[-1])
    yield "planned_order", lambda: (  # type: ignore[func-returns-value]
        model.select(shots.costliest()), window.day_view.tabs.setCurrentIndex(1)
    )
    yield "planned_beside_received", lambda: (model.show(Shown.AS_RECEIVED), model.select(shots.costliest()))  # type: ignore[func-returns-value]


def draw_all(shots: Shots) -> None:
    """All screens in both palettes, the planned day in every size."""
    for name, act in screens(shots):
        act()
        for appearance in (Appearance.LIGHT, Appearance.DARK):
            shots.draw(f"{name}_{appearance.value}", USUAL, appearance)
    shots.open_day(planned=True)
    shots.window.day_view.tabs.setCurrentIndex(0)
    shots.window.model.select(shots.costliest())
    shots.draw("planned_small", SMALL, Appearance.LIGHT)
    shots.draw("planned_large", LARGE, Appearance.LIGHT)
    shots.draw("planned_text_200", USUAL, Appearance.LIGHT, scale=2.0)
    shots.draw("planned_density_200", USUAL, Appearance.DARK, density=2.0)
    shots.window.day_view.timeline.zoom(4)
    shots.draw("planned_close", USUAL, Appearance.LIGHT)
    shots.window.day_view.timeline.zoom(4)
    shots.draw("planned_very_close", USUAL, Appearance.DARK)
    draw_timeline(shots)
    draw_panel(shots)
    draw_papers(shots)
    draw_washes(shots)
    draw_sheet(shots)
    if shots.week is not None:
        shots.window.model.loaded(shots.week.instance.jobs, shots.week.as_received, shots.week)
        shots.draw("week_received", LARGE, Appearance.LIGHT)


def draw_timeline(shots: Shots) -> None:
    """A pass in the hand over a place and over one that a rule forbids, pins and groups, tasks, an hour, and a week."""
    timeline, order = shots.window.day_view.timeline, shots.best.order
    rules = OrderRules({order[2]: 2}, (frozenset(order[8:11]),))
    timeline.set_instance(shots.day.instance.with_rules(rules))
    timeline.set_clock(lambda: shots.best.start + 3.2 * 3600)
    timeline.whole_day()
    shots.window.model.select(Pick(pass_id=order[5]))
    for name, place in (("carried", 12), ("carried_refused", 2)):
        for appearance in (Appearance.LIGHT, Appearance.DARK):
            shots.window.set_looks(appearance, 1.0)
            timeline.carry_picked()
            timeline.carrier.go_to(place)
            shots.wait_for_figures()
            shots.draw(f"timeline_{name}_{appearance.value}", USUAL, appearance)
            timeline.carrier.give_up()
    timeline.zoom(0.01)
    shots.draw("timeline_week", USUAL, Appearance.LIGHT)
    timeline.whole_day()
    timeline.zoom(12)
    shots.window.model.select(shots.costliest())
    shots.draw("timeline_hour", USUAL, Appearance.DARK)
    timeline.split_tasks(True)
    shots.draw("timeline_hour_tasks", USUAL, Appearance.LIGHT)
    timeline.split_tasks(None)
    timeline.whole_day()
    timeline.set_instance(None)
    timeline.set_clock(None)


def draw_papers(shots: Shots) -> None:
    """The settings card and the materials, in the window and whole, in both palettes and with large text."""
    shots.open_day(planned=True)
    shots.window.model.select(shots.costliest())
    view = shots.window.day_view
    view.show_card()
    view.show_materials()
    for appearance in (Appearance.LIGHT, Appearance.DARK):
        shots.draw(f"papers_{appearance.value}", LARGE, appearance)
        shots.save(view.card.widget(), f"card_{appearance.value}")
        shots.save(view.materials.widget(), f"materials_{appearance.value}")
    view.card.changes_only.setChecked(True)
    shots.settle()
    shots.save(view.card.widget(), "card_changes_only")
    shots.draw("papers_text_200", USUAL, Appearance.LIGHT, scale=2.0)
    shots.save(view.card.widget(), "card_text_200")
    shots.save(view.materials.widget(), "materials_text_200")
    view.card.changes_only.setChecked(False)
    view.tabs.setCurrentIndex(0)
    view.side.setCurrentIndex(0)


def draw_washes(shots: Shots) -> None:
    """The wash table as it opens, with two numbers of the shop's own, with large text, and the plan reckoned anew."""
    shots.draw("before_washes", USUAL, Appearance.LIGHT)
    table = shots.window.show_washes()
    black, amber, sand, navy = (InkId(name) for name in ("black", "amber", "sand", "office-navy"))
    shots.settle()
    shots.save(table, "washes_light")
    for pair, washes in (((black, amber), 3), ((amber, sand), 1), ((sand, navy), None)):
        table.show_pair(pair)
        table.fix(washes)
    table.show_pair((black, amber))
    shots.draw("planned_outdated", USUAL, Appearance.DARK)
    shots.save(table, "washes_own_dark")
    shots.draw("washes_behind", USUAL, Appearance.LIGHT, scale=2.0)
    shots.save(table, "washes_text_200")
    table.close()


def draw_sheet(shots: Shots) -> None:
    """The job sheet: empty, with errors, while picking, sorted, all columns, split and find, in both palettes."""
    window, shop, jobs = shots.window, shots.day.instance.shop, shots.day.instance.jobs
    for appearance in (Appearance.LIGHT, Appearance.DARK):
        window.set_looks(appearance, 1.0)
        name = appearance.value
        save_sheet(shots, JobSheet(shop, [], DEMO_DAY, window.theme), f"sheet_empty_{name}")
        sheet = JobSheet(shop, jobs, DEMO_DAY, window.theme)
        sheet.table.go(1, 1)
        save_sheet(shots, sheet, f"sheet_{name}")
        third, fifth = sheet.sheet.keys[2], sheet.sheet.keys[4]
        sheet.sheet.set_cells(third, {"sheets": "15OO", "stock": "silk-1150"})
        sheet.sheet.set_cell(fifth, "inks", "moss-gren + Black")
        sheet.sheet.add_row({"job": "1070", "title": "Posters"})
        sheet.table.go(2, 4)
        save_sheet(shots, sheet, f"sheet_errors_{name}")
        sheet.table.go(3, 7)
        sheet.table.write("")
        QTest.keyClicks(sheet.table.viewport().findChild(QLineEdit), "m")
        save_sheet(shots, sheet, f"sheet_picking_{name}")
        sheet.table.setFocus()
        sheet.table.go(5, 2)
        for code in ("sort_falling", "find", "split"):
            sheet.do(code)
        save_sheet(shots, sheet, f"sheet_sorted_{name}")
        sheet.tools.more.setChecked(True)
        save_sheet(shots, sheet, f"sheet_all_columns_{name}", LARGE)
        sheet.close()
    window.set_looks(Appearance.LIGHT, 2.0)
    large = JobSheet(shop, jobs, DEMO_DAY, window.theme)
    large.table.go(1, 1)
    save_sheet(shots, large, "sheet_text_200")
    large.close()
    window.set_looks(Appearance.LIGHT, 1.0)


def save_sheet(shots: Shots, sheet: JobSheet, name: str, size: QSize = USUAL) -> None:
    """Write the picture of a job sheet as it is."""
    sheet.resize(size)
    sheet.show()
    shots.settle()
    shots.save(sheet, name)


def draw_panel(shots: Shots) -> None:
    """The whole changeover, without its scroll bar, and the list of keys."""
    shots.draw("planned_again", USUAL, Appearance.LIGHT)
    shots.save(shots.window.day_view.panel.widget(), "changeover")
    shots.window._show_keys()
    shots.settle()
    assert shots.window._keys is not None
    shots.save(shots.window._keys, "keys")
    shots.window._keys.close()


def load_week() -> LoadedDay | None:
    """The demo week, if it is there."""
    try:
        return load_day(demo_jobs("week.csv"), DEMO_WEEK, now)
    except FileNotFoundError:
        return None


def now() -> datetime:
    """A fixed moment: pictures drawn twice are the same."""
    return datetime(2026, 11, 25, 15, tzinfo=UTC)


def main(out: Path, seconds: float = 10.0) -> None:
    """Plan the demo day and draw everything."""
    out.mkdir(parents=True, exist_ok=True)
    app = QApplication.instance() or QApplication([])
    assert app is not None
    day = load_day(demo_jobs(), DEMO_DAY, now)
    received = best_units(day.instance, as_received(day.instance))
    best = plan_day(day.instance, seconds)
    draw_all(Shots(out, day, received, best, load_week()))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("Say where the pictures go: python tests/shots.py OUT_DIR")
    main(Path(sys.argv[1]))
