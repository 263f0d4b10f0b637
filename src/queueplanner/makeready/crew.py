"""The crew of a changeover: how long one or two persons take, and who does what when.

Two persons work side by side: one task a person, one task a place, in the order the tasks bind each other, and never
anything that turns while anything is done inside the guards. The duration is the shortest there is (`crew_kernel`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache

import numpy as np

from queueplanner.makeready.crew_kernel import Ints, two_person_seconds, two_person_starts


class Mode(IntEnum):
    """What the press does during a task: nothing that matters, turn, or stand with hands inside the guards."""

    OUTSIDE = 0
    TURNING = 1
    STOPPED = 2


@dataclass(frozen=True, slots=True)
class CrewTask:
    """One task: seconds, its place (any number), its mode, and the positions of those that must be finished first."""

    seconds: int
    place: int
    mode: Mode
    after: frozenset[int]


@dataclass(frozen=True, slots=True)
class CrewSchedule:
    """Total seconds, and for each task its start (seconds from the beginning) and person, 1 or 2."""

    seconds: int
    starts: tuple[int, ...]
    persons: tuple[int, ...]


def critical_path(tasks: Sequence[CrewTask]) -> int:
    """Seconds of the longest chain of tasks that bind each other. Raises ValueError when they bind in a circle."""
    ends: dict[int, int] = {}
    left = list(range(len(tasks)))
    while left:
        ready = [i for i in left if tasks[i].after <= ends.keys()]
        if not ready:
            raise ValueError(f"tasks {left} wait for one another in a circle")
        for i in ready:
            ends[i] = tasks[i].seconds + max((ends[j] for j in tasks[i].after), default=0)
        left = [i for i in left if i not in ends]
    return max(ends.values(), default=0)


def makespan(tasks: Sequence[CrewTask], crew: int) -> int:
    """Seconds a crew of one or two takes: the sum, or the shortest schedule. Equal task sets are reckoned once."""
    if crew == 1:
        return sum(task.seconds for task in tasks)
    return _two_person_seconds(tuple(tasks))


def schedule(tasks: Sequence[CrewTask], crew: int) -> CrewSchedule:
    """Who does what when. One person goes through the tasks in the order given, which must respect what binds them.

    Raises ValueError for another crew than one or two, or when one person's order breaks what binds it.
    """
    if crew == 1:
        return _one_after_the_other(tasks)
    if crew != 2:
        raise ValueError(f"a crew is one person or two, not {crew}")
    return _side_by_side(tuple(tasks))


def _one_after_the_other(tasks: Sequence[CrewTask]) -> CrewSchedule:
    now, starts = 0, []
    for position, task in enumerate(tasks):
        if any(earlier >= position for earlier in task.after):
            raise ValueError(f"task {position} comes before one it waits for")
        starts.append(now)
        now += task.seconds
    return CrewSchedule(now, tuple(starts), (1,) * len(starts))


@lru_cache(maxsize=65536)
def _two_person_seconds(tasks: tuple[CrewTask, ...]) -> int:
    return int(two_person_seconds(*_arrays(tasks)))


@lru_cache(maxsize=8192)
def _side_by_side(tasks: tuple[CrewTask, ...]) -> CrewSchedule:
    arrays = _arrays(tasks)
    starts = np.zeros(len(tasks), dtype=np.int64)
    total = int(two_person_starts(*arrays, starts))
    persons = [1] * len(tasks)
    free = [0, 0]
    for i in sorted(range(len(tasks)), key=lambda i: (starts[i], tasks[i].seconds)):
        person = 0 if free[0] <= starts[i] else 1
        persons[i] = person + 1
        free[person] = max(free[person], int(starts[i]) + tasks[i].seconds)
    return CrewSchedule(total, tuple(int(s) for s in starts), tuple(persons))


def _arrays(tasks: tuple[CrewTask, ...]) -> tuple[int, Ints, Ints, Ints, Ints]:
    columns = (
        [t.seconds for t in tasks],
        [t.place for t in tasks],
        [int(t.mode) for t in tasks],
        [sum(1 << j for j in t.after) for t in tasks],
    )
    seconds, place, mode, before = (np.array(c, dtype=np.int64) for c in columns)
    return len(tasks), seconds, place, mode, before
