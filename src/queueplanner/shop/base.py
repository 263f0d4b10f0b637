"""What all the shop's models share: strictness, immutability, exact rounding."""

from __future__ import annotations

from fractions import Fraction
from typing import NewType

from pydantic import BaseModel, ConfigDict

InkId = NewType("InkId", str)
StockId = NewType("StockId", str)
PlateId = NewType("PlateId", str)
JobId = NewType("JobId", str)
PassId = NewType("PassId", str)


class ShopModel(BaseModel):
    """A frozen, strict model: no silent conversion, no unknown field, no change after birth."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", allow_inf_nan=False)


def exact(value: float) -> Fraction:
    """The decimal number a person wrote, as a fraction: 0.1 is one tenth, not the nearest binary."""
    return Fraction(repr(value))


def half_up(value: Fraction) -> int:
    """Round to a whole number, halves upward."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def seconds_of_minutes(*minutes: float) -> int:
    """Whole seconds of a number of minutes, or of several taken together, rounded half up once."""
    return half_up(sum(map(exact, minutes), Fraction(0)) * 60)


def seconds_of_hours(hours: float) -> int:
    """Whole seconds of a number of hours, rounded half up."""
    return half_up(exact(hours) * 3600)
