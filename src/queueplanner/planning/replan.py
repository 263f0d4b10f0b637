"""The day as it really goes: the queue from this moment on, planned anew near the known order, what moved and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from queueplanner.makeready.changeover import evening_tasks
from queueplanner.makeready.state import PressState
from queueplanner.planning.arrange import arranged, keeps_all_rules
from queueplanner.planning.clockwork import day_of
from queueplanner.planning.evaluate import evaluate, press_after
from queueplanner.planning.instance import Instance, Started, UnitChoice, make_instance
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan, Totals, solution_of
from queueplanner.planning.planner import plan_day
from queueplanner.planning.progress import CancelToken, OnProgress
from queueplanner.planning.search import Numbered, Searcher, Solution
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.job import Job
from queueplanner.shop.start import PressStart

NO_RULES = OrderRules()


@dataclass(frozen=True, slots=True)
class Finished:
    """A pass that has run: in which units, and when its run really ended (epoch seconds)."""

    pass_id: PassId
    units: UnitChoice
    run_end: int


@dataclass(frozen=True, slots=True)
class Actual:
    """What has happened since the plan began: the moment, the passes that ran, in order, and the one on the press.

    `down_until` (epoch seconds) is when a press that stands still can go on; None when it can go on now.
    """

    now: int
    finished: tuple[Finished, ...] = ()
    on_press: Started | None = None
    down_until: int | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """A pass that left its place among the others: the passes it followed and follows now (None for none).

    `back` are the totals of the new plan with this pass alone put back behind the one it followed; None where a rule
    forbids that.
    """

    pass_id: PassId
    followed: PassId | None
    follows: PassId | None
    back: Totals | None


@dataclass(frozen=True, slots=True)
class Replanned:
    """The queue from now on: what it is an instance of, the new plan, the known order held on to, and who moved."""

    instance: Instance
    plan: Plan
    unchanged: Plan
    moved: tuple[Moved, ...]


def gone_by_plan(plan: Plan, now: int) -> Actual:
    """What has happened up to a moment if all went by the plan."""
    units = solution_of(plan)[1]
    finished = tuple(Finished(p.id, units[p.id], p.run_end) for p in plan.passes if p.run_end <= now)
    on_press = None
    for p in plan.passes:
        if p.makeready_start <= now < p.run_end:
            left = (sum(max(0, b - max(a, now)) for a, b in pieces) for pieces in (p.makeready_pieces, p.run_pieces))
            on_press = Started(p.id, units[p.id], *left)
    return Actual(now, finished, on_press)


def queue_from_now(
    instance: Instance,
    plan: Plan,
    actual: Actual,
    *,
    jobs: Sequence[Job] | None = None,
    rules: OrderRules = NO_RULES,
    near: bool = True,
) -> Instance:
    """What is left of a day: its instance from this moment on, from the state the press is really in.

    `jobs` is the whole list where it has changed (a rush job in, one taken back); finished passes drop out of it. With
    `near` the plan's order is the known one, and pairs of passes that are reversed weigh something. Raises ValueError
    for a finished pass or one on the press that the plan does not hold, and what `make_instance` raises.
    """
    finished = {item.pass_id: item for item in actual.finished}
    for pass_id in [*finished, *([actual.on_press.pass_id] if actual.on_press else [])]:
        if pass_id not in instance.passes:
            raise ValueError(f"pass {pass_id} is not in the plan")
    zone = instance.shop.calendar.zone
    ends = {**instance.first_side_ends, **{key: item.run_end for key, item in finished.items()}}
    left = _left(instance.jobs if jobs is None else jobs, finished)
    wanted = {p.first_side for job in left for p in job.passes}
    start = PressStart(
        printed_first_sides={key: datetime.fromtimestamp(end, UTC) for key, end in ends.items() if key in wanted}
    )
    rest = make_instance(instance.shop, left, start, datetime.fromtimestamp(actual.now, zone))
    clock = rest.clock if actual.down_until is None else rest.clock.without(actual.now, actual.down_until)
    rest = replace(rest, state=_press_now(instance, plan, actual), clock=clock)
    if actual.on_press is not None:
        rest = rest.with_started(actual.on_press)
    known = [p for p in plan.order if p in rest.passes] if near else []
    return rest.with_rules(rules.with_known(known))


def _left(jobs: Sequence[Job], finished: Mapping[PassId, Finished]) -> list[Job]:
    """The jobs with passes still to run, and these alone."""
    left = []
    for job in jobs:
        passes = tuple(p for p in job.passes if p.id not in finished)
        if passes:
            left.append(job if len(passes) == len(job.passes) else job.model_copy(update={"passes": passes}))
    return left


def _press_now(instance: Instance, plan: Plan, actual: Actual) -> PressState:
    """The state of the press: what the changeovers that were made have left, with the ends of the runs as they were."""
    order, units = solution_of(plan)
    ran = [item.pass_id for item in actual.finished]
    made = [*ran, *([actual.on_press.pass_id] if actual.on_press else [])]
    if not made:
        return instance.state
    really = {item.pass_id: item.units for item in actual.finished}
    if actual.on_press is not None:
        really[actual.on_press.pass_id] = actual.on_press.units
    free = replace(instance, rules=NO_RULES, started=None) if instance.started is None else instance
    whole = arranged(free, [*made, *(p for p in order if p not in made)])
    state = press_after(free, whole, {**units, **really})[len(made) - 1]
    state = _with_real_ends(state, actual)
    return state if actual.on_press is not None else _after_nights(instance, state, actual)


def _with_real_ends(state: PressState, actual: Actual) -> PressState:
    """Each unit's last run ended when it really did; a run that goes on has not ended."""
    last: dict[int, int] = {}
    for item in actual.finished:
        last |= dict.fromkeys(item.units, item.run_end)
    if actual.on_press is not None:
        last |= dict.fromkeys(actual.on_press.units, actual.now)
    units = (replace(unit, last_run_end=last.get(n, unit.last_run_end)) for n, unit in enumerate(state.units, 1))
    return replace(state, units=tuple(units))


