"""The orders people use without a computer: as received, by due time, light to dark."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from queueplanner.planning.instance import Instance
from queueplanner.shop.base import PassId
from queueplanner.shop.job import PrintPass

FAR_FUTURE = 2**62


def as_received(instance: Instance) -> list[PassId]:
    """The passes as the job list gives them."""
    return _sides_in_order(instance, instance.passes)


def by_due_time(instance: Instance) -> list[PassId]:
    """The soonest due time first; jobs without one last; ties as received."""

    def due(p: PrintPass) -> int:
        moment = instance.job_of[p.id].due_s
        return FAR_FUTURE if moment is None else moment

    return _sides_in_order(instance, _sorted_by(instance.passes, due))


def light_to_dark(instance: Instance) -> list[PassId]:
    """The lightest inks first, as on a shop's colour-sorted day: by the darker ink of each pass, then the lighter."""

    def darkness(p: PrintPass) -> tuple[float, ...]:
        return tuple(-light for light in sorted(s.ink.colour.L for s in p.separations))

    return _sides_in_order(instance, _sorted_by(instance.passes, darkness))


def _sorted_by(passes: Mapping[PassId, PrintPass], key: Callable[[PrintPass], object]) -> list[PassId]:
    return [p.id for p in sorted(passes.values(), key=key)]  # type: ignore[arg-type]


def _sides_in_order(instance: Instance, order: Iterable[PassId]) -> list[PassId]:
    """The same order with every second side right after its first where it would have come sooner."""
    out: list[PassId] = []
    waiting: dict[PassId, list[PassId]] = {}
    for pass_id in order:
        first = instance.passes[pass_id].first_side
        if first is not None and first in instance.passes and first not in out:
            waiting.setdefault(first, []).append(pass_id)
        else:
            _append_with_followers(pass_id, waiting, out)
    return out


def _append_with_followers(pass_id: PassId, waiting: dict[PassId, list[PassId]], out: list[PassId]) -> None:
    out.append(pass_id)
    for follower in waiting.pop(pass_id, []):
        _append_with_followers(follower, waiting, out)
