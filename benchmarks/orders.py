"""Orders made by rule for the benchmarks, beside those the program itself knows."""

from __future__ import annotations

from collections.abc import Sequence

from queueplanner.planning.instance import Instance
from queueplanner.planning.rules import light_to_dark
from queueplanner.shop.base import PassId


def by_format(day: Instance) -> list[PassId]:
    """Like formats and stocks together, the largest sheets first, within them light to dark."""
    passes = [day.passes[p] for p in light_to_dark(day)]
    grouped = sorted(passes, key=lambda p: (-p.format.area_m2, p.stock.caliper_um, p.stock.id))
    return first_sides_first(day, [p.id for p in grouped])


def first_sides_first(day: Instance, order: Sequence[PassId]) -> list[PassId]:
    """The same order with each second side right behind its first where it came sooner."""
    ids = list(order)
    for pass_id in order:
        first = day.passes[pass_id].first_side
        if first is not None and ids.index(first) > ids.index(pass_id):
            ids.remove(pass_id)
            ids.insert(ids.index(first) + 1, pass_id)
    return ids
