"""The figures that sheets, ink, water, solvent and lifting are reckoned with. Data of the shop.

The default of every figure, and where it comes from, is `resources/materials.toml`.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from queueplanner.shop.base import ShopModel
from queueplanner.shop.stock import Coating


class Coupling(StrEnum):
    """How well the hands hold the load, as the NIOSH lifting equation classes it."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


class LiftingPosture(ShopModel):
    """How paper is lifted in this shop: the inputs of the revised NIOSH lifting equation, in cm and degrees.

    `reach_cm` is from the middle between the ankles to the hands; `from_height_cm` and `to_height_cm` are heights of
    the hands over the floor at the beginning and the end; `turn_deg` is how far the trunk turns.
    """

    reach_cm: Annotated[float, Field(gt=0, le=200)]
    from_height_cm: Annotated[float, Field(ge=0, le=250)]
    to_height_cm: Annotated[float, Field(ge=0, le=250)]
    turn_deg: Annotated[float, Field(ge=0, le=180)]
    lifts_per_min: Annotated[float, Field(gt=0, le=60)]
    hours: Annotated[float, Field(gt=0, le=8)]
    coupling: Coupling = Field(strict=False)


class MaterialFigures(ShopModel):
    """Sheets in a ream, how far ink goes, what a wash takes, what dampening takes, how paper is lifted.

    `laydown_factor` multiplies an ink's own laydown on coated and uncoated stock. `roller_wash_ml` is one wash of
    one unit's rollers, `blanket_wash_ml` one wash of one blanket. `dampening_ml_per_m2` is solution used by a
    square metre of sheet.
    """

    ream_sheets: Annotated[int, Field(gt=0, le=1000)]
    laydown_factor: dict[Annotated[Coating, Field(strict=False)], Annotated[float, Field(gt=0, le=10)]]
    roller_wash_ml: Annotated[float, Field(ge=0, le=10_000)]
    blanket_wash_ml: Annotated[float, Field(ge=0, le=10_000)]
    dampening_ml_per_m2: Annotated[float, Field(ge=0, le=100)]
    lifting: LiftingPosture
