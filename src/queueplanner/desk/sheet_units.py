"""Units by choice at the edge: mm or inches, g/m² or pounds, µm or points. Inside, the shop's own units stay.

Steps kept inside: lengths 0.01 mm, thicknesses 1 µm. A figure shown in another unit has so many decimals that it
leads back to the same step.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from queueplanner.shop.stock import BASIC_SIZES_IN, gsm_of_pounds, pounds_of_gsm

_MM_PER_INCH = Decimal("25.4")
#: A point of caliper is a thousandth of an inch.
_MM_PER_POINT = Decimal("0.0254")
_MM_PER_UM = Decimal("0.001")
_FRACTION = re.compile(r"(?:(\d{1,4})[ -])?(\d{1,3})/(\d{1,3})", re.ASCII)


class LengthUnit(StrEnum):
    """What lengths are shown in."""

    MM = "mm"
    INCH = "in"


class ThicknessUnit(StrEnum):
    """What plate thickness and caliper are shown in. A point is a thousandth of an inch."""

    UM = "µm"
    POINT = "pt"


class WeightUnit(StrEnum):
    """What the weight of a stock is shown in: g/m², or pounds of 500 sheets of a grade's basic size."""

    GSM = "g/m²"
    BOND = "lb bond"
    BOOK = "lb book"
    COVER = "lb cover"
    BRISTOL = "lb bristol"
    INDEX = "lb index"
    TAG = "lb tag"

    @property
    def basic_size_in(self) -> tuple[float, float] | None:
        """The basic size, inches; None for g/m²."""
        return BASIC_SIZES_IN.get(self.value.removeprefix("lb "))


@dataclass(frozen=True, slots=True)
class Units:
    """One choice of units, and the sign between whole and decimals."""

    length: LengthUnit = LengthUnit.MM
    thickness: ThicknessUnit = ThicknessUnit.UM
    weight: WeightUnit = WeightUnit.GSM
    decimal_mark: str = "."

    def shown_length(self, mm: Decimal) -> str:
        """A length, its unit left to the head."""
        if self.length is LengthUnit.MM:
            return self.written(mm)
        return self.written(_rounded(mm / _MM_PER_INCH, 4))

    def mm_of_length(self, shown: Decimal) -> Decimal:
        """The mm of a length as shown, to 0.01 mm; mm stay as written."""
        return shown if self.length is LengthUnit.MM else _rounded(shown * _MM_PER_INCH, 2)

    def shown_thickness(self, mm: Decimal) -> str:
        """A thickness, its unit left to the head."""
        if self.thickness is ThicknessUnit.UM:
            return self.written(mm / _MM_PER_UM)
        return self.written(_rounded(mm / _MM_PER_POINT, 2))

    def mm_of_thickness(self, shown: Decimal) -> Decimal:
        """The mm of a thickness as shown; points to 1 µm."""
        if self.thickness is ThicknessUnit.UM:
            return shown * _MM_PER_UM
        return _rounded(shown * _MM_PER_POINT, 3)

    def shown_caliper(self, micrometres: int) -> str:
        """A stock's caliper, points with one decimal; its unit left to the head."""
        if self.thickness is ThicknessUnit.UM:
            return self.written(Decimal(micrometres))
        return self.written(_rounded(micrometres * _MM_PER_UM / _MM_PER_POINT, 1))

    def shown_side(self, mm: float) -> str:
        """A side of a sheet for people to read, inches with two decimals; its unit left to the head."""
        value = Decimal(repr(mm))
        return self.written(value if self.length is LengthUnit.MM else _rounded(value / _MM_PER_INCH, 2))

    def shown_weight(self, gsm: float) -> str:
        """A stock's weight, with one decimal in pounds; its unit left to the head."""
        size = self.weight.basic_size_in
        if size is None:
            return self.written(Decimal(repr(gsm)))
        return self.written(_rounded(Decimal(repr(pounds_of_gsm(gsm, size))), 2))

    def gsm_of_weight(self, shown: Decimal) -> float:
        """The g/m² of a weight as shown, to 0.1 g/m²; g/m² stay as written."""
        size = self.weight.basic_size_in
        if size is None:
            return float(shown)
        return float(_rounded(Decimal(repr(gsm_of_pounds(float(shown), size))), 1))

    def written(self, value: Decimal) -> str:
        """A number in plain digits with the decimal mark of the place."""
        text = format(value, "f")
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        return text.replace(".", self.decimal_mark)


#: Units of a shop that works in mm, with a decimal point.
USUAL_UNITS = Units()


def decimal_of(text: str) -> Decimal | None:
    """The number somebody wrote with a decimal point, a decimal comma, or as inches and a fraction: `19 7/8`.

    None when it is none of these. What could be thousands is read as decimals here: ask before.
    """
    if re.fullmatch(r"\d{1,12}(?:[.,]\d{1,12})?", text, re.ASCII):
        return Decimal(text.replace(",", "."))
    match = _FRACTION.fullmatch(text)
    if match is None or int(match.group(3)) == 0:
        return None
    return Decimal(match.group(1) or 0) + Decimal(match.group(2)) / Decimal(match.group(3))


def _rounded(value: Decimal, decimals: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)
