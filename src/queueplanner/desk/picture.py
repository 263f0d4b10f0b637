"""What the timeline draws of a plan, without a window: every shape with its moments, in the order of time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from queueplanner.desk.day_model import Pick
from queueplanner.desk.picture_arrays import RibbonArrays, TaskArrays, block_rows, task_rows
from queueplanner.planning.plan import Holding, Plan, PlannedPass, PlannedTask, Stretch, UnitSpan
from queueplanner.shop.base import InkId, JobId, PassId
from queueplanner.shop.ink import Ink

WASH = "wash_rollers"
_WASHING = frozenset({WASH, "empty_fountain", "wash_blankets", "oil_rollers"})


@dataclass(frozen=True, slots=True)
class TaskBar:
    """A task, or a part of one, where it falls on the clock.

    `lane` is the person, from 0; `washing` tasks clean, the others set.
    """

    start: int
    end: int
    lane: int
    washing: bool
    task: PlannedTask


@dataclass(frozen=True, slots=True)
class PassShape:
    """A pass: its make-ready by tasks, what it waits for, its run. `lanes` is how many persons make ready."""

    place: int
    planned: PlannedPass
    tasks: tuple[TaskBar, ...]
    lanes: int
    wait: Stretch | None

    @property
    def pick(self) -> Pick:
        """What selecting this shape selects."""
        return Pick(pass_id=self.planned.id)

    @property
    def start(self) -> int:
        """When its make-ready begins."""
        return self.planned.makeready_start

    @property
    def end(self) -> int:
        """When its run ends."""
        return self.planned.run_end


@dataclass(frozen=True, slots=True)
class EveningShape:
    """The wash before a night."""

    day: int
    start: int
    end: int
    tasks: tuple[TaskBar, ...]
    lanes: int

    @property
    def pick(self) -> Pick:
        """What selecting this shape selects."""
        return Pick(evening=self.day)


@dataclass(frozen=True, slots=True)
class WashShape:
    """A unit's rollers being washed; `washes` how often."""

    unit: int
    start: int
    end: int
    washes: int


@dataclass(frozen=True, slots=True)
class InkShape:
    """One ink in one unit from fill to wash: `levels` are its stretches with whether it prints in each."""

    spans: tuple[UnitSpan, ...]

    @property
    def ink(self) -> Ink:
        """The ink."""
        ink = self.spans[0].ink
        assert ink is not None
        return ink

    @property
    def start(self) -> int:
        """When the ink goes in, or the plan begins."""
        return self.spans[0].start

    @property
    def end(self) -> int:
        """When the ink comes out, or the plan ends."""
        return self.spans[-1].end


@dataclass(frozen=True, slots=True)
class DueFlag:
    """A moment at which jobs are due, and which of them are late."""

    moment: int
    jobs: tuple[JobId, ...]
    late: tuple[JobId, ...]


@dataclass(frozen=True, slots=True)
class SheetStretch:
    """What the feeder holds over a stretch of time: one text, and for stock its caliper in µm (format: 0)."""

    start: int
    end: int
    text: str
    caliper_um: int = 0
    sides_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """All shapes of a plan; two pictures are the same only if they are one.

    For very many passes also as arrays: `moments` the make-ready's start, the run's start and its end, one row a
    pass; `late` which are late; `tasks` the bars of all make-readies, `blocks` those joined where they are of one
    kind; `ribbons` the spans of each unit.
    """

    plan: Plan
    start: int
    end: int
    passes: tuple[PassShape, ...]
    evenings: tuple[EveningShape, ...]
    inks: dict[int, tuple[InkShape, ...]]
    spans: dict[int, tuple[UnitSpan, ...]]
    washes: dict[int, tuple[WashShape, ...]]
    flags: tuple[DueFlag, ...]
    stocks: tuple[SheetStretch, ...]
    formats: tuple[SheetStretch, ...]
    moments: NDArray[np.float64]
    late: NDArray[np.bool_]
    tasks: TaskArrays
    blocks: TaskArrays
    ribbons: Mapping[int, RibbonArrays]
    by_pick: Mapping[Pick, PassShape | EveningShape]

    @property
    def units(self) -> tuple[int, ...]:
        """The press's units."""
        return tuple(sorted(self.inks))

    def passes_between(self, start: float, end: float) -> Sequence[PassShape]:
        """The passes that can be seen between two moments."""
        shown = self.places_between(start, end)
        return self.passes[shown]

    def places_between(self, start: float, end: float) -> slice:
        """Where in the order those passes are."""
        first = int(np.searchsorted(self.moments[:, 2], start))
        last = int(np.searchsorted(self.moments[:, 0], end, side="right"))
        return slice(first, last)

    def shape_of(self, pick: Pick | None) -> PassShape | EveningShape | None:
        """The pass or evening that is selected."""
        return None if pick is None else self.by_pick.get(pick)


