"""From what the evaluator laid down to the plan people read: lanes, lateness, what stands on each unit, totals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from queueplanner.makeready.changeover import Changeover
from queueplanner.makeready.crew import schedule
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import PressState, UnitState
from queueplanner.makeready.tasks import TaskLine, crew_tasks, precedence
from queueplanner.planning.clockwork import Placement, Stretch
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.plan import (
    Claim,
    ClaimKind,
    Evening,
    Holding,
    Plan,
    PlannedPass,
    PlannedTask,
    Totals,
    UnitSpan,
)
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import PrintPass
from queueplanner.shop.plate import Plate


@dataclass(frozen=True, slots=True)
class Laid:
    """One pass as the evaluator laid it: the press before it, its changeover, its place on the clock."""

    print_pass: PrintPass
    choice: UnitChoice
    before: PressState
    change: Changeover
    seconds: int
    crew: int
    placed: Placement
    warnings: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Evened:
    """One evening as the evaluator laid it."""

    day: int
    start: int
    lines: tuple[TaskLine, ...]
    seconds: int
    crew: int


def make_plan(instance: Instance, laid: Sequence[Laid], evened: Sequence[Evened]) -> Plan:
    """The plan of what was laid."""
    last_of_job = {instance.job_of[item.print_pass.id].id: item.print_pass.id for item in laid}
    passes = tuple(_planned(instance, item, last_of_job) for item in laid)
    evenings = tuple(
        Evening(e.day, e.start, e.start + e.seconds, e.seconds, e.crew, planned_tasks(e.lines, e.crew)) for e in evened
    )
    end = max([instance.start_at, *(p.run_end for p in passes), *(e.end for e in evenings if e.seconds)])
    return Plan(
        press_name=instance.shop.press.name,
        zone=instance.shop.calendar.zone,
        start=instance.start_at,
        passes=passes,
        evenings=evenings,
        spans=tuple(_spans(instance, passes, evenings, laid)),
        closed=tuple(_closed(instance, instance.start_at, end)),
        totals=_totals(instance, laid, passes, evenings),
        claim=Claim(ClaimKind.GIVEN),
        notes=_notes(instance, laid),
    )


def _notes(instance: Instance, laid: Sequence[Laid]) -> tuple[Reason, ...]:
    """What has to be said of the plan as a whole: washes reckoned from colour rest on two assumed constants."""
    press = instance.shop.press
    predicted = any(line.why.code == "wash_colour" for item in laid for line in item.change.lines)
    return (Reason.of("residue_assumed", share=press.residue_c0, left=press.residue_r),) if predicted else ()


def planned_tasks(lines: Sequence[TaskLine], crew: int) -> tuple[PlannedTask, ...]:
    """The lines with who does them and when; those done in the run before have neither."""
    lanes = schedule(crew_tasks(lines), crew)
    times = iter(zip(lanes.persons, lanes.starts, strict=True))
    tasks = []
    for line, after in zip(lines, precedence(lines), strict=True):
        person, start = (None, None) if line.external else next(times)
        tasks.append(
            PlannedTask(
                line.task,
                line.unit,
                line.place,
                line.state,
                line.seconds,
                line.why,
                after,
                line.washes,
                line.external,
                person,
                start,
            )
        )
    return tuple(tasks)


def _planned(instance: Instance, item: Laid, last_of_job: dict[JobId, PassId]) -> PlannedPass:
    p, placed = item.print_pass, item.placed
    job = instance.job_of[p.id]
    start = placed.makeready[0][0] if placed.makeready else placed.run_start
    ready = placed.makeready[-1][1] if placed.makeready else placed.run_start
    late = 0
    if job.due_s is not None and last_of_job[job.id] == p.id:
        late = max(0, placed.run_end - job.due_s)
    return PlannedPass(
        print_pass=p,
        job=job,
        unit_of={s.ink.id: unit for s, unit in zip(p.separations, item.choice, strict=True)},
        tasks=planned_tasks(item.change.lines, item.crew),
        crew=item.crew,
        makeready_seconds=item.seconds,
        makeready_start=start,
        makeready_end=ready,
        run_start=placed.run_start,
        run_end=placed.run_end,
        makeready_pieces=placed.makeready,
        run_pieces=placed.run,
        waits_seconds=placed.run_start - ready,
        late_seconds=late,
        warnings=item.warnings,
        started=instance.started is not None and instance.started.pass_id == p.id,
    )


def _totals(
    instance: Instance, laid: Sequence[Laid], passes: Sequence[PlannedPass], evenings: Sequence[Evening]
) -> Totals:
    weights = instance.shop.weights
    tasks = [t for p in passes for t in p.tasks] + [t for e in evenings for t in e.tasks]
    makeready = sum(p.makeready_seconds for p in passes) + sum(e.seconds for e in evenings)
    wash_ups = sum(t.task == "empty_fountain" for t in tasks)
    weighted = sum(p.late_seconds * p.job.weight for p in passes)
    reversed_pairs = instance.rules.reversed_pairs([p.id for p in passes])
    return Totals(
        makeready_seconds=makeready,
        run_seconds=sum(b - a for p in passes for a, b in p.run_pieces),
        waiting_seconds=sum(p.waits_seconds for p in passes),
        wash_ups=wash_ups,
        washes=sum(t.washes for t in tasks),
        plate_swaps=sum(t.task == "put_plate_on" for t in tasks),
        feeder_resets=sum(item.change.feeder for item in laid),
        waste_sheets=sum(p.print_pass.running_waste + p.print_pass.makeready_waste for p in passes),
        late_passes=sum(p.late_seconds > 0 for p in passes),
        late_seconds=sum(p.late_seconds for p in passes),
        weighted_late_seconds=weighted,
        objective=weights.late_second * weighted
        + weights.makeready_second * makeready
        + weights.wash_up * wash_ups
        + weights.reversed_pair * reversed_pairs,
        end=passes[-1].run_end if passes else instance.start_at,
        reversed_pairs=reversed_pairs,
    )


def _closed(instance: Instance, start: int, end: int) -> Iterator[Stretch]:
    """Breaks and closed time between two moments."""
    windows = instance.clock.windows
    for before, after in pairwise(windows):
        if before.end < after.start and before.end < end and after.start > start:
            yield max(start, before.end), min(end, after.start)


@dataclass(frozen=True, slots=True)
class _Held:
    """What a unit holds."""

    holding: Holding
    ink: Ink | None
    plate: Plate | None
    pass_id: PassId | None = None


_Change = tuple[int, dict[str, Any]]
"""A moment, and the fields of what a unit holds that are others from then on."""


def _spans(
    instance: Instance, passes: Sequence[PlannedPass], evenings: Sequence[Evening], laid: Sequence[Laid]
) -> Iterator[UnitSpan]:
    end = max([instance.start_at, *(p.run_end for p in passes), *(e.end for e in evenings if e.seconds)])
    for number, unit in enumerate(instance.state.units, 1):
        first = Holding.CLEAN if unit.ink is None else Holding.STANDING
        changes = [c for planned, item in zip(passes, laid, strict=True) for c in _pass_changes(planned, item, number)]
        for evening in evenings:
            night = ((evening.start, evening.end),)
            changes += _task_changes(evening.tasks, night, number, UnitState())
        held = _Held(first, unit.ink, unit.plate)
        yield from _joined(held, instance.start_at, sorted(changes, key=lambda c: c[0]), number, end)


def _pass_changes(planned: PlannedPass, item: Laid, unit: int) -> Iterator[_Change]:
    after = item.change.after.unit(unit)
    pieces = planned.makeready_pieces or ((planned.makeready_start, planned.makeready_end),)
    yield from _task_changes(planned.tasks, pieces, unit, after)
    if unit in item.choice:
        yield planned.run_start, {"holding": Holding.PRINTING, "pass_id": planned.id}
        yield planned.run_end, {"holding": Holding.STANDING, "pass_id": None}


def _task_changes(
    tasks: Sequence[PlannedTask], pieces: Sequence[Stretch], unit: int, after: UnitState
) -> Iterator[_Change]:
    """What tasks do to a unit: what comes out is there to the task's end, what goes in from its start."""
    for task in tasks:
        if task.unit != unit or task.start is None:
            continue
        begun, done = (_clock_time(pieces, at) for at in (task.start, task.start + task.seconds))
        if task.task == "empty_fountain":
            yield done, {"holding": Holding.CLEAN, "ink": None}
        elif task.task == "fill_fountain":
            yield begun, {"holding": Holding.STANDING, "ink": after.ink}
        elif task.task == "take_plate_off":
            yield done, {"plate": None}
        elif task.task == "put_plate_on":
            yield begun, {"plate": after.plate}


def _clock_time(pieces: Sequence[Stretch], worked: int) -> int:
    """The clock time at which so many seconds of some stretches are used up."""
    for start, end in pieces:
        if worked <= end - start:
            return start + worked
        worked -= end - start
    return pieces[-1][1]


def _joined(held: _Held, since: int, changes: Sequence[_Change], unit: int, end: int) -> Iterator[UnitSpan]:
    for at, facts in [*changes, (end, {})]:
        if since < at:
            yield UnitSpan(unit, since, at, held.holding, held.ink, held.plate, held.pass_id)
            since = at
        held = replace(held, **facts)
