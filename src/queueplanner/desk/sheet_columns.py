"""The columns of the job sheet: those of a job list, and what kind of thing each holds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from queueplanner.exchange.job_csv import COLUMNS
from queueplanner.shop.format import FeedEdge
from queueplanner.shop.job import LaySide, WorkStyle
from queueplanner.shop.plate import PlateMaterial


class Kind(StrEnum):
    """What a cell holds; it decides how the cell is shown, sorted and filled in."""

    TEXT = "text"
    COUNT = "count"
    NUMBER = "number"
    PERCENTS = "percents"
    MOMENT = "moment"
    LENGTH = "length"
    THICKNESS = "thickness"
    STRIPS = "strips"
    CHOICE = "choice"
    INKS = "inks"
    STOCK = "stock"
    FORMAT = "format"
    OWN_TASKS = "own tasks"


#: Kinds that are figures: set to the right.
FIGURES = frozenset({Kind.COUNT, Kind.NUMBER, Kind.PERCENTS, Kind.MOMENT, Kind.LENGTH, Kind.THICKNESS})
#: Kinds with a list to pick from.
PICKED = frozenset({Kind.CHOICE, Kind.INKS, Kind.STOCK, Kind.FORMAT, Kind.OWN_TASKS})

_YES_NO = ("yes", "no")
_KIND_OF = {
    "sheets": Kind.COUNT,
    "due": Kind.MOMENT,
    "weight": Kind.COUNT,
    "stock": Kind.STOCK,
    "format": Kind.FORMAT,
    "feed_edge": Kind.CHOICE,
    "work_style": Kind.CHOICE,
    "inks": Kind.INKS,
    "coverage": Kind.PERCENTS,
    "inks_back": Kind.INKS,
    "coverage_back": Kind.PERCENTS,
    "plate_material": Kind.CHOICE,
    "plate_length_mm": Kind.LENGTH,
    "plate_thickness_mm": Kind.THICKNESS,
    "lay_side": Kind.CHOICE,
    "lay_side_back": Kind.CHOICE,
    "strips": Kind.STRIPS,
    "strips_back": Kind.STRIPS,
    "overprint": Kind.CHOICE,
    "units_free": Kind.CHOICE,
    "earliest": Kind.MOMENT,
    "drying_h": Kind.NUMBER,
    "makeready_waste": Kind.COUNT,
    "running_waste": Kind.COUNT,
    "own_tasks": Kind.OWN_TASKS,
}
_CHOICES: dict[str, tuple[str, ...]] = {
    "feed_edge": tuple(map(str, FeedEdge)),
    "work_style": tuple(map(str, WorkStyle)),
    "plate_material": tuple(map(str, PlateMaterial)),
    "lay_side": tuple(map(str, LaySide)),
    "lay_side_back": tuple(map(str, LaySide)),
    "overprint": _YES_NO,
    "units_free": _YES_NO,
}
#: Columns most jobs use; the others can be hidden.
USUAL = (
    "job",
    "title",
    "sheets",
    "due",
    "stock",
    "format",
    "work_style",
    "inks",
    "inks_back",
    "plates",
    "coverage",
    "earliest",
)


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """One column by its key in a job list; `choices` are the words it may hold."""

    key: str
    kind: Kind
    choices: tuple[str, ...] = ()

    @property
    def figure(self) -> bool:
        """Whether it is set to the right."""
        return self.kind in FIGURES

    @property
    def usual(self) -> bool:
        """Whether most jobs use it."""
        return self.key in USUAL


SHEET_COLUMNS: tuple[SheetColumn, ...] = tuple(
    SheetColumn(key, _KIND_OF.get(key, Kind.TEXT), _CHOICES.get(key, ())) for key in COLUMNS
)
COLUMN_OF: dict[str, SheetColumn] = {column.key: column for column in SHEET_COLUMNS}
