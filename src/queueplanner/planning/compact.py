"""The compact instance: a day's objects as arrays, for the compiled search. The rules come from makeready itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from queueplanner.makeready.differences import Differences, differences
from queueplanner.makeready.inking import residue_model
from queueplanner.makeready.residue import wash_count
from queueplanner.makeready.state import PressState, Settings
from queueplanner.planning.instance import Instance
from queueplanner.planning.slots import SLOTS, all_lines, bindings_of, bit, modes_of, places_of
from queueplanner.shop.base import InkId, PassId, PlateId, seconds_of_minutes
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import PrintPass
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import OwnTrigger, PressProfile, TaskState

Ints = NDArray[np.int64]

# The press between two passes is one row of whole numbers.
PREV, SOLUTION, PRINTED, PILE, ENDED, EVENED, WINDOW, MAKEREADY, WASH_UPS, LATE = range(10)
UNIT, UNIT_WIDTH = 10, 8
INK, REDUCED, LAST_END, OLD_INK, OLD_WASHES, OILED, PLATE, IDLE_FROM = range(8)
STATE_WIDTH = UNIT + 2 * UNIT_WIDTH
UNKNOWN = -1

#: Bits of a changeover's variant word: automatic plate changes, wash blocks, registering two units.
OFF_AUTOMATIC, ON_AUTOMATIC, WASH_CODE, TWO_UNITS = 0, 2, 4, 12
#: Wash codes 1 to 4 are a first wash and more; 5 to 8 are one to four more on an emptied unit.
FIRST_WASH_CODES = 4


_NONE: Ints = np.zeros(0, dtype=np.int64)


class Compact(NamedTuple):
    """A day as arrays. Passes, inks, plates and jobs are numbered; -1 is none or unknown; times in epoch seconds.

    `started` is the pass on the press, which stands first. `pins` holds (pass, place) pairs and `turns` (earlier,
    later) pairs, first and second sides among them; `group_of` by pass the group it stays together with, and
    `known_rank` its place in the known order. The last two are empty where no pass has one.
    """

    n: int
    units: int
    start: Ints
    shared: Ints
    shared_seconds: Ints
    grows: Ints
    sheet_register: Ints
    pile_free: Ints
    choices: Ints
    ink_of: Ints
    plate_of: Ints
    wet: Ints
    material: Ints
    run_s: Ints
    earliest: Ints
    first: Ints
    dry_s: Ints
    longest_pause: Ints
    job: Ints
    last_of_job: Ints
    due: Ints
    weight: Ints
    given_end: Ints
    open_s: Ints
    washes: Ints
    tacky: Ints
    plate_metal: Ints
    plate_polyester: Ints
    plate_automatic: Ints
    packing: Ints
    takes_idle_off: int
    crosses_days: int
    slot_seconds: Ints
    variant_seconds: Ints
    external: Ints
    own_plate: int
    own_ink: int
    slot_place: Ints
    slot_mode: Ints
    slot_before: Ints
    window_start: Ints
    window_end: Ints
    window_day: Ints
    window_crew: Ints
    shift_start: Ints
    shift_crew: Ints
    day_start: Ints
    weights: Ints
    started: int = UNKNOWN
    makeready_left: int = 0
    pins: Ints = _NONE
    group_of: Ints = _NONE
    turns: Ints = _NONE
    known_rank: Ints = _NONE

    @property
    def is_ruled(self) -> bool:
        """Whether a person has fixed anything, or a pass is on the press."""
        return self.started >= 0 or any(x.size > 0 for x in (self.pins, self.group_of, self.known_rank))


#: Rows of `variant_seconds`: plate off and on by the press, register of both units, then one for each wash code.
OFF_AUTO_S, ON_AUTO_S, BOTH_UNITS_S, WASH_S = range(4)
NEVER_DUE = 2**62


class Numbering(NamedTuple):
    """Which number stands for which pass, ink and plate."""

    passes: tuple[PassId, ...]
    inks: Mapping[InkId, int]
    plates: Mapping[PlateId, int]


def compact(instance: Instance) -> tuple[Compact, Numbering]:
    """Build the arrays of an instance. Raises NoPlan when the shop has more own tasks than a signature can hold."""
    press = instance.shop.press
    lines = all_lines(press)
    if len(lines) < len(SLOTS) + len(press.own_tasks):
        raise NoPlan("too many own tasks", [], f"a press profile can have {len(lines) - len(SLOTS)} of them")
    passes = list(instance.passes.values())
    inks = _inks_of(instance, passes)
    plates = _plates_of(instance, passes)
    numbering = Numbering(
        tuple(p.id for p in passes),
        {ink.id: i for i, ink in enumerate(inks)},
        {plate.id: i for i, plate in enumerate(plates)},
    )
    figures: dict[str, Any] = {
        **_settings_arrays(instance, passes),
        **_pass_arrays(instance, passes, numbering),
        **_ink_arrays(press, inks),
        **_plate_arrays(press, plates),
        **_task_arrays(press),
        **_clock_arrays(instance),
        **_rule_arrays(instance, passes),
    }
    return Compact(n=len(passes), units=press.units, start=_start_row(instance, numbering), **figures), numbering


def _ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), dtype=np.int64)


def _inks_of(instance: Instance, passes: Sequence[PrintPass]) -> list[Ink]:
    inks = {s.ink.id: s.ink for p in passes for s in p.separations}
    for unit in instance.state.units:
        for ink in (unit.ink, unit.residue.ink if unit.residue else None):
            if ink is not None:
                inks[ink.id] = ink
    return list(inks.values())


def _plates_of(instance: Instance, passes: Sequence[PrintPass]) -> list[Plate]:
    plates = {s.plate.id: s.plate for p in passes for s in p.separations}
    plates |= {unit.plate.id: unit.plate for unit in instance.state.units if unit.plate is not None}
    return list(plates.values())


def _settings_arrays(instance: Instance, passes: Sequence[PrintPass]) -> dict[str, Ints]:
    """What feeder, delivery and stock call for between any two passes; the last row is the plan's start."""
    n = len(passes)
    settings = [Settings.of(p, instance.shop.press) for p in passes]
    before = [*settings, instance.state.settings]
    known: dict[tuple[Settings, Settings], Differences] = {}
    shape = (n + 1, n)
    shared, grows, register, pile_free = (np.zeros(shape, dtype=np.int64) for _ in range(4))
    own = _own_bits(instance.shop.press)
    for i, old in enumerate(before):
        for j, new in enumerate(settings):
            change = known.get((old, new))
            if change is None:
                change = known[old, new] = differences(old, new)
            backs_up = passes[j].first_side is not None
            shared[i, j] = _shared_bits(change, backs_up, instance.shop.press.units)
            shared[i, j] |= _own_shared(own, change, passes[j])
            grows[i, j] = change.grows
            register[i, j] = change.format or change.lay_side or backs_up
            pile_free[i, j] = not (change.format or change.lay_side)
    seconds = np.array([line.seconds for line in all_lines(instance.shop.press)], dtype=np.int64)
    held = shared[:, :, None] >> np.arange(seconds.size) & 1
    return {
        "shared": shared,
        "shared_seconds": held @ seconds,
        "grows": grows,
        "sheet_register": register,
        "pile_free": pile_free,
    }


