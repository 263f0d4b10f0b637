"""Colour reckoning: CIELAB under D50, XYZ, linear sRGB, spectra, and the CIEDE2000 difference.

Lab and XYZ are for the CIE 1931 2 degree observer and D50, the way print is measured (ISO 13655). sRGB has
white D65; between the two stands the Bradford adaptation. coloraide converts and carries the observer; the
light is `resources/colour/illuminant_d50.csv`.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from functools import cache, lru_cache
from typing import NamedTuple, TypeAlias

from coloraide import Color
from coloraide.cmfs import CIE_1931_2DEG
from coloraide.spaces.lab import xyz_to_lab

from queueplanner.shop.resources import resource_path

Triple: TypeAlias = tuple[float, float, float]

#: The bands of a spectrum: wavelengths in nm.
BANDS_NM = tuple(range(380, 731, 10))
#: XYZ of D50 with Y = 1, from its chromaticity x 0.3457, y 0.3585 (CIE 15).
D50_WHITE: Triple = (0.3457 / 0.3585, 1.0, (1 - 0.3457 - 0.3585) / 0.3585)


class Lab(NamedTuple):
    """A colour in CIELAB (D50, 2 degrees): L* from 0 to 100, a* red to green, b* yellow to blue."""

    L: float
    a: float
    b: float


@lru_cache(maxsize=4096)
def lab_of_srgb(hex_colour: str) -> Lab:
    """Lab of a screen colour "#rrggbb" (IEC 61966-2-1). Raises ValueError if it is no colour.

    `lab_of_srgb("#1e64b4")` is L* 41.52, a* 1.73, b* -49.44.
    """
    return Lab(*Color(hex_colour).convert("lab").coords())


def srgb_of_lab(lab: Lab) -> str:
    """The screen colour "#rrggbb" of a Lab colour, clipped channel by channel to what a screen can show."""
    return Color("lab", lab).convert("srgb").clip().to_string(hex=True)


def linear_srgb_of_lab(lab: Lab) -> Triple:
    """Linear sRGB of a Lab colour, 0 to 1 inside the gamut, not clipped outside it."""
    r, g, b = Color("lab", lab).convert("srgb-linear").coords()
    return r, g, b


def lab_of_linear_srgb(rgb: Sequence[float]) -> Lab:
    """Lab of linear sRGB (0 to 1; figures outside are taken as they are)."""
    return Lab(*Color("srgb-linear", rgb).convert("lab").coords())


def lab_of_xyz(xyz: Sequence[float], white: Sequence[float] = D50_WHITE) -> Lab:
    """Lab of XYZ under a white, both with the white's Y = 1 (CIE 15)."""
    return Lab(*xyz_to_lab(list(xyz), white))


def xyz_of_spectrum(reflectances: Sequence[float]) -> Triple:
    """XYZ of 36 reflectances (380 to 730 nm in steps of 10) under D50, scaled to Y = 1 for a perfect white.

    A plain sum over the bands of reflectance × observer × D50. Raises ValueError if there are not 36.
    """
    if len(reflectances) != len(BANDS_NM):
        raise ValueError(f"a spectrum has {len(BANDS_NM)} reflectances, not {len(reflectances)}")
    x, y, z = (sum(r * w for r, w in zip(reflectances, weights, strict=True)) for weights in _band_weights())
    return x, y, z


def lab_of_spectrum(reflectances: Sequence[float]) -> Lab:
    """Lab of 36 reflectances (380 to 730 nm in steps of 10); white is the spectrum that is 1 in every band.

    Raises ValueError if there are not 36.
    """
    return lab_of_xyz(xyz_of_spectrum(reflectances), _white_of_bands())


def ciede2000(first: Lab, second: Lab) -> float:
    """Colour difference ΔE00 with kL = kC = kH = 1 (Sharma, Wu & Dalal, Color Res. Appl. 30(1), 2005).

    `ciede2000(Lab(50, 2.5, 0), Lab(73, 25, -18))` is 27.1492.
    """
    # The difference has to be named its space: by default coloraide would first adapt both colours to D65.
    return Color("lab", first).delta_e(Color("lab", second), method="2000", space="lab")


@cache
def _band_weights() -> tuple[tuple[float, ...], ...]:
    """For X, Y and Z the weight of each band: observer × D50, such that the weights of Y sum to 1."""
    light = _illuminant_d50()
    products = [[power * c for c in CIE_1931_2DEG[nm]] for nm, power in zip(BANDS_NM, light, strict=True)]
    scale = 1 / sum(y for _, y, _ in products)
    return tuple(tuple(scale * band[i] for band in products) for i in range(3))


@cache
def _white_of_bands() -> Triple:
    return xyz_of_spectrum([1.0] * len(BANDS_NM))


def _illuminant_d50() -> tuple[float, ...]:
    """Relative power of D50 in each band, from the program's data."""
    with resource_path("colour", "illuminant_d50.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        power = {int(row["wavelength_nm"]): float(row["relative_power"]) for row in rows}
    return tuple(power[nm] for nm in BANDS_NM)
