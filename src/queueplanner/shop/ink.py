"""Inks: what they look like, how they behave on the rollers, and which of two is the lighter."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from queueplanner.shop.base import InkId, ShopModel, exact, seconds_of_hours
from queueplanner.shop.colour import Lab, lab_of_spectrum, lab_of_srgb

#: Two inks whose L* differ by no more than this may change units.
LIGHTNESS_TIE = 0.1


class InkKind(StrEnum):
    """What an ink is made to do."""

    PROCESS = "process"
    SPOT = "spot"
    METALLIC = "metallic"
    FLUORESCENT = "fluorescent"
    OPAQUE_WHITE = "opaque white"
    VARNISH = "varnish"


class Tack(ShopModel):
    """Tack as read on one instrument; readings of two instruments do not compare (ISO 12634)."""

    value: Annotated[float, Field(gt=0, le=1000)]
    instrument: Annotated[str, Field(min_length=1)]


class Ink(ShopModel):
    """One ink of the shop's shelf.

    The colour is given in one of four ways: `spectrum` (36 reflectances, 380 to 730 nm in steps of 10),
    `lab` (CIELAB, D50, 2 degrees, of the solid on its usual stock), `srgb` ("#rrggbb"), or `lightness` (L* alone,
    a grey). `open_time_h` is how long it may stand on the rollers, `drying_time_h` how long a sheet must rest
    before its second side, `tolerance` the CIEDE2000 difference at which a customer sees a wrong colour.
    """

    id: Annotated[InkId, Field(min_length=1)]
    name: Annotated[str, Field(min_length=1)]
    kind: InkKind = Field(strict=False)
    family: Annotated[str, Field(min_length=1)] = "oil-based"
    lab: Annotated[tuple[float, float, float] | None, Field(strict=False)] = None
    srgb: Annotated[str | None, Field(pattern=r"^#[0-9a-fA-F]{6}$")] = None
    lightness: Annotated[float | None, Field(ge=0, le=100)] = None
    spectrum: Annotated[tuple[float, ...] | None, Field(strict=False, min_length=36, max_length=36)] = None
    tack: Tack | None = None
    open_time_h: Annotated[float, Field(gt=0, le=10_000)]
    drying_time_h: Annotated[float, Field(ge=0, le=1_000)]
    tolerance: Annotated[float | None, Field(gt=0, le=50)] = None
    laydown_gsm: Annotated[float, Field(gt=0, le=50)] = 1.4

    @model_validator(mode="after")
    def _has_one_colour(self) -> Self:
        given = [n for n in ("lab", "srgb", "lightness", "spectrum") if getattr(self, n) is not None]
        if not given or (len(given) > 1 and set(given) != {"lab", "spectrum"}):
            raise ValueError("give the colour once: lab, srgb, lightness or spectrum (lab may stand beside spectrum)")
        if self.lab is not None and not (0 <= self.lab[0] <= 100 and max(map(abs, self.lab[1:])) <= 160):
            raise ValueError("lab must hold L* from 0 to 100 and a*, b* from -160 to 160")
        if self.spectrum is not None and not all(0 <= r <= 2 for r in self.spectrum):
            raise ValueError("spectrum must hold reflectances from 0 to 2")
        return self

    @property
    def colour(self) -> Lab:
        """CIELAB (D50, 2 degrees) of the solid."""
        if self.lab is not None:
            return Lab(*self.lab)
        if self.srgb is not None:
            return lab_of_srgb(self.srgb)
        if self.lightness is not None:
            return Lab(self.lightness, 0.0, 0.0)
        assert self.spectrum is not None
        return lab_of_spectrum(self.spectrum)

    @property
    def open_seconds(self) -> int:
        """How long the ink may stand on the rollers, in seconds."""
        return seconds_of_hours(self.open_time_h)

    @property
    def drying_seconds(self) -> int:
        """How long a sheet rests before it may be printed again, in seconds."""
        return seconds_of_hours(self.drying_time_h)

    @property
    def opaque(self) -> bool:
        """Whether the ink hides what lies under it."""
        return self.kind is InkKind.OPAQUE_WHITE

    @property
    def tolerance_de00(self) -> float:
        """Tolerance, CIEDE2000: as given, else 5 for process black, 3.5 for other process inks, 1.5 for the rest.

        5 and 3.5 are the deviation tolerances of process solids in ISO 12647-2; 1.5 is judgement, and so is the
        border of black (L* under 45, chroma under 15).
        """
        if self.tolerance is not None:
            return self.tolerance
        if self.kind is not InkKind.PROCESS:
            return 1.5
        return 5.0 if self.colour.L < 45 and math.hypot(self.colour.a, self.colour.b) < 15 else 3.5


def lightness_ties(first: Ink, second: Ink) -> bool:
    """Whether two inks are so alike in lightness that either may print first."""
    return abs(exact(first.colour.L) - exact(second.colour.L)) <= exact(LIGHTNESS_TIE)
