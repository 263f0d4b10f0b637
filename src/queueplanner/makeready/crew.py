"""The crew of a changeover: how long one or two persons take, and who does what when.

Two persons work side by side: one task a person, one task a place, in the order the tasks bind each other, and never
anything that turns while anything is done inside the guards. The duration is the shortest there is (`crew_kernel`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from queueplanner.makeready.crew_kernel import MOST_TASKS, Ints, two_person_seconds, two_person_starts


class Mode(IntEnum):
    """What the press does during a task: nothing that matters, turn, or stand with hands inside the guards."""

    OUTSIDE = 0
    TURNING = 1
    STOPPED = 2


@dataclass(frozen=True, slots=True)
class CrewTask:
    """One task: seconds, its place (any number), its mode, and the positions of those that must be finished first.

    A task of 0 s needs neither person nor place.
    """

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


class TasksInACircle(ValueError):
    """Tasks that wait for one another, or for a task that is not there. `tasks` are their positions."""

    def __init__(self, tasks: Sequence[int]) -> None:
        self.tasks = tuple(tasks)
        super().__init__(f"tasks {list(tasks)} wait for one another in a circle, or for one that is not there")


class TaskTooEarly(ValueError):
    """One person's order has the task at `position` before one that it waits for."""

    def __init__(self, position: int) -> None:
        self.position = position
        super().__init__(f"task {position} comes before one it waits for")


class NoSuchCrew(ValueError):
    """A crew is one person or two; `crew` is what was asked for."""

    def __init__(self, crew: int) -> None:
        self.crew = crew
        super().__init__(f"a crew is one person or two, not {crew}")


class TooManyTasks(ValueError):
    """More tasks in one changeover (`count`) than two persons can be scheduled for (`most`)."""

    def __init__(self, count: int, most: int = MOST_TASKS) -> None:
        self.count, self.most = count, most
        super().__init__(f"{count} tasks in one changeover; at most {most}")


def critical_path(tasks: Sequence[CrewTask]) -> int:
    """Seconds of the longest chain of tasks that bind each other, 0 for none. Raises TasksInACircle."""
    ends: dict[int, int] = {}
    for i in _working_order(tasks):
        ends[i] = tasks[i].seconds + max((ends[j] for j in tasks[i].after), default=0)
    return max(ends.values(), default=0)


def makespan(tasks: Sequence[CrewTask], crew: int) -> int:
    """Seconds a crew of one or two takes: the sum, or the shortest schedule.

    Equal sets of tasks are reckoned once, in whatever order they come and whatever numbers their places have.
    Raises NoSuchCrew; for two TasksInACircle and TooManyTasks.
    """
    if crew == 1:
        return sum(task.seconds for task in tasks)
    if crew != 2:
        raise NoSuchCrew(crew)
    return _two_person_seconds(tuple(tasks))


def schedule(tasks: Sequence[CrewTask], crew: int) -> CrewSchedule:
    """Who does what when. One person goes through the tasks in the order given, which must respect what binds them.

    Two persons need the least seconds there are, and each task begins as early as the tasks begun before it allow.
    Raises NoSuchCrew; for one person TaskTooEarly, for two TasksInACircle and TooManyTasks.
    """
    if crew == 1:
        return _one_after_the_other(tasks)
    if crew != 2:
        raise NoSuchCrew(crew)
    return _side_by_side(tuple(tasks))


def _one_after_the_other(tasks: Sequence[CrewTask]) -> CrewSchedule:
    now, starts = 0, []
    for position, task in enumerate(tasks):
        if any(earlier >= position for earlier in task.after):
            raise TaskTooEarly(position)
        starts.append(now)
        now += task.seconds
    return CrewSchedule(now, tuple(starts), (1,) * len(starts))


def _working_order(tasks: Sequence[CrewTask]) -> list[int]:
    """The positions such that every task comes after those it waits for. Raises TasksInACircle."""
    order: list[int] = []
    done: set[int] = set()
    left = list(range(len(tasks)))
    while left:
        ready = [i for i in left if tasks[i].after <= done]
        if not ready:
            raise TasksInACircle(left)
        order += ready
        done.update(ready)
        left = [i for i in left if i not in done]
    return order


@lru_cache(maxsize=65536)
def _two_person_seconds(tasks: tuple[CrewTask, ...]) -> int:
    return _seconds_of_form(_canonical_form(tasks))


@lru_cache(maxsize=65536)
def _seconds_of_form(form: tuple[tuple[int, int, int, int], ...]) -> int:
    return int(two_person_seconds(len(form), *_columns(form)))


def _canonical_form(tasks: tuple[CrewTask, ...]) -> tuple[tuple[int, int, int, int], ...]:
    """Seconds, place, mode and tasks before (bits) of each, in an order that does not hang on the order given.

    Tasks are told apart by what they are and what stands around them; of those still alike, the first given goes
    first, and then the rest are told apart again. Should that ever give equal sets two forms, both are reckoned.
    """
    before = _all_before(tasks)
    colour = _told_apart(
        tasks, before, _ranks([(t.seconds, t.mode, len(b)) for t, b in zip(tasks, before, strict=True)])
    )
    while len(set(colour)) < len(tasks):
        first = colour.index(min(c for c in colour if colour.count(c) > 1))
        colour = _told_apart(tasks, before, _ranks([(c, i != first) for i, c in enumerate(colour)]))
    order = sorted(range(len(tasks)), key=colour.__getitem__)
    places = list(dict.fromkeys(tasks[i].place for i in order))
    return tuple(
        (tasks[i].seconds, places.index(tasks[i].place), int(tasks[i].mode), sum(1 << colour[j] for j in before[i]))
        for i in order
    )


