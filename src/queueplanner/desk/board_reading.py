"""Boards read from the record, with the version of every row that was read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from pydantic import ValidationError

from queueplanner.desk.board_commands import AS_RECEIVED
from queueplanner.desk.board_orders import kept_true
from queueplanner.desk.board_state import BoardState
from queueplanner.desk.day_loader import next_working_day
from queueplanner.record.actions import Action
from queueplanner.record.day import Day, Order
from queueplanner.record.models import (
    Held,
    Kept,
    model_of,
    read_day,
    read_items,
    read_jobs_of,
    read_orders,
    read_shop,
)
from queueplanner.record.record import Record
from queueplanner.record.row import ItemKind, Row, Stored, Table
from queueplanner.shop.base import JobId
from queueplanner.shop.job import Job
from queueplanner.shop.press import PressProfile
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart


class BoardReading:
    """Reads boards for a station. `shop`, if given, stands before that of the record."""

    def __init__(self, record: Record, station: str, shop: Shop | None, usual_start: PressStart | None) -> None:
        self.record, self.station, self.shop = record, station, shop
        self._usual_start = usual_start
        self._versions: dict[Row, int] = {}

    def board_of(self, day: date) -> BoardState:
        """The board of a day; a blank one if nothing has been put there. Raises RecordError."""
        shop = self._shop()
        press = shop.press.id
        told = self._noted(Row.day(press, day), read_day(self.record, press, day)) or Day(press=press, day=day)
        found = read_jobs_of(self.record, told.jobs)
        jobs = {key: job for key, kept in found.items() if (job := self._noted(Row.job(key), kept)) is not None}
        orders = {
            name: self._noted(Row.order(press, day, name), kept)
            for name, kept in read_orders(self.record, press, day).items()
        }
        present = tuple(job for job in told.jobs if job in jobs)
        board = told if present == told.jobs else told.model_copy(update={"jobs": present})
        state = BoardState(shop, self._start(shop), board, jobs, orders)
        return state.with_orders({name: kept_true(state, order, state) for name, order in orders.items()})

    def day_to_open(self) -> date:
        """Where the station left off unless that day is over, else the next working day. Raises RecordError."""
        shop = self._shop()
        today = self.record.clock().astimezone(shop.calendar.zone).date()
        action = self.record.next_undo(self.station)
        if action is not None and action.facts.get("press") == shop.press.id:
            left = date.fromisoformat(action.facts["day"])
            if left >= today:
                return left
        days = [date.fromisoformat(row.key[1]) for row in self.record.all(Table.DAYS, shop.press.id)]
        coming = next_working_day(shop, self.record.clock())
        return coming if coming in days or not days or max(days) < today else max(days)

    def order_to_show(self, state: BoardState) -> str:
        """The order the station worked on last, if it is one of this board's."""
        action = self.record.next_undo(self.station)
        told = AS_RECEIVED if action is None else action.facts.get("shown", AS_RECEIVED)
        same = action is not None and action.facts.get("day") == state.day.day.isoformat()
        return told if same and told in state.names() else AS_RECEIVED

    def look_at(self, rows: Iterable[Row]) -> Mapping[Row, Stored]:
        """What stands in some rows, with their versions noted."""
        found = self.record.get_many(list(rows))
        self._versions |= {row: stored.version for row, stored in found.items()}
        return found

    def versions(self, rows: Iterable[Row]) -> dict[Row, int]:
        """The versions at which rows were read; those never looked at are looked at now."""
        wanted = list(rows)
        if unseen := [row for row in wanted if row not in self._versions]:
            self.look_at(unseen)
        return {row: self._versions[row] for row in wanted}

    def note(self, action: Action) -> None:
        """Note the versions after an action."""
        self._versions |= action.versions

    def after(self, state: BoardState, action: Action) -> BoardState | None:
        """The board after an action; None if it has to be read anew."""
        try:
            return _after(state, action)
        except ValidationError:
            return None

    def _noted(self, row: Row, kept: Kept[Held]) -> Held:
        self._versions[row] = kept.version
        return kept.value

    def _shop(self) -> Shop:
        if self.shop is not None:
            return self.shop
        from queueplanner.exchange.shop_files import load_shop

        presses = read_items(self.record, ItemKind.PRESS, PressProfile)
        found = read_shop(self.record, min(presses)) if presses else None
        return found or load_shop(None)

    def _start(self, shop: Shop) -> PressStart:
        if self._usual_start is None:
            from queueplanner.exchange.start_file import load_start

            self._usual_start = load_start(None, shop)
        return self._usual_start


def _after(state: BoardState, action: Action) -> BoardState | None:
    jobs, orders, day = dict(state.jobs), dict(state.orders), state.day
    for change in action.changes:
        row, body = change.row, change.after
        if row.table is Table.JOBS:
            jobs.pop(JobId(row.key[0]), None)
            if body is not None:
                jobs[JobId(row.key[0])] = model_of(Job, body)
        elif row.table is Table.ORDERS and row.key[:2] == (day.press, day.day.isoformat()):
            orders.pop(row.key[2], None)
            if body is not None:
                orders[row.key[2]] = model_of(Order, body)
        elif row == Row.day(day.press, day.day):
            day = Day(press=day.press, day=day.day) if body is None else model_of(Day, body)
        else:
            return None
    if {change.row.table for change in action.changes} == {Table.ORDERS}:
        return state.with_orders(orders)
    if any(job not in jobs for job in day.jobs):
        return None
    return BoardState(state.shop, state.usual_start, day, {job: jobs[job] for job in day.jobs}, orders)
