"""The orders people use without a computer: as received, by due time, light to dark.

A second side comes right after its first where it would have come sooner; what a person has fixed is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from queueplanner.planning.arrange import arranged
from queueplanner.planning.instance import Instance
from queueplanner.shop.base import PassId
from queueplanner.shop.job import PrintPass

FAR_FUTURE = 2**62


def as_received(instance: Instance) -> list[PassId]:
    """The passes as the job list gives them."""
    return arranged(instance, instance.passes)


def by_due_time(instance: Instance) -> list[PassId]:
    """The soonest due time first; jobs without one last; ties as received."""

    def due(p: PrintPass) -> int:
        moment = instance.job_of[p.id].due_s
        return FAR_FUTURE if moment is None else moment

    return arranged(instance, _sorted_by(instance.passes, due))


def light_to_dark(instance: Instance) -> list[PassId]:
    """The lightest inks first, as on a shop's colour-sorted day: by the darker ink of each pass, then the lighter."""

    def darkness(p: PrintPass) -> tuple[float, ...]:
        return tuple(-light for light in sorted(s.ink.colour.L for s in p.separations))

    return arranged(instance, _sorted_by(instance.passes, darkness))


def _sorted_by(passes: Mapping[PassId, PrintPass], key: Callable[[PrintPass], object]) -> list[PassId]:
    return [p.id for p in sorted(passes.values(), key=key)]  # type: ignore[arg-type]
