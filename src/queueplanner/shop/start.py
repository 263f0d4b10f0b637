"""The state a plan starts from, as a person or the record gives it."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AwareDatetime, Field, model_validator

from queueplanner.shop.base import InkId, PassId, ShopModel, StockId
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.job import LaySide, Strip
from queueplanner.shop.plate import Plate, PlateMaterial


class UnitStart(ShopModel):
    """One unit at the plan's start: its ink and plate are known (none counts); the rest may be unknown.

    A unit without ink may still hold the `residue` of one that was washed `residue_washes` times.
    """

    ink: InkId | None = None
    reduced: bool = False
    last_run_end: AwareDatetime | None = None
    residue: InkId | None = None
    residue_washes: Annotated[int, Field(ge=0, le=4)] = 0
    oiled: bool = False
    plate: Plate | None = None

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if self.ink is not None and (self.residue is not None or self.oiled):
            raise ValueError("a unit that holds ink has neither residue nor oil")
        if self.reduced and self.ink is None:
            raise ValueError("only ink that is in the unit can be reduced")
        return self


class SettingsStart(ShopModel):
    """What the feeder, delivery and stock were set for at the plan's start; None is unknown."""

    format: Format | None = None
    feed_edge: Annotated[FeedEdge | None, Field(strict=False)] = None
    lay_side: Annotated[LaySide | None, Field(strict=False)] = None
    stock: StockId | None = None
    caliper_um: Annotated[int | None, Field(gt=0)] = None
    speed_sph: Annotated[float | None, Field(gt=0)] = None
    strips: Annotated[tuple[Strip, ...] | None, Field(strict=False)] = None


class PressStart(ShopModel):
    """The whole press at the plan's start, and the first sides already printed (end of run, None unknown)."""

    units: Annotated[tuple[UnitStart, ...], Field(strict=False, min_length=1, max_length=2)] = (
        UnitStart(),
        UnitStart(),
    )
    solution: Annotated[PlateMaterial | None, Field(strict=False)] = None
    delivery_pile: bool = False
    settings: SettingsStart = SettingsStart()
    printed_first_sides: dict[PassId, AwareDatetime | None] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_plate_one_unit(self) -> Self:
        plates = [u.plate.id for u in self.units if u.plate is not None]
        if len(set(plates)) < len(plates):
            raise ValueError("a plate can be in one unit only")
        return self
