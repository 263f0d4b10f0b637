"""The revised NIOSH lifting equation: the weight it recommends not to pass. Reference only.

    RWL = LC × HM × VM × DM × AM × FM × CM

NIOSH publication 94-110 (1994, revised 2021). It holds for two-handed lifts of a steady load by one person. It does
not hold for lifts with one hand, while seated, kneeling or carrying, of loads that shift, in narrow places, on slippery
floors, or for more than 8 hours; local rules and the shop's own assessment come first. The equation is published in
metric and US units; rounded constants make the two differ by up to 2 per cent.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache

from queueplanner.shop.material_figures import Coupling, LiftingPosture
from queueplanner.shop.resources import resource_path

#: A trunk turned further than this, degrees: the equation gives nothing.
MOST_TURN_DEG = 135
#: The coupling multiplier below and from the knuckle height on (NIOSH 94-110, table 7).
_COUPLING = {Coupling.GOOD: (1.0, 1.0), Coupling.FAIR: (0.95, 1.0), Coupling.POOR: (0.9, 0.9)}


@dataclass(frozen=True, slots=True)
class LiftingUnits:
    """The constants of the equation in one system of units: lengths in cm or inches, the load constant in kg or lb."""

    load_constant: float
    least_reach: float
    most_reach: float
    knuckle_height: float
    height_slope: float
    most_height: float
    distance_share: float
    least_distance: float
    most_distance: float


METRIC = LiftingUnits(
    load_constant=23,
    least_reach=25,
    most_reach=63,
    knuckle_height=75,
    height_slope=0.003,
    most_height=175,
    distance_share=4.5,
    least_distance=25,
    most_distance=175,
)
US = LiftingUnits(
    load_constant=51,
    least_reach=10,
    most_reach=25,
    knuckle_height=30,
    height_slope=0.0075,
    most_height=70,
    distance_share=1.8,
    least_distance=10,
    most_distance=70,
)


@dataclass(frozen=True, slots=True)
class Multipliers:
    """The factors of one lift, each from 0 (nothing may be lifted so) to 1."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float

    def recommended(self, units: LiftingUnits = METRIC) -> float:
        """The recommended weight limit, kg (or lb): the load constant times every factor."""
        factors = (self.horizontal, self.vertical, self.distance, self.asymmetry, self.frequency, self.coupling)
        return units.load_constant * math.prod(factors)


def horizontal_multiplier(reach: float, units: LiftingUnits = METRIC) -> float:
    """HM: 25 cm over the reach; 1 up to 25 cm, 0 beyond 63 cm."""
    return 0.0 if reach > units.most_reach else units.least_reach / max(reach, units.least_reach)


def vertical_multiplier(height: float, units: LiftingUnits = METRIC) -> float:
    """VM: 1 at 75 cm, less by 0.003 for each cm higher or lower; 0 over 175 cm."""
    return 0.0 if height > units.most_height else 1 - units.height_slope * abs(height - units.knuckle_height)


def distance_multiplier(distance: float, units: LiftingUnits = METRIC) -> float:
    """DM: 0.82 + 4.5 / distance; 1 up to 25 cm, 0 beyond 175 cm."""
    if distance > units.most_distance:
        return 0.0
    return 1.0 if distance <= units.least_distance else 0.82 + units.distance_share / distance


def asymmetry_multiplier(turn_deg: float) -> float:
    """AM: less by 0.0032 for each degree the trunk turns; 0 beyond 135 degrees."""
    return 0.0 if turn_deg > MOST_TURN_DEG else 1 - 0.0032 * turn_deg


def coupling_multiplier(coupling: Coupling, height: float, units: LiftingUnits = METRIC) -> float:
    """CM: how well the hands hold the load, below and from 75 cm on."""
    return _COUPLING[coupling][height >= units.knuckle_height]


def frequency_multiplier(lifts_per_min: float, hours: float, height: float, units: LiftingUnits = METRIC) -> float:
    """FM, from its table; between two rows the one of the higher frequency holds, and nothing beyond the last."""
    column = 0 if hours <= 1 else 2 if hours <= 2 else 4
    for row in _frequency_rows():
        if lifts_per_min <= row[0]:
            return row[1 + column + (height >= units.knuckle_height)]
    return 0.0


@cache
def _frequency_rows() -> tuple[tuple[float, ...], ...]:
    with resource_path("lifting_frequency.csv").open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return tuple(tuple(float(value) for value in row.values()) for row in rows)


def lift_at(posture: LiftingPosture, height_cm: float) -> Multipliers:
    """The factors of a posture with the hands at one height: that of the beginning, or of the end."""
    return Multipliers(
        horizontal=horizontal_multiplier(posture.reach_cm),
        vertical=vertical_multiplier(height_cm),
        distance=distance_multiplier(abs(posture.to_height_cm - posture.from_height_cm)),
        asymmetry=asymmetry_multiplier(posture.turn_deg),
        frequency=frequency_multiplier(posture.lifts_per_min, posture.hours, height_cm),
        coupling=coupling_multiplier(posture.coupling, height_cm),
    )


def recommended_limit_kg(posture: LiftingPosture) -> float:
    """The recommended weight limit of a posture, kg: the smaller of its beginning and its end."""
    heights = (posture.from_height_cm, posture.to_height_cm)
    return min(lift_at(posture, height).recommended() for height in heights)


def lifting_index(load: float, limit: float) -> float:
    """The load over the recommended limit; infinite where the equation allows no load at all."""
    return math.inf if limit <= 0 else load / limit
