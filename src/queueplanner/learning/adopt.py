"""The press and its stocks with learned figures in place of the old ones; nothing is adopted by itself."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from queueplanner.learning.figures import Figure
from queueplanner.shop.base import half_up
from queueplanner.shop.press import PressProfile

#: Adopted minutes are whole multiples of so many seconds, 0.05 of a minute: nobody measures finer.
STEP_SECONDS = 3
_MOST_MINUTES = 600.0


def rounded_minutes(seconds: float) -> float:
    """Seconds as the minutes that are adopted: to 0.05 of a minute, within what a press file may hold."""
    steps = half_up(Fraction(seconds) / STEP_SECONDS)
    return min(max(0.0, steps * STEP_SECONDS / 60), _MOST_MINUTES)


def with_minutes(press: PressProfile, seconds: Mapping[Figure, float]) -> PressProfile:
    """The press with new seconds for the figures given; figures it does not have are passed over."""
    tasks = dict(press.tasks)
    for figure, value in seconds.items():
        old = tasks.get(figure.task)
        if old is not None and getattr(old, figure.variant) is not None:
            tasks[figure.task] = old.model_copy(update={figure.variant: rounded_minutes(value)})
    own = tuple(
        task.model_copy(update={"minutes": rounded_minutes(seconds[Figure(task.key)])})
        if Figure(task.key) in seconds
        else task
        for task in press.own_tasks
    )
    return press.model_copy(update={"tasks": tasks, "own_tasks": own})


def with_residue(press: PressProfile, c0: float, r: float) -> PressProfile:
    """The press with other residue constants, to three decimals, c0 within 0.001 and 1, r within 0.001 and 0.999."""
    kept = {"residue_c0": min(max(0.001, round(c0, 3)), 1.0), "residue_r": min(max(0.001, round(r, 3)), 0.999)}
    return press.model_copy(update=kept)


def with_class_factors(press: PressProfile, factors: Mapping[str, float]) -> PressProfile:
    """The press with other speed factors for the coverage classes named, to two decimals."""
    classes = tuple(
        c.model_copy(update={"speed_factor": round(factors[c.name], 2)}) if c.name in factors else c
        for c in press.coverage_classes
    )
    return press.model_copy(update={"coverage_classes": classes})
