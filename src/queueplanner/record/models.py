"""The shop's models as rows of the record, and back: what goes in comes out equal.

Moments come out with the same instant, as an offset from UTC instead of a named zone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import to_jsonable_python

from queueplanner.record.canonical import canonical
from queueplanner.record.day import Day, Order
from queueplanner.record.errors import Damaged
from queueplanner.record.record import Record
from queueplanner.record.row import Body, ItemKind, Row, Stored, Table
from queueplanner.shop.base import InkId, JobId, PlateId, StockId
from queueplanner.shop.calendar import Calendar
from queueplanner.shop.format import Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import Job
from queueplanner.shop.material_figures import MaterialFigures
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import PressProfile
from queueplanner.shop.shop import Shop
from queueplanner.shop.stock import Stock
from queueplanner.shop.weights import Weights

Model = TypeVar("Model", bound=BaseModel)
Held = TypeVar("Held")

#: The model of each kind of list entry.
MODEL_OF: Mapping[ItemKind, type[BaseModel]] = {
    ItemKind.INK: Ink,
    ItemKind.STOCK: Stock,
    ItemKind.FORMAT: Format,
    ItemKind.PLATE: Plate,
    ItemKind.PRESS: PressProfile,
    ItemKind.CALENDAR: Calendar,
    ItemKind.WEIGHTS: Weights,
    ItemKind.MATERIALS: MaterialFigures,
}
#: The key of entries of which the shop has one.
THE_SHOPS = "shop"


@dataclass(frozen=True, slots=True)
class Kept(Generic[Held]):
    """Something of the record, and the version it was read at."""

    value: Held
    version: int


def body_of(model: BaseModel) -> Body:
    """A model as plain data; equal models give equal data."""
    return {name: _plain(value) for name, value in model}


def model_of(kind: type[Model], body: Body) -> Model:
    """The model of plain data. Raises pydantic's ValidationError if the data is none."""
    return kind.model_validate_json(canonical(body))


def job_row(job: Job) -> tuple[Row, Body]:
    """Where a job stands, and its body."""
    return Row.job(job.id), body_of(job)


def item_row(kind: ItemKind, key: str, model: BaseModel) -> tuple[Row, Body]:
    """Where an entry of a shop list stands, and its body. Raises TypeError for a model of another kind."""
    if type(model) is not MODEL_OF[kind]:
        raise TypeError(f"an entry of kind {kind} is a {MODEL_OF[kind].__name__}, not a {type(model).__name__}")
    return Row.item(kind, key), body_of(model)


def day_row(day: Day) -> tuple[Row, Body]:
    """Where a day's board stands, and its body."""
    return Row.day(day.press, day.day), body_of(day)


def order_row(order: Order) -> tuple[Row, Body]:
    """Where a named order stands, and its body."""
    return Row.order(order.press, order.day, order.name), body_of(order)


def shop_rows(shop: Shop) -> dict[Row, Body]:
    """Every row of a shop: inks, stocks, formats, the press, the calendar and the weights."""
    entries = [
        *((ItemKind.INK, key, ink) for key, ink in shop.inks.items()),
        *((ItemKind.STOCK, key, stock) for key, stock in shop.stocks.items()),
        *((ItemKind.FORMAT, key, sheet) for key, sheet in shop.formats.items()),
        (ItemKind.PRESS, shop.press.id, shop.press),
        (ItemKind.CALENDAR, shop.press.id, shop.calendar),
        (ItemKind.WEIGHTS, THE_SHOPS, shop.weights),
    ]
    return dict(item_row(kind, key, model) for kind, key, model in entries)


def read_jobs(record: Record) -> dict[JobId, Kept[Job]]:
    """Every job, by id. Raises Damaged, also for a body that is no job."""
    found = record.all(Table.JOBS)
    return {JobId(row.key[0]): _kept(record, Job, row, stored) for row, stored in found.items()}


def read_jobs_of(record: Record, jobs: Iterable[JobId]) -> dict[JobId, Kept[Job | None]]:
    """Some jobs, by id; None for one that is not there. Raises Damaged."""
    found = record.get_many([Row.job(job) for job in jobs])
    return {
        JobId(row.key[0]): Kept(None, stored.version) if stored.body is None else _kept(record, Job, row, stored)
        for row, stored in found.items()
    }


def read_items(record: Record, kind: ItemKind, model: type[Model]) -> dict[str, Kept[Model]]:
    """Every entry of a shop list, by key. Raises Damaged, also for a body that is none of the kind."""
    found = record.all(Table.LIST_ITEMS, kind)
    return {row.key[1]: _kept(record, model, row, stored) for row, stored in found.items()}


def read_day(record: Record, press: str, day: date) -> Kept[Day | None]:
    """The board of a press on a day; None if there is none. Raises Damaged."""
    row = Row.day(press, day)
    stored = record.get(row)
    return Kept(None, stored.version) if stored.body is None else _kept(record, Day, row, stored)


def read_orders(record: Record, press: str, day: date) -> dict[str, Kept[Order]]:
    """The named orders of a press's day, by name. Raises Damaged."""
    found = record.all(Table.ORDERS, press, day.isoformat())
    return {row.key[2]: _kept(record, Order, row, stored) for row, stored in found.items()}


def read_shop(record: Record, press: str) -> Shop | None:
    """The shop with one of its presses, all at one moment; None if that press or its calendar is not there.

    Raises Damaged.
    """
    found = record.all(Table.LIST_ITEMS)

    def entries(kind: ItemKind, model: type[Model]) -> dict[str, Model]:
        rows = {row: stored for row, stored in found.items() if row.key[0] == kind}
        return {row.key[1]: _kept(record, model, row, stored).value for row, stored in rows.items()}

    presses, calendars = entries(ItemKind.PRESS, PressProfile), entries(ItemKind.CALENDAR, Calendar)
    if press not in presses or press not in calendars:
        return None
    return Shop(
        inks={InkId(key): ink for key, ink in entries(ItemKind.INK, Ink).items()},
        stocks={StockId(key): stock for key, stock in entries(ItemKind.STOCK, Stock).items()},
        formats=entries(ItemKind.FORMAT, Format),
        press=presses[press],
        calendar=calendars[press],
        weights=entries(ItemKind.WEIGHTS, Weights).get(THE_SHOPS, Weights()),
    )


def read_plates(record: Record) -> dict[PlateId, Kept[Plate]]:
    """Every plate, by id. Raises Damaged."""
    return {PlateId(key): kept for key, kept in read_items(record, ItemKind.PLATE, Plate).items()}


def _kept(record: Record, model: type[Model], row: Row, stored: Stored) -> Kept[Any]:
    try:
        return Kept(model_of(model, stored.body or {}), stored.version)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = ".".join(str(part) for part in first["loc"])
        raise Damaged(record.place, f"{row}: {place}: {first['msg']}") from error


def _plain(value: Any) -> Any:
    """Plain data of what a model holds; a set, which has no order of its own, comes sorted."""
    if isinstance(value, BaseModel):
        return body_of(value)
    if isinstance(value, Mapping):
        return {str(_plain(key)): _plain(inner) for key, inner in value.items()}
    if isinstance(value, frozenset | set):
        return sorted((_plain(inner) for inner in value), key=canonical)
    if isinstance(value, tuple | list):
        return [_plain(inner) for inner in value]
    return value.value if isinstance(value, Enum) else to_jsonable_python(value)
