"""The changeover: from a state of the press and the next pass to tasks, minutes, reasons, and a new state."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from queueplanner.makeready.differences import Differences, differences
from queueplanner.makeready.inking import Inking, evening_inking, inking_for
from queueplanner.makeready.plates import PlateWork, plate_work
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import PressState, Settings, UnitState
from queueplanner.makeready.tasks import TaskLine, in_working_order, task_line
from queueplanner.shop.base import seconds_of_minutes
from queueplanner.shop.job import PrintPass, Separation
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.press import OwnTask, OwnTrigger, PressProfile

#: A polyester plate that has stood longer than this is damped before it prints or comes off.
PRE_DAMP_AFTER_S = 30 * 60
NO_UNITS: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Moment:
    """What the clock says about a changeover: when it begins (epoch seconds), and the units whose ink is stale."""

    begins: int
    stale: frozenset[int] = NO_UNITS


@dataclass(frozen=True, slots=True)
class Changeover:
    """The tasks of a changeover, in working order, what is to be said about it, and the press after its run.

    `after` holds no clock: the evaluator adds when the run ended. `feeder` tells whether the feeder is reset.
    """

    lines: tuple[TaskLine, ...]
    after: PressState
    warnings: tuple[Reason, ...]
    feeder: bool


@dataclass(frozen=True, slots=True)
class _Scene:
    """Everything the rows of the task table look at."""

    press: PressProfile
    state: PressState
    print_pass: PrintPass
    used: Mapping[int, Separation]
    moment: Moment
    now: Settings
    change: Differences
    inks: Mapping[int, Inking]
    plates: Mapping[int, PlateWork]

    def seconds(self, task: str) -> int:
        return self.press.tasks[task].seconds

    def line(self, task: str, why: Reason, unit: int | None = None) -> TaskLine:
        return task_line(task, self.seconds(task), why, unit)

    def variant(self, task: str, variant: str, why: Reason, unit: int | None = None) -> TaskLine:
        minutes = getattr(self.press.tasks[task], variant)
        return task_line(task, seconds_of_minutes(minutes), why, unit)


def changeover(
    press: PressProfile,
    state: PressState,
    print_pass: PrintPass,
    units: tuple[int, ...],
    moment: Moment,
    room_before: int | None = None,
) -> Changeover:
    """What it takes to go from a state to a pass printed in the given units (one for each separation, in order).

    `moment.stale` names the units whose ink is stale, or will be before it prints again. `room_before` is the length
    in seconds of the run directly before, in which external tasks can be done; None before the first pass.
    """
    used = dict(zip(units, print_pass.separations, strict=True))
    now = Settings.of(print_pass, press)
    numbers = range(1, len(state.units) + 1)
    inks = {u: inking_for(state.unit(u), used[u].ink if u in used else None, u in moment.stale, press) for u in numbers}
    plates = {u: plate_work(press, state, u, used) for u in numbers}
    change = differences(state.settings, now)
    scene = _Scene(press, state, print_pass, used, moment, now, change, inks, plates)
    lines = [*_feeder(scene), *_pressure(scene), *_delivery(scene), *_plates(scene), *_ink(scene)]
    tack = _tack(scene)
    lines += [*tack.lines, *_blankets(scene), *_dampening(scene)]
    lines += _register(scene, lines)
    lines += [scene.line("check_first_sheets", Reason.of("always_checked"))]
    lines += _own(scene, lines)
    moved = _outside(press, lines, change, room_before)
    return Changeover(
        lines=tuple(in_working_order(moved)),
        after=_after(scene, tack.reduces),
        warnings=(
            *tack.warnings,
            *_units_free_note(press, print_pass),
            *(w for i in inks.values() for w in i.warnings),
        ),
        feeder=change.feeder,
    )


def evening_tasks(
    press: PressProfile, state: PressState, washed: Iterable[int]
) -> tuple[tuple[TaskLine, ...], PressState]:
    """The wash before a night, of the units named, and the press as it stands next morning: plates on, gummed."""
    lines: list[TaskLine] = []
    units = list(state.units)
    for u in sorted(washed):
        ink = evening_inking(state.unit(u))
        lines += _ink_lines(press, u, ink)
        units[u - 1] = ink.after
    return tuple(in_working_order(lines)), replace(state, units=tuple(units), printed=NO_UNITS)


def _feeder(s: _Scene) -> Iterator[TaskLine]:
    if s.state.delivery_pile:
        yield s.line("take_off_delivery_pile", Reason.of("pile_in_delivery"))
    yield s.line("load_pile", Reason.of("new_pile", sheets=s.print_pass.run_sheets, stock=s.print_pass.stock.name))
    if s.print_pass.first_side is not None:
        yield s.line("turn_pile", Reason.of("backs_up", first=s.print_pass.first_side))
    if s.change.format:
        yield s.line("feeder_to_format", _format_reason(s))
    if s.change.lay_side:
        before = s.state.settings.lay_side
        yield s.line("change_lay_side", Reason.of("lay_side", old=before or "unknown", new=s.print_pass.lay_side))
    if s.change.caliper:
        yield s.line("feeder_to_caliper", _caliper_reason(s))
    if s.change.stock or s.change.feeder:
        why = Reason.of("stock", new=s.print_pass.stock.name) if s.change.stock else Reason.of("feeder_was_set")
        yield s.line("set_double_sheet_detector", why)


def _pressure(s: _Scene) -> Iterator[TaskLine]:
    if s.change.caliper:
        for unit in s.inks:
            yield s.line("set_printing_pressure", _caliper_reason(s), unit)


def _delivery(s: _Scene) -> Iterator[TaskLine]:
    if s.change.format:
        yield s.line("delivery_to_format", _format_reason(s))
    if s.change.format or s.change.strips:
        yield s.line("move_guide_pulleys", _format_reason(s) if s.change.format else Reason.of("strips"))
    if s.change.caliper:
        yield s.line("set_gripper_fans_powder", _caliper_reason(s))
    elif s.change.speed:
        before = s.state.settings.speed_sph
        old = "unknown" if before is None else round(before)
        yield s.line("set_gripper_fans_powder", Reason.of("speed", old=old, new=round(s.now.speed_sph or 0)))
    if s.change.arrival:
        yield s.line("retime_sheet_arrival", Reason.of("arrival", caliper=s.print_pass.stock.caliper_um))


def _plates(s: _Scene) -> Iterator[TaskLine]:
    if (lifted := s.plates.get(2)) is not None and lifted.off is not None and not lifted.off_automatic:
        yield s.line("lift_roller_package", Reason.of("roller_package", plate=lifted.off.id), 2)
    for unit, work in s.plates.items():
        if work.off is not None:
            yield _plate_line(s, "take_plate_off", work.off_automatic, work.why_off, unit)
        if work.on is not None:
            yield _plate_line(s, "put_plate_on", work.on_automatic, work.why_on, unit)
        if work.packing and work.on is not None and work.off is not None:
            why = Reason.of("packing", old=work.off.thickness_um, new=work.on.thickness_um)
            yield s.line("change_plate_packing", why, unit)
        if (why_damp := _pre_damp(s, unit, work)) is not None:
            yield s.line("pre_damp_plate", why_damp, unit)
        if _gums(s, unit, work):
            yield s.line("gum_plate", Reason.of("plate_stays", plate=_plate_id(s.state.unit(unit))), unit)


def _plate_line(s: _Scene, task: str, automatic: bool, why: Reason, unit: int) -> TaskLine:
    return s.variant(task, "automatic" if automatic else "minutes", why, unit)


def _plate_id(unit: UnitState) -> str:
    return "" if unit.plate is None else unit.plate.id


def _pre_damp(s: _Scene, unit: int, work: PlateWork) -> Reason | None:
    """A polyester plate that is mounted and prints or comes off, when its unit has stood for over 30 minutes."""
    before = s.state.unit(unit)
    if before.plate is None or before.plate.material is not PlateMaterial.POLYESTER:
        return None
    prints = unit in s.used and work.off is None
    if not prints and work.off is None:
        return None
    if before.last_run_end is not None and s.moment.begins - before.last_run_end <= PRE_DAMP_AFTER_S:
        return None
    return Reason.of("polyester_prints" if prints else "polyester_comes_off", plate=before.plate.id)


def _gums(s: _Scene, unit: int, work: PlateWork) -> bool:
    plate = s.state.unit(unit).plate
    stays = plate is not None and work.off is None and plate.material is PlateMaterial.METAL
    return stays and unit in s.state.printed and unit not in s.used


def _ink(s: _Scene) -> Iterator[TaskLine]:
    for unit, ink in s.inks.items():
        yield from _ink_lines(s.press, unit, ink, s.used.get(unit))


def _ink_lines(press: PressProfile, unit: int, ink: Inking, separation: Separation | None = None) -> Iterator[TaskLine]:
    if ink.why_out is not None:
        yield task_line("empty_fountain", press.tasks["empty_fountain"].seconds, ink.why_out, unit)
    if ink.washes and ink.why_wash is not None:
        yield task_line("wash_rollers", ink.wash_seconds(press), ink.why_wash, unit, ink.washes)
    if ink.oils:
        yield task_line("oil_rollers", press.tasks["oil_rollers"].seconds, Reason.of("no_ink_on_rollers"), unit)
    if ink.fills and separation is not None:
        why = Reason.of("ink_goes_in", ink=separation.ink.name)
        yield task_line("fill_fountain", press.tasks["fill_fountain"].seconds, why, unit)


@dataclass(frozen=True, slots=True)
class _Tack:
    lines: tuple[TaskLine, ...] = ()
    reduces: bool = False
    warnings: tuple[Reason, ...] = ()


def _tack(s: _Scene) -> _Tack:
    """Whether the second ink down must be made less tacky than the first."""
    if len(s.used) < 2 or not (s.print_pass.overprint or s.press.common_blanket):
        return _Tack()
    first, second = s.used[1].ink, s.used[2].ink
    if first.tack is None or second.tack is None or first.tack.instrument != second.tack.instrument:
        return _Tack(warnings=(Reason.of("tack_unknown", first=first.name, second=second.name),))
    if first.tack.value > second.tack.value:
        return _Tack()
    facts = Reason.of(
        "tack",
        first=first.name,
        second=second.name,
        first_tack=first.tack.value,
        second_tack=second.tack.value,
    )
    if s.inks[2].after.reduced:
        return _Tack(warnings=(replace(facts, code="tack_already_reduced"),))
    return _Tack((s.line("reduce_tack", facts),), True, (replace(facts, code="tack_order"),))


def _blankets(s: _Scene) -> Iterator[TaskLine]:
    if any(w.off is not None or w.on is not None for w in s.plates.values()):
        yield s.line("wash_blankets", Reason.of("blankets_plate"))
    elif any(i.fills for i in s.inks.values()):
        yield s.line("wash_blankets", Reason.of("blankets_ink"))
    elif s.change.grows:
        yield s.line("wash_blankets", Reason.of("blankets_format"))


def _dampening(s: _Scene) -> Iterator[TaskLine]:
    material = s.print_pass.plate_material
    if s.state.solution is not material:
        old = "unknown" if s.state.solution is None else str(s.state.solution)
        yield s.line("change_dampening", Reason.of("solution", old=old, new=str(material)))


def _register(s: _Scene, lines: Iterable[TaskLine]) -> list[TaskLine]:
    fresh = {line.unit for line in lines if line.task in ("put_plate_on", "fill_fountain")}
    if fresh:
        why = Reason.of("register_units", units=len(fresh))
    elif s.change.format or s.change.lay_side:
        why = Reason.of("register_sheet")
    elif s.print_pass.first_side is not None:
        why = Reason.of("register_back", first=s.print_pass.first_side)
    else:
        return []
    line = s.line("register_and_colour", why)
    if len(fresh) > 1:
        line = replace(line, seconds=s.press.tasks["register_and_colour"].both_units_seconds)
    return [line]


def _own(s: _Scene, lines: Iterable[TaskLine]) -> Iterator[TaskLine]:
    came = {line.task for line in lines}
    facts = {
        OwnTrigger.STOCK: s.change.stock,
        OwnTrigger.FORMAT: s.change.format,
        OwnTrigger.LAY_SIDE: s.change.lay_side,
        OwnTrigger.CALIPER: s.change.caliper_at_all,
        OwnTrigger.PLATE: bool(came & {"take_plate_off", "put_plate_on"}),
        OwnTrigger.INK_FILLED: "fill_fountain" in came,
        OwnTrigger.BACKS_UP: s.print_pass.first_side is not None,
    }
    for task in s.press.own_tasks:
        if task.name in s.print_pass.own_tasks:
            yield _own_line(task, Reason.of("own_named", task=task.name))
        elif held := [trigger for trigger in OwnTrigger if trigger in task.when and facts[trigger]]:
            yield _own_line(task, Reason.of("own_fact", task=task.name, fact=str(held[0])))


def _own_line(task: OwnTask, why: Reason) -> TaskLine:
    unit = {"unit 1": 1, "unit 2": 2}.get(task.place)
    return TaskLine(task.key, unit, seconds_of_minutes(task.minutes), why, task.place, task.state)


def _outside(press: PressProfile, lines: Iterable[TaskLine], change: Differences, room: int | None) -> list[TaskLine]:
    """Move the tasks the profile marks into the run before, in table order, each if it still fits whole."""
    moved = []
    left = room or 0
    for line in lines:
        free = line.task not in ("load_pile", "turn_pile") or not (change.format or change.lay_side)
        if room is not None and line.task in press.external and free and line.seconds <= left:
            left -= line.seconds
            line = replace(line, external=True)
        moved.append(line)
    return moved


def _after(s: _Scene, reduces: bool) -> PressState:
    units = []
    for number in s.inks:
        unit = replace(s.inks[number].after, plate=s.plates[number].after)
        units.append(replace(unit, reduced=True) if reduces and number == 2 else unit)
    return PressState(
        units=tuple(units),
        solution=s.print_pass.plate_material,
        delivery_pile=True,
        settings=s.now,
        printed=frozenset(s.used),
    )


def _units_free_note(press: PressProfile, print_pass: PrintPass) -> tuple[Reason, ...]:
    if print_pass.units_free and not units_are_free(press, print_pass):
        return (Reason.of("units_free_idle"),)
    return ()


def units_are_free(press: PressProfile, print_pass: PrintPass) -> bool:
    """Whether 'units free' has effect: only without overprint and with separate blankets."""
    return print_pass.units_free and not print_pass.overprint and not press.common_blanket


def _format_reason(s: _Scene) -> Reason:
    before = s.state.settings
    new = f"{s.print_pass.format.label}, {s.print_pass.feed_edge} edge first"
    if before.format is None or before.feed_edge is None:
        return Reason.of("format_unknown", new=new)
    return Reason.of("format", old=f"{before.format.label}, {before.feed_edge} edge first", new=new)


def _caliper_reason(s: _Scene) -> Reason:
    new = s.print_pass.stock.caliper_um
    before = s.state.settings.caliper_um
    if before is None:
        return Reason.of("caliper_unknown", new=new)
    return Reason.of("caliper", old=before, new=new, percent=round(abs(new - before) * 100 / before))
