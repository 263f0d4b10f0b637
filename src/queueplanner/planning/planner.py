"""Planning a day: from an instance to the best plan found, better ones told as they come, and an honest claim."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence

from queueplanner.planning.compact import Ints
from queueplanner.planning.engine import warm_up_in_background
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Claim, ClaimKind, Plan
from queueplanner.planning.progress import CancelToken, OnProgress, Progress
from queueplanner.planning.rules import as_received, by_due_time, light_to_dark
from queueplanner.planning.search import Found, Numbered, Searcher, Solution, best_unit_rows, search
from queueplanner.shop.base import PassId

#: A bound further away than this says too little to be told.
MOST_PERCENT = 40.0


def plan_day(
    instance: Instance,
    seconds: float,
    *,
    seed: int = 1,
    on_better: OnProgress | None = None,
    cancel: CancelToken | None = None,
    threads: int | None = None,
    also: Sequence[Solution] = (),
) -> Plan:
    """The best plan found within so many seconds; each better one is told to `on_better`.

    `also` are orders to begin from beside the usual ones; what is found is never worse than any of them.
    Raises NoPlan when no order meets a hard rule.
    """
    began = time.monotonic()
    cancel = cancel or CancelToken()
    tell = on_better or _say_nothing
    if not instance.passes:
        return evaluate(instance, [], {}).claimed(Claim(ClaimKind.PROVEN_BEST))
    numbered = Numbered.of(instance)
    warm_up_in_background(numbered.tables)
    searcher = Searcher(numbered.tables)
    rules = (as_received, by_due_time, light_to_dark)
    starts = [best_unit_rows(searcher, numbered.rows(rule(instance), {})) for rule in rules]
    starts += [numbered.rows(*solution) for solution in also]

    def news(rows: Ints | None, bound: int) -> None:
        plan = None
        if rows is not None:
            plan = evaluate(instance, *numbered.solution(rows)).claimed(Claim(ClaimKind.BEST_FOUND))
        tell(Progress(time.monotonic() - began, "searching", plan, bound or None))

    found = search(numbered, starts, seconds, seed, news, cancel, threads)
    plan = evaluate(instance, *numbered.solution(found.rows))
    return plan.claimed(claim_of(found))


def claim_of(found: Found) -> Claim:
    """What may be said of a plan: proven best, within so many per cent, or the best found. Never more than is known."""
    if found.proven:
        return Claim(ClaimKind.PROVEN_BEST)
    if found.bound > 0:
        percent = math.ceil((found.value - found.bound) * 1000 / found.bound) / 10
        if percent <= MOST_PERCENT:
            return Claim(ClaimKind.WITHIN, percent)
    return Claim(ClaimKind.BEST_FOUND)


def _say_nothing(_progress: Progress) -> None:
    pass


def best_units(instance: Instance, order: Sequence[PassId]) -> Plan:
    """The plan of a fixed order with the best unit choice found for it."""
    numbered = Numbered.of(instance)
    rows = best_unit_rows(Searcher(numbered.tables), numbered.rows(order, {}))
    return evaluate(instance, *numbered.solution(rows))
