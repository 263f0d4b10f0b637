"""The one evaluator: an order and a unit choice become a plan, every second of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from queueplanner.makeready.changeover import Changeover, Moment, changeover, evening_tasks
from queueplanner.makeready.crew import makespan
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import PressState, Settings
from queueplanner.makeready.tasks import TaskLine, crew_tasks
from queueplanner.planning.clockwork import (
    Misfit,
    Placement,
    RunNeeds,
    carry_on,
    day_of,
    next_working,
    place_within_day,
)
from queueplanner.planning.instance import Instance, Started, UnitChoice
from queueplanner.planning.order_rules import broken_rules
from queueplanner.planning.plan import Plan
from queueplanner.planning.report import Evened, Laid, make_plan
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.job import PrintPass

#: A caliper that has moved by more than this since it was last set is worth a warning.
_DRIFT_NUM, _DRIFT_DEN = 20, 100

Mark = tuple[int, int]
"""A stale ink to be washed: (position of the changeover, unit)."""


def evaluate(instance: Instance, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> Plan:
    """The plan of the passes in a given order, each in its given units.

    Every pass of the instance stands in the order once. A pass without a unit choice takes its first possible one.
    Raises NoPlan when the order breaks a hard rule or a pass fits into no working day of the calendar, and
    ValueError when the order is not one of all the instance's passes or a unit choice is impossible.
    """
    day = _settled(instance, order, units)
    return make_plan(instance, day.laid, day.evenings)


def press_after(instance: Instance, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> list[PressState]:
    """The press after each run of an order, with the ends of the runs as planned.

    Raises what `evaluate` raises.
    """
    return [_after_run(x.change.after, x.choice, x.placed.run_end) for x in _settled(instance, order, units).laid]


def _settled(instance: Instance, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> _Day:
    """The day of an order once no further ink is found stale."""
    chosen = _checked(instance, order, units)
    marks: set[Mark] = set()
    while True:
        day = _Day(instance, marks)
        for print_pass, choice in chosen:
            day.add(print_pass, choice)
        day.close()
        new = sorted(day.stale - marks)
        if not new:
            return day
        marks.add(new[0])


def unit_choices(instance: Instance, pass_id: PassId) -> tuple[UnitChoice, ...]:
    """The unit choices open to a pass."""
    return instance.choices[pass_id]


def _checked(
    instance: Instance, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]
) -> list[tuple[PrintPass, UnitChoice]]:
    if sorted(order) != sorted(instance.passes):
        raise ValueError("an order names every pass of the day once")
    done: set[PassId] = set()
    chosen = []
    for pass_id in order:
        print_pass = instance.passes[pass_id]
        first = print_pass.first_side
        if first is not None and first in instance.passes and first not in done:
            raise NoPlan("a second side comes after its first", [first, pass_id], f"{pass_id} stands before {first}")
        choice = units.get(pass_id, instance.choices[pass_id][0])
        if choice not in instance.choices[pass_id]:
            raise ValueError(f"pass {pass_id} cannot be printed in units {choice}")
        done.add(pass_id)
        chosen.append((print_pass, choice))
    _check_rules(instance, order)
    return chosen


def _check_rules(instance: Instance, order: Sequence[PassId]) -> None:
    started = instance.started
    if started is not None and order[0] != started.pass_id:
        raise NoPlan("the pass on the press", [started.pass_id], f"{started.pass_id} has started and comes first")
    for broken in broken_rules(instance.rules, order if started is None else order[1:]):
        raise NoPlan(broken.kind, broken.passes, broken.detail)


@dataclass(slots=True)
class _Day:
    """The press as it moves through an order.

    `ended` is the end of the last run, or the plan's start; `evened` the first working day whose evening is still
    to come; `idle_from` the changeover at which each unit's ink falls idle.
    """

    instance: Instance
    marks: set[Mark]
    state: PressState = field(init=False)
    ended: int = field(init=False)
    evened: int = 0
    laid: list[Laid] = field(default_factory=list)
    evenings: list[Evened] = field(default_factory=list)
    stale: set[Mark] = field(default_factory=set)
    idle_from: dict[int, int] = field(default_factory=dict)
    run_ends: dict[PassId, int] = field(default_factory=dict)
    caliper_set: int | None = field(init=False)

    def __post_init__(self) -> None:
        self.state = self.instance.state
        self.ended = self.instance.start_at
        self.caliper_set = self.state.settings.caliper_um
        self.run_ends |= self.instance.first_side_ends

    def add(self, print_pass: PrintPass, choice: UnitChoice) -> None:
        """Put a pass behind the others: on the first working day that can hold its make-ready and run."""
        started = self.instance.started
        if started is not None and started.pass_id == print_pass.id:
            self._go_on(print_pass, started)
            return
        begin = next_working(self.instance.clock, max(self.ended, self.instance.earliest_s(print_pass.id)))
        misfit: Misfit | None = None
        while begin is not None:
            day = day_of(self.instance.clock, begin)
            self._evenings_before(day)
            ready = self._changeover(print_pass, choice, begin)
            placed = self._place(print_pass, ready, begin)
            if isinstance(placed, Placement):
                self._lay(print_pass, choice, ready, placed)
                return
            misfit = placed
            begin = self._start_of(day + 1)
        reason = misfit or "it can only begin after the calendar's last day"
        raise NoPlan("a pass fits into no working day", [print_pass.id], str(reason))

    def _go_on(self, print_pass: PrintPass, started: Started) -> None:
        """Bring the pass on the press to its end: no changeover, no evening before, its units as they are."""
        clock, seconds = self.instance.clock, started.makeready_left_s
        begin = next_working(clock, self.ended)
        placed = Misfit.RUN_END if begin is None else carry_on(clock, begin, seconds, self._needs(print_pass))
        if not isinstance(placed, Placement):
            raise NoPlan("a pass fits into no working day", [print_pass.id], str(placed))
        settings = Settings.of(print_pass, self.instance.shop.press)
        after = PressState(self.state.units, print_pass.plate_material, True, settings, frozenset(started.units))
        nothing_to_do = Changeover((), after, warnings=(), feeder=False)
        self._lay(print_pass, started.units, (nothing_to_do, seconds, clock.crew_at(self.ended)), placed)
        for unit in range(1, len(self.state.units) + 1):
            self.idle_from[unit] = 1

    def close(self) -> None:
        """The evening after the last run."""
        self._evening(self.evened)

    def _start_of(self, day: int) -> int | None:
        starts = self.instance.clock.day_starts
        return next_working(self.instance.clock, starts[day]) if day < len(starts) else None

    def _changeover(self, print_pass: PrintPass, choice: UnitChoice, begin: int) -> tuple[Changeover, int, int]:
        """The changeover that would begin at a moment, its make-ready seconds and the crew that does it."""
        position = len(self.laid)
        stale = {unit for at, unit in self.marks if at == position}
        if position == 0:
            stale |= {u for u in self._inked() if begin - self._last_end(u) > self._open_seconds(u)}
        room = self.instance.run_seconds[self.laid[-1].print_pass.id] if self.laid else None
        press = self.instance.shop.press
        ready = changeover(press, self.state, print_pass, choice, Moment(begin, frozenset(stale)), room)
        crew = self.instance.clock.crew_at(begin)
        return ready, crew_seconds(ready.lines, crew), crew

    def _place(self, print_pass: PrintPass, ready: tuple[Changeover, int, int], begin: int) -> Placement | Misfit:
        return place_within_day(self.instance.clock, begin, ready[1], self._needs(print_pass))

    def _needs(self, print_pass: PrintPass) -> RunNeeds:
        dry = 0
        if print_pass.first_side is not None:
            dry = self.run_ends[print_pass.first_side] + print_pass.drying_s
        return RunNeeds(
            seconds=self.instance.run_seconds[print_pass.id],
            not_before=dry,
            longest_pause=min(s.ink.open_seconds for s in print_pass.separations),
            may_cross_days=self.instance.shop.press.runs_cross_days,
        )

    def _lay(
        self, print_pass: PrintPass, choice: UnitChoice, ready: tuple[Changeover, int, int], placed: Placement
    ) -> None:
        position = len(self.laid)
        change, seconds, crew = ready
        if position:  # an ink the first pass goes on with is judged at the start only
            for unit in choice:
                self._note_stale(unit, placed.run_start)
        warnings = (*change.warnings, *self._drift(print_pass, change), *self._waiting_ink(change, placed))
        before, self.state = self.state, _after_run(change.after, choice, placed.run_end)
        self.laid.append(Laid(print_pass, choice, before, change, seconds, crew, placed, warnings))
        for unit in range(1, len(self.state.units) + 1):
            if unit in choice:
                self.idle_from[unit] = position + 1
        self.ended = placed.run_end
        self.run_ends[print_pass.id] = placed.run_end
        self.evened = day_of(self.instance.clock, placed.run[-1][0])

    def _evenings_before(self, day: int) -> None:
        while self.evened < day:
            self._evening(self.evened)
            self.evened += 1

    def _evening(self, day: int) -> None:
        """The wash after a working day: every inked unit whose ink would not last until the next one begins."""
        clock = self.instance.clock
        start = max(self.ended, clock.day_starts[day]) if day < len(clock.day_starts) else self.ended
        if day + 1 >= len(clock.day_starts):
            raise NoPlan("the plan outruns the calendar", [], "there is no working day after the last one planned")
        following = clock.day_starts[day + 1]
        washed = [u for u in self._inked() if self._last_end(u) + self._open_seconds(u) < following]
        for unit in washed:
            self._note_stale(unit, start)
        lines, self.state = evening_tasks(self.instance.shop.press, self.state, washed)
        crew = clock.crew_at(start)
        self.evenings.append(Evened(day, start, lines, crew_seconds(lines, crew), crew))

    def _inked(self) -> list[int]:
        return [u for u, unit in enumerate(self.state.units, 1) if unit.ink is not None]

    def _last_end(self, unit: int) -> int:
        end = self.state.unit(unit).last_run_end
        return self.instance.start_at if end is None else end

    def _open_seconds(self, unit: int) -> int:
        ink = self.state.unit(unit).ink
        assert ink is not None
        return ink.open_seconds

    def _note_stale(self, unit: int, until: int) -> None:
        """Remember an ink that stood longer than its open time until a run or an evening wash."""
        if self.state.unit(unit).ink is not None and until - self._last_end(unit) > self._open_seconds(unit):
            self.stale.add((self.idle_from.get(unit, 0), unit))

    def _drift(self, print_pass: PrintPass, change: Changeover) -> tuple[Reason, ...]:
        now = print_pass.stock.caliper_um
        if any(line.task == "feeder_to_caliper" for line in change.lines) or self.caliper_set is None:
            self.caliper_set = now
            return ()
        if abs(now - self.caliper_set) * _DRIFT_DEN <= _DRIFT_NUM * self.caliper_set:
            return ()
        return (Reason.of("caliper_drift", set=self.caliper_set, now=now),)

    @staticmethod
    def _waiting_ink(change: Changeover, placed: Placement) -> tuple[Reason, ...]:
        ready = placed.makeready[-1][1] if placed.makeready else placed.run_start
        filled = {line.unit for line in change.lines if line.task == "fill_fountain"}
        return tuple(
            Reason.of("ink_waits", ink=unit.ink.name, hours=round((placed.run_start - ready) / 3600, 1))
            for number, unit in enumerate(change.after.units, 1)
            if number in filled and unit.ink is not None and placed.run_start - ready > unit.ink.open_seconds
        )


def _after_run(state: PressState, choice: UnitChoice, end: int) -> PressState:
    units = tuple(
        replace(unit, last_run_end=end) if number in choice else unit for number, unit in enumerate(state.units, 1)
    )
    return replace(state, units=units)


def crew_seconds(lines: Sequence[TaskLine], crew: int) -> int:
    """Make-ready seconds of some tasks for a crew: the sum for one person, the optimal makespan for two."""
    if crew == 1:
        return sum(line.seconds for line in lines if not line.external)
    return makespan(crew_tasks(lines), crew)
