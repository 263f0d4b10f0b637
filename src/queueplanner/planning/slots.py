"""Every task a changeover can hold, numbered: the bits of a changeover's signature, in table order."""

from __future__ import annotations

from queueplanner.makeready.crew import Mode
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.tasks import PLACES, TaskLine, precedence, task_line
from queueplanner.shop.base import seconds_of_minutes
from queueplanner.shop.press import TASK_TABLE, PressProfile

#: Tasks that come once for each unit.
PER_UNIT = tuple(task for task, (place, _) in TASK_TABLE.items() if place == "unit")

#: The slots of the press's own tasks: (task, unit or None), in table order.
SLOTS: tuple[tuple[str, int | None], ...] = tuple(
    slot
    for task in TASK_TABLE
    for slot in ([(task, 1), (task, 2)] if task in PER_UNIT else [(task, 2 if task == "lift_roller_package" else None)])
)
SLOT = {slot: number for number, slot in enumerate(SLOTS)}
#: Bits of one signed 64-bit word that are left for a shop's own tasks.
MOST_OWN_TASKS = 62 - len(SLOTS)

_MODES = {"outside": Mode.OUTSIDE, "turning": Mode.TURNING, "stopped": Mode.STOPPED}
_NO_REASON = Reason("slot")


def all_lines(press: PressProfile) -> list[TaskLine]:
    """A line for every slot, the shop's own tasks last, with the usual minutes."""
    lines = [task_line(task, press.tasks[task].seconds, _NO_REASON, unit) for task, unit in SLOTS]
    own_lines = (
        TaskLine(own.key, None, seconds_of_minutes(own.minutes), _NO_REASON, own.place, own.state)
        for own in press.own_tasks[:MOST_OWN_TASKS]
    )
    return [*lines, *own_lines]


def bit(task: str, unit: int | None = None) -> int:
    """The bit of a task of the press's own."""
    return 1 << SLOT[(task, unit)]


def places_of(lines: list[TaskLine]) -> list[int]:
    """The place of each slot, as the crew schedule numbers them."""
    return [PLACES.index(line.place) for line in lines]


def modes_of(lines: list[TaskLine]) -> list[int]:
    """The mode of each slot, as the crew schedule numbers them."""
    return [int(_MODES[line.state]) for line in lines]


def bindings_of(lines: list[TaskLine]) -> list[int]:
    """For each slot, the bits of the slots that bind it."""
    return [sum(1 << earlier for earlier in before) for before in precedence(lines)]
