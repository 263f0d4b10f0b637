"""The press profile: what a press can run, how fast, and how long each task of its changeovers takes."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Self

from pydantic import Field, model_validator

from queueplanner.shop.base import InkId, ShopModel, exact, seconds_of_minutes
from queueplanner.shop.card_profile import CardProfile
from queueplanner.shop.job import LaySide, PrintPass
from queueplanner.shop.plate import Plate

#: Sheets under this caliper (µm) are very thin, over the other very thick: their arrival is retimed.
VERY_THIN_BELOW_UM, VERY_THICK_ABOVE_UM = 60, 250


class Place(StrEnum):
    """Where the hands are; one task at a time in each."""

    FEEDER = "feeder"
    DELIVERY = "delivery"
    UNIT_1 = "unit 1"
    UNIT_2 = "unit 2"
    BLANKET = "blanket"
    DAMPENING = "dampening"
    MIXING_TABLE = "mixing table"


class TaskState(StrEnum):
    """Whether the drive runs, hands are inside the guards, or the task can be done at any time."""

    OUTSIDE = "outside"
    TURNING = "turning"
    STOPPED = "stopped"


class OwnTrigger(StrEnum):
    """The facts of a changeover that can call for a shop's own task."""

    STOCK = "stock"
    FORMAT = "format"
    LAY_SIDE = "lay side"
    CALIPER = "caliper"
    PLATE = "plate"
    INK_FILLED = "ink filled"
    BACKS_UP = "backs up"


Minutes = Annotated[float, Field(ge=0, le=600)]


class TaskMinutes(ShopModel):
    """Minutes of a task: the usual, and the variants some tasks have.

    `automatic` for a plate changed by the press, `each_more` for each wash after the first, `second_unit` for
    registering a second unit too.
    """

    minutes: Minutes
    automatic: Minutes | None = None
    each_more: Minutes | None = None
    second_unit: Minutes | None = None

    @property
    def seconds(self) -> int:
        """The usual minutes in whole seconds."""
        return seconds_of_minutes(self.minutes)

    def wash_seconds(self, washes: int, first: bool) -> int:
        """Seconds of a block of washes: a first one and more, or only more on a unit that is empty already."""
        more = [self.each_more or 0.0] * (washes - 1 if first else washes)
        return seconds_of_minutes(*([self.minutes] if first else []), *more)

    @property
    def both_units_seconds(self) -> int:
        """Seconds where a second unit has to be brought in too."""
        return seconds_of_minutes(self.minutes, self.second_unit or 0.0)


class OwnTask(ShopModel):
    """A task of the shop's own: numbering, perforating and the like.

    It comes when the pass names it, or when any fact in `when` holds.
    """

    name: Annotated[str, Field(min_length=1)]
    place: Place = Field(strict=False)
    state: TaskState = Field(strict=False)
    minutes: Minutes
    when: Annotated[frozenset[Annotated[OwnTrigger, Field(strict=False)]], Field(strict=False)] = frozenset()

    @property
    def key(self) -> str:
        """The task's key in plans."""
        return f"own:{self.name}"


class CoverageClass(ShopModel):
    """Sheets covered up to a percentage run at this factor of the stock's speed."""

    name: str
    up_to_percent: Annotated[float, Field(ge=0, le=100)]
    speed_factor: Annotated[float, Field(gt=0, le=2)]


class Range(ShopModel):
    """Least and most of a quantity, both allowed."""

    least: float
    most: float

    @model_validator(mode="after")
    def _is_in_order(self) -> Self:
        if self.least > self.most:
            raise ValueError(f"least is over most, {self.least:g} over {self.most:g}: put the smaller one first")
        return self

    def holds(self, value: float) -> bool:
        """Whether a value is within."""
        return self.least <= value <= self.most


class WashOverride(ShopModel):
    """The shop's own number of washes from one ink to another; it replaces all prediction."""

    old: InkId
    new: InkId
    washes: Annotated[int, Field(ge=1, le=4)]


