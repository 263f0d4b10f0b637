"""What each command makes of the board: from the state before to the state after, or NotAllowed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from functools import singledispatch

from queueplanner.desk import board_commands as do
from queueplanner.desk.board_commands import AS_RECEIVED, MINE, Command, Facts
from queueplanner.desk.board_orders import (
    arranged_or_refused,
    check,
    kept_true,
    moved,
    order_under,
    with_passes,
    with_units,
)
from queueplanner.desk.board_refusals import NotAllowed, Why
from queueplanner.desk.board_state import BoardState, changes_between, faults, ids_of, rules_of
from queueplanner.desk.day_loader import first_shift
from queueplanner.planning.order_rules import OrderRules
from queueplanner.record.day import Day, Order
from queueplanner.record.models import job_row, shop_rows
from queueplanner.record.row import Body, Row, check_text
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.job import Job


@dataclass(frozen=True, slots=True)
class Edit:
    """The board after a command, the order then on show, further facts, and rows that stand outside the board.

    `before` is the board it is to be compared with where that is not the one on the desk; `keep` are rows that leave
    the board but not the record.
    """

    state: BoardState
    shown: str
    facts: Facts = field(default_factory=dict)
    outside: Mapping[Row, Body | None] = field(default_factory=dict)
    keep: tuple[Row, ...] = ()
    before: BoardState | None = None


@dataclass(frozen=True, slots=True)
class Desk:
    """What a command starts from: the board, the order on show, and how other days are looked at.

    `board_of` reads the board of a day; `elsewhere` tells which of some jobs stand on another day's board.
    """

    state: BoardState
    shown: str
    board_of: Callable[[date], BoardState]
    elsewhere: Callable[[Iterable[JobId]], set[JobId]]

    @property
    def order(self) -> Order:
        """The order on show."""
        return self.state.order(self.shown)

    @property
    def rules(self) -> OrderRules:
        """Its rules."""
        return rules_of(self.order)

    def known(self, *passes: PassId) -> None:
        """Raise NotAllowed unless all these passes are in the plan."""
        if strangers := [p for p in passes if p not in self.state.passes]:
            raise NotAllowed(Why.NO_SUCH_PASS, strangers)

    def with_shown(self, order: Order, **facts: object) -> Edit:
        """The order on show changed; if it was the order as received, a new one beside it."""
        name = self.shown if self.shown != AS_RECEIVED else free_name(self.state, MINE)
        changed = order.model_copy(update={"name": name})
        return Edit(self.state.with_order(changed), name, {"order": name, **facts})

    def with_rules(self, rules: OrderRules, **facts: object) -> Edit:
        """The order on show brought under other rules, its passes moved as little as they ask for."""
        ids = arranged_or_refused(self.state, ids_of(self.order), rules)
        return self.with_shown(order_under(self.order, ids, rules), **facts)


@singledispatch
def edited(command: Command, desk: Desk) -> Edit:  # noqa: ARG001 - the commands' own functions below use it
    """The board after a command. Raises NotAllowed with nothing changed."""
    raise TypeError(f"no such command: {command!r}")


# The order on show


@edited.register
def _(command: do.MovePass, desk: Desk) -> Edit:
    ids = moved(ids_of(desk.order), command.pass_id, command.place, desk.rules, desk.state.passes)
    order = with_passes(desk.order, ids)
    return desk.with_shown(order if command.units is None else with_units(order, {command.pass_id: command.units}))


@edited.register
def _(command: do.Pin, desk: Desk) -> Edit:
    desk.known(command.pass_id)
    order, rules = ids_of(desk.order), desk.rules
    place = order.index(command.pass_id) if command.place is None else command.place
    if not 0 <= place < len(order):
        place = min(max(place, 0), len(order) - 1)
    others = {p: at for p, at in rules.places.items() if p != command.pass_id}
    ids = moved(order, command.pass_id, place, replace(rules, places=others), desk.state.passes)
    pinned = replace(rules, places={**others, command.pass_id: place})
    return desk.with_shown(with_passes(desk.order, ids, pinned), place=place + 1)


@edited.register
def _(command: do.Unpin, desk: Desk) -> Edit:
    desk.known(command.pass_id)
    places = {p: at for p, at in desk.rules.places.items() if p != command.pass_id}
    return desk.with_rules(replace(desk.rules, places=places))


@edited.register
def _(command: do.KeepTogether, desk: Desk) -> Edit:
    desk.known(*command.passes)
    group = frozenset(command.passes)
    if len(group) < 2:
        return desk.with_rules(desk.rules)
    apart = [g for g in desk.rules.together if not g & group]
    joined = group.union(*(g for g in desk.rules.together if g & group))
    return desk.with_rules(replace(desk.rules, together=(*apart, joined)))


@edited.register
def _(command: do.PartPasses, desk: Desk) -> Edit:
    left = tuple(g for g in desk.rules.together if not g & {*command.passes})
    return desk.with_rules(replace(desk.rules, together=left))


@edited.register
def _(command: do.RunAfter, desk: Desk) -> Edit:
    desk.known(command.earlier, command.later)
    pair = (command.earlier, command.later)
    if command.earlier == command.later:
        raise NotAllowed(Why.TURN, pair)
    turns = (*(t for t in desk.rules.turns if t != pair), pair)
    return desk.with_rules(desk.rules if pair in desk.rules.turns else replace(desk.rules, turns=turns))


@edited.register
def _(command: do.RunFreely, desk: Desk) -> Edit:
    turns = tuple(t for t in desk.rules.turns if t != (command.earlier, command.later))
    return desk.with_rules(replace(desk.rules, turns=turns))


@edited.register
def _(command: do.NotBefore, desk: Desk) -> Edit:
    desk.known(command.pass_id)
    waits = {p: at for p, at in desk.order.not_before.items() if p != command.pass_id}
    if command.moment is not None:
        if command.moment.tzinfo is None:
            raise ValueError("a moment must be aware of its zone")
        waits[command.pass_id] = command.moment
    return desk.with_shown(desk.order.model_copy(update={"not_before": waits}))


# The orders


@edited.register
def _(command: do.NewOrder, desk: Desk) -> Edit:
    name = _fresh_name(desk.state, command.order)
    source = _order(desk.state, command.source or desk.shown)
    return Edit(desk.state.with_order(source.model_copy(update={"name": name})), name)


@edited.register
def _(command: do.RenameOrder, desk: Desk) -> Edit:
    order = _own_order(desk.state, command.order)
    others = {name: o for name, o in desk.state.orders.items() if name != command.order}
    state = desk.state.with_orders(others)
    name = _fresh_name(state, command.new)
    shown = name if desk.shown == command.order else desk.shown
    return Edit(state.with_order(order.model_copy(update={"name": name})), shown)


@edited.register
def _(command: do.DropOrder, desk: Desk) -> Edit:
    _own_order(desk.state, command.order)
    others = {name: o for name, o in desk.state.orders.items() if name != command.order}
    shown = desk.shown if desk.shown in (AS_RECEIVED, *others) else next(iter(sorted(others)), AS_RECEIVED)
    return Edit(desk.state.with_orders(others), shown)


@edited.register
def _(command: do.TakePlanned, desk: Desk) -> Edit:
    state = desk.state
    if sorted(command.order) != sorted(state.passes):
        raise NotAllowed(Why.OTHER_PASSES)
    rules = desk.rules if command.rules is None else command.rules
    check(command.order, rules, state.passes)
    day = state.day
    waits = {p: datetime.fromtimestamp(at, UTC) for p, at in rules.not_before.items()}
    plain = Order(press=day.press, day=day.day, name=command.called, not_before=waits)
    order = with_units(order_under(plain, command.order, rules), command.units)
    twin = next((o for o in state.orders.values() if o.model_copy(update={"name": order.name}) == order), None)
    if twin is not None:
        return Edit(state, twin.name)
    name = free_name(state, command.called)
    return Edit(state.with_order(order.model_copy(update={"name": name})), name, {"order": name})


def free_name(state: BoardState, wanted: str) -> str:
    """A name for an order that none has yet: the wanted one, else with the next number."""
    taken = {name.casefold() for name in state.names()}
    number = 1
    name = wanted
    while name.casefold() in taken:
        number += 1
        name = f"{wanted} {number}"
    return name


def _fresh_name(state: BoardState, name: str) -> str:
    name = " ".join(name.split())
    try:
        check_text(name)
    except ValueError as error:
        raise NotAllowed(Why.NAME_WRONG, error=error, order=name) from error
    if name.casefold() in {known.casefold() for known in state.names()}:
        raise NotAllowed(Why.NAME_TAKEN, order=name)
    return name


def _order(state: BoardState, name: str) -> Order:
    if name not in state.names():
        raise NotAllowed(Why.NO_SUCH_ORDER, order=name)
    return state.order(name)


def _own_order(state: BoardState, name: str) -> Order:
    if name == AS_RECEIVED:
        raise NotAllowed(Why.ORDER_FIXED, order=name)
    return _order(state, name)


# The jobs


@edited.register
def _(command: do.EditJobs, desk: Desk) -> Edit:
    state = desk.state
    if gone := [j for j in (*(j.id for j in command.changed), *command.removed) if j not in state.day.jobs]:
        raise NotAllowed(Why.NO_SUCH_JOB, jobs=gone)
    added = [job.id for job in command.added]
    there = {*state.day.jobs} - {*command.removed} | desk.elsewhere(added)
    if taken := [j for n, j in enumerate(added) if j in there or j in added[:n]]:
        raise NotAllowed(Why.NAME_TAKEN, jobs=taken)
    removed = iter(command.removed)
    replacing = dict(zip(removed, (job.id for job in command.added), strict=False))
    ids = [replacing.get(j, j) for j in state.day.jobs if j in replacing or j not in command.removed]
    ids += [job.id for job in command.added if job.id not in ids]
    jobs = {**state.jobs, **{job.id: job for job in (*command.changed, *command.added)}}
    return Edit(_with_jobs(state, ids, jobs, (*command.changed, *command.added)), desk.shown)


@edited.register
def _(command: do.ImportJobs, desk: Desk) -> Edit:
    own = desk.board_of(command.day)
    taken_away = _demo_rows(desk, own)
    elsewhere = desk.elsewhere(job.id for job in command.jobs if job.id not in own.day.jobs)
    elsewhere -= {row.key[0] for row in taken_away}
    jobs = tuple(job for job in command.jobs if job.id not in elsewhere)
    fresh = {job.id: job for job in jobs}
    left = {j for j in own.day.jobs if j not in fresh and (own.day.demo or own.day.listed.get(j) == command.source)}
    ids = [*(j for j in own.day.jobs if j not in left), *(j for j in fresh if j not in own.day.jobs)]
    listed = {**own.day.listed, **dict.fromkeys(fresh, command.source)}
    start = replace(own, orders={}) if own.day.demo else own
    after = _with_jobs(start.with_day(demo=False, listed=listed), ids, {**own.jobs, **fresh}, jobs)
    same_day = command.day == desk.state.day.day
    shown = desk.shown if same_day and desk.shown in after.names() else AS_RECEIVED
    return Edit(after, shown, {"elsewhere": sorted(elsewhere)}, taken_away, before=own)


@edited.register
def _(command: do.PutDemo, desk: Desk) -> Edit:
    own = desk.board_of(command.day)
    if own.day.jobs and not own.day.demo:
        raise NotAllowed(Why.DAY_TAKEN)
    jobs = {job.id: job for job in command.jobs}
    if taken := sorted(desk.elsewhere(j for j in jobs if j not in own.day.jobs)):
        raise NotAllowed(Why.NAME_TAKEN, jobs=taken)
    blank = replace(own, orders={}, shop=command.shop)
    demo = _with_jobs(blank.with_day(demo=True, listed={}), [*jobs], jobs, command.jobs)
    return Edit(demo, AS_RECEIVED, outside=shop_rows(command.shop), before=own)


@edited.register
def _(command: do.StartOwnDay, desk: Desk) -> Edit:
    own = desk.board_of(command.day)
    blank = replace(own, day=Day(press=own.day.press, day=own.day.day), jobs={}, orders={})
    return Edit(blank if own.day.demo else own, AS_RECEIVED, outside=_demo_rows(desk, own), before=own)


def _demo_rows(desk: Desk, own: BoardState) -> dict[Row, None]:
    """What has to go with the demo day, if that is on the desk and another day comes there."""
    if not desk.state.day.demo or own.day.day == desk.state.day.day:
        return {}
    return dict.fromkeys(desk.state.models())


@edited.register
def _(command: do.ToTomorrow, desk: Desk) -> Edit:
    state = desk.state
    if command.job not in state.day.jobs:
        raise NotAllowed(Why.NO_SUCH_JOB, jobs=[command.job])
    tomorrow = first_shift(state.shop, state.day.day + timedelta(days=1)).date()
    other = desk.board_of(tomorrow)
    job = state.jobs[command.job]
    jobs = {**other.jobs, job.id: job}
    there = _with_jobs(other, [*other.day.jobs, job.id], jobs, (job,))
    here = _with_jobs(state, [j for j in state.day.jobs if j != job.id], state.jobs, ())
    outside = {row: body for row, body in changes_between(other, there).items() if row != job_row(job)[0]}
    return Edit(here, desk.shown, {"to": tomorrow.isoformat()}, outside, (Row.job(job.id),))


@edited.register
def _(command: do.SetStart, desk: Desk) -> Edit:
    return Edit(desk.state.with_day(start=command.start, starts_at=command.starts_at), desk.shown)


def _with_jobs(
    state: BoardState, ids: Sequence[JobId], jobs: Mapping[JobId, Job], fresh: tuple[Job, ...]
) -> BoardState:
    """The board with other jobs, every order kept true. Raises NotAllowed for a job that then cannot be planned."""
    listed = {j: source for j, source in state.day.listed.items() if j in ids}
    after = replace(state.with_day(jobs=tuple(ids), listed=listed), jobs={j: jobs[j] for j in ids})
    _check_jobs(state, after, fresh)
    return after.with_orders({name: kept_true(after, order, state) for name, order in state.orders.items()})


def _check_jobs(before: BoardState, after: BoardState, fresh: tuple[Job, ...]) -> None:
    for job in fresh:
        for refused in faults(after.shop, job):
            raise NotAllowed(Why.NOT_PRINTABLE, [PassId(refused.pass_id)], refused)
    count = Counter(p.id for job in after.listed for p in job.passes)
    if twice := sorted(p for p, times in count.items() if times > 1):
        raise NotAllowed(Why.NAME_TAKEN, twice)
    for job in after.listed:
        if job.id in after.left_out and (job in fresh or job.id not in before.left_out):
            raise NotAllowed(Why.FIRST_SIDE, [p.id for p in job.passes])