def _shared_bits(change: Differences, backs_up: bool, units: int) -> int:
    """The tasks that depend on the two passes alone."""
    bits = bit("load_pile") | bit("check_first_sheets")
    if backs_up:
        bits |= bit("turn_pile")
    if change.format:
        bits |= bit("feeder_to_format") | bit("delivery_to_format")
    if change.format or change.strips:
        bits |= bit("move_guide_pulleys")
    if change.lay_side:
        bits |= bit("change_lay_side")
    if change.caliper:
        bits |= bit("feeder_to_caliper")
        for unit in range(1, units + 1):
            bits |= bit("set_printing_pressure", unit)
    if change.stock or change.feeder:
        bits |= bit("set_double_sheet_detector")
    if change.caliper or change.speed:
        bits |= bit("set_gripper_fans_powder")
    if change.arrival:
        bits |= bit("retime_sheet_arrival")
    return bits


def _own_bits(press: PressProfile) -> list[tuple[int, str, frozenset[OwnTrigger]]]:
    return [(1 << (len(SLOTS) + i), task.name, task.when) for i, task in enumerate(press.own_tasks)]


def _own_shared(
    own: Sequence[tuple[int, str, frozenset[OwnTrigger]]], change: Differences, print_pass: PrintPass
) -> int:
    facts = {
        OwnTrigger.STOCK: change.stock,
        OwnTrigger.FORMAT: change.format,
        OwnTrigger.LAY_SIDE: change.lay_side,
        OwnTrigger.CALIPER: change.caliper_at_all,
        OwnTrigger.BACKS_UP: print_pass.first_side is not None,
    }
    bits = 0
    for own_bit, name, when in own:
        if name in print_pass.own_tasks or any(held and trigger in when for trigger, held in facts.items()):
            bits |= own_bit
    return bits


