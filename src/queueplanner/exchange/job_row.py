"""One row of a job list, read cell by cell; every fault of it is noted before the row is given up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar

from queueplanner.exchange import cells
from queueplanner.exchange.cells import CellFault
from queueplanner.exchange.csv_table import Row, Table
from queueplanner.exchange.near import folded, shown, suggestion
from queueplanner.shop.base import JobId, exact, half_up, seconds_of_hours
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import LaySide, Strip, WorkStyle
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.shop import Shop
from queueplanner.shop.stock import Stock

#: Coverage of an ink that the list says nothing about, per cent. Judgement.
DEFAULT_COVERAGE_PERCENT = 20.0
#: Thickness of a plate that the list says nothing about, µm. Judgement.
DEFAULT_THICKNESS_UM = {PlateMaterial.METAL: 150, PlateMaterial.POLYESTER: 130, PlateMaterial.PAPER: 130}
MOST_SHEETS = 10_000_000
LONGEST_ID, LONGEST_TITLE = 40, 200

_TWO_SIDED_ONLY = ("lay_side_back", "strips_back", "drying_h")
_SHEETWISE_ONLY = ("inks_back", "plates_back", "coverage_back")
#: Which jobs need a column that not all do.
_NEEDED_BY = {"inks_back": "sheetwise job"}

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Side:
    """What one side of a sheet is printed with."""

    inks: tuple[Ink, ...]
    plates: tuple[str, ...] | None
    coverage: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class JobEntry:
    """A row's values by column; what the list may leave open and the passes fill in is None."""

    job: JobId
    title: str
    sheets: int
    due: datetime | None
    weight: int
    stock: Stock
    format: Format
    feed_edge: FeedEdge
    work_style: WorkStyle
    front: Side
    back: Side | None
    plate_material: PlateMaterial
    plate_length_mm: float
    plate_thickness_um: int
    lay_side: LaySide
    lay_side_back: LaySide | None
    strips: tuple[Strip, ...]
    strips_back: tuple[Strip, ...] | None
    overprint: bool
    units_free: bool
    earliest: datetime | None
    drying_s: int | None
    makeready_waste: int | None
    running_waste: int | None
    own_tasks: tuple[str, ...]


def columns_without_use(style: WorkStyle) -> tuple[str, ...]:
    """The columns of the second side that must be empty in a job of a work style."""
    if not style.two_sided:
        return _TWO_SIDED_ONLY + _SHEETWISE_ONLY
    return _SHEETWISE_ONLY if style.same_plates else ()


def read_entry(row: Row, table: Table, shop: Shop, day: date) -> JobEntry | None:
    """What a row says; None when anything in it is wrong, which is noted in the table."""
    reader = _Reader(row, table, shop, day)
    entry = reader.take()
    return None if reader.faulty else entry


