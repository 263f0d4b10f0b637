"""What planning is worth: our plans against other ways of putting a day in order, and against a long search.

Every order, whoever made it, is scored by the one evaluator; all ratios to ours are of one run, and every way that
takes time gets the same on two threads. Run in the checkout:
python -m benchmarks.days [--sizes 8,20,40] [--days 3] [--seconds 5] [--crew 1] [--long 60] [--kinds feasible]
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import fmean

from benchmarks.machine import print_machine, warm_engine
from benchmarks.nearest import near_order
from benchmarks.orders import by_format
from benchmarks.pair_model import pair_model, pair_order, warm_up_pairs
from benchmarks.shop_days import Kind, shop_day
from benchmarks.state_model import Solution, solver_order

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import ClaimKind, Plan
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.rules import as_received, by_due_time, light_to_dark
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan

SIZES = (8, 12, 16, 20, 30, 40, 60, 100)
THREADS = 2
OURS = "ours"


@dataclass(frozen=True)
class Effort:
    """What a way may spend, and its seed."""

    seconds: float
    seed: int


Way = Callable[[Instance, Effort], Plan | None]


def ours(day: Instance, effort: Effort) -> Plan:
    return plan_day(day, effort.seconds, seed=effort.seed, threads=THREADS)


def by_rule(rule: Callable[[Instance], list[PassId]]) -> Way:
    """A rule's order in the best units."""
    return lambda day, _effort: best_units(day, rule(day))


def by_pairs(day: Instance, effort: Effort) -> Plan:
    return best_units(day, pair_order(day, pair_model(day), effort.seconds, effort.seed))


def by_solver(day: Instance, effort: Effort) -> Plan | None:
    """CP-SAT on make-ready alone; a second side that comes too early is put behind its first."""
    return in_better_units(day, solver_order(day, effort.seconds, effort.seed))


def by_solver_in_time(day: Instance, effort: Effort) -> Plan | None:
    """CP-SAT with end times: it knows due times, drying, and which side comes first."""
    return in_better_units(day, solver_order(day, effort.seconds, effort.seed, timed=True))


def in_better_units(day: Instance, found: Solution | None) -> Plan | None:
    """The plan of an order in its own units, or in the best ones the program finds, whichever is better."""
    if found is None:
        return None
    return min(evaluate(day, *found), best_units(day, found[0]), key=lambda plan: plan.totals.objective)


WAYS: dict[str, Way] = {
    OURS: ours,
    "as received": by_rule(as_received),
    "due-time order": by_rule(by_due_time),
    "light to dark": by_rule(light_to_dark),
    "nearest neighbour": by_rule(lambda day: near_order(day)[0]),
    "by format": by_rule(by_format),
    "pairs, no carry-over": by_pairs,
    "CP-SAT, make-ready": by_solver,
    "CP-SAT, end times": by_solver_in_time,
}


@dataclass(frozen=True)
class Day:
    """What each way made of one day (None: no plan), and our plan of a long search."""

    plans: dict[str, Plan | None]
    long: Plan

    @property
    def ours(self) -> Plan:
        """Our plan."""
        plan = self.plans[OURS]
        assert plan is not None
        return plan

    @property
    def off_percent(self) -> float:
        """Our objective above the best found of the long search, per cent."""
        best = min(self.long.totals.objective, self.ours.totals.objective)
        return 100 * (self.ours.totals.objective - best) / max(1, best)


def planned_day(day: Instance, effort: Effort, long_seconds: float) -> Day:
    """Plan a day in every way. Where ours is proven best, nothing is left for a long search."""
    plans: dict[str, Plan | None] = {}
    for name, way in WAYS.items():
        try:
            plans[name] = way(day, effort)
        except NoPlan:
            plans[name] = None
    found = plans[OURS]
    assert found is not None, "a day of the generator has a plan"
    if found.claim.kind is not ClaimKind.PROVEN_BEST and long_seconds > 0:
        return Day(plans, plan_day(day, long_seconds, seed=effort.seed + 1, threads=THREADS))
    return Day(plans, found)