def make_picture(plan: Plan) -> Picture:
    """The shapes of a plan."""
    passes = tuple(_pass_shape(place, planned) for place, planned in enumerate(plan.passes, 1))
    evenings = tuple(_evening_shapes(plan))
    spans = _by_unit(plan)
    ends = [p.end for p in passes] + [e.end for e in evenings] + [s.end for s in plan.spans]
    return Picture(
        plan=plan,
        start=plan.start,
        end=max(ends, default=plan.start + 3600),
        passes=passes,
        evenings=evenings,
        inks={unit: tuple(_inks(of_unit)) for unit, of_unit in spans.items()},
        spans=spans,
        washes={unit: tuple(_washes(unit, passes, evenings)) for unit in spans},
        flags=due_flags(plan),
        stocks=tuple(_merged(_stock_stretch(p) for p in plan.passes)),
        formats=tuple(_merged(_format_stretch(p) for p in plan.passes)),
        moments=np.array([(p.start, p.planned.run_start, p.end) for p in passes], dtype=np.float64).reshape(-1, 3),
        late=np.array([p.planned.late_seconds > 0 for p in passes], dtype=bool),
        tasks=TaskArrays.of(row for s in _both(passes, evenings) for row in task_rows(s.tasks, s.lanes)),
        blocks=TaskArrays.of(row for s in _both(passes, evenings) for row in block_rows(s.tasks, s.lanes)),
        ribbons={unit: RibbonArrays.of(of_unit) for unit, of_unit in spans.items()},
        by_pick={shape.pick: shape for shape in _both(passes, evenings)},
    )


def due_flags(plan: Plan) -> tuple[DueFlag, ...]:
    """The due times of the planned jobs, each once, with the jobs due then and the late ones among them."""
    late = {p.job.id for p in plan.passes if p.late_seconds > 0}
    due: dict[int, dict[JobId, None]] = {}
    for planned in plan.passes:
        if planned.job.due_s is not None:
            due.setdefault(planned.job.due_s, {})[planned.job.id] = None
    return tuple(
        DueFlag(moment, tuple(jobs), tuple(j for j in jobs if j in late)) for moment, jobs in sorted(due.items())
    )


def clock_moment(pieces: Sequence[Stretch], worked: int, *, ends: bool) -> int:
    """The clock time at which so many seconds of some stretches are used up.

    Where a stretch ends and the next begins, a thing that `ends` stands at the end, one that begins at the beginning.
    """
    for start, end in pieces:
        room = end - start
        if worked < room or (ends and worked == room):
            return start + worked
        worked -= room
    return pieces[-1][1] if pieces else 0


def task_bars(tasks: Iterable[PlannedTask], pieces: Sequence[Stretch]) -> Iterator[TaskBar]:
    """The tasks of a changeover on the clock, cut where a break falls; those done in the run before are left out."""
    for task in tasks:
        if task.start is None or task.person is None or not task.seconds or not pieces:
            continue
        start = clock_moment(pieces, task.start, ends=False)
        end = clock_moment(pieces, task.start + task.seconds, ends=True)
        for a, b in pieces:
            if max(a, start) < min(b, end):
                yield TaskBar(max(a, start), min(b, end), max(0, task.person - 1), task.task in _WASHING, task)


