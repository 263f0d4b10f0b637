"""Laws of the optimum, on days small enough to try every order of.

Where the clock can turn a delay into a gain (an ink that goes stale a little later, a run that no longer fits before
a night), only giving can be proven harmless; the laws of time hold on steady days: one long shift, inks that last.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta

import pytest

from queueplanner.makeready.state import Residue, UnitState
from queueplanner.planning.instance import Instance
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.plan import ClaimKind
from queueplanner.planning.planner import plan_day
from queueplanner.planning.relax import with_jobs
from queueplanner.shop.calendar import WorkClock
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import Job
from queueplanner.shop.press import TASK_TABLE
from tests.generated_days import random_day
from tests.planning.test_small_days import by_trying_everything

DAY_S = 24 * 3600


def lasting(ink: Ink) -> Ink:
    """The same ink with an open time longer than any plan here."""
    return ink.model_copy(update={"open_time_h": 700.0})


def steady_day(seed: int, passes: int, crew: int = 1) -> Instance:
    """A random day on which nothing can go stale and nobody goes home."""
    instance = random_day(seed, passes, crew=crew, units=2)

    def job(old: Job) -> Job:
        made = []
        for p in old.passes:
            inks = tuple(s.model_copy(update={"ink": lasting(s.ink)}) for s in p.separations)
            made.append(p.model_copy(update={"separations": inks}))
        return old.model_copy(update={"passes": tuple(made)})

    def unit(old: UnitState) -> UnitState:
        ink = None if old.ink is None else lasting(old.ink)
        residue = None if old.residue is None else Residue(lasting(old.residue.ink), old.residue.washes)
        return replace(old, ink=ink, residue=residue)

    start = instance.start_at
    shifts = [(start, start + 20 * DAY_S, crew, ()), (start + 25 * DAY_S, start + 26 * DAY_S, crew, ())]
    state = replace(instance.state, units=tuple(map(unit, instance.state.units)))
    day = with_jobs(instance, [job(j) for j in instance.jobs])
    return replace(day, state=state, clock=WorkClock.of_shifts(shifts, start))


def slower(instance: Instance, task: str, minutes: float) -> Instance:
    """The same day with one task taking longer."""
    old = instance.shop.press.tasks[task]
    longer = {"minutes": old.minutes + minutes}
    longer |= {
        name: getattr(old, name) + minutes
        for name in ("automatic", "each_more", "second_unit")
        if getattr(old, name) is not None and name == "automatic"
    }
    tasks = {**instance.shop.press.tasks, task: old.model_copy(update=longer)}
    press = instance.shop.press.model_copy(update={"tasks": tasks})
    return replace(instance, shop=instance.shop.model_copy(update={"press": press}))


@pytest.mark.parametrize("seed", range(30))
def test_adding_time_to_a_task_never_lowers_the_optimum(seed: int) -> None:
    instance = steady_day(seed, 5, crew=1 + seed % 2)
    rng = random.Random(seed)
    best = by_trying_everything(instance)
    assert best < IMPOSSIBLE
    for task in rng.sample(sorted(TASK_TABLE), 3):
        assert by_trying_everything(slower(instance, task, rng.choice([0.5, 2.0, 10.0]))) >= best


@pytest.mark.parametrize("seed", range(30))
def test_a_second_person_never_raises_the_optimum(seed: int) -> None:
    alone, together = steady_day(seed, 5), steady_day(seed, 5)
    two = replace(together, clock=together.clock.with_crew(2))
    assert by_trying_everything(two) <= by_trying_everything(alone)


def due_later(instance: Instance, rng: random.Random) -> Instance:
    """The same day with one job due later."""
    late = rng.choice([job for job in instance.jobs if job.due is not None])
    later = late.model_copy(update={"due": late.due + timedelta(hours=rng.choice([1, 5, 24]))})
    return with_jobs(instance, [later if job.id == late.id else job for job in instance.jobs])


DUE_DAYS = [s for s in range(60) if any(j.due for j in random_day(s, 5).jobs)][:30]


@pytest.mark.parametrize("seed", DUE_DAYS)
def test_relaxing_a_due_time_never_raises_the_optimum(seed: int) -> None:
    """Every order's objective can only fall, so the best one's too: on any day, with all that binds."""
    instance = random_day(seed, 5)
    assert by_trying_everything(due_later(instance, random.Random(seed))) <= by_trying_everything(instance)


@pytest.mark.parametrize("seed", DUE_DAYS)
def test_relaxing_a_due_time_never_raises_the_least_lateness(seed: int) -> None:
    instance = random_day(seed, 5)
    only_late = instance.shop.weights.model_copy(update={"makeready_second": 0, "wash_up": 0})
    instance = replace(instance, shop=instance.shop.model_copy(update={"weights": only_late}))
    assert by_trying_everything(due_later(instance, random.Random(seed))) <= by_trying_everything(instance)


@pytest.mark.parametrize("seed", range(8))
def test_the_proof_keeps_the_laws_too(seed: int) -> None:
    one, two = steady_day(600 + seed, 8), steady_day(600 + seed, 8)
    plan = plan_day(one, 10.0)
    helped = plan_day(replace(two, clock=two.clock.with_crew(2)), 10.0)
    assert plan.claim.kind is helped.claim.kind is ClaimKind.PROVEN_BEST
    assert helped.totals.objective <= plan.totals.objective