class WasteFigures(ShopModel):
    """Sheets lost: a count in make-ready, by number of inks, and a percentage while running."""

    makeready_one_ink: Annotated[int, Field(ge=0)]
    makeready_two_inks: Annotated[int, Field(ge=0)]
    running_percent: Annotated[float, Field(ge=0, le=50)]


class Rates(ShopModel):
    """Money, if the shop has entered it: press hour, a sheet of waste, a wash-up's solvent."""

    currency: str
    press_hour: Annotated[float, Field(ge=0)]
    waste_sheet: Annotated[float, Field(ge=0)]
    wash_up: Annotated[float, Field(ge=0)]


#: The tasks of the press itself, in table order. Where each is done and in which state.
TASK_TABLE: Mapping[str, tuple[str, TaskState]] = {
    "take_off_delivery_pile": ("delivery", TaskState.OUTSIDE),
    "load_pile": ("feeder", TaskState.OUTSIDE),
    "turn_pile": ("feeder", TaskState.OUTSIDE),
    "feeder_to_format": ("feeder", TaskState.STOPPED),
    "change_lay_side": ("feeder", TaskState.STOPPED),
    "feeder_to_caliper": ("feeder", TaskState.STOPPED),
    "set_double_sheet_detector": ("feeder", TaskState.TURNING),
    "set_printing_pressure": ("unit", TaskState.STOPPED),
    "delivery_to_format": ("delivery", TaskState.STOPPED),
    "move_guide_pulleys": ("delivery", TaskState.STOPPED),
    "set_gripper_fans_powder": ("delivery", TaskState.TURNING),
    "retime_sheet_arrival": ("delivery", TaskState.TURNING),
    "take_plate_off": ("unit", TaskState.STOPPED),
    "lift_roller_package": ("unit 2", TaskState.STOPPED),
    "put_plate_on": ("unit", TaskState.STOPPED),
    "change_plate_packing": ("unit", TaskState.STOPPED),
    "pre_damp_plate": ("unit", TaskState.TURNING),
    "gum_plate": ("unit", TaskState.TURNING),
    "empty_fountain": ("unit", TaskState.STOPPED),
    "wash_rollers": ("unit", TaskState.TURNING),
    "oil_rollers": ("unit", TaskState.TURNING),
    "fill_fountain": ("unit", TaskState.TURNING),
    "reduce_tack": ("mixing table", TaskState.OUTSIDE),
    "wash_blankets": ("blanket", TaskState.TURNING),
    "change_dampening": ("dampening", TaskState.STOPPED),
    "register_and_colour": ("delivery", TaskState.TURNING),
    "check_first_sheets": ("delivery", TaskState.TURNING),
}
_VARIANTS = {
    "automatic": ("take_plate_off", "put_plate_on"),
    "each_more": ("wash_rollers",),
    "second_unit": ("register_and_colour",),
}


