"""What a press lets its operator set: scales, positions, detectors and steps. Data of the press, never code.

A part that is left out is a part the press does not have, and its settings card is silent about it. The neutral
default of every part is `resources/card.toml`; a shop's press file is laid over it, under the key `card`.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from queueplanner.shop.base import ShopModel
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.scale import Bands, Quantity, Scale, Text, Window

Micrometres = Annotated[int, Field(gt=0, le=5000)]
Millimetres = Annotated[float, Field(gt=0, le=2000)]
Percent = Annotated[float, Field(ge=0, le=100)]


class CardGroup(StrEnum):
    """The parts of a settings card, in working order."""

    STOCK = "stock"
    FEEDER = "feeder"
    DELIVERY = "delivery"
    PLATES = "plates"
    INK = "ink"
    DAMPENING = "dampening"
    RUN = "run"


class OwnScale(ShopModel):
    """A scale that only this press has, with its name and place on the card."""

    name: Text
    group: CardGroup = Field(strict=False)
    scale: Scale


class OwnStep(ShopModel):
    """A step that only this press has: one line, said at every pass."""

    text: Text
    group: CardGroup = Field(strict=False)


class Detector(ShopModel):
    """The double-sheet detector: its ranges by caliper, and how it is set.

    It is turned down until the lamp lights, up until it goes out, then `graduations_more` on for the paper's own
    tolerance; `positioning_sheets` are fed first. `procedure` replaces this where a detector is set otherwise.
    """

    ranges: Bands
    graduations_more: Annotated[int, Field(ge=0, le=100)]
    positioning_sheets: Annotated[int, Field(ge=0, le=20)]
    procedure: Text | None = None


class FrontJoggers(ShopModel):
    """When the front joggers are off: over a caliper, or under a length of sheet; otherwise they are on."""

    off_over_um: Micrometres | None = None
    off_under_length_mm: Millimetres | None = None


class GuidePulleys(ShopModel):
    """The pulleys that guide the sheet where nothing is printed: how many, how wide, and the least strip they need."""

    count: Annotated[int, Field(ge=1, le=20)]
    width_mm: Millimetres
    least_strip_mm: Millimetres

    @model_validator(mode="after")
    def _fits(self) -> Self:
        if self.least_strip_mm < self.width_mm:
            raise ValueError("least_strip_mm: a pulley needs a strip at least as wide as itself")
        return self


class OpeningRule(ShopModel):
    """So many steps later (or, below zero, earlier) when a quantity is over or under a figure."""

    by: Quantity = Field(strict=False)
    over: float | None = None
    under: float | None = None
    steps: Annotated[int, Field(ge=-5, le=5)]

    @model_validator(mode="after")
    def _has_one_border(self) -> Self:
        if (self.over is None) == (self.under is None):
            raise ValueError("give either over or under")
        return self

    def holds(self, quantity: float) -> bool:
        """Whether the rule applies to a quantity."""
        return quantity > self.over if self.over is not None else self.under is not None and quantity < self.under


class GripperOpening(ShopModel):
    """When the delivery grippers let the sheet go: the positions, earliest first, and what moves them."""

    positions: Annotated[tuple[Text, ...], Field(strict=False, min_length=2)]
    usual: Annotated[int, Field(ge=1)]
    rules: Annotated[tuple[OpeningRule, ...], Field(strict=False)] = ()

    @model_validator(mode="after")
    def _usual_exists(self) -> Self:
        if self.usual > len(self.positions):
            raise ValueError("usual: counts the positions from 1; there are not so many")
        return self

    def position(self, steps: int) -> str:
        """The position so many steps later than the usual one, kept within those there are."""
        return self.positions[min(max(self.usual - 1 + steps, 0), len(self.positions) - 1)]


class Fans(ShopModel):
    """The fans over the delivery pile, set one by one."""

    names: Annotated[tuple[Text, ...], Field(strict=False, min_length=1)]
    levels: Bands


class PlateFace(StrEnum):
    """Which way a plate's image side looks when it goes into its unit."""

    UP = "up"
    DOWN = "down"


class ReducingOil(ShopModel):
    """Oil that lowers an ink's tack, per cent of the ink's weight: the share to begin with, and the most."""

    first_percent: Annotated[float, Field(gt=0, le=20)]
    most_percent: Annotated[float, Field(gt=0, le=20)]

    @model_validator(mode="after")
    def _begins_small(self) -> Self:
        if self.first_percent > self.most_percent:
            raise ValueError("first_percent: no more than most_percent")
        return self


class Dampening(ShopModel):
    """The dampening solution: what a tray holds, how it is mixed for each plate material, and how it is watched.

    `additive_percent` is by volume. Conductivity has no aim of its own: it is renewed when it has risen by
    `conductivity_rise_us` (µS/cm) over the fresh batch.
    """

    tray_l: Annotated[float, Field(gt=0, le=200)]
    additive_percent: dict[Annotated[PlateMaterial, Field(strict=False)], Percent]
    ph: Window
    hardness_dh: Window | None = None
    conductivity_rise_us: Annotated[int | None, Field(gt=0)] = None
    check_every_h: Annotated[float | None, Field(gt=0)] = None


class CardParts(ShopModel):
    """Which plain parts and steps a press has; what needs figures has a field of its own in the profile."""

    stock_aired: bool = False
    side_stops: bool = False
    rear_stop: bool = False
    rear_blowers: bool = False
    lay_side: bool = False
    delivery_joggers: bool = False
    pulley_covers: bool = False
    sheet_arrival: bool = False
    plate_punch: bool = False
    register_pins: bool = False
    automatic_fallback: bool = False
    polyester_ejected_wet: bool = False
    roller_package: bool = False
    fountain_side_plates: bool = False
    idle_unit_oiled: bool = False


class PositionOrigin(StrEnum):
    """Where positions across the sheet are counted from."""

    OPERATOR_EDGE = "operator edge"
    CENTRE = "centre"


class CardProfile(ShopModel):
    """All a press lets its operator set. With nothing given, a press of which nothing is known."""

    position_origin: PositionOrigin = Field(default=PositionOrigin.OPERATOR_EDGE, strict=False)
    has: CardParts = CardParts()
    pile_height: Scale | None = None
    printing_pressure: Scale | None = None
    fingers_clear_over_um: Micrometres | None = None
    float_sheets: Annotated[int | None, Field(gt=0, le=100)] = None
    detector: Detector | None = None
    delivery_stop_out_under_mm: Millimetres | None = None
    front_joggers: FrontJoggers | None = None
    guide_pulleys: GuidePulleys | None = None
    gripper_opening: GripperOpening | None = None
    fans: Fans | None = None
    powder: Bands | None = None
    plate_faces: Annotated[
        tuple[Annotated[PlateFace, Field(strict=False)], ...], Field(strict=False, max_length=2)
    ] = ()
    reducing_oil: ReducingOil | None = None
    dampening: Dampening | None = None
    scales: Annotated[tuple[OwnScale, ...], Field(strict=False)] = ()
    steps: Annotated[tuple[OwnStep, ...], Field(strict=False)] = ()

    def plate_face(self, unit: int) -> PlateFace | None:
        """Which way the plate of unit 1 or 2 looks; None where the profile does not say."""
        return self.plate_faces[unit - 1] if unit <= len(self.plate_faces) else None
