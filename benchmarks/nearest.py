"""The greedy order: next comes the pass with the cheapest changeover from where the press stands."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from queueplanner.makeready.changeover import Moment, changeover
from queueplanner.makeready.state import PressState
from queueplanner.planning.evaluate import crew_seconds
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.shop.base import PassId

#: Make-ready seconds, the pass's place in the job list, its id, its units, and the press after it.
Step = tuple[int, int, PassId, UnitChoice, PressState]


def near_order(
    day: Instance, rng: random.Random | None = None, stray: float = 0.0
) -> tuple[list[PassId], dict[PassId, UnitChoice]]:
    """An order and unit choice: next comes the nearest pass, or with chance `stray` the second nearest.

    Ties as received. A second side has to wait until its first is dry, unless nothing else is left. Breaks, nights and
    stale inks are left out of sight.
    """
    walk = _Walk(day, day.state, day.start_at)
    while walk.left:
        near = sorted(walk.steps(), key=lambda step: step[:2])
        best_of: dict[PassId, Step] = {}
        for step in near:
            best_of.setdefault(step[2], step)
        nearest = list(best_of.values())
        strays = rng is not None and rng.random() < stray
        walk.take(nearest[1 if strays and len(nearest) > 1 else 0])
    return walk.order, walk.units


@dataclass
class _Walk:
    """The press on its way through the passes; `now` as if there were no breaks."""

    day: Instance
    state: PressState
    now: int
    left: dict[PassId, int] = field(init=False)
    order: list[PassId] = field(default_factory=list)
    units: dict[PassId, UnitChoice] = field(default_factory=dict)
    ends: dict[PassId, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.left = {pass_id: place for place, pass_id in enumerate(self.day.passes)}

    def _dry_at(self, pass_id: PassId) -> int | None:
        """From when on a pass can run; None while its first side is still to come."""
        printed = self.day.passes[pass_id]
        if printed.first_side is None or printed.first_side not in self.day.passes:
            return 0
        end = self.ends.get(printed.first_side)
        return None if end is None else end + printed.drying_s

    def steps(self) -> Iterator[Step]:
        """What can come next, in each unit choice."""
        dry = {pass_id: at for pass_id in self.left if (at := self._dry_at(pass_id)) is not None}
        ready = [pass_id for pass_id, at in dry.items() if at <= self.now] or list(dry)
        room = self.day.run_seconds[self.order[-1]] if self.order else None
        for pass_id in ready:
            for choice in self.day.choices[pass_id]:
                found = changeover(
                    self.day.shop.press, self.state, self.day.passes[pass_id], choice, Moment(self.now), room
                )
                seconds = crew_seconds(found.lines, self.day.clock.crew_at(self.now))
                yield seconds, self.left[pass_id], pass_id, choice, found.after

    def take(self, step: Step) -> None:
        """Run a pass."""
        seconds, _, pass_id, choice, self.state = step
        del self.left[pass_id]
        self.order.append(pass_id)
        self.units[pass_id] = choice
        self.now = max(self.now + seconds, self._dry_at(pass_id) or 0) + self.day.run_seconds[pass_id]
        self.ends[pass_id] = self.now
