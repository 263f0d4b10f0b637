"""A day's board and its orders, as models: which jobs wait at a press, from what state it starts, in which order."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Self

from pydantic import AwareDatetime, Field, model_validator

from queueplanner.shop.base import JobId, PassId, ShopModel
from queueplanner.shop.start import PressStart

Name = Annotated[str, Field(min_length=1, max_length=200)]


class Day(ShopModel):
    """The board of a press on a day: its jobs, the state it starts from and when.

    `start` None: not told; `starts_at` None: with the first shift. `demo` marks the program's own example. `listed` are
    the jobs that came from a job list, by the list's name.
    """

    press: Name
    day: date
    jobs: Annotated[tuple[JobId, ...], Field(strict=False)] = ()
    start: PressStart | None = None
    starts_at: AwareDatetime | None = None
    demo: bool = False
    listed: dict[JobId, str] = Field(default_factory=dict)


class OrderedPass(ShopModel):
    """A pass in its place: the unit of each of its separations (empty: not chosen), and whether it is pinned there."""

    id: PassId
    units: Annotated[tuple[int, ...], Field(strict=False, max_length=2)] = ()
    pinned: bool = False


class Order(ShopModel):
    """A named order of a day: its passes in turn, those kept together, and pairs of which the first runs first.

    `not_before` is the first moment at which a pass's changeover may begin.
    """

    press: Name
    day: date
    name: Name
    passes: Annotated[tuple[OrderedPass, ...], Field(strict=False)] = ()
    together: Annotated[
        tuple[Annotated[tuple[PassId, ...], Field(strict=False, min_length=2)], ...], Field(strict=False)
    ] = ()
    turns: Annotated[tuple[Annotated[tuple[PassId, PassId], Field(strict=False)], ...], Field(strict=False)] = ()
    not_before: dict[PassId, AwareDatetime] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        ids = [p.id for p in self.passes]
        if twice := sorted({p for p in ids if ids.count(p) > 1}):
            raise ValueError(f"passes: {', '.join(twice)} stands there twice")
        return self
