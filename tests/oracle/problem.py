"""What the slow evaluator is given and what it gives back: plain frozen data.

Moments are whole epoch seconds (UTC), durations whole seconds, calipers and plate sizes whole micrometres.
Decimals that are compared or multiplied (lightness, tack, minutes, speed, format sides) are strings and
become exact fractions. Units are numbered from 1, positions in an order from 0.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

TaskId = tuple[str, int | None]
Order = tuple[tuple[str, tuple[int, ...]], ...]
"""The passes in printing order, each with the unit of each of its separations."""

# Minutes of each task; trade judgement, no source.
DEFAULT_MINUTES: Mapping[str, str] = {
    "take_off_delivery_pile": "1",
    "load_pile": "2",
    "turn_pile": "3",
    "feeder_to_format": "3",
    "change_lay_side": "1.5",
    "feeder_to_caliper": "2",
    "set_double_sheet_detector": "1",
    "set_printing_pressure": "1",
    "delivery_to_format": "1.5",
    "move_guide_pulleys": "1",
    "set_gripper_fans_powder": "1",
    "retime_sheet_arrival": "2",
    "take_plate_off.automatic": "0.5",
    "take_plate_off.hand": "1.5",
    "lift_roller_package": "4",
    "put_plate_on.automatic": "0.5",
    "put_plate_on.hand": "2",
    "change_plate_packing": "2",
    "pre_damp_plate": "0.5",
    "gum_plate": "0.5",
    "empty_fountain": "2",
    "wash_rollers.first": "5",
    "wash_rollers.more": "4",
    "oil_rollers": "1",
    "fill_fountain": "3",
    "reduce_tack": "1.5",
    "wash_blankets": "1.5",
    "change_dampening": "10",
    "register_and_colour.once": "3",
    "register_and_colour.second_unit": "1.5",
    "check_first_sheets": "1",
}


def whole_seconds(minutes: Fraction) -> int:
    """Whole seconds of a duration in minutes, halves rounded up."""
    return math.floor(minutes * 60 + Fraction(1, 2))


@dataclass(frozen=True)
class Ink:
    """An ink; `lightness` is CIE L*. Tack is unknown without an instrument."""

    id: str
    lightness: str
    open_seconds: int
    tack: str | None = None
    instrument: str | None = None
    family: str = "conventional"


@dataclass(frozen=True)
class Plate:
    """A printing plate; material is metal, polyester or paper."""

    id: str
    material: str
    length_um: int
    thickness_um: int


@dataclass(frozen=True)
class Stock:
    """A stock; speed in sheets an hour before the coverage factor."""

    id: str
    caliper_um: int
    speed: str


@dataclass(frozen=True)
class Separation:
    """One ink of a pass, the plate that prints it and its coverage class."""

    ink: str
    plate: str
    coverage: str = "normal"


@dataclass(frozen=True)
class Job:
    """What the customer ordered; late counts from `due`, weighted."""

    id: str
    due: int | None = None
    weight: int = 1


@dataclass(frozen=True)
class Pass:
    """One trip through the press. `sheets` = good and running waste; with a `first_side` it backs that up."""

    id: str
    job: str
    sheets: int
    stock: str
    separations: tuple[Separation, ...]
    short_mm: str = "320"
    long_mm: str = "450"
    feed_edge: str = "long"
    lay_side: str = "operator"
    strips: tuple[int, ...] = ()
    overprint: bool = True
    units_free: bool = False
    earliest_start: int | None = None
    first_side: str | None = None
    drying_seconds: int = 0
    own_tasks: tuple[str, ...] = ()


@dataclass(frozen=True)
class OwnTask:
    """A shop's own task. Facts: stock, format, lay_side, caliper, plate, ink_filled, backs_up."""

    name: str
    place: str
    state: str
    minutes: str
    facts: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Profile:
    """The press. `coverage` lists the classes with their speed factors, the lightest class first."""

    units: int = 2
    minutes: Mapping[str, str] = field(default_factory=lambda: DEFAULT_MINUTES)
    coverage: tuple[tuple[str, str], ...] = (("light", "1"), ("normal", "1"), ("heavy", "0.8"))
    separate_blankets: bool = False
    idle_unit_thrown_off: bool = True
    automatic_length_um: int | None = None
    plate_length_um: tuple[int, int] = (300_000, 600_000)
    plate_thickness_um: tuple[int, int] = (100, 300)
    may_cross_nights: bool = False
    external: frozenset[str] = frozenset()
    own_tasks: tuple[OwnTask, ...] = ()
    feeder_pile_um: int = 1_000_000
    feeder_reload_minutes: str = "3"
    delivery_pile_um: int = 500_000
    delivery_reload_minutes: str = "1"
    ink_families: frozenset[str] = frozenset({"conventional"})


