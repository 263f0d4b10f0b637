"""Short ways to say what was logged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from queueplanner.learning.actuals import ActualChangeover, ActualRun, ActualTask, InkChange, Stop, Trigger
from queueplanner.learning.figures import Figure


def task(
    name: str,
    planned: float,
    ticked: float | None = None,
    *,
    unit: int | None = None,
    trigger: Trigger = Trigger.EVERY_PASS,
    times: int = 1,
    external: bool = False,
) -> ActualTask:
    """One task of one figure."""
    return ActualTask(name, planned, ((Figure(name), times),), trigger, unit, ticked, external)


def changeover(
    seconds: float,
    tasks: Sequence[ActualTask] = (),
    *,
    planned: float | None = None,
    crew: int = 1,
    press: str = "p",
    changes: tuple[InkChange, ...] = (),
    uncertain: bool = False,
) -> ActualChangeover:
    """A changeover; planned as the sum of its tasks unless it is said otherwise."""
    done = tuple(tasks) or (task("load_pile", seconds),)
    due = sum(t.planned_seconds for t in done if not t.external) if planned is None else planned
    return ActualChangeover("pass", press, 0, crew, done, due, seconds, uncertain, changes)


def run(
    *,
    sheets: int = 1000,
    good: int | None = None,
    seconds: float = 1000,
    planned: float | None = None,
    stops: Mapping[str, float] | None = None,
    reload: float = 0,
    stock: str = "bond",
    coverage: str = "light",
) -> ActualRun:
    """A run of a sheet a second unless it is said otherwise."""
    why = tuple(Stop(reason, long) for reason, long in (stops or {}).items())
    return ActualRun(
        "pass", "p", 0, stock, coverage, sheets, seconds, sheets if planned is None else planned,
        sheets if good is None else good, 0, why, reload,
    )  # fmt: skip
