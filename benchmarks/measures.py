"""The measurements of the engine benchmark, each on a seeded shop day; also as a process of its own, for memory and
for plain Python: python -m benchmarks.measures scores|proof|free_proof PASSES SEED prints the answer as JSON.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median

import numpy as np
from benchmarks.machine import warm_engine
from benchmarks.memory import peak_mb, reset_peak
from benchmarks.shop_days import Kind, shop_day

from queueplanner.makeready.compiled import IS_COMPILED, UNCOMPILED_VARIABLE
from queueplanner.planning.compact import Ints
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import ClaimKind, Plan
from queueplanner.planning.planner import plan_day
from queueplanner.planning.progress import CancelToken, Progress
from queueplanner.planning.rules import by_due_time
from queueplanner.planning.search import Numbered, Searcher

THREADS = 2
#: How long a proof may take before it counts as not found, seconds.
PROOF_LIMIT_S = 20.0
#: Whole orders scored, plans made, steps of annealing, compiled and plain.
ORDERS, PLANS, STEPS = {True: 400, False: 40}, 8, {True: 100_000, False: 1000}
#: Points a move may cost in the middle of a chain: two minutes of make-ready at the usual weight.
HEAT = 1200.0

Answer = dict[str, float]


def scores(passes: int, seed: int) -> Answer:
    """Seconds of processor time: `score` of a whole order after a move, `plan` with the evaluator's plan of it, `move`
    of a step of annealing, which scores what the move changed as far as it matters.
    """
    day = shop_day(seed, passes).instance
    numbered = Numbered.of(day)
    searcher = Searcher(numbered.tables)
    orders = moved_orders(numbered, numbered.rows(by_due_time(day), {}), seed, ORDERS[IS_COMPILED])

    def plan(rows: Ints) -> None:
        searcher.score(rows)
        evaluate(day, *numbered.solution(rows))

    return {
        "score": seconds_each(searcher.score, orders),
        "plan": seconds_each(plan, orders[: PLANS + 1]),
        "move": _step_seconds(searcher, orders[0], STEPS[IS_COMPILED]),
    }


def moved_orders(numbered: Numbered, rows: Ints, seed: int, count: int) -> list[Ints]:
    """An order after each of so many moves of one pass, neither a first nor a second side, to another place."""
    rng = np.random.default_rng(seed)
    first = numbered.tables.first
    loose = [p for p in rows[0] if first[p] < 0 and not np.any(first == p)]
    orders = []
    for _ in range(count):
        p = rng.choice(loose)
        moved = rows.copy()
        moved[0] = np.insert(rows[0][rows[0] != p], rng.integers(numbered.tables.n), p)
        orders.append(moved)
    return orders


def seconds_each(work: Callable[[Ints], object], orders: Sequence[Ints]) -> float:
    """Median seconds of processor time of one order; the first one is not counted."""
    taken = []
    for rows in orders:
        begin = time.thread_time()
        work(rows)
        taken.append(time.thread_time() - begin)
    return median(taken[1:])


def _step_seconds(searcher: Searcher, rows: Ints, steps: int) -> float:
    value = searcher.score(rows)
    held = np.array([value, value], dtype=np.int64)
    current, best = rows.copy(), rows.copy()
    searcher.anneal(current, best, held, steps, HEAT, HEAT)  # to where a search usually is
    begin = time.thread_time()
    searcher.anneal(current, best, held, steps, HEAT, HEAT)
    return (time.thread_time() - begin) / steps


def first_plan_seconds(day: Instance, seed: int) -> float:
    """From the call to the first plan told."""
    heard: list[float] = []
    cancel = CancelToken()

    def hear(progress: Progress) -> None:
        if progress.plan is not None and not heard:
            heard.append(time.monotonic() - began)
            cancel.cancel()

    began = time.monotonic()
    plan_day(day, 5.0, seed=seed, on_better=hear, cancel=cancel, threads=THREADS)
    return heard[0]


def proof(passes: int, seed: int, kind: Kind = Kind.FEASIBLE) -> Answer:
    """Seconds until a day's plan is proven best (`proven` 1) or time is up (0), the gap left in per cent, and the peak
    of memory over what the warm process held, in MB.
    """
    day = shop_day(seed, passes, kind).instance
    base = reset_peak()
    began = time.monotonic()
    plan, bound = planned(day, seed, PROOF_LIMIT_S)
    seconds = time.monotonic() - began
    proven = plan.claim.kind is ClaimKind.PROVEN_BEST
    return {
        "seconds": seconds,
        "proven": float(proven),
        "gap": 0.0 if proven else gap_percent(plan, bound),
        "memory": peak_mb() - base,
    }


def planned(day: Instance, seed: int, seconds: float) -> tuple[Plan, int]:
    """The plan of a day, and the best lower bound that was told."""
    best = 0

    def hear(progress: Progress) -> None:
        nonlocal best
        best = max(best, progress.bound or 0)

    return plan_day(day, seconds, seed=seed, on_better=hear, threads=THREADS), best


def gap_percent(plan: Plan, bound: int) -> float:
    """How far a plan lies above the best bound known, per cent of the bound; 0 when it is proven best."""
    if plan.claim.kind is ClaimKind.PROVEN_BEST:
        return 0.0
    told = 100 * (plan.totals.objective / bound - 1) if bound else math.inf
    return min(told, math.inf if plan.claim.percent is None else plan.claim.percent)


def free_gap(passes: int, seed: int, seconds: float) -> float:
    """The gap of a day without due times after so many seconds, per cent."""
    return gap_percent(*planned(shop_day(seed, passes, Kind.FREE).instance, seed, seconds))


def free_proof(passes: int, seed: int) -> Answer:
    """The same of a day without due times."""
    return proof(passes, seed, Kind.FREE)


MEASURES: dict[str, Callable[[int, int], Answer]] = {"scores": scores, "proof": proof, "free_proof": free_proof}


def ask(measure: str, passes: int, seed: int, compiled: bool = True) -> Answer:
    """A measurement in a process of its own, warm, compiled or as plain Python."""
    root = Path(__file__).resolve().parents[1]
    paths = [str(root), str(root / "src"), os.environ.get("PYTHONPATH", "")]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}
    environment[UNCOMPILED_VARIABLE] = "0" if compiled else "1"
    words = [sys.executable, "-m", __spec__.name, measure, str(passes), str(seed)]
    done = subprocess.run(words, cwd=root, env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    answer: Answer = json.loads(done.stdout)
    return answer


def main() -> None:
    measure, passes, seed = sys.argv[1:]
    if IS_COMPILED:
        warm_engine()
    print(json.dumps(MEASURES[measure](int(passes), int(seed))))


if __name__ == "__main__":
    main()
