"""Places an order on the clock: when make-readies and runs begin, what evenings wash, what goes stale."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from tests.oracle.changeover import Call, Changeover, UnitWork, changeover, precedence, run_speed, unit_after
from tests.oracle.clock import Clock, Day
from tests.oracle.problem import (
    Evening,
    Order,
    Pass,
    PassResult,
    PressState,
    Problem,
    Refused,
    Task,
    TaskId,
    whole_seconds,
)

Marks = frozenset[tuple[int, int]]
"""Position of a changeover and unit that it washes because its ink goes stale."""
Makespan = Callable[[Sequence[Task], frozenset[tuple[TaskId, TaskId]], int], int]
"""Seconds a crew takes for tasks with such precedence: (tasks, pairs, people) -> seconds."""


def one_person(tasks: Sequence[Task], _pairs: frozenset[tuple[TaskId, TaskId]], crew: int) -> int:
    """One person does one task after the other: the sum. A larger crew needs a function of its own."""
    if crew != 1:
        raise ValueError("one person's sum asked for a larger crew")
    return sum(task.seconds for task in tasks)


@dataclass(frozen=True)
class Timeline:
    """An order as far as it is placed. `stale`: (position, unit) of changeovers that still have to wash."""

    state: PressState
    free_at: int
    placed: tuple[PassResult, ...] = ()
    evenings: tuple[Evening, ...] = ()
    stale: Marks = frozenset()


@dataclass(frozen=True)
class Reckoning:
    """What stays fixed while an order is placed."""

    problem: Problem
    clock: Clock
    makespan: Makespan
    marks: Marks

    def stood(self, state: PressState, unit: int, moment: int) -> int:
        """Seconds a unit's ink has stood since its last run; an unknown end counts as the plan's start."""
        last_end = state.units[unit].last_end
        return moment - (self.problem.start if last_end is None else last_end)

    def too_old(self, state: PressState, unit: int, moment: int) -> bool:
        """Whether a unit holds an ink that has by then stood strictly longer than its open time."""
        ink = state.units[unit].ink
        return ink is not None and self.stood(state, unit, moment) > self.problem.inks[ink].open_seconds


def place_all(problem: Problem, order: Order, makespan: Makespan, marks: Marks) -> Timeline:
    """Place every pass in order, then the evening that follows the last run."""
    reckoning = Reckoning(problem, Clock(problem.shifts, problem.breaks), makespan, marks)
    timeline = Timeline(problem.state, problem.start)
    for name, units in order:
        timeline = place_pass(reckoning, timeline, problem.passes[name], units)
    return with_evenings(reckoning, timeline, None) if order else timeline


def place_pass(reckoning: Reckoning, timeline: Timeline, job_pass: Pass, units: tuple[int, ...]) -> Timeline:
    """Make-ready at once, else at a next day's start: the first day that holds it and its run's start.

    Earliest start binds the changeover.
    """
    clock = reckoning.clock
    earliest = timeline.free_at if job_pass.earliest_start is None else job_pass.earliest_start
    start = clock.next_working(max(timeline.free_at, earliest))
    while start is not None:
        today = clock.day_of(start)
        placed = try_at(reckoning, timeline, job_pass, units, start, today)
        if placed is not None:
            return placed
        tomorrow = clock.day_after(today)
        start = None if tomorrow is None else clock.next_working(tomorrow.start)
    raise Refused(why_never(reckoning, job_pass), job_pass.id)


def try_at(
    reckoning: Reckoning, timeline: Timeline, job_pass: Pass, units: tuple[int, ...], start: int, day: Day
) -> Timeline | None:
    """The timeline with this changeover begun at `start`, or None when the day does not hold it.

    The crew is the one at the changeover's start; tasks done during the run before cost nothing here.
    """
    rested = with_evenings(reckoning, timeline, start)
    call = call_for(reckoning, timeline, rested, job_pass, units, start)
    made = changeover(reckoning.problem, rested.state, call)
    crew = reckoning.clock.crew_at(start)
    inside = [task for task in made.tasks if not task.external]
    seconds = reckoning.makespan(inside, made.precedence, crew)
    end = reckoning.clock.advance(start, seconds)
    if end is None or end > day.end:
        return None
    run = run_interval(reckoning, job_pass, max(end, dry_at(reckoning.problem, timeline, job_pass)), day)
    if run is None:
        return None
    marked = {unit for position, unit in reckoning.marks if position == len(timeline.placed)}
    result = PassResult(
        pass_id=job_pass.id,
        units=units,
        tasks=made.tasks,
        precedence=made.precedence,
        crew=crew,
        makeready_seconds=seconds,
        start=start,
        end=end,
        run_start=run[0],
        run_end=run[1],
        run_seconds=run_seconds(reckoning.problem, job_pass),
        stale_at_start=tuple(sorted(call.stale - marked)),
    )
    return after_run(reckoning, rested, made, result)


def call_for(
    reckoning: Reckoning,
    timeline: Timeline,
    rested: Timeline,
    job_pass: Pass,
    units: tuple[int, ...],
    start: int,
) -> Call:
    """The changeover asked for, `rested` being the timeline with the evenings before it."""
    before = timeline.placed[-1] if timeline.placed else None
    return Call(
        job_pass=job_pass,
        units=units,
        start=start,
        before=before.units if before else (),
        after_evening=len(rested.evenings) > len(timeline.evenings),
        stale=stale_here(reckoning, rested, start),
        run_before=before.run_seconds if before else None,
    )


def stale_here(reckoning: Reckoning, timeline: Timeline, start: int) -> frozenset[int]:
    """Units whose ink is washed for its age in the changeover at `start`: marked, or stale at the start.

    Stale at the start: at the first changeover's start the ink has stood strictly longer than its open time.
    """
    position = len(timeline.placed)
    return frozenset(
        unit
        for unit, held in timeline.state.units.items()
        if held.ink is not None
        if (position, unit) in reckoning.marks
        or (position == 0 and reckoning.too_old(timeline.state, unit, start))
    )


def run_seconds(problem: Problem, job_pass: Pass) -> int:
    """Seconds: ceil(3600 · sheets / speed), and a reload for each pile after the first, at either end."""
    profile = problem.profile
    caliper = problem.stocks[job_pass.stock].caliper_um
    seconds = math.ceil(3600 * job_pass.sheets / run_speed(problem, job_pass))
    piles = (
        (profile.feeder_pile_um, profile.feeder_reload_minutes),
        (profile.delivery_pile_um, profile.delivery_reload_minutes),
    )
    for height, minutes in piles:
        stops = math.ceil(Fraction(job_pass.sheets, height // caliper)) - 1
        seconds += stops * whole_seconds(Fraction(minutes))
    return seconds


def dry_at(problem: Problem, timeline: Timeline, job_pass: Pass) -> int:
    """When the first side is dry: its run's end and the drying time, elapsed. It binds the run only."""
    if job_pass.first_side is None:
        return problem.start
    ends = {**problem.printed, **{result.pass_id: result.run_end for result in timeline.placed}}
    end = ends[job_pass.first_side]
    return (problem.start if end is None else end) + job_pass.drying_seconds