def _pass_shape(place: int, planned: PlannedPass) -> PassShape:
    waits = planned.waits_seconds > 0
    return PassShape(
        place=place,
        planned=planned,
        tasks=tuple(task_bars(planned.tasks, planned.makeready_pieces)),
        lanes=planned.crew,
        wait=(planned.makeready_end, planned.run_start) if waits else None,
    )


def _evening_shapes(plan: Plan) -> Iterator[EveningShape]:
    for evening in plan.evenings:
        if evening.tasks:
            bars = tuple(task_bars(evening.tasks, ((evening.start, evening.end),)))
            yield EveningShape(evening.day, evening.start, evening.end, bars, evening.crew)


def _by_unit(plan: Plan) -> dict[int, tuple[UnitSpan, ...]]:
    units = sorted({span.unit for span in plan.spans}) or [1]
    runs = {planned.id: planned.run_pieces for planned in plan.passes}
    spans = sorted((part for span in plan.spans for part in _with_pauses(span, runs)), key=lambda s: s.start)
    return {unit: tuple(s for s in spans if s.unit == unit) for unit in units}


def _with_pauses(span: UnitSpan, runs: Mapping[PassId, Sequence[Stretch]]) -> Iterator[UnitSpan]:
    """A span in which a pass prints, cut where its run pauses: there the ink stands."""
    pieces = runs.get(span.pass_id, ()) if span.pass_id is not None else ()
    if span.holding is not Holding.PRINTING or len(pieces) < 2:
        yield span
        return
    for (start, end), following in zip_longest(pieces, pieces[1:]):
        yield replace(span, start=start, end=end)
        if following is not None:
            yield replace(span, start=end, end=following[0], holding=Holding.STANDING)


def _inks(spans: Sequence[UnitSpan]) -> Iterator[InkShape]:
    """Neighbouring spans of one ink belong together: one ribbon from its fill to its wash."""
    held: list[UnitSpan] = []
    for span in spans:
        if held and (_ink_id(span) != _ink_id(held[-1]) or span.start > held[-1].end):
            yield InkShape(tuple(held))
            held = []
        if span.ink is not None:
            held.append(span)
    if held:
        yield InkShape(tuple(held))


def _ink_id(span: UnitSpan) -> InkId | None:
    return None if span.ink is None else span.ink.id


def _both(passes: Sequence[PassShape], evenings: Sequence[EveningShape]) -> list[PassShape | EveningShape]:
    return [*passes, *evenings]


def _washes(unit: int, passes: Sequence[PassShape], evenings: Sequence[EveningShape]) -> Iterator[WashShape]:
    for shape in sorted(_both(passes, evenings), key=lambda s: s.start):
        for bar in shape.tasks:
            if bar.task.task == WASH and bar.task.unit == unit:
                yield WashShape(unit, bar.start, bar.end, max(1, bar.task.washes))


def _stock_stretch(planned: PlannedPass) -> SheetStretch:
    stock = planned.print_pass.stock
    return SheetStretch(planned.makeready_start, planned.run_end, stock.name, stock.caliper_um)


def _format_stretch(planned: PlannedPass) -> SheetStretch:
    size = planned.print_pass.format
    return SheetStretch(planned.makeready_start, planned.run_end, size.label, sides_mm=(size.short_mm, size.long_mm))


def _merged(stretches: Iterable[SheetStretch]) -> Iterator[SheetStretch]:
    """Neighbours that say the same become one."""
    held: SheetStretch | None = None
    for stretch in stretches:
        if held is not None and (stretch.text, stretch.caliper_um) == (held.text, held.caliper_um):
            held = SheetStretch(held.start, stretch.end, held.text, held.caliper_um, held.sides_mm)
            continue
        if held is not None:
            yield held
        held = stretch
    if held is not None:
        yield held
