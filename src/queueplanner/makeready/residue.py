"""Why an ink has to be washed out, and how often: what of it stays on the rollers does something to the next.

After the fountain is emptied a share `c0` of the old ink is on the rollers, and each wash leaves `r` of it:
c = c0 · rⁿ. The operator brings the new ink to its own density, so the old one comes on top, band by band:
D = D_new + c · D_old (Beer–Lambert, thin transparent film). Where one of the two is opaque the pigments mix:
K/S = (1 − c) · (K/S)_new + c · (K/S)_old (Kubelka & Munk 1931, one constant). Both constants are assumptions,
without a published source, and are learned from the shop's own wash-ups. The washes suffice when CIEDE2000
between the clean ink and the ink with the residue, to 4 decimals, is within the tolerance of the new ink.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import permutations
from typing import Annotated, TypeAlias

from pydantic import Field

from queueplanner.shop.base import InkId, ShopModel
from queueplanner.shop.colour import Lab, ciede2000, lab_of_linear_srgb, lab_of_spectrum, linear_srgb_of_lab
from queueplanner.shop.ink import Ink, InkKind

#: Reflectance of a band is kept within these: surface reflection below, paper white above.
DARKEST, LIGHTEST = 0.01, 1.0
#: Decimals of a colour difference; the rounded figure is what is compared and shown.
DIFFERENCE_DECIMALS = 4
#: Washes where nothing is predicted, and at least between two ink families.
CAUTIOUS_WASHES = 2

_UNPREDICTABLE = frozenset({InkKind.METALLIC, InkKind.FLUORESCENT})

Bands: TypeAlias = tuple[float, ...]


class ResidueModel(ShopModel):
    """How much ink stays on the rollers.

    `c0` is the share left when the fountain is empty, `r` the share that each wash leaves of what was there,
    `most_washes` how many are done at most. The defaults are judgement, without a source.
    """

    c0: Annotated[float, Field(gt=0, le=1)] = 0.5
    r: Annotated[float, Field(gt=0, lt=1)] = 0.10
    most_washes: Annotated[int, Field(ge=CAUTIOUS_WASHES, le=4)] = 4

    def share_after(self, washes: int) -> float:
        """Share of the old ink left after a number of washes, 0 or more."""
        return self.c0 * self.r**washes


class WashRule(StrEnum):
    """What decided the number of washes."""

    COLOUR = "colour"
    OVERRIDE = "override"
    METALLIC_OR_FLUORESCENT = "metallic or fluorescent"
    FAMILY = "family"


@dataclass(frozen=True, slots=True)
class WashCount:
    """How many washes one ink needs before another, and why.

    `differences` are ΔE00 after 1, 2, … `washes` washes, to 4 decimals, and `tolerance` is what they were
    held against; empty and None where nothing is predicted. `beyond_tolerance`: none of them is within it.
    """

    washes: int
    rule: WashRule
    differences: tuple[float, ...] = ()
    tolerance: float | None = None
    beyond_tolerance: bool = False


def wash_count(old: Ink, new: Ink, model: ResidueModel, overrides: Mapping[tuple[InkId, InkId], int]) -> WashCount:
    """Roller washes from one ink to a different one; `overrides` are the shop's own by (old id, new id)."""
    fixed = overrides.get((old.id, new.id))
    if fixed is not None:
        return WashCount(fixed, WashRule.OVERRIDE)
    return _reckoned_count(old, new, model)


def wash_table(
    inks: Iterable[Ink], model: ResidueModel, overrides: Mapping[tuple[InkId, InkId], int]
) -> dict[tuple[InkId, InkId], WashCount]:
    """The washes of every ordered pair of different inks, by (old id, new id)."""
    return {(old.id, new.id): wash_count(old, new, model, overrides) for old, new in permutations(inks, 2)}


def is_predicted(old: Ink, new: Ink) -> bool:
    """Whether the residue's colour can be reckoned: not with a metallic or fluorescent ink on either side."""
    return old.kind not in _UNPREDICTABLE and new.kind not in _UNPREDICTABLE