def run_interval(reckoning: Reckoning, job_pass: Pass, ready: int, day: Day) -> tuple[int, int] | None:
    """The run, begun in this day as early as it can be; None if the day does not hold its start.

    A pause longer than the shortest open time of its inks is not run into: the run starts after it. Where the
    profile forbids crossing a night, the run must end the same day too.
    """
    clock = reckoning.clock
    shortest = min(reckoning.problem.inks[separation.ink].open_seconds for separation in job_pass.separations)
    start = clock.next_working(ready)
    while start is not None and start < day.end:
        end = clock.advance(start, run_seconds(reckoning.problem, job_pass))
        if end is None or (end > day.end and not reckoning.problem.profile.may_cross_nights):
            return None
        too_long = [pause for pause in clock.pauses(start, end) if pause[1] - pause[0] > shortest]
        if not too_long:
            return start, end
        start = too_long[0][1]
    return None


def why_never(reckoning: Reckoning, job_pass: Pass) -> str:
    """Why no day holds a pass: its run outlasts every day, or always meets a pause, or the calendar ends."""
    clock, seconds = reckoning.clock, run_seconds(reckoning.problem, job_pass)
    crossing = reckoning.problem.profile.may_cross_nights
    if not crossing and all(clock.work_in(day) < seconds for day in clock.days):
        return "run_longer_than_a_day"
    judged = [day for day in clock.days if clock.advance(day.start, seconds) is not None]
    if judged and all(run_interval(reckoning, job_pass, day.start, day) is None for day in judged):
        return "pause_longer_than_open_time"
    return "calendar_ends"


