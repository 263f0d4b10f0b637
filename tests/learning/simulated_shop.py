"""A made-up shop whose true times are known: days are planned with the defaults, and take what they really take."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from queueplanner.learning.actuals import ActualChangeover, actual_tasks
from queueplanner.learning.figures import Figure, figure_seconds, parts_of
from queueplanner.makeready.crew import makespan
from queueplanner.makeready.tasks import crew_tasks
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.plan import PlannedPass, PlannedTask
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.press import PressProfile
from tests.generated_days import random_day

MOST_TASKS = 17


@dataclass(frozen=True)
class Truth:
    """How a shop differs from the defaults, and how its times vary (relative standard deviations).

    `wild` is the share of changeovers that take three times as long, for a reason nobody logs.
    """

    pace: float = 1.2
    deviation: float = 0.3
    each: float = 0.25
    common: float = 0.1
    wild: float = 0.02
    second_crew: float = 1.1


@cache
def _planned(seed: int, crew: int) -> tuple[PressProfile, tuple[PlannedPass, ...]]:
    instance = random_day(seed, 6, crew=crew, units=2)
    try:
        return instance.shop.press, evaluate(instance, list(instance.passes), {}).passes
    except NoPlan:
        return instance.shop.press, ()


def defaults() -> dict[Figure, float]:
    """The seconds of every figure of the press of the random days."""
    return figure_seconds(_planned(0, 1)[0])


class SimulatedShop:
    """One shop; `true` has the seconds of every figure as done by one person."""

    def __init__(self, seed: int, truth: Truth | None = None) -> None:
        self.rng, self.truth = np.random.default_rng(seed), truth or Truth()
        figures = defaults()
        own = self.truth.pace * self.lognormal(self.truth.deviation, len(figures))
        self.true = {f: s * x for (f, s), x in zip(figures.items(), own.tolist(), strict=True)}

    def lognormal(self, relative: float, count: int) -> np.ndarray:
        """Factors of mean 1 with a relative standard deviation."""
        sd = np.sqrt(np.log1p(relative**2))
        return np.exp(sd * self.rng.standard_normal(count) - sd**2 / 2)

    def log(self, count: int, *, crew: int = 1, ticked: float = 0.0, first_day: int = 0) -> list[ActualChangeover]:
        """So many logged changeovers of one crew; `ticked` is the chance that a task is ticked."""
        done: list[ActualChangeover] = []
        day = first_day
        while len(done) < count:
            profile, passes = _planned(day, crew)
            # two persons' exact time is soon reckoned for up to so many tasks that are all of different lengths
            done += [
                self._done(profile, planned, ticked, len(done) + i)
                for i, planned in enumerate(p for p in passes if crew == 1 or len(p.tasks) <= MOST_TASKS)
            ]
            day += 1
        return done[:count]

    def _done(self, profile: PressProfile, planned: PlannedPass, ticked: float, moment: int) -> ActualChangeover:
        lines = planned.tasks
        seconds = self._seconds(profile, lines, planned.crew)
        took = [replace(line, seconds=round(s)) for line, s in zip(lines, seconds.tolist(), strict=True)]
        total = float(makespan(crew_tasks(took), planned.crew))
        if self.rng.random() < self.truth.wild:
            total *= 3
        ticks = {i: float(s) for i, s in enumerate(seconds.tolist()) if self.rng.random() < ticked}
        tasks = actual_tasks(lines, profile, ticks)
        return ActualChangeover(
            str(planned.id), "p", moment, planned.crew, tasks, planned.makeready_seconds, total
        )  # fmt: skip

    def _seconds(self, profile: PressProfile, lines: tuple[PlannedTask, ...], crew: int) -> np.ndarray:
        mean = [sum(self.true[f] * n for f, n in parts_of(line, lines, profile)) for line in lines]
        pace = self.truth.second_crew if crew == 2 else 1.0
        noise = self.lognormal(self.truth.each, len(lines)) * self.lognormal(self.truth.common, 1)
        return pace * np.array(mean) * noise
