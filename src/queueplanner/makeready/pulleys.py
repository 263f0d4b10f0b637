"""Where the guide pulleys of the delivery go: centred in the image-free strips of the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from queueplanner.shop.card_profile import GuidePulleys
from queueplanner.shop.job import Strip

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PulleyPlaces:
    """Positions in mm from the operator's edge of the sheet, ascending; how many pulleys are left over.

    `widest_mm` is the widest strip there is on the sheet, 0 without any.
    """

    positions_mm: tuple[float, ...]
    left_over: int
    widest_mm: float


def place_pulleys(strips: Iterable[Strip], sheet_width_mm: float, pulleys: GuidePulleys) -> PulleyPlaces:
    """One pulley to a strip that is wide enough, the outermost strips first, then those furthest from the others.

    Strips that touch or overlap count as one; what lies beyond the sheet does not count.
    """
    spans = _joined(strips, sheet_width_mm)
    wide = [span for span in spans if span[1] - span[0] >= pulleys.least_strip_mm]
    chosen = _spread([(a + b) / 2 for a, b in wide], pulleys.count)
    return PulleyPlaces(
        positions_mm=tuple(sorted(chosen)),
        left_over=pulleys.count - len(chosen),
        widest_mm=max((b - a for a, b in spans), default=0.0),
    )


def _joined(strips: Iterable[Strip], sheet_width_mm: float) -> list[Span]:
    spans: list[Span] = []
    for strip in sorted(strips, key=lambda s: (s.from_mm, s.to_mm)):
        start, end = strip.from_mm, min(strip.to_mm, sheet_width_mm)
        if start >= end:
            continue
        if spans and start <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(spans[-1][1], end))
        else:
            spans.append((start, end))
    return spans


def _spread(centres: Sequence[float], count: int) -> list[float]:
    """As many of the centres (ascending) as there are pulleys, well apart."""
    if len(centres) <= count:
        return list(centres)
    if count == 1:
        return [min(centres, key=lambda c: (abs(c - (centres[0] + centres[-1]) / 2), c))]
    chosen = [centres[0], centres[-1]]
    while len(chosen) < count:
        left = [c for c in centres if c not in chosen]
        chosen.append(max(left, key=lambda c: (min(abs(c - other) for other in chosen), -c)))
    return chosen