def after_run(reckoning: Reckoning, rested: Timeline, made: Changeover, result: PassResult) -> Timeline:
    """The timeline with the pass run: stale inks noted, ends of last runs set, a pile in the delivery.

    An ink's time ends at its unit's next run. Too long: the changeover at which the unit fell idle washes it,
    or the one between two passes that both use it with this ink (another ink there is washed for anyhow).
    An ink that the first pass goes on with has no pass before it: only "stale at the start" judges it.
    """
    position = len(rested.placed)
    separations = reckoning.problem.passes[result.pass_id].separations
    stale = set(rested.stale)
    for unit, separation in zip(result.units, separations, strict=True):
        held = rested.state.units[unit]
        idled, same_ink = held.idle_from < position, held.ink == separation.ink
        if (idled or (same_ink and position > 0)) and reckoning.too_old(rested.state, unit, result.run_start):
            stale.add((held.idle_from, unit))
    units = {
        unit: replace(held, last_end=result.run_end, idle_from=position + 1) if unit in result.units else held
        for unit, held in made.after.units.items()
    }
    return Timeline(
        state=replace(made.after, units=units, delivery_pile=True),
        free_at=result.run_end,
        placed=(*rested.placed, result),
        evenings=rested.evenings,
        stale=frozenset(stale - reckoning.marks),
    )


def with_evenings(reckoning: Reckoning, timeline: Timeline, until: int | None) -> Timeline:
    """The timeline after every night between the last run (or the plan's start) and `until`.

    Every night that no run crosses is an evening; so is, at the plan's end (`until` None), the one after the
    last run. Nights that began before the plan's start are not reckoned.
    """
    days = reckoning.clock.days
    for day, after in zip(days, [*days[1:], None], strict=True):
        if day.end < timeline.free_at:
            continue
        if until is None:
            return with_evening(reckoning, timeline, day, after)
        if after is None or after.start > until:
            return timeline
        timeline = with_evening(reckoning, timeline, day, after)
    return timeline


def with_evening(reckoning: Reckoning, timeline: Timeline, day: Day, after: Day | None) -> Timeline:
    """Evening: empty, first wash and oil for every inked unit whose open time misses the next day.

    It begins at the end of the day's last run; on a day without one, at the later of the plan's start, the
    last run's end and that day's first shift. There the time ends that a washed ink has stood.
    """
    start = max(timeline.free_at, day.start)
    position, state, stale = len(timeline.placed), timeline.state, set(timeline.stale)
    works = {
        unit: UnitWork(ink_out=True, washes=1, oil=True)
        for unit, held in state.units.items()
        if held.ink is not None and (after is None or reckoning.too_old(state, unit, after.start))
    }
    for unit in works:
        if state.units[unit].idle_from < position and reckoning.too_old(state, unit, start):
            stale.add((state.units[unit].idle_from, unit))
    washed = {unit: unit_after(state.units[unit], work, None) for unit, work in works.items()}
    tasks = tuple(evening_tasks(reckoning.problem, works))
    crew = reckoning.clock.crew_at(start)
    seconds = reckoning.makespan(tasks, precedence(tasks, works), crew) if tasks else 0
    evening = Evening(start, crew, tasks, seconds, day.end, after.start if after else None)
    return replace(
        timeline,
        state=replace(state, units={**state.units, **washed}),
        evenings=(*timeline.evenings, evening),
        stale=frozenset(stale - reckoning.marks),
    )


def evening_tasks(problem: Problem, works: dict[int, UnitWork]) -> list[Task]:
    """Empty, first wash and oil for each unit washed, task by task as in the table."""
    minutes = problem.profile.minutes
    rows = (
        ("empty_fountain", "empty_fountain", "stopped", 0),
        ("wash_rollers", "wash_rollers.first", "turning", 1),
        ("oil_rollers", "oil_rollers", "turning", 0),
    )
    return [
        Task(key, unit, whole_seconds(Fraction(minutes[row])), f"unit {unit}", state, washes=washes)
        for key, row, state, washes in rows
        for unit in works
    ]