def difference_after(old: Ink, new: Ink, washes: int, model: ResidueModel) -> float:
    """ΔE00, to 4 decimals, between the new ink clean and with what a number of washes leaves of the old."""
    return round(difference_of_share(old, new, model.share_after(washes)), DIFFERENCE_DECIMALS)


def difference_of_share(old: Ink, new: Ink, share: float) -> float:
    """ΔE00, unrounded, between the new ink clean and with a share (0 to 1) of the old ink in it.

    Reckoned from the colours alone: for inks that are not predicted (`is_predicted`) it means nothing.
    """
    spectral = old.spectrum is not None and new.spectrum is not None
    old_bands, new_bands = _bands(old, spectral), _bands(new, spectral)
    mix = pigments_mixed if old.opaque or new.opaque else films_overlaid
    return ciede2000(_clean_lab(new, spectral), _lab_of_bands(mix(new_bands, old_bands, share)))


def films_overlaid(new: Sequence[float], old: Sequence[float], share: float) -> Bands:
    """Reflectances of a new ink with a share of an old one on top: in each band densities add (Beer–Lambert).

    R_new · R_old^c is the same as D_new + c · D_old with D = −log10 R.
    """
    return tuple(n * o**share for n, o in zip(new, old, strict=True))


def pigments_mixed(new: Sequence[float], old: Sequence[float], share: float) -> Bands:
    """Reflectances of a new ink in which a share is the old one: in each band K/S mixes (Kubelka–Munk)."""
    return tuple(
        reflectance_of_k_over_s((1 - share) * k_over_s(n) + share * k_over_s(o)) for n, o in zip(new, old, strict=True)
    )


def k_over_s(reflectance: float) -> float:
    """Absorption over scattering of a hiding film, K/S = (1 − R)² / 2R, for R above 0 and up to 1.

    `k_over_s(0.5)` is 0.25.
    """
    return (1 - reflectance) ** 2 / (2 * reflectance)


def reflectance_of_k_over_s(ratio: float) -> float:
    """Reflectance of a hiding film from its K/S, 0 or more: R = 1 + k − √(k² + 2k), losing no digits."""
    return 1 / (1 + ratio + math.sqrt(ratio * ratio + 2 * ratio))


@lru_cache(maxsize=16_384)
def _reckoned_count(old: Ink, new: Ink, model: ResidueModel) -> WashCount:
    if not is_predicted(old, new):
        return WashCount(CAUTIOUS_WASHES, WashRule.METALLIC_OR_FLUORESCENT)
    tolerance = new.tolerance_de00
    differences: list[float] = []
    while len(differences) < model.most_washes and not (differences and differences[-1] <= tolerance):
        differences.append(difference_after(old, new, len(differences) + 1, model))
    rule = WashRule.COLOUR
    if old.family != new.family and len(differences) < CAUTIOUS_WASHES:
        rule = WashRule.FAMILY
        differences.append(difference_after(old, new, CAUTIOUS_WASHES, model))
    return WashCount(len(differences), rule, tuple(differences), tolerance, min(differences) > tolerance)


@lru_cache(maxsize=4096)
def _bands(ink: Ink, spectral: bool) -> Bands:
    """Reflectances of an ink within bounds: its 36 spectral bands, else its linear sRGB."""
    bands = ink.spectrum if spectral and ink.spectrum is not None else linear_srgb_of_lab(ink.colour)
    return tuple(min(max(r, DARKEST), LIGHTEST) for r in bands)


@lru_cache(maxsize=4096)
def _clean_lab(ink: Ink, spectral: bool) -> Lab:
    return _lab_of_bands(_bands(ink, spectral))


def _lab_of_bands(bands: Bands) -> Lab:
    return lab_of_linear_srgb(bands) if len(bands) == 3 else lab_of_spectrum(bands)
