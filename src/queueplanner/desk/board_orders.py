"""Changing a named order: a pass moved, rules laid on or lifted, the order kept true when jobs come and go."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from queueplanner.desk.board_refusals import NotAllowed, Why
from queueplanner.desk.board_state import BoardState, ids_of, rules_of
from queueplanner.planning.instance import UnitChoice
from queueplanner.planning.order_rules import PIN, TOGETHER, TURN, OrderRule, OrderRules, broken_rules
from queueplanner.record.day import Order, OrderedPass
from queueplanner.shop.base import PassId
from queueplanner.shop.job import PrintPass

_WHY = {PIN: Why.PIN, TOGETHER: Why.TOGETHER, TURN: Why.TURN}


def moved(
    order: Sequence[PassId], pass_id: PassId, place: int, rules: OrderRules, passes: Mapping[PassId, PrintPass]
) -> tuple[PassId, ...]:
    """An order with a pass in another place, counted from 0: pinned passes stay where they are, others make room.

    Raises NotAllowed with the rule in the way.
    """
    if pass_id not in order:
        raise NotAllowed(Why.NO_SUCH_PASS, [pass_id])
    place = min(max(place, 0), len(order) - 1)
    pinned = {at: p for p, at in rules.places.items()}
    holder = pinned.get(place)
    if pass_id in rules.places and rules.places[pass_id] != place:
        raise NotAllowed(Why.PIN, [pass_id], place=rules.places[pass_id] + 1)
    if holder is not None and holder != pass_id:
        raise NotAllowed(Why.PIN, [holder], place=place + 1)
    fixed = {**pinned, place: pass_id}
    others = iter([p for p in order if p not in fixed.values()])
    result = tuple(fixed[at] if at in fixed else next(others) for at in range(len(order)))
    check(result, rules, passes)
    return result


def next_place(
    order: Sequence[PassId], pass_id: PassId, by: int, rules: OrderRules, passes: Mapping[PassId, PrintPass]
) -> int:
    """The nearest place before (`by` -1) or behind (+1) that a pass may take; the one beside it if there is none."""
    at = order.index(pass_id)
    places = range(at - 1, -1, -1) if by < 0 else range(at + 1, len(order))
    for place in places:
        try:
            moved(order, pass_id, place, rules, passes)
        except NotAllowed:
            continue
        return place
    return at + by


def check(order: Sequence[PassId], rules: OrderRules, passes: Mapping[PassId, PrintPass]) -> None:
    """Raise NotAllowed with the first rule an order breaks, first sides before second ones too."""
    where = {p: at for at, p in enumerate(order)}
    for p in order:
        first = passes[p].first_side
        if first is not None and where.get(first, -1) > where[p]:
            raise NotAllowed(Why.FIRST_SIDE, [first, p])
    for broken in broken_rules(rules, order):
        raise _not_allowed(broken, rules)


def _not_allowed(broken: OrderRule, rules: OrderRules) -> NotAllowed:
    if broken.kind == PIN:
        return NotAllowed(Why.PIN, broken.passes, place=rules.places[broken.passes[0]] + 1)
    return NotAllowed(_WHY[broken.kind], broken.passes)


def keeps(order: Sequence[PassId], rules: OrderRules, passes: Mapping[PassId, PrintPass]) -> bool:
    """Whether an order keeps every rule."""
    try:
        check(order, rules, passes)
    except NotAllowed:
        return False
    return True


def arranged_or_refused(state: BoardState, wished: Sequence[PassId], rules: OrderRules) -> tuple[PassId, ...]:
    """The order nearest to a wished one that keeps the rules. Raises NotAllowed with the rules that contradict."""
    if keeps(wished, rules, state.passes):
        return tuple(wished)
    from queueplanner.planning.arrange import RulesConflict, arranged

    try:
        return tuple(arranged(state.base.with_rules(rules), wished))
    except RulesConflict as error:
        raise NotAllowed(
            Why.CONTRADICTION, [PassId(p) for p in error.passes], error, rules=[r.detail for r in error.rules]
        ) from error


def with_passes(order: Order, ids: Sequence[PassId], rules: OrderRules | None = None, **changes: object) -> Order:
    """An order with its passes in another turn; their units stay, and so do their pins unless `rules` gives others."""
    known = {p.id: p for p in order.passes}
    pins = rules_of(order).places if rules is None else rules.places
    passes = tuple(
        OrderedPass(id=p, units=known[p].units if p in known else (), pinned=pins.get(p) == place)
        for place, p in enumerate(ids)
    )
    return order.model_copy(update={"passes": passes, **changes})


def order_under(order: Order, ids: Sequence[PassId], rules: OrderRules) -> Order:
    """An order with passes in a turn and all the rules given, but for earliest starts, which stay."""
    together = tuple(tuple(sorted(group, key=list(ids).index)) for group in rules.together)
    return with_passes(order, ids, rules, together=together, turns=rules.turns)


def with_units(order: Order, units: Mapping[PassId, UnitChoice]) -> Order:
    """An order with units chosen for some passes."""
    chosen = tuple(p.model_copy(update={"units": tuple(units[p.id])}) if p.id in units else p for p in order.passes)
    return order.model_copy(update={"passes": chosen})


# Jobs come and go


def kept_true(state: BoardState, order: Order, before: BoardState) -> Order:
    """An order of the passes there are now: gone ones leave it, new ones stand where the gone ones of their job stood,
    or last, as far as first sides allow. A pin that no order can keep any more is let go, and so with other rules.
    """
    now = state.passes
    if ids_of(order) and _same_passes(ids_of(order), now, before.passes):
        return order
    wished = _with_newcomers(ids_of(order), state, before)
    rules = _still_possible(rules_of(order).only(now), len(wished))
    while True:
        try:
            ids = arranged_or_refused(state, wished, rules)
        except NotAllowed as conflict:
            rules = _without(rules, conflict.refusal.passes)
        else:
            break
    not_before = {p: at for p, at in order.not_before.items() if p in now}
    return order_under(order, ids, rules).model_copy(update={"not_before": not_before})


def _same_passes(ids: Sequence[PassId], now: Mapping[PassId, PrintPass], then: Mapping[PassId, PrintPass]) -> bool:
    same = set(ids) == now.keys() == then.keys()
    return same and all(now[p].first_side == then[p].first_side for p in ids)


def _with_newcomers(ids: Sequence[PassId], state: BoardState, before: BoardState) -> tuple[PassId, ...]:
    job_of = {p.id: job.id for job in before.listed for p in job.passes}
    fresh = {job.id: [p.id for p in job.passes if p.id not in ids] for job in state.fitting}
    wished: list[PassId] = []
    for p in ids:
        if p in state.passes:
            wished.append(p)
        elif p in job_of:
            wished += fresh.pop(job_of[p], [])
    for newcomers in fresh.values():
        wished += newcomers
    return tuple(wished)


def _still_possible(rules: OrderRules, size: int) -> OrderRules:
    """Rules with pins beyond the last place drawn in to the nearest free one before it."""
    places: dict[PassId, int] = {}
    free = set(range(size)) - {at for at in rules.places.values() if at < size}
    for p, at in sorted(rules.places.items(), key=lambda pair: pair[1]):
        if at < size:
            places[p] = at
        elif free:
            places[p] = max(free)
            free.remove(places[p])
    return replace(rules, places=places)


def _without(rules: OrderRules, passes: Iterable[PassId]) -> OrderRules:
    """Rules without a pin of these passes, else without the groups and turns that name any of them."""
    named = set(passes)
    pins = {p: at for p, at in rules.places.items() if p not in named}
    if len(pins) < len(rules.places):
        return replace(rules, places=pins)
    together = tuple(group for group in rules.together if not group & named)
    turns = tuple(pair for pair in rules.turns if not named & {*pair})
    fewer = replace(rules, together=together, turns=turns)
    return fewer if fewer != rules else OrderRules()


def fewest_moved(known: Sequence[PassId], now: Sequence[PassId]) -> tuple[PassId, ...]:
    """The fewest passes whose moves make one order out of another, of those that stand in both."""
    rank = {p: at for at, p in enumerate(known)}
    shared = [p for p in now if p in rank]
    best: list[tuple[PassId, ...]] = []
    for p in shared:
        longest: tuple[PassId, ...] = ()
        for row in best:
            if rank[row[-1]] < rank[p] and len(row) > len(longest):
                longest = row
        best.append((*longest, p))
    stayed = {p for row in sorted(best, key=len)[-1:] for p in row}
    return tuple(p for p in shared if p not in stayed)
