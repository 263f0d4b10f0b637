"""Why a pass stands where it does: what its place saves against its other places, and which due times cost most.

Every figure comes from scoring whole orders with the evaluator's own kernel, never from a rule of thumb.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from queueplanner.planning.arrange import keeps_all_rules
from queueplanner.planning.compact import Ints
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.plan import Plan, Totals, solution_of
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.relax import with_jobs
from queueplanner.planning.search import Numbered, Searcher, Solution, search
from queueplanner.shop.base import JobId, PassId


@dataclass(frozen=True, slots=True)
class OtherPlace:
    """A pass in another place: the place counted from 0, the pass it would follow (None for first), its totals."""

    place: int
    follows: PassId | None
    units: UnitChoice
    totals: Totals


@dataclass(frozen=True, slots=True)
class PlaceReason:
    """What a pass's place is worth: the plan's totals, and those of its best other place (None if it has none).

    `points` is what the best other place would cost more, in points of the objective; below 0 it would be better.
    """

    pass_id: PassId
    place: int
    now: Totals
    best_other: OtherPlace | None
    points: int | None


@dataclass(frozen=True, slots=True)
class DueReason:
    """What a due time costs: the totals of the best plan found were the job due a day later."""

    job: JobId
    saved_points: int
    saved_makeready_seconds: int
    saved_late_seconds: int


def why_here(instance: Instance, plan: Plan, pass_id: PassId) -> PlaceReason:
    """What the place of a pass saves or costs against its best other place, all others keeping their order.

    Raises KeyError for a pass that is not in the plan.
    """
    order, units = solution_of(plan)
    place = order.index(pass_id) if pass_id in order else -1
    if place < 0:
        raise KeyError(pass_id)
    numbered = Numbered.of(instance)
    searcher = Searcher(numbered.tables)
    best_value, best_rows = IMPOSSIBLE, None
    for rows in _other_places(instance, numbered, order, units, place):
        value = searcher.score(rows)
        if value < best_value:
            best_value, best_rows = value, rows
    if best_rows is None:
        return PlaceReason(pass_id, place, plan.totals, None, None)
    return PlaceReason(
        pass_id, place, plan.totals, _other_place(instance, numbered.solution(best_rows), pass_id),
        best_value - plan.totals.objective,
    )  # fmt: skip


def what_swapping_costs(instance: Instance, plan: Plan, first: int) -> Totals | None:
    """The totals were the passes at places `first` and `first + 1` to change places; None where a rule forbids it."""
    order, units = solution_of(plan)
    swapped = list(order)
    swapped[first], swapped[first + 1] = swapped[first + 1], swapped[first]
    if not keeps_all_rules(instance, swapped):
        return None
    return evaluate(instance, swapped, units).totals


def costliest_due_times(
    instance: Instance, plan: Plan, seconds_each: float = 0.3, most: int = 3, cancel: CancelToken | None = None
) -> list[DueReason]:
    """The jobs whose due time costs most: each moved by a day, the plan sought anew from the present one.

    The savings are those of the best plans found, against the best found in the same time with all due times as they
    are: what the due time costs, not what a longer search would have found anyway.
    """
    cancel = cancel or CancelToken()
    reasons: list[DueReason] = []
    now = plan.totals
    if any(job.due is not None for job in instance.jobs) and not cancel.cancelled:
        now = min(now, _sought_anew(instance, plan, seconds_each, cancel), key=lambda totals: totals.objective)
    for job in instance.jobs:
        if job.due is None or cancel.cancelled:
            continue
        later = job.model_copy(update={"due": job.due + timedelta(days=1)})
        relaxed = with_jobs(instance, [later if later.id == j.id else j for j in instance.jobs])
        found = _sought_anew(relaxed, plan, seconds_each, cancel)
        saved = now.objective - found.objective
        if saved > 0:
            reasons.append(
                DueReason(
                    job.id,
                    saved,
                    now.makeready_seconds - found.makeready_seconds,
                    now.late_seconds - found.late_seconds,
                )
            )
    return sorted(reasons, key=lambda reason: -reason.saved_points)[:most]


def _other_places(
    instance: Instance, numbered: Numbered, order: tuple[PassId, ...], units: dict[PassId, UnitChoice], place: int
) -> Iterator[Ints]:
    pass_id = order[place]
    rest = [p for p in order if p != pass_id]
    for target in range(len(order)):
        moved = [*rest[:target], pass_id, *rest[target:]]
        if target != place and keeps_all_rules(instance, moved):
            for choice in instance.choices[pass_id]:
                yield numbered.rows(moved, {**units, pass_id: choice})


def _other_place(instance: Instance, solution: Solution, pass_id: PassId) -> OtherPlace:
    order, units = solution
    place = order.index(pass_id)
    totals = evaluate(instance, order, units).totals
    return OtherPlace(place, order[place - 1] if place else None, units[pass_id], totals)


def _sought_anew(instance: Instance, plan: Plan, seconds: float, cancel: CancelToken) -> Totals:
    numbered = Numbered.of(instance)
    start = numbered.rows(*solution_of(plan))
    found = search(numbered, [start], seconds, 1, lambda _rows, _bound: None, cancel)
    return evaluate(instance, *numbered.solution(found.rows)).totals
