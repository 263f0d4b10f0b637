"""What planning is worth: the same day in four orders, each with the best unit choice for it."""

from __future__ import annotations

from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.progress import CancelToken, OnProgress
from queueplanner.planning.rules import as_received, by_due_time, light_to_dark


def compare(
    instance: Instance,
    seconds: float,
    *,
    seed: int = 1,
    on_better: OnProgress | None = None,
    cancel: CancelToken | None = None,
) -> dict[str, Plan]:
    """The plans as received, by due time, light to dark, and planned, under these names."""
    return {
        "as_received": best_units(instance, as_received(instance)),
        "by_due_time": best_units(instance, by_due_time(instance)),
        "light_to_dark": best_units(instance, light_to_dark(instance)),
        "planned": plan_day(instance, seconds, seed=seed, on_better=on_better, cancel=cancel),
    }
