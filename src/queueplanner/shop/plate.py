"""Printing plates."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from queueplanner.shop.base import PlateId, ShopModel, exact

#: Two plate lengths written in mm and in inches agree to this much (505 mm is 19 7/8 in).
LENGTH_AGREES_MM = 0.2
#: A plate thicker or thinner by more than this wants other packing.
PACKING_STEP_UM = 20


class PlateMaterial(StrEnum):
    """What a plate is made of; it decides the dampening solution."""

    METAL = "metal"
    POLYESTER = "polyester"
    PAPER = "paper"


class Plate(ShopModel):
    """One plate: length in mm around the cylinder, thickness in µm."""

    id: Annotated[PlateId, Field(min_length=1)]
    material: PlateMaterial = Field(strict=False)
    length_mm: Annotated[float, Field(gt=0, le=2000)]
    thickness_um: Annotated[int, Field(gt=0, le=2000)]

    def has_length(self, length_mm: float) -> bool:
        """Whether the plate is as long as a given length, in mm or rounded from inches."""
        return abs(exact(self.length_mm) - exact(length_mm)) <= exact(LENGTH_AGREES_MM)

    def wants_other_packing_than(self, other: Plate) -> bool:
        """Whether the thickness differs by more than 0.02 mm."""
        return abs(self.thickness_um - other.thickness_um) > PACKING_STEP_UM