def _told_apart(tasks: Sequence[CrewTask], before: Sequence[set[int]], colour: list[int]) -> list[int]:
    """Colours refined by the colours before, after and at the same place, until that tells no more tasks apart."""
    kinds = 0
    while kinds < len(set(colour)) < len(tasks):
        kinds = len(set(colour))
        keys = []
        for i, task in enumerate(tasks):
            earlier = sorted(colour[j] for j in before[i])
            later = sorted(colour[j] for j, other in enumerate(before) if i in other)
            here = sorted(colour[j] for j, other in enumerate(tasks) if other.place == task.place)
            keys.append((colour[i], earlier, later, here))
        colour = _ranks(keys)
    return colour


def _ranks(keys: list[Any]) -> list[int]:
    """For each key the number of keys below it, doubled keys alike."""
    ordered = sorted(keys)
    return [ordered.index(key) for key in keys]


def _all_before(tasks: tuple[CrewTask, ...]) -> list[set[int]]:
    """For each task all that are to be finished before it, near and far. Raises TasksInACircle and TooManyTasks."""
    if len(tasks) > MOST_TASKS:
        raise TooManyTasks(len(tasks))
    before: list[set[int]] = [set() for _ in tasks]
    for i in _working_order(tasks):
        before[i].update(tasks[i].after, *(before[j] for j in tasks[i].after))
    return before


def _columns(rows: Sequence[tuple[int, int, int, int]]) -> tuple[Ints, Ints, Ints, Ints]:
    table = np.array(rows, dtype=np.int64).reshape(-1, 4).T.copy()
    return table[0], table[1], table[2], table[3]


@lru_cache(maxsize=8192)
def _side_by_side(tasks: tuple[CrewTask, ...]) -> CrewSchedule:
    before = _all_before(tasks)
    rows = [(t.seconds, t.place, int(t.mode), sum(1 << j for j in before[i])) for i, t in enumerate(tasks)]
    found = np.zeros(len(tasks), dtype=np.int64)
    total = int(two_person_starts(len(tasks), *_columns(rows), found))
    # The search works from the end, so its tasks lie as late as can be: an earlier start is the better advice.
    order = sorted(_working_order(tasks), key=lambda i: int(found[i]))
    starts: dict[int, int] = {}
    for i in order:
        starts[i] = _earliest_start(tasks, i, starts)
    return CrewSchedule(total, tuple(starts[i] for i in range(len(tasks))), _persons(tasks, order, starts))


def _earliest_start(tasks: Sequence[CrewTask], i: int, starts: dict[int, int]) -> int:
    """The first second at which a task can begin beside those that have a start."""
    task = tasks[i]
    ready = max((starts[j] + tasks[j].seconds for j in task.after), default=0)
    if task.seconds == 0:
        return ready
    ends = {start + tasks[j].seconds for j, start in starts.items()}
    return next(t for t in sorted({ready, *(end for end in ends if end > ready)}) if _fits(tasks, task, t, starts))


def _fits(tasks: Sequence[CrewTask], task: CrewTask, start: int, starts: dict[int, int]) -> bool:
    """Whether a task can begin at a second: a person free throughout, and nothing beside it that it excludes."""
    end = start + task.seconds
    spans = []
    for j, begun in starts.items():
        if tasks[j].seconds and begun < end and begun + tasks[j].seconds > start:
            if _exclude(task, tasks[j]):
                return False
            spans.append((begun, begun + tasks[j].seconds))
    return all(one[1] <= two[0] for one, two in pairwise(sorted(spans)))


def _exclude(one: CrewTask, two: CrewTask) -> bool:
    """Whether two tasks may not overlap: one place, or one turns and the other needs the press stopped."""
    return one.place == two.place or {one.mode, two.mode} == {Mode.TURNING, Mode.STOPPED}


def _persons(tasks: Sequence[CrewTask], order: Sequence[int], starts: dict[int, int]) -> tuple[int, ...]:
    """Who does each task: whoever is free, rather the one who is at its place already, else person 1."""
    persons = dict.fromkeys(range(len(tasks)), 1)
    free = {1: 0, 2: 0}
    at: dict[int, int | None] = {1: None, 2: None}
    for i in sorted(order, key=starts.__getitem__):
        if tasks[i].seconds:
            able = [p for p in free if free[p] <= starts[i]]
            persons[i] = next((p for p in able if at[p] == tasks[i].place), able[0])
            free[persons[i]] = starts[i] + tasks[i].seconds
            at[persons[i]] = tasks[i].place
    return tuple(persons[i] for i in range(len(tasks)))
