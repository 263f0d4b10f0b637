"""What a pass in the hand would cost or save in another place of the run order, place by place; without a window.

Whole orders are scored by the compiled shadow of the evaluator: it reckons make-ready, wash-ups and the end of every
run exactly as the evaluator does, in less than a thousandth of a second, so that no drop has to be guessed at.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

import numpy as np

from queueplanner.planning.order_rules import PIN, TOGETHER, broken_rules
from queueplanner.planning.plan import Plan, solution_of
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import NoPlan

if TYPE_CHECKING:
    # Only named here: the timeline is painted before the search, and all it brings along, is loaded.
    from queueplanner.planning.instance import Instance, UnitChoice
    from queueplanner.planning.progress import CancelToken
    from queueplanner.planning.search import Numbered


#: Shorter orders are scored soon enough by plain code: while nothing is compiled yet, a few thousandths of a second.
_COMPILED_FROM = 40


class Forbids(StrEnum):
    """Which hard rule forbids a drop."""

    STARTED = "the pass on the press comes first"
    PINNED = "a pass is pinned to a place"
    TOGETHER = "passes are kept together"
    TURN = "one pass runs after another"
    SECOND_SIDE = "a second side comes after its first"
    CALENDAR = "no working day holds it"


@dataclass(frozen=True, slots=True)
class Forbidden:
    """A hard rule in the way: the passes it names, earlier ones first, and the place a pin holds, counted from 0."""

    rule: Forbids
    passes: tuple[PassId, ...]
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Lateness:
    """By how many seconds a job is late now, and by how many it would be."""

    job: JobId
    now: int
    then: int


@dataclass(frozen=True, slots=True)
class Drop:
    """What dropping the pass at a place (counted from 0 in the order as it then stands) would change.

    Seconds and wash-ups are what it costs more than now; below 0 it saves them. `lateness` holds the jobs whose
    lateness would change, those made worse first; `units` are the best for the moved pass there.
    """

    place: int
    units: UnitChoice
    makeready_seconds: int = 0
    wash_ups: int = 0
    late_seconds: int = 0
    lateness: tuple[Lateness, ...] = ()


Answer = Drop | Forbidden


def moved_order(instance: Instance, order: Sequence[PassId], pass_id: PassId, place: int) -> tuple[PassId, ...]:
    """The order with a pass at a place, counted from 0, that no pin forbids it: others make room, pinned ones stay."""
    ahead = 0 if instance.started is None else 1
    fixed = {at + ahead: p for p, at in instance.rules.places.items() if p in instance.passes}
    fixed[place] = pass_id
    if instance.started is not None and place:
        fixed[0] = instance.started.pass_id
    held = set(fixed.values())
    others = iter([p for p in order if p not in held])
    return tuple(fixed[at] if at in fixed else next(others) for at in range(len(order)))


def forbidden(instance: Instance, order: Sequence[PassId], pass_id: PassId, place: int) -> Forbidden | None:
    """The rule that forbids a pass the place, the calendar left aside; None where it may go there."""
    started, rules = instance.started, instance.rules
    if started is not None and (place == 0 or pass_id == started.pass_id):
        return Forbidden(Forbids.STARTED, (started.pass_id,))
    ahead = 0 if started is None else 1
    for p, at in rules.places.items():
        if (p == pass_id) != (at + ahead == place):
            return Forbidden(Forbids.PINNED, (p,), at + ahead)
    moved = moved_order(instance, order, pass_id, place)
    return _side_before_first(instance, moved) or _broken(instance, moved[ahead:], ahead)


def _side_before_first(instance: Instance, order: Sequence[PassId]) -> Forbidden | None:
    done: set[PassId] = set()
    for p in order:
        first = instance.passes[p].first_side
        if first is not None and first in instance.passes and first not in done:
            return Forbidden(Forbids.SECOND_SIDE, (first, p))
        done.add(p)
    return None


def _broken(instance: Instance, order: Sequence[PassId], ahead: int) -> Forbidden | None:
    broken = next(broken_rules(instance.rules, order), None)
    if broken is None:
        return None
    if broken.kind == PIN:
        return Forbidden(Forbids.PINNED, broken.passes, instance.rules.places[broken.passes[0]] + ahead)
    return Forbidden(Forbids.TOGETHER if broken.kind == TOGETHER else Forbids.TURN, broken.passes)


class DayTables:
    """The tables of a day, built once: they are the slow part, and the same for every pass and every order of it.

    May be asked from several threads.
    """

    def __init__(self) -> None:
        self._kept: Numbered | None = None
        self._lock = threading.Lock()

    def of(self, instance: Instance) -> Numbered:
        """The tables of an instance; those there are if nothing but the rules of its order is new."""
        from queueplanner.planning.search import Numbered

        with self._lock:
            if self._kept is None or not _same_day(self._kept.instance, instance):
                self._kept = Numbered.of(instance)
            elif self._kept.instance is not instance:
                earliest = np.array([instance.earliest_s(p) for p in self._kept.numbering.passes], dtype=np.int64)
                tables = self._kept.tables._replace(earliest=earliest)
                self._kept = replace(self._kept, instance=instance, tables=tables)
            return self._kept

    def prepare(self, instance: Instance) -> None:
        """Build the tables before they are wanted, and have the search compiled where orders are long.

        A day they cannot hold is left to the evaluator.
        """
        from queueplanner.planning.engine import warm_up_in_background

        with suppress(NoPlan):
            tables = self.of(instance).tables
            if tables.n > _COMPILED_FROM:
                warm_up_in_background(tables)


def _same_day(known: Instance, now: Instance) -> bool:
    return known is now or replace(known, rules=now.rules) == now


@dataclass(frozen=True, slots=True)
class _Sums:
    """What an order comes to: points, seconds of make-ready, wash-ups, seconds by which each late job is late."""

    points: int
    makeready: int
    wash_ups: int
    late: Mapping[JobId, int]


class _Reckoner(Protocol):
    """Sums an order with its units up; None when no working day holds it."""

    def sums(self, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> _Sums | None: ...


class _ByTables:
    """The quick way: the evaluator's compiled shadow."""

    def __init__(self, numbered: Numbered) -> None:
        from queueplanner.planning.search import Searcher

        self._numbered, self._searcher = numbered, Searcher(numbered.tables)

    def sums(self, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> _Sums | None:
        from queueplanner.planning.compact import MAKEREADY, WASH_UPS
        from queueplanner.planning.kernel import IMPOSSIBLE

        points = self._searcher.score(self._numbered.rows(order, dict(units)))
        if points >= IMPOSSIBLE:
            return None
        tables, jobs = self._numbered.tables, self._numbered.instance.jobs
        states, ends = self._searcher.room[:2]
        last = np.zeros(len(jobs), dtype=np.int64)
        np.maximum.at(last, tables.job, ends)
        late = last - tables.due
        closing = states[tables.n + 1]
        of_jobs = {jobs[i].id: int(late[i]) for i in np.flatnonzero(late > 0).tolist()}
        return _Sums(points, int(closing[MAKEREADY]), int(closing[WASH_UPS]), of_jobs)


class _ByPlans:
    """The slow way, for a day that the tables cannot hold: the evaluator itself."""

    def __init__(self, instance: Instance) -> None:
        self._instance = instance

    def sums(self, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> _Sums | None:
        from queueplanner.planning.evaluate import evaluate

        try:
            plan = evaluate(self._instance, order, units)
        except NoPlan:
            return None
        late = {p.job.id: p.late_seconds for p in plan.passes if p.late_seconds}
        return _Sums(plan.totals.objective, plan.totals.makeready_seconds, plan.totals.wash_ups, late)


class PassDrag:
    """A pass of a plan in the hand: `place` is where it would fall now, `own` where it stands, both counted from 0.

    Figures are there once `use` has brought the tables and `reckon` has been at the place; rules are told at once.
    """

    def __init__(self, instance: Instance, plan: Plan, pass_id: PassId) -> None:
        self.instance, self.pass_id = instance, pass_id
        self.order, units = solution_of(plan)
        self.units: Mapping[PassId, UnitChoice] = units
        self.own = self.place = self.order.index(pass_id)
        self._known: dict[int, Answer] = {self.own: Drop(self.own, units[pass_id])}
        self._forbidden: dict[int, Forbidden | None] = {self.own: None}
        self._reckoner: _Reckoner | None = None
        self._now: _Sums | None = None

    @property
    def last(self) -> int:
        """The last place."""
        return len(self.order) - 1

    def go_to(self, place: int) -> None:
        """Hold the pass over a place, kept within the order."""
        self.place = min(max(place, 0), self.last)

    def forbidden(self, place: int) -> Forbidden | None:
        """The rule that forbids a place, as far as it can be told without reckoning."""
        if place not in self._forbidden:
            self._forbidden[place] = forbidden(self.instance, self.order, self.pass_id, place)
        return self._forbidden[place]

    def answer(self, place: int | None = None) -> Answer | None:
        """What is known of a place (else of the one under the hand); None while its figures are not there."""
        place = self.place if place is None else place
        return self._known.get(place) or self.forbidden(place)

    def use(self, numbered: Numbered | None) -> None:
        """Take the tables of the day and reckon the order as it stands; without tables each place takes a plan."""
        self._reckoner = _ByPlans(self.instance) if numbered is None else _ByTables(numbered)
        self._now = self._reckoner.sums(self.order, self.units)

    def reckon(self, place: int) -> Answer:
        """What a place would cost or save; reckoned once. `use` comes first."""
        known = self.answer(place)
        if known is None:
            known = self._known[place] = self._drop(place)
        return known

    def _drop(self, place: int) -> Answer:
        assert self._reckoner is not None
        order = moved_order(self.instance, self.order, self.pass_id, place)
        best: tuple[UnitChoice, _Sums] | None = None
        for choice in self._choices():
            sums = self._reckoner.sums(order, {**self.units, self.pass_id: choice})
            if sums is not None and (best is None or sums.points < best[1].points):
                best = (choice, sums)
        if best is None or self._now is None:
            return Forbidden(Forbids.CALENDAR, (self.pass_id,))
        return _difference(place, best[0], self._now, best[1])

    def _choices(self) -> tuple[UnitChoice, ...]:
        """The unit choices of the pass, the present one first: another must be better, not as good."""
        present = self.units[self.pass_id]
        return (present, *(c for c in self.instance.choices[self.pass_id] if c != present))


def _difference(place: int, units: UnitChoice, now: _Sums, then: _Sums) -> Drop:
    late = (Lateness(job, now.late.get(job, 0), then.late.get(job, 0)) for job in {**now.late, **then.late})
    return Drop(
        place,
        units,
        then.makeready - now.makeready,
        then.wash_ups - now.wash_ups,
        sum(then.late.values()) - sum(now.late.values()),
        tuple(sorted((j for j in late if j.now != j.then), key=lambda j: j.now - j.then)),
    )


def nearest_first(near: int, last: int) -> Iterator[int]:
    """All places, the nearest to one first."""
    yield near
    for away in range(1, last + 1):
        yield from (place for place in (near + away, near - away) if 0 <= place <= last)


def reckon_all(drag: PassDrag, tables: DayTables, cancel: CancelToken) -> None:
    """Reckon every place of a pass in the hand, always the one nearest to the hand first; ends when told to stop."""
    try:
        drag.use(tables.of(drag.instance))
    except NoPlan:  # more tasks of the shop's own than the tables hold
        drag.use(None)
    while not cancel.cancelled:
        place = next((p for p in nearest_first(drag.place, drag.last) if drag.answer(p) is None), None)
        if place is None:
            return
        drag.reckon(place)
