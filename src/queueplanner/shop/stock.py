"""Stocks: the paper and board a sheet is made of."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from queueplanner.shop.base import ShopModel, StockId

#: lb to g/m² for a ream of 500 sheets of the basic size: 1406.13916 / (basic area in square inches).
GSM_SQUARE_INCHES_PER_POUND = 1406.13916

#: Basic sizes in inches by grade, as the US trade uses them (grade names alone are ambiguous).
BASIC_SIZES_IN: dict[str, tuple[float, float]] = {
    "bond": (17, 22),
    "book": (25, 38),
    "cover": (20, 26),
    "bristol": (22.5, 28.5),
    "index": (25.5, 30.5),
    "tag": (24, 36),
}


class Coating(StrEnum):
    """Whether the surface is coated."""

    COATED = "coated"
    UNCOATED = "uncoated"


class Grain(StrEnum):
    """Which side of the sheet the grain runs along."""

    LONG = "long"
    SHORT = "short"


class Stock(ShopModel):
    """One paper or board: grammage in g/m², caliper in µm, press speed in sheets an hour."""

    id: Annotated[StockId, Field(min_length=1)]
    name: Annotated[str, Field(min_length=1)]
    grammage_gsm: Annotated[float, Field(gt=0, le=1000)]
    caliper_um: Annotated[int, Field(ge=20, le=2000)]
    coating: Coating = Field(strict=False)
    grain: Grain = Field(strict=False)
    speed_sph: Annotated[int, Field(gt=0, le=30_000)]

    @property
    def bulk(self) -> float:
        """Apparent bulk in cm³/g: caliper (µm) divided by grammage (g/m²), ISO 534."""
        return self.caliper_um / self.grammage_gsm


def gsm_of_pounds(pounds: float, basic_size_in: tuple[float, float]) -> float:
    """Grammage in g/m² of a basis weight in pounds per 500 sheets of the basic size (inches)."""
    return pounds * GSM_SQUARE_INCHES_PER_POUND / (basic_size_in[0] * basic_size_in[1])


def pounds_of_gsm(gsm: float, basic_size_in: tuple[float, float]) -> float:
    """Basis weight in pounds per 500 sheets of the basic size (inches) of a grammage in g/m²."""
    return gsm * basic_size_in[0] * basic_size_in[1] / GSM_SQUARE_INCHES_PER_POUND


def m_weight(pounds: float, basic_size_in: tuple[float, float], sheet_in: tuple[float, float]) -> float:
    """Pounds of 1,000 sheets of a given size (inches) of a stock with the given basis weight."""
    basic_area = basic_size_in[0] * basic_size_in[1]
    return 2 * pounds * sheet_in[0] * sheet_in[1] / basic_area
