"""Stand-ins for reading and planning, so that the window's tests wait for nothing heavy."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from queueplanner.desk.day_loader import LoadedDay
from queueplanner.exchange.figure_sources import figure_sources
from queueplanner.exchange.profile_files import shop_material_figures
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.plan import Claim, ClaimKind, Plan
from queueplanner.planning.progress import CancelToken, OnProgress, Progress
from queueplanner.shop.errors import BadInput, NoPlan, Problem
from queueplanner.shop.press import Range
from queueplanner.shop.start import PressStart
from tests.desk.example_plan import (
    BLACK,
    BLUE,
    BOARD,
    RED,
    SILK,
    SILVER,
    START,
    WHITE,
    YELLOW,
    ZONE,
    example_plan,
    jobs,
)
from tests.exchange.job_lists import demo_shop

PROBLEMS = (
    Problem("day.csv", 3, "due", "'25:10'", "write a time as HH:MM"),
    Problem("day.csv", 5, "stock", "'silk-1350'", "did you mean silk-135?"),
    Problem("day.csv", None, None, "no column 'title'", "add it"),
)


@cache
def example_instance() -> Instance:
    """The example's jobs on the demo press, with the example's inks and stocks on its shelf."""
    shop = demo_shop()
    inks = {ink.id: ink for ink in (BLACK, WHITE, BLUE, RED, YELLOW, SILVER)}
    stocks = {stock.id: stock for stock in (SILK, BOARD)}
    wider = {"plate_length_mm": Range(least=400, most=520), "caliper_um": Range(least=40, most=400)}
    press = shop.press.model_copy(update=wider)
    shop = shop.model_copy(update={"inks": inks, "stocks": stocks, "press": press})
    return make_instance(shop, jobs(), PressStart(), datetime.fromtimestamp(START, ZONE))


def example_day(extra_washes: int = 9) -> LoadedDay:
    """The example as a list just read."""
    instance, figures = example_instance(), shop_material_figures()
    plan = example_plan(extra_washes=extra_washes, claim=Claim(ClaimKind.GIVEN))
    return LoadedDay(instance, plan, figures, figure_sources(instance.shop.press, figures))


def loads(path: Path, day: date | None) -> LoadedDay:
    """Takes in any list as the example's jobs."""
    return example_day()


def refuses(path: Path, day: date | None) -> LoadedDay:
    """Finds three things wrong with any list."""
    raise BadInput(PROBLEMS)


@dataclass
class QuickPlanner:
    """Finds two better plans one after the other; goes on until it is stopped if asked to."""

    until_stopped: bool = False
    error: Exception | None = None
    asked: list[float] = field(default_factory=list)

    def base(self, instance: Any) -> Plan:
        """The order as received."""
        return example_plan(extra_washes=8, claim=Claim(ClaimKind.GIVEN))

    def plan(
        self, instance: Any, seconds: float, on_better: OnProgress, cancel: CancelToken, also: Any = ()
    ) -> Plan:
        """Two plans, then the last one again as the result."""
        self.asked.append(seconds)
        if self.error is not None:
            raise self.error
        on_better(Progress(0.1, "searching", example_plan(extra_washes=3)))
        on_better(Progress(0.2, "searching", example_plan()))
        while self.until_stopped and not cancel.cancelled:
            time.sleep(0.005)
        kind = ClaimKind.BEST_FOUND if cancel.cancelled else ClaimKind.PROVEN_BEST
        return example_plan(claim=Claim(kind))


def contradiction() -> NoPlan:
    """What the planner raises when hard rules contradict each other."""
    return NoPlan("a pass fits into no working day", ["1047"], "its run does not end before the day does")
