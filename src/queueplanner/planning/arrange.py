"""From a wished order to one that keeps every rule; where none can, which rules stand in each other's way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import combinations

from ortools.sat.python import cp_model

from queueplanner.planning.instance import Instance
from queueplanner.planning.order_rules import PIN, TOGETHER, TURN, OrderRule, OrderRules, broken_rules
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import NoPlan

#: Seconds the solver may look for the nearest order; any order that keeps the rules is good enough a start.
NEAREST_SECONDS = 1.0


class RulesConflict(NoPlan):
    """Rules no order can keep together; `rules` are the fewest that already contradict each other."""

    def __init__(self, rules: Sequence[OrderRule]) -> None:
        self.rules = tuple(rules)
        passes = sorted({p for rule in rules for p in rule.passes})
        super().__init__("rules of the order contradict each other", passes, "; ".join(r.detail for r in rules))


def arranged(instance: Instance, wished: Iterable[PassId]) -> list[PassId]:
    """All passes as near to a wished order as the rules allow, the one on the press first.

    Raises RulesConflict where no order keeps them all.
    """
    started = [] if instance.started is None else [instance.started.pass_id]
    order = [p for p in wished if p not in started]
    turns = turns_of(instance)
    taken = _in_turn(instance.rules, turns, order)
    if taken is None:
        taken = _nearest(instance.rules, turns, order)
    return started + taken


def keeps_all_rules(instance: Instance, order: Sequence[PassId]) -> bool:
    """Whether an order of all passes keeps every rule, first sides before second ones too."""
    started = instance.started
    if started is not None:
        if order[0] != started.pass_id:
            return False
        order = order[1:]
    where = {p: i for i, p in enumerate(order)}
    in_turn = all(where[a] < where[b] for a, b in turns_of(instance))
    return in_turn and next(broken_rules(instance.rules, order), None) is None


def turns_of(instance: Instance) -> list[tuple[PassId, PassId]]:
    """(Earlier, later) of the unstarted passes that run in turn: first and second sides, and what a person fixed."""
    unstarted = set(instance.unstarted)
    sides = ((instance.passes[p].first_side, p) for p in instance.unstarted)
    return [*((a, b) for a, b in sides if a is not None and a in unstarted), *instance.rules.turns]


def _in_turn(
    rules: OrderRules, turns: Sequence[tuple[PassId, PassId]], wished: Sequence[PassId]
) -> list[PassId] | None:
    """Place by place the first wished pass that may come; None when that leads nowhere."""
    before: dict[PassId, set[PassId]] = {p: set() for p in wished}
    for earlier, later in turns:
        before[later].add(earlier)
    pinned = {place: p for p, place in rules.places.items()}
    group_of = {p: group for group in rules.together for p in group}
    left, order = dict.fromkeys(wished), list[PassId]()
    for place in range(len(wished)):
        open_group = group_of.get(order[-1], frozenset()) & left.keys() if order else frozenset()
        at_hand = [pinned[place]] if place in pinned else [p for p in left if p not in rules.places]
        fitting = (p for p in at_hand if not before[p] & left.keys() and (not open_group or p in open_group))
        chosen = next(fitting, None)
        if chosen is None:
            return None
        order.append(chosen)
        del left[chosen]
    return None if next(broken_rules(rules, order), None) else order


def _nearest(rules: OrderRules, turns: Sequence[tuple[PassId, PassId]], wished: Sequence[PassId]) -> list[PassId]:
    """The order whose places differ least from the wished ones."""
    every = _all_rules(rules, turns, len(wished))
    found = _solved(every, wished, NEAREST_SECONDS)
    if found is None:
        raise RulesConflict(_fewest(every, wished))
    return found


def _fewest(rules: Sequence[OrderRule], wished: Sequence[PassId]) -> list[OrderRule]:
    """Rules that contradict each other, none of which can be left out."""
    kept = list(rules)
    for rule in rules:
        fewer = [r for r in kept if r is not rule]
        if _solved(fewer, wished, 0.0) is None:
            kept = fewer
    return kept


def _all_rules(rules: OrderRules, turns: Sequence[tuple[PassId, PassId]], size: int) -> list[OrderRule]:
    """Every rule as what would be said of it."""
    fixed = set(rules.turns)
    pins = (OrderRule(PIN, (p,), f"{p} is pinned to place {k + 1} of {size}", k) for p, k in rules.places.items())
    groups = (OrderRule(TOGETHER, tuple(sorted(g)), f"{' and '.join(sorted(g))} stay together") for g in rules.together)
    in_turn = (
        OrderRule(TURN, pair, f"{pair[1]} comes after {pair[0]}" + ("" if pair in fixed else ", its first side"))
        for pair in turns
    )
    return [*pins, *groups, *in_turn]


def _solved(rules: Sequence[OrderRule], wished: Sequence[PassId], seconds: float) -> list[PassId] | None:
    """An order that keeps some rules, near the wished one if there is time; None when there is none."""
    model = cp_model.CpModel()
    n = len(wished)
    place = {p: model.new_int_var(0, n - 1, p) for p in wished}
    model.add_all_different(place.values())
    for rule in rules:
        _bind(model, place, rule)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if seconds:
        away = []
        for i, p in enumerate(wished):
            away.append(model.new_int_var(0, n, ""))
            model.add_abs_equality(away[-1], place[p] - i)
            model.add_hint(place[p], i)
        model.minimize(cp_model.LinearExpr.sum(away))
        solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    if status == cp_model.UNKNOWN and seconds:
        return _solved(rules, wished, 0.0)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return sorted(wished, key=lambda p: solver.value(place[p]))


def _bind(model: cp_model.CpModel, place: dict[PassId, cp_model.IntVar], rule: OrderRule) -> None:
    if rule.kind == PIN:
        model.add(place[rule.passes[0]] == rule.place)
    elif rule.kind == TURN:
        model.add(place[rule.passes[0]] < place[rule.passes[1]])
    else:
        for a, b in combinations(rule.passes, 2):
            model.add(place[a] - place[b] <= len(rule.passes) - 1)
            model.add(place[b] - place[a] <= len(rule.passes) - 1)
