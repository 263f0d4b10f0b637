"""Sheet formats: ISO 216 and ISO 217 sizes, US names, or free millimetres and inches."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from queueplanner.shop.base import ShopModel, exact

#: A side that differs by this much or more is another format.
FORMAT_STEP_MM = 1
MM_PER_INCH = 25.4

#: A side of a size 0 sheet, mm: short, long. Each next size halves the long side, rounded down (ISO 216, ISO 217).
_SERIES_ZERO = {"A": (841, 1189), "B": (1000, 1414), "RA": (860, 1220), "SRA": (900, 1280)}
_LAST_SIZE = {"A": 10, "B": 10, "RA": 4, "SRA": 4}
#: US sheet names, inches.
_US_SIZES_IN = {
    "Letter": (8.5, 11.0),
    "Legal": (8.5, 14.0),
    "Ledger": (11.0, 17.0),
    "Half Letter": (5.5, 8.5),
}


class FeedEdge(StrEnum):
    """Which edge of the sheet leads into the press."""

    LONG = "long"
    SHORT = "short"


class Format(ShopModel):
    """A sheet's size: short and long side in mm, and its name if it has one."""

    short_mm: Annotated[float, Field(gt=0, le=2000)]
    long_mm: Annotated[float, Field(gt=0, le=2000)]
    name: str | None = None

    @model_validator(mode="after")
    def _short_is_shorter(self) -> Self:
        if self.short_mm > self.long_mm:
            raise ValueError("the short side comes first")
        return self

    @property
    def area_m2(self) -> float:
        """Area of the sheet in m²."""
        return self.short_mm * self.long_mm / 1e6

    def differs_from(self, other: Format) -> bool:
        """Whether either side differs by 1 mm or more."""
        return (
            abs(exact(self.short_mm) - exact(other.short_mm)) >= FORMAT_STEP_MM
            or abs(exact(self.long_mm) - exact(other.long_mm)) >= FORMAT_STEP_MM
        )

    def outgrows(self, other: Format) -> bool:
        """Whether either side is longer by 1 mm or more."""
        return (
            exact(self.short_mm) - exact(other.short_mm) >= FORMAT_STEP_MM
            or exact(self.long_mm) - exact(other.long_mm) >= FORMAT_STEP_MM
        )

    @property
    def label(self) -> str:
        """The name, else the size in mm."""
        return self.name or f"{self.short_mm:g} × {self.long_mm:g} mm"


def _iso_sizes() -> dict[str, Format]:
    sizes = {}
    for series, (short, long) in _SERIES_ZERO.items():
        for number in range(_LAST_SIZE[series] + 1):
            name = f"{series}{number}"
            sizes[name.casefold()] = Format(short_mm=float(short), long_mm=float(long), name=name)
            short, long = long // 2, short
    return sizes


#: Every named format by its name in lower case.
NAMED_FORMATS: dict[str, Format] = _iso_sizes() | {
    name.casefold(): Format(short_mm=round(a * MM_PER_INCH, 3), long_mm=round(b * MM_PER_INCH, 3), name=name)
    for name, (a, b) in _US_SIZES_IN.items()
}

_FREE = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*[x×*]\s*(\d+(?:[.,]\d+)?)\s*(mm|in|inch|\"|″)?\s*$", re.IGNORECASE)


def parse_format(text: str) -> Format | None:
    """The format a person wrote: "A4", "SRA3", "Letter", "210 x 297", "8.5 x 11 in"; None if it is none of these."""
    named = NAMED_FORMATS.get(" ".join(text.split()).casefold())
    if named is not None:
        return named
    match = _FREE.match(text)
    if match is None:
        return None
    sides = sorted(float(side.replace(",", ".")) for side in match.group(1, 2))
    if match.group(3) and match.group(3).casefold() != "mm":
        sides = [round(side * MM_PER_INCH, 3) for side in sides]
    if not 0 < sides[0] <= sides[1] <= 2000:
        return None
    return Format(short_mm=sides[0], long_mm=sides[1])
