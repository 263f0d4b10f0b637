"""Who does what when: the shortest time two persons need, and schedules that break no rule."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.makeready import crew as crew_module
from queueplanner.makeready.crew import (
    CrewSchedule,
    CrewTask,
    Mode,
    NoSuchCrew,
    TasksInACircle,
    TaskTooEarly,
    TooManyTasks,
    critical_path,
    makespan,
    schedule,
)
from queueplanner.makeready.crew_kernel import MOST_TASKS, two_person_seconds
from queueplanner.makeready.uncompiled import plain
from tests.crew_oracle import cp_sat_makespan
from tests.generated_changeovers import abstract_tasks, changeover, changeovers

OUTSIDE, TURNING, STOPPED = Mode


def task(seconds: int, place: int, mode: Mode = OUTSIDE, *after: int) -> CrewTask:
    return CrewTask(seconds, place, mode, frozenset(after))


def random_tasks(seed: int, most: int = 12) -> list[CrewTask]:
    """Now a realistic changeover, now tasks of any shape; not more than `most`."""
    rng = Random(seed)
    if seed % 2:
        return abstract_tasks(rng, rng.randint(1, most))
    while True:
        tasks = changeover(rng, rng.choice([0.0, 0.3]))
        if len(tasks) <= most:
            return tasks


def broken_rules(tasks: Sequence[CrewTask], done: CrewSchedule) -> list[str]:
    """What is wrong with a schedule, in words; nothing when all is right."""
    ends = [start + t.seconds for start, t in zip(done.starts, tasks, strict=True)]
    wrong = [f"{i} starts before the changeover" for i, start in enumerate(done.starts) if start < 0]
    wrong += [f"{i} has no person" for i, person in enumerate(done.persons) if person not in (1, 2)]
    wrong += [f"{i} waits not for {j}" for i, t in enumerate(tasks) for j in t.after if ends[j] > done.starts[i]]
    if max(ends, default=0) != done.seconds:
        wrong.append("the total is not the last end")
    for i, j in combinations([i for i, t in enumerate(tasks) if t.seconds], 2):
        if done.starts[i] < ends[j] and done.starts[j] < ends[i]:
            if done.persons[i] == done.persons[j]:
                wrong.append(f"{i} and {j} by one person")
            if tasks[i].place == tasks[j].place:
                wrong.append(f"{i} and {j} in one place")
            if {tasks[i].mode, tasks[j].mode} == {TURNING, STOPPED}:
                wrong.append(f"{i} and {j}: the press turns with hands inside")
    return wrong


def renumbered(tasks: Sequence[CrewTask], rng: Random) -> list[CrewTask]:
    """The same tasks in another order, their places by other numbers."""
    order = rng.sample(range(len(tasks)), len(tasks))
    place = dict(zip(range(10), rng.sample(range(100), 10), strict=True))
    return [
        CrewTask(
            tasks[i].seconds, place[tasks[i].place], tasks[i].mode, frozenset(order.index(j) for j in tasks[i].after)
        )
        for i in order
    ]


def turned_round(tasks: Sequence[CrewTask]) -> list[CrewTask]:
    """The same tasks with every binding the other way."""
    return [
        replace(t, after=frozenset(j for j, other in enumerate(tasks) if i in other.after)) for i, t in enumerate(tasks)
    ]


# --- small cases, by hand --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tasks", "seconds"),
    [
        ([], 0),
        ([task(60, 0)], 60),
        ([task(60, 0), task(90, 1)], 90),
        ([task(60, 0), task(90, 0)], 150),  # one place
        ([task(60, 0, TURNING), task(90, 1, STOPPED)], 150),  # never side by side
        ([task(60, 0, TURNING), task(90, 1, TURNING)], 90),
        ([task(60, 0, STOPPED), task(90, 1, STOPPED)], 90),
        ([task(60, 0, STOPPED), task(90, 1, OUTSIDE)], 90),
        ([task(60, 0), task(90, 1, OUTSIDE, 0)], 150),
        ([task(50, 0), task(50, 1), task(50, 2)], 100),  # a task is not shared
        ([task(40, 0), task(0, 0, STOPPED, 0), task(40, 1, TURNING, 1)], 80),  # 0 s binds and takes nothing
    ],
)
def test_small_cases_are_what_one_reckons_by_hand(tasks: list[CrewTask], seconds: int) -> None:
    assert makespan(tasks, 2) == schedule(tasks, 2).seconds == seconds


def test_a_person_waits_where_starting_at_once_would_cost_more() -> None:
    # Whoever is free at 10 could take the long outside task; but then the stopped pair would not go side by side.
    tasks = [task(10, 0, STOPPED), task(20, 1, STOPPED), task(100, 2, STOPPED, 1), task(100, 3, STOPPED, 1)]
    tasks += [task(90, 4), task(100, 5, TURNING, 2, 3)]
    assert makespan(tasks, 2) == 220
    assert cp_sat_makespan(tasks) == 220


def test_a_lone_person_does_the_tasks_in_the_order_given() -> None:
    tasks = [task(60, 0), task(90, 1, STOPPED, 0), task(30, 0, TURNING, 1)]
    assert schedule(tasks, 1) == CrewSchedule(180, (0, 60, 150), (1, 1, 1))
    assert makespan(tasks, 1) == 180


def test_whoever_is_at_a_place_goes_on_there() -> None:
    tasks = [task(60, 7), task(60, 8), task(60, 8, OUTSIDE, 1), task(60, 7, OUTSIDE, 0)]
    assert schedule(tasks, 2).persons == (1, 2, 2, 1)


# --- the optimum -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("start", range(0, 240, 20))
def test_two_persons_need_what_the_constraint_solver_needs(start: int) -> None:
    for seed in range(start, start + 20):
        tasks = random_tasks(seed)
        assert makespan(tasks, 2) == cp_sat_makespan(tasks), seed


def test_larger_changeovers_too() -> None:
    found = [tasks for tasks in changeovers(3, 400) if 13 <= len(tasks) <= 15]
    for tasks in found[:24]:
        assert makespan(tasks, 2) == cp_sat_makespan(tasks)


@given(st.integers(0, 10**6))
@settings(max_examples=150)
def test_a_schedule_breaks_no_rule_and_takes_the_makespan(seed: int) -> None:
    tasks = random_tasks(seed, 26)
    done = schedule(tasks, 2)
    assert broken_rules(tasks, done) == []
    assert done.seconds == makespan(tasks, 2)
    assert schedule(tasks, 2) == done


@given(st.integers(0, 10**6))
@settings(max_examples=150)
def test_a_second_person_helps_and_at_most_halves_the_time(seed: int) -> None:
    tasks = random_tasks(seed, 26)
    one, two = makespan(tasks, 1), makespan(tasks, 2)
    assert max(critical_path(tasks), (one + 1) // 2) <= two <= one


@given(st.integers(0, 10**6))
@settings(max_examples=100)
def test_neither_the_order_nor_the_numbers_of_places_matter(seed: int) -> None:
    tasks = random_tasks(seed, 20)
    other = renumbered(tasks, Random(seed))
    assert _reckoned(other) == _reckoned(tasks)
    makespan(tasks, 2)
    before = crew_module._seconds_of_form.cache_info().misses
    assert makespan(other, 2) == makespan(tasks, 2)
    assert crew_module._seconds_of_form.cache_info().misses == before  # one entry for both


@given(st.integers(0, 10**6))
@settings(max_examples=100)
def test_a_changeover_takes_as_long_backwards(seed: int) -> None:
    tasks = random_tasks(seed, 17)
    assert makespan(turned_round(tasks), 2) == makespan(tasks, 2)


@given(st.integers(0, 10**6), st.integers(1, 200))
@settings(max_examples=100)
def test_a_longer_task_never_shortens_the_changeover(seed: int, longer: int) -> None:
    tasks = random_tasks(seed, 20)
    i = seed % len(tasks)
    more = [*tasks[:i], replace(tasks[i], seconds=tasks[i].seconds + longer), *tasks[i + 1 :]]
    assert 0 <= makespan(more, 2) - makespan(tasks, 2) <= longer


@given(st.integers(0, 10**6))
@settings(max_examples=100)
def test_a_binding_less_never_lengthens_the_changeover(seed: int) -> None:
    tasks = random_tasks(seed, 20)
    i = seed % len(tasks)
    free = [*tasks[:i], replace(tasks[i], after=frozenset()), *tasks[i + 1 :]]
    assert makespan(free, 2) <= makespan(tasks, 2)


@given(st.integers(0, 10**6), st.integers(2, 90))
@settings(max_examples=60)
def test_the_makespan_scales_with_the_seconds(seed: int, factor: int) -> None:
    tasks = random_tasks(seed, 17)
    assert makespan([replace(t, seconds=t.seconds * factor) for t in tasks], 2) == factor * makespan(tasks, 2)


# --- compiled and plain ----------------------------------------------------------------------------------------


def _arrays(tasks: Sequence[CrewTask]) -> tuple[np.ndarray, ...]:
    rows = [(t.seconds, t.place, int(t.mode), sum(1 << j for j in t.after)) for t in tasks]
    return tuple(np.array(column, dtype=np.int64) for column in zip(*rows, strict=True))


def _reckoned(tasks: Sequence[CrewTask]) -> int:
    return int(two_person_seconds(len(tasks), *_arrays(tasks)))


def test_the_plain_function_gives_what_the_compiled_one_gives() -> None:
    uncompiled = plain(two_person_seconds)
    for seed in range(120):
        tasks = random_tasks(seed, 20)
        assert uncompiled(len(tasks), *_arrays(tasks)) == _reckoned(tasks), seed


def test_the_environment_can_forbid_the_compiler() -> None:
    code = "from queueplanner.makeready.compiled import IS_COMPILED; print(IS_COMPILED)"
    source = str(Path(__file__).resolve().parents[2] / "src")
    environment = {**os.environ, "QUEUEPLANNER_UNCOMPILED": "1", "PYTHONPATH": source}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


# --- what is refused -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("crew", [0, 3])
def test_a_crew_is_one_or_two(crew: int) -> None:
    for ask in (makespan, schedule):
        with pytest.raises(NoSuchCrew) as refused:
            ask([task(60, 0)], crew)
        assert refused.value.crew == crew


@pytest.mark.parametrize("after", [frozenset({1}), frozenset({7})])
def test_tasks_that_can_never_begin_are_named(after: frozenset[int]) -> None:
    tasks = [task(60, 0), CrewTask(60, 1, OUTSIDE, after)]
    for ask in (critical_path, lambda t: makespan(t, 2), lambda t: schedule(t, 2)):
        with pytest.raises(TasksInACircle) as refused:
            ask(tasks)
        assert refused.value.tasks == (1,)


def test_one_person_does_not_begin_with_what_has_to_wait() -> None:
    with pytest.raises(TaskTooEarly) as refused:
        schedule([task(60, 0), task(60, 0, OUTSIDE, 2), task(60, 0)], 1)
    assert refused.value.position == 1


def test_more_tasks_than_the_search_can_number_are_refused() -> None:
    with pytest.raises(TooManyTasks) as refused:
        makespan([task(1, i % 5) for i in range(MOST_TASKS + 1)], 2)
    assert (refused.value.count, refused.value.most) == (MOST_TASKS + 1, MOST_TASKS)
    assert makespan([task(1, i % 5) for i in range(MOST_TASKS)], 2) == MOST_TASKS // 2