@dataclass(frozen=True)
class Settings:
    """What the pass before left on feeder, delivery and blanket. None: unknown, which differs from all."""

    short_mm: str | None = None
    long_mm: str | None = None
    feed_edge: str | None = None
    lay_side: str | None = None
    stock: str | None = None
    caliper_um: int | None = None
    strips: tuple[int, ...] | None = None
    speed: Fraction | None = None


@dataclass(frozen=True)
class UnitState:
    """One unit. `idle_from`: position of the changeover after its last run (0 for a run before the plan)."""

    ink: str | None = None
    plate: str | None = None
    reduced: bool = False
    last_end: int | None = None
    residue: tuple[str, int] | None = None
    oiled: bool = False
    idle_from: int = 0


@dataclass(frozen=True)
class PressState:
    """The units and what they share. Unknown solution (None) differs from every material."""

    units: Mapping[int, UnitState]
    settings: Settings = field(default_factory=Settings)
    solution: str | None = None
    delivery_pile: bool = False


@dataclass(frozen=True)
class Shift:
    """Staffed time [start, end) with so many people."""

    start: int
    end: int
    crew: int = 1


@dataclass(frozen=True)
class Weights:
    """Weights of the objective, a second or a piece each."""

    late: int = 1000
    makeready: int = 10
    wash_up: int = 60
    reversed_pair: int = 120


@dataclass(frozen=True)
class Problem:
    """Everything needed to reckon an order.

    `washes[old, new]` is the number of washes the new ink asks for; `printed` the run ends of first sides
    already printed (None: unknown); `known_order` the order everyone knows, once a day has begun; `started`
    the passes that have begun, in their order; `pinned` places counted among the passes that have not.
    """

    profile: Profile
    inks: Mapping[str, Ink]
    plates: Mapping[str, Plate]
    stocks: Mapping[str, Stock]
    jobs: Mapping[str, Job]
    passes: Mapping[str, Pass]
    washes: Mapping[tuple[str, str], int]
    start: int
    state: PressState
    shifts: tuple[Shift, ...]
    breaks: tuple[tuple[int, int], ...] = ()
    printed: Mapping[str, int | None] = field(default_factory=dict)
    known_order: tuple[str, ...] | None = None
    started: tuple[str, ...] = ()
    pinned: Mapping[str, int] = field(default_factory=dict)
    weights: Weights = field(default_factory=Weights)


@dataclass(frozen=True)
class Task:
    """One task of a changeover or an evening; `washes` > 0 only for a block of roller washes."""

    key: str
    unit: int | None
    seconds: int
    place: str
    state: str
    external: bool = False
    washes: int = 0

    @property
    def id(self) -> TaskId:
        """Key and unit, unique within a changeover."""
        return (self.key, self.unit)


@dataclass(frozen=True)
class PassResult:
    """One pass placed on the clock. `late_seconds` stands on the job's last run in the plan, else 0."""

    pass_id: str
    units: tuple[int, ...]
    tasks: tuple[Task, ...]
    precedence: frozenset[tuple[TaskId, TaskId]]
    crew: int
    makeready_seconds: int
    start: int
    end: int
    run_start: int
    run_end: int
    run_seconds: int
    stale_at_start: tuple[int, ...] = ()
    late_seconds: int = 0


@dataclass(frozen=True)
class Evening:
    """What is done before a night that no run crosses. `next_start` None: the calendar ends there."""

    start: int
    crew: int
    tasks: tuple[Task, ...]
    seconds: int
    night_start: int
    next_start: int | None


@dataclass(frozen=True)
class Evaluation:
    """An order reckoned through. `stale_marks`: (position of the changeover, unit), as they were set."""

    passes: tuple[PassResult, ...]
    evenings: tuple[Evening, ...]
    stale_marks: tuple[tuple[int, int], ...]
    makeready_seconds: int
    wash_ups: int
    plate_swaps: int
    late_by_job: Mapping[str, int]
    reversed_pairs: int
    objective: int


@dataclass(frozen=True)
class Refusal:
    """Why an order cannot be reckoned: a short reason and the pass concerned, if one is."""

    reason: str
    pass_id: str | None = None


class Refused(Exception):
    """Carries a refusal out of the reckoning."""

    def __init__(self, reason: str, pass_id: str | None = None) -> None:
        super().__init__(reason, pass_id)
        self.refusal = Refusal(reason, pass_id)
