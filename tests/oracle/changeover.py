"""The tasks between two passes: what differs from the pass before, what units need, what waits for what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from tests.oracle.problem import Pass, PressState, Problem, Settings, Task, TaskId, UnitState, whole_seconds

# Place and state of each task; "unit" stands for the unit concerned.
PLACES: Mapping[str, tuple[str, str]] = {
    "take_off_delivery_pile": ("delivery", "outside"),
    "load_pile": ("feeder", "outside"),
    "turn_pile": ("feeder", "outside"),
    "feeder_to_format": ("feeder", "stopped"),
    "change_lay_side": ("feeder", "stopped"),
    "feeder_to_caliper": ("feeder", "stopped"),
    "set_double_sheet_detector": ("feeder", "turning"),
    "set_printing_pressure": ("unit", "stopped"),
    "delivery_to_format": ("delivery", "stopped"),
    "move_guide_pulleys": ("delivery", "stopped"),
    "set_gripper_fans_powder": ("delivery", "turning"),
    "retime_sheet_arrival": ("delivery", "turning"),
    "take_plate_off": ("unit", "stopped"),
    "lift_roller_package": ("unit", "stopped"),
    "put_plate_on": ("unit", "stopped"),
    "change_plate_packing": ("unit", "stopped"),
    "pre_damp_plate": ("unit", "turning"),
    "gum_plate": ("unit", "turning"),
    "empty_fountain": ("unit", "stopped"),
    "wash_rollers": ("unit", "turning"),
    "oil_rollers": ("unit", "turning"),
    "fill_fountain": ("unit", "turning"),
    "reduce_tack": ("mixing table", "outside"),
    "wash_blankets": ("blanket", "turning"),
    "change_dampening": ("dampening", "stopped"),
    "register_and_colour": ("delivery", "turning"),
    "check_first_sheets": ("delivery", "turning"),
}


@dataclass(frozen=True)
class Call:
    """One changeover to be made: who prints where, when it starts, and what came before.

    `before` = units of the pass before (none at the plan's start), `stale` = units whose ink must be washed
    out here for its age, `run_before` = seconds of the preceding run, None before the first pass.
    """

    job_pass: Pass
    units: tuple[int, ...]
    start: int
    before: tuple[int, ...]
    after_evening: bool
    stale: frozenset[int]
    run_before: int | None


@dataclass(frozen=True)
class Facts:
    """What differs from the pass before; an unknown setting differs from everything."""

    format: bool
    format_grown: bool
    lay_side: bool
    stock: bool
    caliper: bool
    caliper_ten_percent: bool
    strips: bool
    speed_twenty_percent: bool
    thickness_class: bool


@dataclass(frozen=True)
class UnitWork:
    """What one unit undergoes. `more_only`: the first wash was done when the ink came out, earlier."""

    plate_off: str | None = None
    plate_on: str | None = None
    pre_damp: bool = False
    gum: bool = False
    ink_out: bool = False
    washes: int = 0
    more_only: bool = False
    fill: bool = False
    oil: bool = False


Works = Mapping[int, UnitWork]


def run_speed(problem: Problem, job_pass: Pass) -> Fraction:
    """Sheets an hour: the stock's speed by the factor of the heaviest coverage class."""
    classes = [name for name, _ in problem.profile.coverage]
    heaviest = max(classes.index(separation.coverage) for separation in job_pass.separations)
    return Fraction(problem.stocks[job_pass.stock].speed) * Fraction(problem.profile.coverage[heaviest][1])


def settings_for(problem: Problem, job_pass: Pass) -> Settings:
    """The settings a pass leaves behind."""
    return Settings(
        short_mm=job_pass.short_mm,
        long_mm=job_pass.long_mm,
        feed_edge=job_pass.feed_edge,
        lay_side=job_pass.lay_side,
        stock=job_pass.stock,
        caliper_um=problem.stocks[job_pass.stock].caliper_um,
        strips=job_pass.strips,
        speed=run_speed(problem, job_pass),
    )


def facts_between(old: Settings, new: Settings) -> Facts:
    """When a row of the task table comes: each comparison with the pass before."""
    edge = old.feed_edge is None or old.feed_edge != new.feed_edge
    sides = [_side_step(old.short_mm, new.short_mm), _side_step(old.long_mm, new.long_mm)]
    return Facts(
        format=edge or any(step is None or abs(step) >= 1 for step in sides),
        format_grown=edge or any(step is None or step >= 1 for step in sides),
        lay_side=old.lay_side != new.lay_side,
        stock=old.stock != new.stock,
        caliper=old.caliper_um != new.caliper_um,
        caliper_ten_percent=_moves_more_than(old.caliper_um, new.caliper_um, Fraction(1, 10)),
        strips=old.strips != new.strips,
        speed_twenty_percent=_moves_more_than(old.speed, new.speed, Fraction(1, 5)),
        thickness_class=_thickness_class(old.caliper_um) != _thickness_class(new.caliper_um),
    )


def _side_step(old: str | None, new: str | None) -> Fraction | None:
    """Millimetres a side grows by, None when it was unknown."""
    return None if old is None or new is None else Fraction(new) - Fraction(old)


def _moves_more_than(old: int | Fraction | None, new: int | Fraction | None, share: Fraction) -> bool:
    """Whether a figure moves by more than a share of the old one."""
    return old is None or new is None or abs(Fraction(new) - old) > share * old


def _thickness_class(caliper_um: int | None) -> str:
    """Very thin under 60 µm, very thick over 250 µm."""
    if caliper_um is None:
        return "unknown"
    return "very thin" if caliper_um < 60 else "very thick" if caliper_um > 250 else "normal"


def unit_work(problem: Problem, state: PressState, call: Call, unit: int) -> UnitWork:
    """Plate and ink of one unit: what comes off or out, what goes on or in."""
    held = state.units[unit]
    wanted = dict(zip(call.units, call.job_pass.separations, strict=True))
    mine = wanted.get(unit)
    elsewhere = {separation.plate for other, separation in wanted.items() if other != unit}
    needs_other = mine is not None and mine.plate != held.plate
    cannot_stay = mine is None and not problem.profile.idle_unit_thrown_off
    off = held.plate if needs_other or held.plate in elsewhere or cannot_stay else None
    on = mine.plate if mine is not None and mine.plate != held.plate else None
    material = problem.plates[held.plate].material if held.plate is not None else None
    rested = held.last_end is None or call.start - held.last_end > 30 * 60
    ink = _ink_work(problem, held, mine.ink if mine else None, unit in call.stale)
    return replace(
        ink,
        plate_off=off,
        plate_on=on,
        pre_damp=material == "polyester" and rested and (off is not None or mine is not None),
        gum=material == "metal" and off is None and mine is None and unit in call.before
        and not call.after_evening,
    )


def _ink_work(problem: Problem, held: UnitState, wanted: str | None, stale: bool) -> UnitWork:
    """Same ink, not stale: nothing; ink out: empty and wash; emptied before: washes still missing.

    A stale ink is washed once; then it is filled again if this pass wants it, else the unit is oiled.
    """
    if held.ink is not None and wanted in (None, held.ink):
        idle = wanted is None
        return UnitWork(ink_out=True, washes=1, oil=idle, fill=not idle) if stale else UnitWork()
    if wanted is None:
        return UnitWork(oil=not held.oiled)
    if held.ink is not None:
        return UnitWork(ink_out=True, washes=problem.washes[held.ink, wanted], fill=True)
    missing = 0
    if held.residue is not None and held.residue[0] != wanted:
        missing = max(0, problem.washes[held.residue[0], wanted] - held.residue[1])
    return UnitWork(washes=missing, more_only=True, fill=True)


def unit_after(held: UnitState, work: UnitWork, ink: str | None) -> UnitState:
    """The unit once its work is done; `ink` is what this pass prints there. Ink washed out leaves residue."""
    plate = work.plate_on or (None if work.plate_off else held.plate)
    after = replace(held, plate=plate, oiled=(held.oiled or work.oil) and not work.fill)
    if work.fill:
        return replace(after, ink=ink, residue=None, reduced=False)
    if work.ink_out and held.ink is not None:
        return replace(after, ink=None, residue=(held.ink, work.washes), reduced=False)
    return after


@dataclass(frozen=True)
class Changeover:
    """A changeover's tasks in table order, what must precede what, and the press when it is over."""

    tasks: tuple[Task, ...]
    precedence: frozenset[tuple[TaskId, TaskId]]
    after: PressState


def changeover(problem: Problem, state: PressState, call: Call) -> Changeover:
    """All tasks from this press state to this pass; those done during the run before are marked external."""
    facts = facts_between(state.settings, settings_for(problem, call.job_pass))
    works = {unit: unit_work(problem, state, call, unit) for unit in sorted(state.units)}
    inks = dict(zip(call.units, (separation.ink for separation in call.job_pass.separations), strict=True))
    units = {unit: unit_after(state.units[unit], works[unit], inks.get(unit)) for unit in works}
    reduce = len(call.units) == 2 and _tack_is_wrong(problem, call.job_pass, inks) and not units[2].reduced
    if reduce:
        units[2] = replace(units[2], reduced=True)
    material = problem.plates[call.job_pass.separations[0].plate].material
    keys = _shared_keys(call.job_pass, state, facts, works) | {
        "reduce_tack": reduce,
        "change_dampening": material != state.solution,
    }
    listed = list(_listed(problem, call.job_pass, keys, facts, works))
    tasks = tuple(_set_out(problem, call, listed))
    after = PressState(units, settings_for(problem, call.job_pass), material, False)
    return Changeover(tasks, precedence([task for task in tasks if not task.external], works), after)


def _tack_is_wrong(problem: Problem, job_pass: Pass, inks: Mapping[int, str]) -> bool:
    """Wet on wet or one blanket, one instrument, and unit 1's tack not above unit 2's."""
    first, second = problem.inks[inks[1]], problem.inks[inks[2]]
    if not job_pass.overprint and problem.profile.separate_blankets:
        return False
    if first.tack is None or second.tack is None or first.instrument is None:
        return False
    return first.instrument == second.instrument and Fraction(first.tack) <= Fraction(second.tack)


def _shared_keys(job_pass: Pass, state: PressState, facts: Facts, works: Works) -> dict[str, bool]:
    """Which tasks that belong to no single unit come."""
    any_plate_on = any(work.plate_on for work in works.values())
    any_plate = any_plate_on or any(work.plate_off for work in works.values())
    any_fill = any(work.fill for work in works.values())
    backs_up = job_pass.first_side is not None
    feeder = facts.format or facts.lay_side or facts.caliper_ten_percent
    return {
        "take_off_delivery_pile": state.delivery_pile,
        "load_pile": True,
        "turn_pile": backs_up,
        "feeder_to_format": facts.format,
        "change_lay_side": facts.lay_side,
        "feeder_to_caliper": facts.caliper_ten_percent,
        "set_double_sheet_detector": facts.stock or feeder,
        "set_printing_pressure": facts.caliper_ten_percent,
        "delivery_to_format": facts.format,
        "move_guide_pulleys": facts.format or facts.strips,
        "set_gripper_fans_powder": facts.caliper_ten_percent or facts.speed_twenty_percent,
        "retime_sheet_arrival": facts.thickness_class,
        "wash_blankets": any_plate or any_fill or facts.format_grown,
        "register_and_colour": any_plate_on or any_fill or facts.format or facts.lay_side or backs_up,
        "check_first_sheets": True,
    }


def _listed(
    problem: Problem, job_pass: Pass, keys: Mapping[str, bool], facts: Facts, works: Works
) -> Iterator[Task]:
    """The tasks in table order, the shop's own last."""
    for key in PLACES:
        if keys.get(key) and key != "set_printing_pressure":
            yield _task(problem, key, None, _shared_minutes(problem, key, works))
        for unit, work in works.items():
            minutes = _unit_minutes(problem, key, unit, work, keys["set_printing_pressure"])
            if minutes is not None:
                washes = work.washes if key == "wash_rollers" else 0
                yield replace(_task(problem, key, unit, minutes), washes=washes)
    for own in problem.profile.own_tasks:
        if own.name in job_pass.own_tasks or own.facts & _own_facts(job_pass, facts, works):
            yield Task(f"own:{own.name}", None, whole_seconds(Fraction(own.minutes)), own.place, own.state)


def _own_facts(job_pass: Pass, facts: Facts, works: Works) -> set[str]:
    """What a shop's own task can hang on; any difference is a change, of format 1 mm or the feed edge."""
    holds = {
        "stock": facts.stock,
        "format": facts.format,
        "lay_side": facts.lay_side,
        "caliper": facts.caliper,
        "plate": any(work.plate_on or work.plate_off for work in works.values()),
        "ink_filled": any(work.fill for work in works.values()),
        "backs_up": job_pass.first_side is not None,
    }
    return {name for name, true in holds.items() if true}


def _task(problem: Problem, key: str, unit: int | None, minutes: Fraction) -> Task:
    """A task with the place and state of its row."""
    place, state = PLACES[key]
    return Task(key, unit, whole_seconds(minutes), f"unit {unit}" if place == "unit" else place, state)


def _shared_minutes(problem: Problem, key: str, works: Works) -> Fraction:
    """Minutes of a task that belongs to no unit; register takes longer when both units got plate or ink."""
    minutes = problem.profile.minutes
    if key != "register_and_colour":
        return Fraction(minutes[key])
    fresh = sum(1 for work in works.values() if work.plate_on or work.fill)
    once = Fraction(minutes["register_and_colour.once"])
    return once + Fraction(minutes["register_and_colour.second_unit"]) if fresh == 2 else once


def _unit_minutes(problem: Problem, key: str, unit: int, work: UnitWork, pressure: bool) -> Fraction | None:
    """Minutes of a unit's own task, None when it does not come."""
    minutes = problem.profile.minutes
    if key == "take_plate_off":
        return _handling(problem, key, work.plate_off)
    if key == "put_plate_on":
        return _handling(problem, key, work.plate_on)
    if key == "wash_rollers":
        return _wash_minutes(problem, work)
    by_hand_off = work.plate_off is not None and not _automatic(problem, work.plate_off)
    comes = {
        "set_printing_pressure": pressure,
        "lift_roller_package": unit == 2 and by_hand_off,
        "change_plate_packing": _packing_changes(problem, work),
        "pre_damp_plate": work.pre_damp,
        "gum_plate": work.gum,
        "empty_fountain": work.ink_out,
        "oil_rollers": work.oil,
        "fill_fountain": work.fill,
    }
    return Fraction(minutes[key]) if comes.get(key) else None


def _automatic(problem: Problem, plate: str) -> bool:
    """Automatic change works for the profile's one plate length, plate by plate."""
    return problem.plates[plate].length_um == problem.profile.automatic_length_um


def _handling(problem: Problem, key: str, plate: str | None) -> Fraction | None:
    """Minutes to take a plate off or put it on."""
    if plate is None:
        return None
    return Fraction(problem.profile.minutes[f"{key}.{'automatic' if _automatic(problem, plate) else 'hand'}"])


def _packing_changes(problem: Problem, work: UnitWork) -> bool:
    """A plate goes on and differs by more than 20 µm from the one taken off there; none taken off: no."""
    if work.plate_on is None or work.plate_off is None:
        return False
    return abs(problem.plates[work.plate_on].thickness_um - problem.plates[work.plate_off].thickness_um) > 20


def _wash_minutes(problem: Problem, work: UnitWork) -> Fraction | None:
    """One block: first wash and each more, or only "each more" when the first was done earlier."""
    if work.washes == 0:
        return None
    first = Fraction(problem.profile.minutes["wash_rollers.first"])
    more = Fraction(problem.profile.minutes["wash_rollers.more"])
    return work.washes * more if work.more_only else first + (work.washes - 1) * more


def _set_out(problem: Problem, call: Call, tasks: list[Task]) -> Iterator[Task]:
    """External set-up: marked tasks, in table order, each that still fits in what is left of the run before.

    None before the first pass; piles stay in when the feeder's format or the lay side is set.
    """
    left = call.run_before if call.run_before is not None else -1
    feeder_is_set = any(task.key in ("feeder_to_format", "change_lay_side") for task in tasks)
    for task in tasks:
        marked = task.key in problem.profile.external
        held_in = task.key in ("load_pile", "turn_pile") and feeder_is_set
        if marked and not held_in and task.seconds <= left:
            left -= task.seconds
            yield replace(task, external=True)
        else:
            yield task


def precedence(tasks: Iterable[Task], works: Works) -> frozenset[tuple[TaskId, TaskId]]:
    """All pairs (earlier, later) among the given tasks."""
    present = [task.id for task in tasks]
    pairs: set[tuple[TaskId, TaskId]] = set()
    for chain in _chains(present, works):
        steps = [[wanted for wanted in step if wanted in present] for step in chain]
        for index, earlier in enumerate(steps):
            pairs.update((a, b) for later in steps[index + 1:] for a in earlier for b in later)
    return frozenset(pairs)


def _chains(present: list[TaskId], works: Works) -> Iterator[list[list[TaskId]]]:
    """The precedence as chains of steps: each task of a step before each task of the later steps."""
    for unit in works:
        plate = ("lift_roller_package", "take_plate_off", "change_plate_packing", "put_plate_on")
        yield [[(key, unit)] for key in plate]
        yield [[(key, unit)] for key in ("pre_damp_plate", "take_plate_off")]
        yield [[(key, unit)] for key in ("empty_fountain", "wash_rollers", "fill_fountain")]
        yield [[(key, unit)] for key in ("empty_fountain", "wash_rollers", "oil_rollers")]
        yield [[(key, unit)] for key in ("take_plate_off", "wash_rollers", "put_plate_on")]
    for there, leaving in works.items():
        for here, coming in works.items():
            if leaving.plate_off is not None and leaving.plate_off == coming.plate_on:
                yield [[("take_plate_off", there)], [("put_plate_on", here)]]
    yield [[("reduce_tack", None)], [("fill_fountain", 2)]]
    offs: list[TaskId] = [("take_plate_off", unit) for unit in works]
    ons: list[TaskId] = [("put_plate_on", unit) for unit in works]
    yield [offs, [("wash_blankets", None)], ons]
    delivery = ("delivery_to_format", "move_guide_pulleys", "set_gripper_fans_powder", "retime_sheet_arrival")
    yield [[("take_off_delivery_pile", None)], [(key, None) for key in delivery]]
    settings: list[TaskId] = [("feeder_to_format", None), ("change_lay_side", None)]
    yield [settings, [("load_pile", None)], [("turn_pile", None)]]
    pile: list[TaskId] = [("feeder_to_caliper", None), ("load_pile", None), ("turn_pile", None)]
    yield [settings + pile, [("set_double_sheet_detector", None)]]
    last: list[TaskId] = [("register_and_colour", None), ("check_first_sheets", None)]
    yield [[task for task in present if task not in last], last[:1], last[1:]]
