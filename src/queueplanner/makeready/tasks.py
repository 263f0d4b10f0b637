"""Task lines: one row of a changeover, and the order in which the rows bind each other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from queueplanner.makeready.crew import CrewTask, Mode
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.press import TASK_TABLE, Place, TaskState

PLACES = tuple(Place)
_MODES = {
    TaskState.OUTSIDE: Mode.OUTSIDE,
    TaskState.TURNING: Mode.TURNING,
    TaskState.STOPPED: Mode.STOPPED,
}


@dataclass(frozen=True, slots=True)
class TaskLine:
    """One task: its key, unit (where it belongs to one), seconds, place, state and reason.

    `washes` counts those of a wash block. `external` marks a task moved into the run before; it takes no
    make-ready time.
    """

    task: str
    unit: int | None
    seconds: int
    why: Reason
    place: Place
    state: TaskState
    washes: int = 0
    external: bool = False


def task_line(task: str, seconds: int, why: Reason, unit: int | None = None, washes: int = 0) -> TaskLine:
    """A line of one of the press's own tasks, with place and state from the task table."""
    place, state = TASK_TABLE[task]
    where = Place(f"unit {unit}") if place == "unit" else Place(place)
    return TaskLine(task, unit, seconds, why, where, state, washes)


Test = Callable[[TaskLine], bool]


def _is(*tasks: str) -> Test:
    return lambda line: line.task in tasks


#: Which task binds which: (earlier, later, in the same unit only). Trade model, section 6.
_BINDINGS: tuple[tuple[Test, Test, bool], ...] = (
    (_is("lift_roller_package"), _is("take_plate_off"), True),
    (_is("pre_damp_plate"), _is("take_plate_off"), True),
    (_is("take_plate_off"), _is("change_plate_packing", "put_plate_on", "wash_rollers"), True),
    (_is("change_plate_packing", "wash_rollers"), _is("put_plate_on"), True),
    (_is("empty_fountain"), _is("wash_rollers"), True),
    (_is("empty_fountain", "wash_rollers"), _is("fill_fountain", "oil_rollers"), True),
    (_is("take_plate_off"), _is("wash_blankets"), False),
    (_is("wash_blankets"), _is("put_plate_on"), False),
    (
        _is("take_off_delivery_pile"),
        _is("delivery_to_format", "move_guide_pulleys", "set_gripper_fans_powder", "retime_sheet_arrival"),
        False,
    ),
    (_is("feeder_to_format", "change_lay_side"), _is("load_pile", "turn_pile"), False),
    (_is("load_pile"), _is("turn_pile"), False),
    (
        _is("feeder_to_format", "change_lay_side", "feeder_to_caliper", "load_pile", "turn_pile"),
        _is("set_double_sheet_detector"),
        False,
    ),
    (
        lambda line: line.task == "reduce_tack",
        lambda line: line.task == "fill_fountain" and line.unit == 2,
        False,
    ),
    (
        lambda line: line.task not in ("register_and_colour", "check_first_sheets"),
        _is("register_and_colour", "check_first_sheets"),
        False,
    ),
    (_is("register_and_colour"), _is("check_first_sheets"), False),
)


def precedence(lines: Sequence[TaskLine]) -> list[frozenset[int]]:
    """For each line, the positions of the lines that must be finished before it; external lines bind nothing.

    A plate that moves over comes off before it goes on through the blankets, which bind every plate.
    """
    inside = [(i, line) for i, line in enumerate(lines) if not line.external]
    before: list[set[int]] = [set() for _ in lines]
    for earlier, later, same_unit in _BINDINGS:
        firsts = [(i, line.unit) for i, line in inside if earlier(line)]
        for j, line in inside:
            if later(line):
                before[j] |= {i for i, unit in firsts if i != j and (not same_unit or unit == line.unit)}
    return [frozenset(b) for b in before]


def in_working_order(lines: Sequence[TaskLine]) -> list[TaskLine]:
    """The lines as one person does them: table order as far as precedence allows; external ones first."""
    before = precedence(lines)
    left = list(range(len(lines)))
    done: set[int] = set()
    ordered: list[TaskLine] = []
    while left:
        i = next(i for i in left if before[i] <= done)
        left.remove(i)
        done.add(i)
        ordered.append(lines[i])
    return sorted(ordered, key=lambda line: not line.external)


def crew_tasks(lines: Sequence[TaskLine]) -> list[CrewTask]:
    """The lines that take make-ready time, as the crew schedule wants them."""
    inside = [i for i, line in enumerate(lines) if not line.external]
    where = {i: n for n, i in enumerate(inside)}
    before = precedence(lines)
    return [
        CrewTask(
            seconds=lines[i].seconds,
            place=PLACES.index(lines[i].place),
            mode=_MODES[lines[i].state],
            after=frozenset(where[j] for j in before[i]),
        )
        for i in inside
    ]