class PressProfile(ShopModel):
    """One press: its units, limits, speeds, piles, task minutes and habits."""

    id: Annotated[str, Field(min_length=1)]
    name: str
    units: Annotated[int, Field(ge=1, le=2)]
    common_blanket: bool
    idle_throw_off: bool
    runs_cross_days: bool
    automatic_plate_length_mm: Annotated[float | None, Field(gt=0)] = None
    plate_length_mm: Range
    plate_thickness_um: Range
    format_short_mm: Range
    format_long_mm: Range
    caliper_um: Range
    ink_families: Annotated[frozenset[str], Field(strict=False, min_length=1)]
    default_lay_side: Annotated[LaySide, Field(strict=False)] = LaySide.OPERATOR
    feed_pile_mm: Annotated[float, Field(gt=0)]
    delivery_pile_mm: Annotated[float, Field(gt=0)]
    feed_reload_min: Minutes
    delivery_reload_min: Minutes
    coverage_classes: Annotated[tuple[CoverageClass, ...], Field(strict=False, min_length=1)]
    waste: WasteFigures
    residue_c0: Annotated[float, Field(gt=0, le=1)] = 0.5
    residue_r: Annotated[float, Field(gt=0, lt=1)] = 0.10
    wash_overrides: Annotated[tuple[WashOverride, ...], Field(strict=False)] = ()
    external: Annotated[tuple[str, ...], Field(strict=False)] = ()
    tasks: dict[str, TaskMinutes]
    own_tasks: Annotated[tuple[OwnTask, ...], Field(strict=False)] = ()
    rates: Rates | None = None
    card: CardProfile = CardProfile()

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if missing := set(TASK_TABLE) - set(self.tasks):
            raise ValueError(f"tasks: minutes missing for {', '.join(sorted(missing))}")
        if unknown := set(self.tasks) - set(TASK_TABLE):
            raise ValueError(f"tasks: no such task: {', '.join(sorted(unknown))}")
        for variant, keys in _VARIANTS.items():
            for key in keys:
                if getattr(self.tasks[key], variant) is None:
                    raise ValueError(f"tasks.{key}: {variant} is missing")
        self._check_coverage_classes()
        length = self.automatic_plate_length_mm
        if length is not None and not self.plate_length_mm.holds(length):
            taken = f"{self.plate_length_mm.least:g} to {self.plate_length_mm.most:g} mm"
            raise ValueError(f"automatic_plate_length_mm: plate_length_mm says that plates are {taken} long")
        names = [t.name for t in self.own_tasks]
        if len(set(names)) < len(names):
            raise ValueError("own_tasks: two of them share a name")
        for key in self.external:
            self._check_external(key)
        return self

    def _check_coverage_classes(self) -> None:
        ends = [c.up_to_percent for c in self.coverage_classes]
        if ends[-1] < 100:
            raise ValueError("coverage_classes: the last class must reach 100 per cent")
        if any(after <= before for before, after in pairwise(ends)):
            raise ValueError("coverage_classes: each class must reach further than the one before")

    def _check_external(self, key: str) -> None:
        state = {t.key: t.state for t in self.own_tasks} | {k: s for k, (_, s) in TASK_TABLE.items()}
        if key not in state:
            raise ValueError(f"external: there is no task '{key}'")
        if key == "take_off_delivery_pile":
            raise ValueError("external: the delivery pile can only come off when its run has ended")
        if state[key] is not TaskState.OUTSIDE:
            raise ValueError(f"external: '{key}' needs the press itself; only outside tasks may be marked")

    @property
    def overrides(self) -> dict[tuple[InkId, InkId], int]:
        """Washes the shop has fixed, by (old ink, new ink)."""
        return {(o.old, o.new): o.washes for o in self.wash_overrides}

    def changes_automatically(self, plate: Plate) -> bool:
        """Whether the press itself changes this plate: only the one length its changer was built for."""
        return self.automatic_plate_length_mm is not None and plate.has_length(self.automatic_plate_length_mm)

    def speed_sph(self, print_pass: PrintPass) -> Fraction:
        """Sheets an hour: the stock's speed times the factor of the heaviest coverage class."""
        heaviest = max(s.coverage_percent for s in print_pass.separations)
        factor = next(c.speed_factor for c in self.coverage_classes if heaviest <= c.up_to_percent)
        return print_pass.stock.speed_sph * exact(factor)

    def pile_sheets(self, height_mm: float, caliper_um: int) -> int:
        """Sheets in a pile of a height: the height divided by the caliper, rounded down."""
        return int(exact(height_mm) * 1000 // caliper_um)

    def run_seconds(self, print_pass: PrintPass) -> int:
        """Seconds of the run itself: sheets at speed, rounded up, and the stops to reload feeder and delivery."""
        sheets = print_pass.run_sheets
        printing = -(-3600 * sheets // self.speed_sph(print_pass))
        for height, minutes in (
            (self.feed_pile_mm, self.feed_reload_min),
            (self.delivery_pile_mm, self.delivery_reload_min),
        ):
            pile = max(1, self.pile_sheets(height, print_pass.stock.caliper_um))
            printing += (-(-sheets // pile) - 1) * seconds_of_minutes(minutes)
        return int(printing)


def arrival_class(caliper_um: int) -> str:
    """The class of caliper that decides the timing of the sheet's arrival."""
    if caliper_um < VERY_THIN_BELOW_UM:
        return "very thin"
    return "very thick" if caliper_um > VERY_THICK_ABOVE_UM else "normal"
