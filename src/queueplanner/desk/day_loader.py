"""From a job list to a day the desk can show: shop, jobs, starting state, and the order as received."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from queueplanner.shop.errors import BadInput, Problem

if TYPE_CHECKING:
    from queueplanner.exchange.figure_sources import FigureSource
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.plan import Plan
    from queueplanner.shop.material_figures import MaterialFigures
    from queueplanner.shop.shop import Shop

Now = Callable[[], datetime]


@dataclass(frozen=True, slots=True)
class LoadedDay:
    """A day taken in: everything planning needs, and the plan of the order as received in the units at hand.

    The best units for that order are found by planning: they need the planner, which takes a while to get ready.
    `figures` are what materials are reckoned with, `sources` where each comes from.
    """

    instance: Instance
    as_received: Plan
    figures: MaterialFigures | None = None
    sources: tuple[FigureSource, ...] = ()


def load_day(jobs_path: Path, day: date | None, now: Now, folder: Path | None = None) -> LoadedDay:
    """Read a job list for a day, else for the next working day after today; `folder` holds the shop's own files.

    Raises BadInput with every problem, Refused for a pass the press cannot run, NoPlan when the order as received
    breaks a hard rule.
    """
    from queueplanner.exchange.figure_sources import figure_sources
    from queueplanner.exchange.job_csv import read_jobs
    from queueplanner.exchange.profile_files import shop_material_figures
    from queueplanner.exchange.shop_files import load_shop
    from queueplanner.exchange.start_file import load_start
    from queueplanner.planning.evaluate import evaluate
    from queueplanner.planning.instance import make_instance
    from queueplanner.planning.rules import as_received

    shop = load_shop(folder)
    figures = shop_material_figures(folder)
    sources = figure_sources(shop.press, figures, folder)
    own_start = None if folder is None else folder / "start.toml"
    start = load_start(own_start if own_start is not None and own_start.exists() else None, shop)
    begins = first_shift(shop, day or next_working_day(shop, now()))
    jobs = read_jobs(jobs_path, shop, begins.date())
    instance = make_instance(shop, jobs, start, begins)
    return LoadedDay(instance, evaluate(instance, as_received(instance), {}), figures, sources)


def next_working_day(shop: Shop, now: datetime) -> date:
    """The first working day after today. Raises BadInput if there is none."""
    return first_shift(shop, now.astimezone(shop.calendar.zone).date() + timedelta(days=1)).date()


def first_shift(shop: Shop, day: date) -> datetime:
    """When the first shift begins on a day or the next working day after it. Raises BadInput if there is none."""
    for later in range(366):
        begins = shop.calendar.first_shift_start(day + timedelta(days=later))
        if begins is not None:
            return begins
    raise BadInput([Problem("shifts.toml", None, "closed", "no shift within a year", "give the shop a working day")])
