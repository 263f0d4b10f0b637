"""The scales of a press: from a quantity such as the caliper to a mark, a band, a window."""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Self

from pydantic import Field, model_validator

from queueplanner.shop.base import ShopModel, exact, half_up

Text = Annotated[str, Field(min_length=1, max_length=200)]


class Quantity(StrEnum):
    """What a scale or a rule of a press goes by."""

    CALIPER = "caliper_um"
    GRAMMAGE = "grammage_gsm"
    WIDTH = "width_mm"
    LENGTH = "length_mm"
    SPEED = "speed_sph"
    COVERAGE = "coverage_percent"


class Window(ShopModel):
    """From the least to the most, both allowed."""

    least: float
    most: float

    @model_validator(mode="after")
    def _is_in_order(self) -> Self:
        if self.least > self.most:
            raise ValueError("the least comes first")
        return self


ScalePoint = Annotated[tuple[float, float], Field(strict=False)]


class Scale(ShopModel):
    """A scale of the press: straight lines between points (quantity, mark), held at the ends, read in whole steps."""

    by: Quantity = Field(default=Quantity.CALIPER, strict=False)
    unit: Text = "mark"
    step: Annotated[float, Field(gt=0)]
    points: Annotated[tuple[ScalePoint, ...], Field(strict=False, min_length=2)]

    @model_validator(mode="after")
    def _runs_one_way(self) -> Self:
        if any(b[0] <= a[0] for a, b in pairwise(self.points)):
            raise ValueError("points: the first figures must rise from point to point")
        rises = [b[1] - a[1] for a, b in pairwise(self.points)]
        if min(rises) < 0 < max(rises):
            raise ValueError("points: a scale must not turn round: its marks rise, or they fall")
        return self

    def reaches(self, quantity: float) -> bool:
        """Whether a quantity lies between the ends of the scale."""
        return self.points[0][0] <= quantity <= self.points[-1][0]

    def mark(self, quantity: float) -> float:
        """The mark for a quantity, rounded half up to the scale's step; beyond an end, the mark at that end."""
        value = min(max(exact(quantity), exact(self.points[0][0])), exact(self.points[-1][0]))
        upper = next(i for i in range(1, len(self.points)) if value <= exact(self.points[i][0]))
        (x0, y0), (x1, y1) = (_exact_point(self.points[i]) for i in (upper - 1, upper))
        mark = y0 + (y1 - y0) * (value - x0) / (x1 - x0)
        step = exact(self.step)
        return float(half_up(mark / step) * step)


def _exact_point(point: tuple[float, float]) -> tuple[Fraction, Fraction]:
    return exact(point[0]), exact(point[1])


class Band(ShopModel):
    """A setting that holds up to a quantity; without one, for all above."""

    name: Text
    up_to: Annotated[float | None, Field(gt=0)] = None


class Bands(ShopModel):
    """Settings by the band a quantity falls into; the last one has no upper end."""

    by: Quantity = Field(default=Quantity.CALIPER, strict=False)
    bands: Annotated[tuple[Band, ...], Field(strict=False, min_length=1)]

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        ends = [band.up_to for band in self.bands]
        if ends[-1] is not None or None in ends[:-1]:
            raise ValueError("bands: every band but the last has an up_to, the last has none")
        bounds = [end for end in ends if end is not None]
        if any(b <= a for a, b in pairwise(bounds)):
            raise ValueError("bands: each up_to must be higher than the one before")
        return self

    def setting(self, quantity: float) -> str:
        """The name of the band a quantity falls into; a quantity at a border belongs to the lower one."""
        return next(b.name for b in self.bands if b.up_to is None or quantity <= b.up_to)
