"""The board as it stands at one moment, as values: the day, its jobs, its named orders; from them the instance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from itertools import chain

from queueplanner.desk.board_commands import AS_RECEIVED
from queueplanner.desk.day_loader import first_shift
from queueplanner.makeready.fit import refusals
from queueplanner.planning.instance import Instance, UnitChoice, make_instance
from queueplanner.planning.order_rules import OrderRules
from queueplanner.record.day import Day, Order, OrderedPass
from queueplanner.record.models import day_row, job_row, model_of, order_row
from queueplanner.record.row import Body, Row
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import Refused
from queueplanner.shop.job import Job, PrintPass, epoch
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart

#: What depends on the jobs and the day alone, reckoned once.
_OF_THE_JOBS = ("listed", "fitting", "left_out", "base", "passes", "received")


@dataclass(frozen=True)
class BoardState:
    """One day of one press. `usual_start` is the press as a careful evening leaves it, where the day tells nothing."""

    shop: Shop
    usual_start: PressStart
    day: Day
    jobs: Mapping[JobId, Job]
    orders: Mapping[str, Order]

    @cached_property
    def listed(self) -> tuple[Job, ...]:
        """The jobs in the order in which they came."""
        return tuple(self.jobs[job] for job in self.day.jobs if job in self.jobs)

    @cached_property
    def fitting(self) -> tuple[Job, ...]:
        """The jobs that the press can run and whose first sides are known; the others are left out of the plan."""
        return tuple(job for job in self.listed if job.id not in self.left_out)

    @cached_property
    def left_out(self) -> Mapping[JobId, str]:
        """Jobs that cannot be planned, with the reason: the press cannot run them any more, or a first side is gone."""
        found = {job.id: str(wrong[0]) for job in self.listed if (wrong := faults(self.shop, job))}
        while more := _sideless(self, found):
            found |= more
        return found

    @cached_property
    def base(self) -> Instance:
        """The day without rules of order."""
        return make_instance(self.shop, self.fitting, self.start, self.starts_at)

    @cached_property
    def passes(self) -> Mapping[PassId, PrintPass]:
        """The passes that can be planned, as the list gives them."""
        return {p.id: p for job in self.fitting for p in job.passes}

    @property
    def start(self) -> PressStart:
        """The press at the plan's start."""
        return self.usual_start if self.day.start is None else self.day.start

    @property
    def starts_at(self) -> datetime:
        """When the plan starts: as told, else with the first shift of the day or the next working day."""
        return self.day.starts_at or first_shift(self.shop, self.day.day)

    @cached_property
    def received(self) -> tuple[PassId, ...]:
        """The order as received: as the list gives the passes, a second side after its first."""
        return sides_in_turn(self.passes, self.passes)

    def order(self, name: str) -> Order:
        """A named order. Raises KeyError if there is none."""
        return self._received_order() if name == AS_RECEIVED else self.orders[name]

    def names(self) -> tuple[str, ...]:
        """The names of all orders, that of the order as received first."""
        return (AS_RECEIVED, *sorted(self.orders, key=str.casefold))

    def with_day(self, **changes: object) -> BoardState:
        """The same with the day changed."""
        return replace(self, day=self.day.model_copy(update=changes))

    def with_order(self, order: Order) -> BoardState:
        """The same with an order put in the place of the one so called."""
        return self.with_orders({**self.orders, order.name: order})

    def with_orders(self, orders: Mapping[str, Order]) -> BoardState:
        """The same with other orders; what does not depend on them is not reckoned anew."""
        other = replace(self, orders=orders)
        other.__dict__.update({name: value for name, value in self.__dict__.items() if name in _OF_THE_JOBS})
        return other

    def models(self) -> dict[Row, Day | Job | Order]:
        """What stands in each row of the board; the day's own is left out while nothing has been put on it."""
        told = self.day != Day(press=self.day.press, day=self.day.day)
        days = {Row.day(self.day.press, self.day.day): self.day} if told else {}
        jobs = {Row.job(job.id): job for job in self.listed}
        orders = {Row.order(o.press, o.day, o.name): o for o in self.orders.values()}
        return {**days, **jobs, **orders}

    def _received_order(self) -> Order:
        passes = tuple(OrderedPass(id=p) for p in self.received)
        return Order(press=self.day.press, day=self.day.day, name=AS_RECEIVED, passes=passes)


def changes_between(before: BoardState, after: BoardState) -> dict[Row, Body | None]:
    """What has to be written to make one board out of another; None takes a row away."""
    old, new = before.models(), after.models()
    changes: dict[Row, Body | None] = {row: None for row in old if row not in new}
    for row, model in new.items():
        if old.get(row) is not model and old.get(row) != model:
            changes[row] = _body(model)
    return changes


def _body(model: Day | Job | Order) -> Body:
    """A model as it is kept. Raises pydantic's ValidationError for a day or order that could not be read again."""
    if isinstance(model, Job):
        return job_row(model)[1]
    if isinstance(model, Day):
        body = day_row(model)[1]
        model_of(Day, body)
        return body
    body = order_row(model)[1]
    model_of(Order, body)
    return body


def faults(shop: Shop, job: Job) -> list[Refused]:
    """What the press cannot run of a job."""
    return list(chain.from_iterable(refusals(shop.press, p) for p in job.passes))


def _sideless(state: BoardState, out: Mapping[JobId, str]) -> dict[JobId, str]:
    """Jobs, beside those left out, with a second side whose first is neither on the board nor printed."""
    there = {p.id for job in state.listed if job.id not in out for p in job.passes}
    there |= state.start.printed_first_sides.keys()
    return {
        job.id: f"pass {p.first_side} is not in the list"
        for job in state.listed
        for p in job.passes
        if job.id not in out and p.first_side is not None and p.first_side not in there
    }


# Orders


def ids_of(order: Order) -> tuple[PassId, ...]:
    """The passes of an order in turn."""
    return tuple(p.id for p in order.passes)


def units_of(order: Order, instance: Instance) -> dict[PassId, UnitChoice]:
    """The units chosen in an order, where they can be."""
    return {p.id: p.units for p in order.passes if p.units and p.units in instance.choices.get(p.id, ())}


def rules_of(order: Order) -> OrderRules:
    """The rules a person has fixed in an order."""
    return OrderRules(
        places={p.id: place for place, p in enumerate(order.passes) if p.pinned},
        together=tuple(frozenset(group) for group in order.together),
        turns=order.turns,
        not_before={p: epoch(at) for p, at in order.not_before.items()},
    )


def sides_in_turn(wished: Iterable[PassId], passes: Mapping[PassId, PrintPass]) -> tuple[PassId, ...]:
    """Passes as wished, but for second sides that would come too soon: those come right after their first."""
    order: dict[PassId, None] = {}
    waiting: dict[PassId, list[PassId]] = {}

    def put(pass_id: PassId) -> None:
        order[pass_id] = None
        for second in waiting.pop(pass_id, []):
            put(second)

    for pass_id in wished:
        first = passes[pass_id].first_side
        if first is not None and first in passes and first not in order:
            waiting.setdefault(first, []).append(pass_id)
        else:
            put(pass_id)
    return tuple(order)