def _pass_arrays(instance: Instance, passes: Sequence[PrintPass], numbering: Numbering) -> dict[str, Ints]:
    n, number = len(passes), {p.id: i for i, p in enumerate(passes)}
    ink_of, plate_of = (np.full((n, 2, 2), UNKNOWN, dtype=np.int64) for _ in range(2))
    for i, p in enumerate(passes):
        for c, choice in enumerate(instance.choices[p.id]):
            for separation, unit in zip(p.separations, choice, strict=True):
                ink_of[i, c, unit - 1] = numbering.inks[separation.ink.id]
                plate_of[i, c, unit - 1] = numbering.plates[separation.plate.id]
    jobs = {job.id: i for i, job in enumerate(instance.jobs)}
    materials = list(PlateMaterial)
    common = instance.shop.press.common_blanket
    return {
        "choices": _ints(len(instance.choices[p.id]) for p in passes),
        "ink_of": ink_of,
        "plate_of": plate_of,
        "wet": _ints(len(p.separations) == 2 and (p.overprint or common) for p in passes),
        "material": _ints(materials.index(p.plate_material) for p in passes),
        "run_s": _ints(instance.run_seconds[p.id] for p in passes),
        "earliest": _ints(instance.earliest_s(p.id) for p in passes),
        "first": _ints(UNKNOWN if p.first_side is None else number.get(p.first_side, UNKNOWN) for p in passes),
        "dry_s": _ints(p.drying_s for p in passes),
        "longest_pause": _ints(min(s.ink.open_seconds for s in p.separations) for p in passes),
        "job": _ints(jobs[p.job] for p in passes),
        "last_of_job": _ints(_is_last_by_rule(instance, p) for p in passes),
        "due": _ints(NEVER_DUE if job.due_s is None else job.due_s for job in instance.jobs),
        "weight": _ints(job.weight for job in instance.jobs),
        "given_end": _ints(_given_end(instance, p) for p in passes),
    }


def _given_end(instance: Instance, p: PrintPass) -> int:
    """The end of a first side printed before the plan; 0 where there is none."""
    if p.first_side is None or p.first_side in instance.passes:
        return 0
    return instance.first_side_ends[p.first_side]


def _is_last_by_rule(instance: Instance, p: PrintPass) -> bool:
    """Whether every other pass of the job must come before this one."""
    before, first = {p.id}, p.first_side
    while first is not None and first in instance.passes:
        before.add(first)
        first = instance.passes[first].first_side
    return all(other.id in before for other in instance.job_of[p.id].passes)


def _ink_arrays(press: PressProfile, inks: Sequence[Ink]) -> dict[str, Ints]:
    m = len(inks)
    washes, tacky = (np.zeros((m, m), dtype=np.int64) for _ in range(2))
    model, overrides = residue_model(press), press.overrides
    for i, a in enumerate(inks):
        for j, b in enumerate(inks):
            if i != j:
                washes[i, j] = wash_count(a, b, model, overrides).washes
            same_meter = a.tack is not None and b.tack is not None and a.tack.instrument == b.tack.instrument
            tacky[i, j] = same_meter and a.tack.value <= b.tack.value  # type: ignore[union-attr]
    return {"open_s": _ints(ink.open_seconds for ink in inks), "washes": washes, "tacky": tacky}


def _plate_arrays(press: PressProfile, plates: Sequence[Plate]) -> dict[str, Ints]:
    packing = np.array([[a.wants_other_packing_than(b) for b in plates] for a in plates], dtype=np.int64)
    return {
        "plate_metal": _ints(p.material is PlateMaterial.METAL for p in plates),
        "plate_polyester": _ints(p.material is PlateMaterial.POLYESTER for p in plates),
        "plate_automatic": _ints(press.changes_automatically(p) for p in plates),
        "packing": packing,
    }