@dataclass
class _Reader:
    row: Row
    table: Table
    shop: Shop
    day: date
    faulty: bool = field(default=False)

    def take(self) -> JobEntry:
        """Every value of the row; a value whose cell is wrong is None, and noted."""
        cell, shop = self.cell, self.shop
        style = cell("work_style", lambda t: cells.choice(t, WorkStyle), WorkStyle.ONE_SIDE)
        material = cell("plate_material", lambda t: cells.choice(t, PlateMaterial), PlateMaterial.METAL)
        if style is not None:
            self._check_back_columns(style)
        return JobEntry(
            job=cell("job", _job_id),
            title=cell("title", _title, ""),
            sheets=cell("sheets", lambda t: cells.whole(t, 1, MOST_SHEETS)),
            due=cell("due", self._moment, None),
            weight=cell("weight", lambda t: cells.whole(t, 0, 1000), 1),
            stock=cell("stock", lambda t: by_name(t, shop.stocks, "stock")),
            format=cell("format", self._format),
            feed_edge=cell("feed_edge", lambda t: cells.choice(t, FeedEdge), FeedEdge.LONG),
            work_style=style,
            front=self._side(""),
            back=self._side("_back") if style is WorkStyle.SHEETWISE else None,
            plate_material=material,
            plate_length_mm=self._plate_length(),
            plate_thickness_um=cell("plate_thickness_mm", _micrometres, DEFAULT_THICKNESS_UM.get(material)),
            lay_side=cell("lay_side", _lay_side, LaySide(shop.press.default_lay_side)),
            lay_side_back=cell("lay_side_back", _lay_side, None),
            strips=cell("strips", cells.strips, ()),
            strips_back=cell("strips_back", cells.strips, None),
            overprint=cell("overprint", cells.yes_no, True),
            units_free=cell("units_free", cells.yes_no, False),
            earliest=cell("earliest", self._moment, None),
            drying_s=cell("drying_h", lambda t: seconds_of_hours(cells.number(t, 0, 1000)), None),
            makeready_waste=cell("makeready_waste", lambda t: cells.whole(t, 0, 1_000_000), None),
            running_waste=cell("running_waste", lambda t: cells.whole(t, 0, MOST_SHEETS), None),
            own_tasks=cell("own_tasks", self._own_tasks, ()),
        )

    def cell(self, column: str, read: Callable[[str], Value], default: Any = ...) -> Any:
        """The value of a cell, its default when empty, None when wrong. Without a default it is needed."""
        text = self.row.cells.get(column, "")
        if not text:
            if default is ...:
                self.note(column, "nothing", f"fill it in: every {_NEEDED_BY.get(column, 'job')} needs it")
                return None
            return default
        try:
            return read(text)
        except CellFault as fault:
            self.note(column, shown(text), fault.wanted)
            return None

    def note(self, column: str, found: str, wanted: str) -> None:
        """Note a problem of this row, unless the header's own problem says it already."""
        self.faulty = True
        if column not in self.table.missing:
            self.table.note(self.row.number, column, found, wanted)

    def _side(self, back: str) -> Any:
        """Inks, plates and coverage of a side; None when its inks are wrong."""
        inks = self.cell(f"inks{back}", self._inks)
        plates = self.cell(f"plates{back}", _plates, None)
        coverage = self.cell(f"coverage{back}", _coverage, None)
        if inks is None:
            return None
        for column, values in ((f"plates{back}", plates), (f"coverage{back}", coverage)):
            if values is not None and len(values) != len(inks):
                wanted = f"give one for each ink, {len(inks)} in all, joined by '+'"
                self.note(column, shown(self.row.cells[column]), wanted)
        return Side(inks, plates, coverage or (DEFAULT_COVERAGE_PERCENT,) * len(inks))

    def _inks(self, text: str) -> tuple[Ink, ...]:
        names = cells.joined(text)
        found = [by_name(name, self.shop.inks, "ink") for name in names]
        if len(found) > 2:
            raise CellFault("a pass prints one or two inks: make two jobs, or two sides, of it")
        if len({ink.id for ink in found}) < len(found):
            raise CellFault("name two different inks")
        return tuple(found)

    def _moment(self, text: str) -> datetime:
        return cells.moment(text, self.day, self.shop.calendar.zone)

    def _format(self, text: str) -> Format:
        found = self.shop.format_named(text)
        if found is None:
            own = ", ".join(self.shop.formats)
            raise CellFault(f"write a name such as A4, SRA3, Letter ({own}), or a size: 210 x 297, 8.5 x 11 in")
        return found

    def _plate_length(self) -> Any:
        automatic = self.shop.press.automatic_plate_length_mm
        default = ... if automatic is None else automatic
        return self.cell("plate_length_mm", lambda t: cells.number(t, 1, 2000), default)

    def _own_tasks(self, text: str) -> tuple[str, ...]:
        known = {folded(task.name): task.name for task in self.shop.press.own_tasks}
        names = []
        for name in cells.joined(text):
            if folded(name) not in known:
                raise CellFault(
                    f"no task {shown(name)} in the press file; {suggestion(name, known.values(), 'own task')}"
                )
            names.append(known[folded(name)])
        if len(set(names)) < len(names):
            raise CellFault("name each task once")
        return tuple(names)

    def _check_back_columns(self, style: WorkStyle) -> None:
        for column in columns_without_use(style):
            text = self.row.cells.get(column, "")
            if text and not style.two_sided:
                self.note(column, shown(text), "leave it empty: the work style is 'one side'")
            elif text:
                self.note(column, shown(text), f"leave it empty: {style} prints both sides from the same plates")


def by_name(name: str, known: Mapping[Any, Value], kind: str) -> Value:
    """An ink or stock by id or name. Raises CellFault, with what was perhaps meant."""
    for key, entry in known.items():
        if folded(name) in (folded(key), folded(getattr(entry, "name", key))):
            return entry
    raise CellFault(f"no {kind} {shown(name)}; {suggestion(name, known, kind)}")


def _job_id(text: str) -> JobId:
    if len(text) > LONGEST_ID:
        raise CellFault(f"write at most {LONGEST_ID} characters")
    if text.startswith("#") or " #" in text:
        raise CellFault("no '#' at the start or after a space: it begins a remark in run orders")
    if not text.isprintable():
        raise CellFault("write visible characters only")
    return JobId(text)


def _title(text: str) -> str:
    if len(text) > LONGEST_TITLE:
        raise CellFault(f"write at most {LONGEST_TITLE} characters")
    return text


def _lay_side(text: str) -> LaySide:
    return cells.choice(text, LaySide)


def _plates(text: str) -> tuple[str, ...]:
    names = cells.joined(text)
    if len({folded(name) for name in names}) < len(names):
        raise CellFault("name two different plates")
    return tuple(names)


def _coverage(text: str) -> tuple[float, ...]:
    return tuple(cells.number(part.removesuffix("%").strip(), 0, 100) for part in cells.joined(text))


def _micrometres(text: str) -> int:
    return max(1, half_up(exact(cells.number(text, 0.001, 2)) * 1000))
