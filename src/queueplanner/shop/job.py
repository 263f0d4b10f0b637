"""Jobs, and the passes through the press that print them."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import AwareDatetime, Field, model_validator

from queueplanner.shop.base import InkId, JobId, PassId, ShopModel
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.stock import Stock


class WorkStyle(StrEnum):
    """How the two sides of a sheet are printed."""

    ONE_SIDE = "one side"
    SHEETWISE = "sheetwise"
    WORK_AND_TURN = "work-and-turn"
    WORK_AND_TUMBLE = "work-and-tumble"

    @property
    def two_sided(self) -> bool:
        """Whether there is a second pass that backs up the first."""
        return self is not WorkStyle.ONE_SIDE

    @property
    def lay_side_changes(self) -> bool:
        """Whether the second side is usually laid to the other side (common practice, no source)."""
        return self in (WorkStyle.SHEETWISE, WorkStyle.WORK_AND_TURN)

    @property
    def same_plates(self) -> bool:
        """Whether both sides print from the same plates."""
        return self in (WorkStyle.WORK_AND_TURN, WorkStyle.WORK_AND_TUMBLE)


class LaySide(StrEnum):
    """The side to which the sheet is pulled for side register."""

    OPERATOR = "operator"
    DRIVE = "drive"

    @property
    def other(self) -> LaySide:
        """The opposite side."""
        return LaySide.DRIVE if self is LaySide.OPERATOR else LaySide.OPERATOR


class Strip(ShopModel):
    """An image-free strip along the travel of the sheet: mm from the operator's edge, from and to."""

    from_mm: Annotated[float, Field(ge=0, le=2000)]
    to_mm: Annotated[float, Field(gt=0, le=2000)]

    @model_validator(mode="after")
    def _has_width(self) -> Self:
        if self.to_mm <= self.from_mm:
            raise ValueError("a strip runs from the smaller to the larger distance")
        return self


class Separation(ShopModel):
    """One ink of a pass, the plate that prints it, and how much of the sheet it covers (per cent)."""

    ink: Ink
    plate: Plate
    coverage_percent: Annotated[float, Field(ge=0, le=100)]


class PrintPass(ShopModel):
    """One trip of all a job's sheets through the press with one set of plates.

    `sheets` are good sheets; `running_waste` is printed in the run besides; `makeready_waste` is material only.
    `earliest` binds the changeover; `drying_s`, seconds from the end of `first_side`'s run, binds the run.
    """

    id: Annotated[PassId, Field(min_length=1)]
    job: Annotated[JobId, Field(min_length=1)]
    side: Annotated[int, Field(ge=1, le=2)] = 1
    sheets: Annotated[int, Field(gt=0, le=10_000_000)]
    running_waste: Annotated[int, Field(ge=0, le=10_000_000)] = 0
    makeready_waste: Annotated[int, Field(ge=0, le=1_000_000)] = 0
    format: Format
    feed_edge: FeedEdge = Field(strict=False)
    stock: Stock
    lay_side: LaySide = Field(strict=False)
    strips: Annotated[tuple[Strip, ...], Field(strict=False)] = ()
    separations: Annotated[tuple[Separation, ...], Field(strict=False, min_length=1, max_length=2)]
    overprint: bool = True
    units_free: bool = False
    earliest: AwareDatetime | None = None
    first_side: PassId | None = None
    drying_s: Annotated[int, Field(ge=0)] = 0
    own_tasks: Annotated[tuple[str, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _separations_differ(self) -> Self:
        if len({s.ink.id for s in self.separations}) < len(self.separations):
            raise ValueError("the two separations of a pass need two different inks")
        if len({s.plate.id for s in self.separations}) < len(self.separations):
            raise ValueError("the two separations of a pass need two different plates")
        if len({s.plate.material for s in self.separations}) > 1:
            raise ValueError("the plates of a pass are of one material")
        return self

    @property
    def run_sheets(self) -> int:
        """Sheets that go through in the run: good ones and running waste."""
        return self.sheets + self.running_waste

    @property
    def plate_material(self) -> PlateMaterial:
        """What the plates of the pass are made of."""
        return self.separations[0].plate.material

    def separation_of(self, ink: InkId) -> Separation:
        """The separation printed in an ink. Raises KeyError if the pass has none."""
        for separation in self.separations:
            if separation.ink.id == ink:
                return separation
        raise KeyError(ink)


class Job(ShopModel):
    """What the customer ordered: a docket, a title, a due time, and the weight of its lateness."""

    id: Annotated[JobId, Field(min_length=1)]
    title: str = ""
    due: AwareDatetime | None = None
    weight: Annotated[int, Field(ge=0, le=1000)] = 1
    work_style: WorkStyle = Field(default=WorkStyle.ONE_SIDE, strict=False)
    passes: Annotated[tuple[PrintPass, ...], Field(strict=False, min_length=1)]

    @property
    def due_s(self) -> int | None:
        """The due moment in epoch seconds."""
        return None if self.due is None else epoch(self.due)


def epoch(moment: datetime) -> int:
    """Whole epoch seconds of an aware moment (fractions of a second are dropped)."""
    return int(moment.timestamp() // 1)
