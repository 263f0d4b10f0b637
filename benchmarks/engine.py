"""How fast the engine is: scores a second, the first plan, proofs and their memory, bounds, and how each grows.

Each figure stands beside what is wanted of it. What is plain Python, and every proof, runs in a process of its own.
Run in the checkout: python -m benchmarks.engine [--days 2] [--seed 1] [--only scores,first,proofs,free,bounds]
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Sequence
from statistics import fmean

from benchmarks.machine import machine, print_machine, warm_engine
from benchmarks.measures import PROOF_LIMIT_S, Answer, ask, first_plan_seconds, free_gap
from benchmarks.shop_days import shop_day

SCORED, MOVED = (20, 40, 100), 100
FIRST_PLAN, PROVEN, BOUNDED = 40, (10, 12, 14, 16, 18, 20), (25, 30, 40)
#: What is wanted, in seconds, megabytes, per cent; the time of a proof by the most passes it holds for.
SCORE_S, FIRST_PLAN_S, MEMORY_MB, GAP_PERCENT, BOUND_S = 0.020, 0.3, 250.0, 5.0, 30.0
PROOF_S = {16: 1.0, 20: 10.0}


def verdict(value: float, wanted: float, unit: str) -> str:
    """What is wanted of a figure, and whether it is met or by which factor it is missed."""
    missed = "NOT MET" if math.isinf(value) else f"NOT MET by a factor of {value / wanted:.1f}"
    return f"wanted up to {wanted:g} {unit}: {'met' if value <= wanted else missed}"


def slope(sizes: Sequence[float], values: Sequence[float]) -> float:
    """The power of size with which values grow: least squares on logarithms."""
    x, y = [math.log(size) for size in sizes], [math.log(value) for value in values]
    mx, my = fmean(x), fmean(y)
    return sum((a - mx) * (b - my) for a, b in zip(x, y, strict=True)) / sum((a - mx) ** 2 for a in x)


def print_scores(seed: int) -> None:
    """Rates compiled and plain, the time after a move, growth."""
    print("scores a second of processor time, one thread; the evaluator's plan of an order")
    for name, compiled in (("compiled", True), ("plain", False)):
        answers = [ask("scores", passes, seed, compiled) for passes in SCORED]
        for passes, a in zip(SCORED, answers, strict=True):
            rates = f"{1 / a['score']:>9,.0f} whole orders {1 / a['move']:>11,.0f} moves"
            print(f"  {name:<9}{passes:>3} passes {rates}   score and plan {1000 * a['plan']:6.1f} ms")
        print_move(name, answers)


def print_move(name: str, answers: Sequence[Answer]) -> None:
    """The time of scoring a day anew after a move, and how it grows."""
    at = answers[SCORED.index(MOVED)]
    print(
        f"  {name:<9}score after a move at {MOVED} passes: {1000 * at['score']:.2f} ms, "
        f"{verdict(1000 * at['score'], 1000 * SCORE_S, 'ms')}"
    )
    powers = [slope(SCORED, [a[key] for a in answers]) for key in ("score", "move")]
    print(
        f"  {name:<9}time grows with passes to the power {powers[0]:.2f} (order), {powers[1]:.2f} (move)",
        flush=True,
    )


def print_first_plan(seed: int, days: int) -> None:
    """The time to the first plan."""
    taken = [first_plan_seconds(shop_day(seed + k, FIRST_PLAN).instance, seed) for k in range(max(3, days))]
    print(
        f"first plan of {FIRST_PLAN} passes, warm: {fmean(taken):.2f} s ({min(taken):.2f} to {max(taken):.2f}), "
        f"{verdict(max(taken), FIRST_PLAN_S, 's')}",
        flush=True,
    )


def print_proofs(measure: str, seed: int, days: int) -> None:
    """Times and memory of proofs."""
    kind = "days without due times" if measure == "free_proof" else "feasible days"
    print(f"proof of {kind}: seconds until the plan is proven best, limit {PROOF_LIMIT_S:g} s; peak of memory")
    means = []
    for passes in PROVEN:
        answers = [ask(measure, passes, seed + k) for k in range(days)]
        means.append(fmean(a["seconds"] for a in answers))
        longest = max(a["seconds"] if a["proven"] else math.inf for a in answers)
        memory = max(a["memory"] for a in answers)
        print(f"  {passes} passes: {', '.join(map(proof_words, answers))}", flush=True)
        print(f"     time {verdict(longest, wanted_proof_s(passes), 's')}")
        print(f"     memory {memory:.0f} MB over the warm process, {verdict(memory, MEMORY_MB, 'MB')}", flush=True)
    rise = (means[-1] / means[0]) ** (1 / (PROVEN[-1] - PROVEN[0]))
    print(f"  the mean time (the limit where unproven) grows by a factor of {rise:.2f} with each pass")


def wanted_proof_s(passes: int) -> float:
    """How long a proof of so many passes may take."""
    return next(seconds for most, seconds in PROOF_S.items() if passes <= most)


def proof_words(a: Answer) -> str:
    """One proof in words."""
    return f"{a['seconds']:.2f} s" if a["proven"] else f"unproven ({a['gap']:.1f} % above the bound)"


def print_bounds(seed: int, days: int, seconds: float) -> None:
    """Gaps of the lower bound where make-ready alone counts."""
    print(f"days without due times: plan above the lower bound after {seconds:g} s")
    means = []
    for passes in BOUNDED:
        gaps = [free_gap(passes, seed + k, seconds) for k in range(days)]
        means.append(fmean(gaps))
        shown = ", ".join(f"{gap:.1f}" for gap in gaps)
        print(f"  {passes} passes: {shown} %, {verdict(max(gaps), GAP_PERCENT, '%')}", flush=True)
    print(f"  on average {means[0]:.1f} % at {BOUNDED[0]} passes, {means[-1]:.1f} % at {BOUNDED[-1]}")


def wishes() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=2, help="days of each size")
    parser.add_argument("--seed", type=int, default=1, help="of the first day; the next one's is one more")
    parser.add_argument("--bound-seconds", type=float, default=BOUND_S)
    parser.add_argument("--only", default="scores,first,proofs,free,bounds", help="the parts to run")
    return parser.parse_args()


def main() -> None:
    wanted = wishes()
    print_machine()
    warm_engine()
    parts: dict[str, Callable[[], None]] = {
        "scores": lambda: print_scores(wanted.seed),
        "first": lambda: print_first_plan(wanted.seed, wanted.days),
        "proofs": lambda: print_proofs("proof", wanted.seed, wanted.days),
        "free": lambda: print_proofs("free_proof", wanted.seed, wanted.days),
        "bounds": lambda: print_bounds(wanted.seed, wanted.days, wanted.bound_seconds),
    }
    for name in wanted.only.split(","):
        parts[name]()
    print(machine())


if __name__ == "__main__":
    main()