def _task_arrays(press: PressProfile) -> dict[str, Ints | int]:
    lines = all_lines(press)
    tasks = press.tasks
    codes = range(1, 2 * FIRST_WASH_CODES + 1)
    variants = (
        seconds_of_minutes(tasks["take_plate_off"].automatic or 0.0),
        seconds_of_minutes(tasks["put_plate_on"].automatic or 0.0),
        tasks["register_and_colour"].both_units_seconds,
        *(tasks["wash_rollers"].wash_seconds((c - 1) % FIRST_WASH_CODES + 1, c <= FIRST_WASH_CODES) for c in codes),
    )
    keys = [line.task for line in lines]
    outside = [i for i, line in enumerate(lines) if line.state is TaskState.OUTSIDE and keys[i] in press.external]
    own = _own_bits(press)
    return {
        "takes_idle_off": int(not press.idle_throw_off),
        "crosses_days": int(press.runs_cross_days),
        "slot_seconds": _ints(line.seconds for line in lines),
        "variant_seconds": _ints(variants),
        "external": _ints(outside),
        "own_plate": sum(b for b, _, when in own if OwnTrigger.PLATE in when),
        "own_ink": sum(b for b, _, when in own if OwnTrigger.INK_FILLED in when),
        "slot_place": _ints(places_of(lines)),
        "slot_mode": _ints(modes_of(lines)),
        "slot_before": _ints(bindings_of(lines)),
    }


def _clock_arrays(instance: Instance) -> dict[str, Ints]:
    clock, weights = instance.clock, instance.shop.weights
    return {
        "window_start": _ints(w.start for w in clock.windows),
        "window_end": _ints(w.end for w in clock.windows),
        "window_day": _ints(w.day for w in clock.windows),
        "window_crew": _ints(w.crew for w in clock.windows),
        "shift_start": _ints(clock.shift_starts),
        "shift_crew": _ints(clock.shift_crews),
        "day_start": _ints(clock.day_starts),
        "weights": _ints((weights.late_second, weights.makeready_second, weights.wash_up, weights.reversed_pair)),
    }


def _rule_arrays(instance: Instance, passes: Sequence[PrintPass]) -> dict[str, Ints | int]:
    rules, number = instance.rules, {p.id: i for i, p in enumerate(passes)}
    started = instance.started
    pins = [(number[p], place + (started is not None)) for p, place in rules.places.items()]
    if started is not None:
        pins.append((number[started.pass_id], 0))
    sides = [(number[p.first_side], i) for i, p in enumerate(passes) if p.first_side in number]
    groups = {p: i for i, group in enumerate(rules.together) for p in group}
    ranks = {p: i for i, p in enumerate(rules.known)}
    return {
        "started": UNKNOWN if started is None else number[started.pass_id],
        "makeready_left": 0 if started is None else started.makeready_left_s,
        "pins": _pairs(pins),
        "turns": _pairs([*sides, *((number[a], number[b]) for a, b in rules.turns)]),
        "group_of": _by_pass(groups, passes),
        "known_rank": _by_pass(ranks, passes),
    }


def _pairs(pairs: Sequence[tuple[int, int]]) -> Ints:
    return np.array(pairs, dtype=np.int64).reshape(len(pairs), 2)


def _by_pass(held: Mapping[PassId, int], passes: Sequence[PrintPass]) -> Ints:
    """A number for each pass, UNKNOWN for those without; nothing at all where none has one."""
    return _ints(held.get(p.id, UNKNOWN) for p in passes) if held else _NONE


def _start_row(instance: Instance, numbering: Numbering) -> Ints:
    row = np.zeros(STATE_WIDTH, dtype=np.int64)
    state: PressState = instance.state
    row[PREV] = len(numbering.passes)
    row[SOLUTION] = UNKNOWN if state.solution is None else list(PlateMaterial).index(state.solution)
    row[PILE] = state.delivery_pile
    row[PRINTED] = sum(1 << (unit - 1) for unit in state.printed)
    row[ENDED] = instance.start_at
    for number, unit in enumerate(state.units):
        base = UNIT + number * UNIT_WIDTH
        row[base + INK] = UNKNOWN if unit.ink is None else numbering.inks[unit.ink.id]
        row[base + REDUCED] = unit.reduced
        row[base + LAST_END] = UNKNOWN if unit.last_run_end is None else unit.last_run_end
        row[base + OLD_INK] = UNKNOWN if unit.residue is None else numbering.inks[unit.residue.ink.id]
        row[base + OLD_WASHES] = 0 if unit.residue is None else unit.residue.washes
        row[base + OILED] = unit.oiled
        row[base + PLATE] = UNKNOWN if unit.plate is None else numbering.plates[unit.plate.id]
    return row
