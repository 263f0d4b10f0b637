"""The instance: everything about a day that does not depend on the order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from queueplanner.makeready.changeover import units_are_free
from queueplanner.makeready.fit import refusals
from queueplanner.makeready.state import PressState, start_state
from queueplanner.planning.order_rules import OrderRules
from queueplanner.shop.base import PassId
from queueplanner.shop.calendar import WorkClock
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.ink import lightness_ties
from queueplanner.shop.job import Job, PrintPass, epoch
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart

UnitChoice = tuple[int, ...]
"""The unit of each separation of a pass, in the pass's own order of separations."""


@dataclass(frozen=True, slots=True)
class Started:
    """The pass that is on the press when the plan begins: its units, and the working seconds left of it.

    The press is set for it already: its inks and plates are in the state the plan starts from.
    """

    pass_id: PassId
    units: UnitChoice
    makeready_left_s: int
    run_left_s: int


@dataclass(frozen=True, slots=True)
class Instance:
    """Jobs, press, hours and starting state of a plan.

    `start_at` in epoch seconds; `first_side_ends` the ends of first sides printed before the plan begins; `rules` what
    a person has fixed of the order; `started` the pass on the press, which then comes first.
    """

    shop: Shop
    jobs: tuple[Job, ...]
    passes: Mapping[PassId, PrintPass]
    job_of: Mapping[PassId, Job]
    choices: Mapping[PassId, tuple[UnitChoice, ...]]
    run_seconds: Mapping[PassId, int]
    state: PressState
    start_at: int
    clock: WorkClock
    first_side_ends: Mapping[PassId, int]
    rules: OrderRules = field(default_factory=OrderRules)
    started: Started | None = None

    @property
    def size(self) -> int:
        """How many passes there are to put in order."""
        return len(self.passes)

    @property
    def unstarted(self) -> list[PassId]:
        """The passes that are not on the press yet, as the list gives them."""
        return [p for p in self.passes if self.started is None or p != self.started.pass_id]

    def earliest_s(self, pass_id: PassId) -> int:
        """The first moment a pass's changeover may begin, epoch seconds; 0 where nothing binds it."""
        own = self.passes[pass_id].earliest
        return max(0 if own is None else epoch(own), self.rules.not_before.get(pass_id, 0))

    def with_rules(self, rules: OrderRules) -> Instance:
        """The same day under other rules. Raises NoPlan for a rule that names a pass not in the queue."""
        unstarted = set(self.unstarted)
        unknown = sorted(rules.named() - unstarted)
        if unknown:
            raise NoPlan("a rule names a pass that is not in the queue", unknown, "name passes that have not started")
        return replace(self, rules=rules.only(dict.fromkeys(unstarted)))

    def with_started(self, started: Started) -> Instance:
        """The same day with a pass on the press."""
        return replace(
            self,
            started=started,
            choices={**self.choices, started.pass_id: (started.units,)},
            run_seconds={**self.run_seconds, started.pass_id: started.run_left_s},
        )


def make_instance(
    shop: Shop, jobs: Sequence[Job], start: PressStart, start_at: datetime, *, days: int = 60
) -> Instance:
    """Build the instance of some jobs on the shop's press from a moment on.

    Raises Refused for the first pass the press cannot run, and NoPlan when a second side has no first side.
    """
    job_of = {p.id: job for job in jobs for p in job.passes}
    passes = {p.id: p for job in jobs for p in job.passes}
    if len(passes) < sum(len(job.passes) for job in jobs):
        ids = [p.id for job in jobs for p in job.passes]
        raise NoPlan(
            "two passes share an id",
            sorted({i for i in ids if ids.count(i) > 1}),
            "each pass needs its own id",
        )
    for print_pass in passes.values():
        for refusal in refusals(shop.press, print_pass):
            raise refusal
    start_s = epoch(start_at)
    ends = {key: start_s if end is None else epoch(end) for key, end in start.printed_first_sides.items()}
    _check_first_sides(passes, ends)
    return Instance(
        shop=shop,
        jobs=tuple(jobs),
        passes=passes,
        job_of=job_of,
        choices={p.id: unit_choices_of(shop, p) for p in passes.values()},
        run_seconds={p.id: shop.press.run_seconds(p) for p in passes.values()},
        state=start_state(start, shop.press, shop.inks),
        start_at=start_s,
        clock=WorkClock.of(shop.calendar, start_at, days),
        first_side_ends=ends,
    )


def unit_choices_of(shop: Shop, print_pass: PrintPass) -> tuple[UnitChoice, ...]:
    """The unit choices the trade allows: the lighter ink in unit 1, either way for a tie; one ink in either unit."""
    if len(print_pass.separations) == 1:
        return tuple((u,) for u in range(1, shop.press.units + 1))
    first, second = (s.ink for s in print_pass.separations)
    if units_are_free(shop.press, print_pass) or lightness_ties(first, second):
        return ((1, 2), (2, 1))
    return ((1, 2),) if first.colour.L > second.colour.L else ((2, 1),)


def _check_first_sides(passes: Mapping[PassId, PrintPass], printed: Mapping[PassId, int]) -> None:
    for print_pass in passes.values():
        first = print_pass.first_side
        if first is None:
            continue
        if first not in passes and first not in printed:
            raise NoPlan("a second side has no first side", [print_pass.id, first], f"pass {first} is not in the list")
        chain = [print_pass.id]
        while first is not None and first in passes:
            if first in chain:
                raise NoPlan("first and second sides run in a circle", [*chain, first], " → ".join([*chain, first]))
            chain.append(first)
            first = passes[first].first_side
