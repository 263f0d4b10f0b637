"""The state of the press between two passes: all that a changeover depends on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from queueplanner.shop.base import InkId, StockId, exact
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import LaySide, PrintPass, Strip, epoch
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import PressProfile
from queueplanner.shop.start import PressStart, SettingsStart, UnitStart


@dataclass(frozen=True, slots=True)
class Residue:
    """What an emptied unit remembers: the last ink and how often it was washed."""

    ink: Ink
    washes: int


@dataclass(frozen=True, slots=True)
class UnitState:
    """One printing unit. `last_run_end` in epoch seconds, None when unknown; an emptied unit may hold `residue`."""

    ink: Ink | None = None
    reduced: bool = False
    last_run_end: int | None = None
    residue: Residue | None = None
    oiled: bool = False
    plate: Plate | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """What feeder, delivery and stock are set for: the pass before. None is unknown and differs from everything."""

    format: Format | None = None
    feed_edge: FeedEdge | None = None
    lay_side: LaySide | None = None
    stock: StockId | None = None
    caliper_um: int | None = None
    speed_sph: Fraction | None = None
    strips: tuple[Strip, ...] | None = None

    @classmethod
    def of(cls, print_pass: PrintPass, press: PressProfile) -> Settings:
        """The settings a pass runs with."""
        return cls(
            format=print_pass.format,
            feed_edge=print_pass.feed_edge,
            lay_side=print_pass.lay_side,
            stock=print_pass.stock.id,
            caliper_um=print_pass.stock.caliper_um,
            speed_sph=press.speed_sph(print_pass),
            strips=tuple(sorted(print_pass.strips, key=lambda s: (s.from_mm, s.to_mm))),
        )

    @classmethod
    def of_start(cls, given: SettingsStart) -> Settings:
        """The settings a plan starts with."""
        speed = None if given.speed_sph is None else exact(given.speed_sph)
        strips = None if given.strips is None else tuple(sorted(given.strips, key=lambda s: (s.from_mm, s.to_mm)))
        return cls(given.format, given.feed_edge, given.lay_side, given.stock, given.caliper_um, speed, strips)


@dataclass(frozen=True, slots=True)
class PressState:
    """The press before a changeover.

    `printed` are the units that printed in the pass before: none at the plan's start and after an evening.
    """

    units: tuple[UnitState, ...]
    solution: PlateMaterial | None
    delivery_pile: bool
    settings: Settings
    printed: frozenset[int] = frozenset()

    def unit(self, number: int) -> UnitState:
        """Unit 1 or 2."""
        return self.units[number - 1]

    def unit_holding(self, plate: Plate) -> int | None:
        """The unit in which a plate is mounted, if any."""
        for number, unit in enumerate(self.units, 1):
            if unit.plate is not None and unit.plate.id == plate.id:
                return number
        return None


def start_state(start: PressStart, press: PressProfile, inks: Mapping[InkId, Ink]) -> PressState:
    """The state a plan starts from. Raises KeyError for an ink the shop does not have."""
    given = (*start.units, UnitStart(), UnitStart())[: press.units]
    return PressState(
        units=tuple(_unit_state(unit, inks) for unit in given),
        solution=start.solution,
        delivery_pile=start.delivery_pile,
        settings=Settings.of_start(start.settings),
    )


def _unit_state(given: UnitStart, inks: Mapping[InkId, Ink]) -> UnitState:
    residue = None if given.residue is None else Residue(inks[given.residue], given.residue_washes)
    return UnitState(
        ink=None if given.ink is None else inks[given.ink],
        reduced=given.reduced,
        last_run_end=None if given.last_run_end is None else epoch(given.last_run_end),
        residue=residue,
        oiled=given.oiled,
        plate=given.plate,
    )
