"""What changes between the pass before and the next one, as far as feeder, delivery and stock are concerned."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from queueplanner.makeready.state import Settings
from queueplanner.shop.press import arrival_class

#: A caliper or a run speed that changes by more than these shares of the pass before wants resetting.
CALIPER_SHARE = Fraction(10, 100)
SPEED_SHARE = Fraction(20, 100)


def changes_by_more_than(share: Fraction, before: Fraction | int | None, now: Fraction | int) -> bool:
    """Whether a quantity moved by more than a share of what it was; an unknown one always has."""
    return before is None or abs(Fraction(now - before)) > share * before


@dataclass(frozen=True, slots=True)
class Differences:
    """Which settings the next pass changes.

    `grows` means that either side is longer, or may be; `caliper` a change worth resetting for, `caliper_at_all` any.
    """

    size: bool
    feed_edge: bool
    grows: bool
    lay_side: bool
    stock: bool
    caliper: bool
    caliper_at_all: bool
    speed: bool
    strips: bool
    arrival: bool

    @property
    def format(self) -> bool:
        """A change of format: either side by 1 mm or more, or the feed edge."""
        return self.size or self.feed_edge

    @property
    def feeder(self) -> bool:
        """Whether the feeder is set to another format, lay side or caliper."""
        return self.format or self.lay_side or self.caliper


def differences(before: Settings, now: Settings) -> Differences:
    """Compare the pass before with the next; `now` must be fully known."""
    assert now.format is not None and now.caliper_um is not None and now.speed_sph is not None
    feed_edge = before.feed_edge is not now.feed_edge
    return Differences(
        size=before.format is None or now.format.differs_from(before.format),
        feed_edge=feed_edge,
        grows=before.format is None or feed_edge or now.format.outgrows(before.format),
        lay_side=before.lay_side is not now.lay_side,
        stock=before.stock != now.stock,
        caliper=changes_by_more_than(CALIPER_SHARE, before.caliper_um, now.caliper_um),
        caliper_at_all=before.caliper_um != now.caliper_um,
        speed=changes_by_more_than(SPEED_SHARE, before.speed_sph, now.speed_sph),
        strips=before.strips != now.strips,
        arrival=before.caliper_um is None or arrival_class(before.caliper_um) != arrival_class(now.caliper_um),
    )
