"""What a person fixes in an order: places, passes that stay together or in turn, earliest starts, a known order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from queueplanner.shop.base import PassId

#: The kinds of rules.
PIN, TOGETHER, TURN = "a pinned place", "passes kept together", "one pass after another"


@dataclass(frozen=True, slots=True)
class OrderRules:
    """The rules an order must keep, beside first side before second.

    `places` pins a pass to a place among the unstarted ones, counted from 0. The passes of each of `together` stand
    side by side, in any order; no pass is in two of them. Of each pair in `turns` the first runs before the second.
    `not_before`, epoch seconds, binds the changeover like an earliest start. `known` is no rule: it is the order known
    to the shop, and each pair of unstarted passes in it that is reversed weighs something.
    """

    places: Mapping[PassId, int] = field(default_factory=dict)
    together: tuple[frozenset[PassId], ...] = ()
    turns: tuple[tuple[PassId, PassId], ...] = ()
    not_before: Mapping[PassId, int] = field(default_factory=dict)
    known: tuple[PassId, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.places or self.together or self.turns or self.not_before or self.known)

    def named(self) -> set[PassId]:
        """Every pass a rule names; those of the known order count not."""
        passes = {*self.places, *self.not_before, *(p for pair in self.turns for p in pair)}
        return passes.union(*self.together)

    def only(self, passes: Mapping[PassId, object]) -> OrderRules:
        """The rules that bind some passes alone, with places as they are."""
        kept = (frozenset(p for p in group if p in passes) for group in self.together)
        return OrderRules(
            {p: k for p, k in self.places.items() if p in passes},
            tuple(group for group in kept if len(group) > 1),
            tuple((a, b) for a, b in self.turns if a in passes and b in passes),
            {p: at for p, at in self.not_before.items() if p in passes},
            tuple(p for p in self.known if p in passes),
        )

    def with_known(self, order: Sequence[PassId]) -> OrderRules:
        """The same rules, and an order to stay near."""
        return replace(self, known=tuple(order))

    def reversed_pairs(self, order: Sequence[PassId]) -> int:
        """Pairs of passes of the known order that an order has the other way round."""
        rank = {p: i for i, p in enumerate(self.known)}
        return sum(rank[a] > rank[b] for a, b in combinations([p for p in order if p in rank], 2))


@dataclass(frozen=True, slots=True)
class OrderRule:
    """One rule of order: `kind` a short name, the passes it concerns, the facts in a few words; a pin has a place."""

    kind: str
    passes: tuple[PassId, ...]
    detail: str
    place: int | None = None


def broken_rules(rules: OrderRules, order: Sequence[PassId]) -> Iterator[OrderRule]:
    """The rules that an order of the unstarted passes breaks; earliest starts bind the clock, not the order."""
    where = {p: i for i, p in enumerate(order)}
    for p, place in rules.places.items():
        if where[p] != place:
            yield OrderRule(PIN, (p,), f"{p} is pinned to place {place + 1} and stands at {where[p] + 1}")
    for group in rules.together:
        places = sorted(where[p] for p in group)
        if places[-1] - places[0] >= len(group):
            names = tuple(order[i] for i in places)
            yield OrderRule(TOGETHER, names, f"another pass stands between {' and '.join(names)}")
    for earlier, later in rules.turns:
        if where[earlier] > where[later]:
            yield OrderRule(TURN, (earlier, later), f"{later} stands before {earlier}")