def spread(values: Sequence[float]) -> str:
    """Mean and range."""
    return f"{short(fmean(values))} ({short(min(values))} to {short(max(values))})" if values else "none"


def short(value: float) -> str:
    """Three figures that count; a count as it is."""
    return f"{value:.2f}" if isinstance(value, float) and value < 100 else f"{value:,.0f}"


def print_size(days: Sequence[Day]) -> None:
    """The table of one size: ratios to ours, and late passes."""
    print(f"  {'':<21} {'make-ready / ours':<25} {'objective / ours':<32} {'late passes':<18} no plan")
    for name in WAYS:
        pairs = [(plan.totals, day.ours.totals) for day in days if (plan := day.plans[name]) is not None]
        makeready = spread([a.makeready_seconds / b.makeready_seconds for a, b in pairs])
        objective = spread([a.objective / b.objective for a, b in pairs])
        late = spread([a.late_passes for a, _ in pairs])
        print(f"  {name:<21} {makeready:<25} {objective:<32} {late:<18} {len(days) - len(pairs)}")


def print_long(days: Sequence[Day], effort: Effort, long_seconds: float) -> None:
    """How far ours is from a long search."""
    minutes = spread([day.ours.totals.makeready_seconds / 60 for day in days])
    proven = sum(day.ours.claim.kind is ClaimKind.PROVEN_BEST for day in days)
    proven_long = sum(day.long.claim.kind is ClaimKind.PROVEN_BEST for day in days)
    print(f"  ours: make-ready {minutes} min; proven best {proven} of {len(days)}, in the long search {proven_long}")
    if long_seconds > 0:
        off = spread([day.off_percent for day in days])
        print(f"  {effort.seconds:g} s against {long_seconds:g} s: within {off} % of the best found")


def print_makeready(table: dict[tuple[Kind, int], list[Day]]) -> None:
    """Make-ready to ours by size, on average."""
    for kind in dict.fromkeys(kind for kind, _ in table):
        sizes = [size for k, size in table if k is kind]
        print(f"\n{kind} days: mean make-ready / ours by passes")
        print(f"  {'':<21}" + "".join(f"{size:>8}" for size in sizes))
        for name in WAYS:
            print(f"  {name:<21}" + "".join(f"{_mean_makeready(table[kind, size], name):>8}" for size in sizes))


def _mean_makeready(days: Sequence[Day], name: str) -> str:
    found = [
        plan.totals.makeready_seconds / day.ours.totals.makeready_seconds
        for day in days
        if (plan := day.plans[name]) is not None
    ]
    return f"{fmean(found):.3f}" if found else "none"


def wishes() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", default=",".join(map(str, SIZES)), help="passes a day")
    parser.add_argument("--days", type=int, default=3, help="days of each size and kind")
    parser.add_argument("--seconds", type=float, default=5.0, help="for each way that takes time")
    parser.add_argument("--crew", type=int, choices=(1, 2), default=1, help="persons at the press")
    parser.add_argument("--long", type=float, default=60.0, help="seconds of the long search; 0 for none")
    parser.add_argument("--kinds", default=",".join(Kind), help="kinds of days")
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


def main() -> None:
    wanted = wishes()
    print_machine()
    warm_engine()
    warm_up_pairs(pair_model(shop_day(0, 4).instance))
    table: dict[tuple[Kind, int], list[Day]] = {}
    for size in map(int, wanted.sizes.split(",")):
        for kind in map(Kind, wanted.kinds.split(",")):
            began, days = time.monotonic(), []
            for k in range(wanted.days):
                effort = Effort(wanted.seconds, 100 * wanted.seed + k)
                days.append(planned_day(shop_day(effort.seed, size, kind, wanted.crew).instance, effort, wanted.long))
            table[kind, size] = days
            print(f"\n{size} passes, {kind}, {wanted.crew} at the press, {len(days)} days", flush=True)
            print_size(days)
            print_long(days, effort, wanted.long)
            print(f"  took {time.monotonic() - began:.0f} s", flush=True)
    print_makeready(table)


if __name__ == "__main__":
    main()
