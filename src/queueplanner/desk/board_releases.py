"""What is handed to the press when an order is released, and what has changed since."""

from __future__ import annotations

from dataclasses import dataclass

from queueplanner.desk.board_orders import fewest_moved
from queueplanner.desk.board_state import BoardState, ids_of
from queueplanner.planning.plan import Plan, solution_of
from queueplanner.record.day import Order
from queueplanner.record.models import body_of, model_of
from queueplanner.record.releases import Release
from queueplanner.record.row import Body
from queueplanner.shop.base import JobId, PassId


@dataclass(frozen=True, slots=True)
class Differences:
    """An order beside the release of a number: passes moved (the fewest), gone and new; jobs changed; rules changed.

    `units` are passes printed in other units.
    """

    number: int
    moved: tuple[PassId, ...] = ()
    gone: tuple[PassId, ...] = ()
    new: tuple[PassId, ...] = ()
    units: tuple[PassId, ...] = ()
    jobs: tuple[JobId, ...] = ()
    rules: bool = False
    start: bool = False

    def __bool__(self) -> bool:
        return bool(self.moved or self.gone or self.new or self.units or self.jobs or self.rules or self.start)


def release_body(state: BoardState, name: str, plan: Plan) -> Body:
    """An order as it is released: with every unit named, its jobs as they stand, and from what the press starts."""
    units = solution_of(plan)[1]
    order = state.order(name)
    passes = tuple(p.model_copy(update={"units": units[p.id]}) for p in order.passes)
    return {
        "order": body_of(order.model_copy(update={"passes": passes})),
        "jobs": [body_of(job) for job in state.listed],
        "start": body_of(state.start),
        "starts_at": state.starts_at.isoformat(),
    }


def differences(released: Release, state: BoardState, name: str) -> Differences:
    """What is other in an order than in a release."""
    then, now = model_of(Order, released.body["order"]), state.order(name)
    known, order = ids_of(then), ids_of(now)
    jobs = {body["id"]: body for body in released.body["jobs"]}
    units = {p.id: p.units for p in then.passes}
    start = (body_of(state.start), state.starts_at.isoformat())
    return Differences(
        number=released.number,
        moved=fewest_moved(known, order),
        gone=tuple(p for p in known if p not in order),
        new=tuple(p for p in order if p not in known),
        units=tuple(p.id for p in now.passes if p.units and p.units != units.get(p.id, p.units)),
        jobs=tuple(job.id for job in state.listed if job.id in jobs and body_of(job) != jobs[job.id]),
        rules=_rules(then) != _rules(now),
        start=(released.body["start"], released.body["starts_at"]) != start,
    )


def _rules(order: Order) -> tuple[object, ...]:
    pins = frozenset(p.id for p in order.passes if p.pinned)
    return pins, frozenset(map(frozenset, order.together)), frozenset(order.turns), order.not_before
