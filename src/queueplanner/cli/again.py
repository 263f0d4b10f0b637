"""Commands for a day that does not go by plan: plan the rest anew, ask what would help, ask why."""

from __future__ import annotations

import argparse
import math
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from queueplanner.cli.rule_words import moment_of, passes_called
from queueplanner.shop.errors import BadInput, Problem

if TYPE_CHECKING:
    from queueplanner.planning.explain import PlaceReason
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.plan import Plan, Totals
    from queueplanner.planning.replan import Actual
    from queueplanner.shop.job import Job


def add_replan_words(command: argparse.ArgumentParser) -> None:
    """What can be told of the day so far."""
    command.add_argument("--order", type=Path, required=True, metavar="FILE", help="the order known so far")
    command.add_argument("--now", dest="moment", required=True, metavar="HH:MM", help="the moment to plan from")
    day = command.add_argument_group("how the day has gone (else as planned)")
    day.add_argument("--done", action="append", metavar="ID[=HH:MM]", help="a pass that has run, and when it ended")
    day.add_argument("--on-press", metavar="ID[=MINUTES]", help="the pass on the press, and minutes of run left")
    day.add_argument("--makeready-left", type=_minutes, metavar="MINUTES", help="minutes of its make-ready left")
    day.add_argument("--down-until", metavar="HH:MM", help="the press stands still until then")
    day.add_argument("--rush", type=Path, metavar="JOBS.csv", help="a list of jobs that have come in since")
    command.add_argument("--free", action="store_true", help="no need to stay near the known order")


#: The most minutes that can be told.
_MOST_MINUTES = 7 * 24 * 60


def _minutes(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 <= value <= _MOST_MINUTES:
        raise argparse.ArgumentTypeError(f"found '{text}'; write minutes from 0 to {_MOST_MINUTES}")
    return value


def actual_of(words: argparse.Namespace, instance: Instance, plan: Plan) -> Actual:
    """How the day has gone, as the words tell it; what they leave out has gone by plan. Raises BadInput."""
    from queueplanner.planning.replan import gone_by_plan

    zone = instance.shop.calendar.zone
    day = datetime.fromtimestamp(instance.start_at, zone).date()
    now = moment_of(words.moment, day, zone, "--now")
    if now < instance.start_at:
        wanted = f"write a moment from {datetime.fromtimestamp(instance.start_at, zone):%Y-%m-%d %H:%M} on"
        raise BadInput([Problem("--now", None, None, f"'{words.moment}', before the plan begins", wanted)])
    actual = gone_by_plan(plan, now)
    if words.done is not None or words.on_press is not None:
        actual = _told(words, instance, plan, now)
    if words.down_until is not None:
        until = moment_of(words.down_until, datetime.fromtimestamp(now, zone).date(), zone, "--down-until")
        if until <= now:
            raise BadInput([Problem("--down-until", None, None, f"'{words.down_until}'", "write a moment after --now")])
        actual = replace(actual, down_until=until)
    return actual


def _told(words: argparse.Namespace, instance: Instance, plan: Plan, now: int) -> Actual:
    """The passes done and on the press as told."""
    from queueplanner.planning.instance import Started
    from queueplanner.planning.plan import solution_of
    from queueplanner.planning.replan import Actual, Finished

    units = solution_of(plan)[1]
    planned_end = {p.id: p.run_end for p in plan.passes}
    zone = instance.shop.calendar.zone
    today = datetime.fromtimestamp(now, zone).date()
    finished = []
    for text in words.done or []:
        name, _, ended = text.partition("=")
        (done,) = passes_called(instance, [name], "--done")
        end = moment_of(ended, today, zone, "--done") if ended else min(now, planned_end[done])
        finished.append(Finished(done, units[done], min(end, now)))
    ids = [item.pass_id for item in finished]
    started = None
    if words.on_press is not None:
        name, _, left = words.on_press.partition("=")
        (running,) = passes_called(instance, [name], "--on-press")
        run_left = _seconds_left(left) if left else instance.run_seconds[running]
        started = Started(running, units[running], round((words.makeready_left or 0.0) * 60), run_left)
        ids.append(running)
    if len(set(ids)) < len(ids):
        twice = sorted({p for p in ids if ids.count(p) > 1})
        raise BadInput([Problem("--done", None, None, f"{', '.join(twice)} twice", "a pass runs once")])
    return Actual(now, tuple(finished), started)


def _seconds_left(text: str) -> int:
    try:
        return round(_minutes(text) * 60)
    except argparse.ArgumentTypeError:
        wanted = f"write minutes from 0 to {_MOST_MINUTES} behind the equals sign"
        raise BadInput([Problem("--on-press", None, None, f"'{text}'", wanted)]) from None


def with_rush_jobs(jobs: tuple[Job, ...], rush: tuple[Job, ...]) -> list[Job]:
    """The list with jobs that have come in since. Raises BadInput for one that is there already."""
    known = {job.id for job in jobs}
    again = [job.id for job in rush if job.id in known]
    if again:
        raise BadInput([Problem("--rush", None, None, f"job {', '.join(again)}", "it is in the job list already")])
    return [*jobs, *rush]


def why_lines(instance: Instance, plan: Plan, reason: PlaceReason) -> str:
    """Why a pass stands where it does, with its neighbours."""
    from queueplanner.exchange.why_text import place_text
    from queueplanner.planning.explain import what_swapping_costs

    swaps: list[tuple[str, Totals | None]] = []
    for first in (reason.place - 1, reason.place):
        if 0 <= first < len(plan.order) - 1:
            neighbour = plan.order[first if first != reason.place else first + 1]
            swaps.append((neighbour, what_swapping_costs(instance, plan, first)))
    return place_text(plan, reason, swaps)