def _after_nights(instance: Instance, state: PressState, actual: Actual) -> PressState:
    """The press after the evening washes of the nights since the last run."""
    clock = instance.clock
    last = max(item.run_end for item in actual.finished)
    day = day_of(clock, last - 1)
    while day + 1 < len(clock.day_starts) and clock.day_ends[day] <= actual.now:
        following = clock.day_starts[day + 1]
        washed = [
            number
            for number, unit in enumerate(state.units, 1)
            if unit.ink is not None and (unit.last_run_end or last) + unit.ink.open_seconds < following
        ]
        state = evening_tasks(instance.shop.press, state, washed)[1]
        day += 1
    return state


def replan(
    rest: Instance,
    known: Plan,
    seconds: float,
    *,
    seed: int = 1,
    on_better: OnProgress | None = None,
    cancel: CancelToken | None = None,
) -> Replanned:
    """Plan what is left of a day (see `queue_from_now`) and say what moved against the plan known so far, and why."""
    unchanged = _unchanged(rest, known)
    starts = [*_with_newcomers_placed(rest, unchanged), solution_of(unchanged)]
    plan = _no_idle_moves(
        rest, known, plan_day(rest, seconds, seed=seed, on_better=on_better, cancel=cancel, also=starts)
    )
    return Replanned(rest, plan, unchanged, tuple(what_moved(rest, known.order, plan)))


def _no_idle_moves(rest: Instance, known: Plan, plan: Plan) -> Plan:
    """The plan with every pass put back that gained nothing by moving."""
    if not rest.rules.known:
        return plan
    while True:
        order, units = solution_of(plan)
        best, best_order = plan.totals.objective, None
        for move in what_moved(rest, known.order, plan):
            if move.back is not None and move.back.objective < best:
                best, best_order = move.back.objective, _order_with_back(rest, list(order), move.pass_id, move.followed)
        if best_order is None:
            return plan
        plan = evaluate(rest, best_order, units).claimed(plan.claim)


def _unchanged(rest: Instance, known: Plan) -> Plan:
    """The known order held on to as far as the rules allow, newcomers last."""
    order, units = solution_of(known)
    kept = [p for p in order if p in rest.passes]
    whole = arranged(rest, [*kept, *(p for p in rest.passes if p not in kept)])
    return evaluate(rest, whole, {p: units[p] for p in kept if units[p] in rest.choices[p]})


def _with_newcomers_placed(rest: Instance, unchanged: Plan) -> list[Solution]:
    """The order held on to with each pass the known order does not have in its best place."""
    order, units = solution_of(unchanged)
    newcomers = [p for p in order if p not in rest.rules.known and p in rest.unstarted]
    if not newcomers or not rest.rules.known:
        return []
    numbered = Numbered.of(rest)
    searcher = Searcher(numbered.tables)
    placed = list(order)
    for p in newcomers:
        without = [q for q in placed if q != p]
        trials = ([*without[:k], p, *without[k:]] for k in range(len(placed)))
        possible = [trial for trial in trials if keeps_all_rules(rest, trial)]
        placed = min(possible, key=lambda trial: searcher.score(numbered.rows(trial, units)), default=placed)
    return [(tuple(placed), units)]


def what_moved(instance: Instance, known: Sequence[PassId], plan: Plan) -> list[Moved]:
    """The fewest passes whose moves make the plan's order out of a known one, and what each move is worth."""
    shared = [p for p in known if p in instance.passes and p in instance.unstarted]
    order, units = solution_of(plan)
    now = [p for p in order if p in set(shared)]
    stayed = set(_longest_in_turn(shared, now))
    moved = []
    for p in now:
        if p in stayed:
            continue
        at = shared.index(p)
        followed = shared[at - 1] if at else None
        follows = order[order.index(p) - 1] if order.index(p) else None
        moved.append(Moved(p, followed, follows, _put_back(instance, list(order), units, p, followed)))
    return moved


def _put_back(
    instance: Instance, order: list[PassId], units: Mapping[PassId, UnitChoice], p: PassId, behind: PassId | None
) -> Totals | None:
    """The totals with one pass put back behind another; None where a rule forbids it."""
    order = _order_with_back(instance, order, p, behind)
    if not keeps_all_rules(instance, order):
        return None
    try:
        return evaluate(instance, order, units).totals
    except NoPlan:
        return None


def _order_with_back(instance: Instance, order: list[PassId], p: PassId, behind: PassId | None) -> list[PassId]:
    """An order with one pass put back behind another; first of the unstarted if it followed none."""
    rest = [q for q in order if q != p]
    first = 0 if instance.started is None else 1
    at = first if behind is None else rest.index(behind) + 1
    return [*rest[:at], p, *rest[at:]]


def _longest_in_turn(known: Sequence[PassId], now: Sequence[PassId]) -> list[PassId]:
    """The longest row of passes that stand in the same turn in both orders."""
    rank = {p: i for i, p in enumerate(known)}
    best: list[list[PassId]] = []
    for p in now:
        before = [row for row in best if rank[row[-1]] < rank[p]]
        best.append([*max(before, key=len, default=[]), p])
    return max(best, key=len, default=[])
