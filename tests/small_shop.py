"""A small invented shop for examples that are worked by hand.

One person, 8 to 17 h every day, UTC. One sheet a second. At 8 h on the first day unit 1 holds black and plate K, unit 2
is clean and oiled, the delivery is empty, the solution is for metal plates; the settings are those of every pass that
does not say otherwise. So a pass that finds all in place costs 180 s at the plan's start (load pile 120, check 60) and
240 s later (delivery pile off 60).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, time, timedelta
from typing import Any

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, UnitChoice, make_instance
from queueplanner.planning.plan import Evening, Plan, PlannedPass
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId
from queueplanner.shop.calendar import WEEKDAYS, Break, Calendar, Shift
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink, InkKind, Tack
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, Strip
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import TASK_TABLE, CoverageClass, PressProfile, Range, TaskMinutes, WashOverride
from queueplanner.shop.press import WasteFigures as Waste
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart, SettingsStart, UnitStart
from queueplanner.shop.stock import Coating, Grain, Stock
from tests.generated_days import MINUTES, VARIANTS

MONDAY = datetime(2026, 3, 2, tzinfo=UTC)
SHEET = Format(short_mm=320.0, long_mm=450.0)


def moment(hour: int, minute: int = 0, second: int = 0, day: int = 0) -> datetime:
    """A moment on the first day, or so many days later."""
    return MONDAY + timedelta(days=day, hours=hour, minutes=minute, seconds=second)


def at(hour: int, minute: int = 0, second: int = 0, day: int = 0) -> int:
    """The same in epoch seconds."""
    return int(moment(hour, minute, second, day).timestamp())


def ink(name: str, lightness: float, open_time_h: float, tack: float | None = None, **more: Any) -> Ink:
    """A grey ink, known by its L* alone."""
    facts = {"kind": InkKind.SPOT, "drying_time_h": 1.0} | more
    read = None if tack is None else Tack(value=tack, instrument="A")
    return Ink(id=InkId(name), name=name, lightness=lightness, open_time_h=open_time_h, tack=read, **facts)


#: Black and blue stand a day, red an hour. Red is the lightest; its tack is lower than black's, higher than blue's.
INKS = {i.id: i for i in (ink("black", 16.0, 24.0, 8.0), ink("red", 50.0, 1.0, 6.0), ink("blue", 40.0, 24.0, 4.0))}
#: Washes of every ordered pair, fixed by the shop, so that no example hangs on colours.
WASHES = {
    ("black", "red"): 2, ("red", "black"): 1, ("black", "blue"): 2, ("blue", "black"): 1, ("red", "blue"): 2,
    ("blue", "red"): 3,
}  # fmt: skip


def plate(name: str, material: PlateMaterial = PlateMaterial.METAL, length: float = 400.0, um: int = 150) -> Plate:
    """A plate; metal, 400 mm and 0.15 mm unless it is said otherwise."""
    return Plate(id=PlateId(name), material=material, length_mm=length, thickness_um=um)


def stock(name: str = "bond", caliper_um: int = 100, speed_sph: int = 3600) -> Stock:
    """A stock; 0.1 mm, a sheet a second unless it is said otherwise."""
    return Stock(
        id=StockId(name), name=name, grammage_gsm=80.0, caliper_um=caliper_um, coating=Coating.UNCOATED,
        grain=Grain.LONG, speed_sph=speed_sph,
    )  # fmt: skip


def separation(ink_name: str, its_plate: str | Plate, coverage: float = 10.0) -> Separation:
    """One of the shop's inks with its plate; a name alone is a metal plate of 400 × 0.15 mm."""
    made = plate(its_plate) if isinstance(its_plate, str) else its_plate
    return Separation(ink=INKS[InkId(ink_name)], plate=made, coverage_percent=coverage)


def one(name: str, sheets: int, *pairs: tuple[str, str | Plate], **more: Any) -> PrintPass:
    """A pass of (ink, plate) pairs, black on plate K if none is given; its job has the same name unless said."""
    facts: dict[str, Any] = {
        "job": JobId(name), "format": SHEET, "feed_edge": FeedEdge.LONG, "stock": stock(),
        "lay_side": LaySide.OPERATOR, "separations": tuple(separation(*p) for p in pairs or (("black", "K"),)),
    } | more  # fmt: skip
    return PrintPass(id=PassId(name), sheets=sheets, **facts)


def back_of(front: PrintPass, drying_s: int, **more: Any) -> PrintPass:
    """The second side of a pass, from the same plates, laid to the other side (work-and-turn)."""
    facts = {"side": 2, "first_side": front.id, "drying_s": drying_s, "lay_side": front.lay_side.other} | more
    return PrintPass(**(dict(front) | {"id": PassId(f"{front.id} back")} | facts))


def press(**changes: Any) -> PressProfile:
    """The press of the examples: two units, plates changed by hand, runs that end on their day."""
    facts: dict[str, Any] = {
        "id": "small", "name": "small press", "units": 2, "common_blanket": False, "idle_throw_off": True,
        "runs_cross_days": False, "automatic_plate_length_mm": None, "plate_length_mm": Range(least=300, most=520),
        "plate_thickness_um": Range(least=100, most=203), "format_short_mm": Range(least=90, most=340),
        "format_long_mm": Range(least=140, most=460), "caliper_um": Range(least=40, most=350),
        "ink_families": frozenset({"oil-based"}), "feed_pile_mm": 5000.0, "delivery_pile_mm": 5000.0,
        "feed_reload_min": 3.0, "delivery_reload_min": 1.0,
        "coverage_classes": (
            CoverageClass(name="light", up_to_percent=40, speed_factor=1.0),
            CoverageClass(name="heavy", up_to_percent=100, speed_factor=0.8),
        ),
        "waste": Waste(makeready_one_ink=0, makeready_two_inks=0, running_percent=0),
        "wash_overrides": tuple(
            WashOverride(old=InkId(old), new=InkId(new), washes=n) for (old, new), n in WASHES.items()
        ),
        "tasks": {key: TaskMinutes(minutes=float(MINUTES[key]), **VARIANTS.get(key, {})) for key in TASK_TABLE},
    }  # fmt: skip
    return PressProfile(**(facts | changes))


def hours(crew: int = 1, breaks: tuple[tuple[time, time], ...] = (), start: time = time(8)) -> Calendar:
    """Every day until 17 h."""
    rests = tuple(Break(start=a, end=b) for a, b in breaks)
    shift = Shift(days=frozenset(WEEKDAYS), start=start, end=time(17), crew=crew, breaks=rests)
    return Calendar(time_zone="UTC", shifts=(shift,))


#: When the run before the plan ended.
BEFORE = moment(7, 50)


def holding(ink_name: str, its_plate: str | Plate | None, last_end: datetime | None = BEFORE) -> UnitStart:
    """A unit that holds an ink, and a plate or none."""
    mounted = plate(its_plate) if isinstance(its_plate, str) else its_plate
    return UnitStart(ink=InkId(ink_name), plate=mounted, last_run_end=last_end)


CLEAN = UnitStart(oiled=True)
SAME = SettingsStart(
    format=SHEET, feed_edge=FeedEdge.LONG, lay_side=LaySide.OPERATOR, stock=StockId("bond"), caliper_um=100,
    speed_sph=3600.0, strips=(),
)  # fmt: skip
STRIP = Strip(from_mm=10, to_mm=22)


def day(
    *passes: PrintPass,
    unit_1: UnitStart | None = None,
    unit_2: UnitStart = CLEAN,
    due: Mapping[str, datetime] | None = None,
    weight: Mapping[str, int] | None = None,
    calendar: Calendar | None = None,
    profile: PressProfile | None = None,
    start_at: datetime | None = None,
    **start: Any,
) -> Instance:
    """The day of some passes, in jobs by their job ids; `start` are further facts of the press at the plan's start."""
    jobs = [
        Job(
            id=job, due=(due or {}).get(job), weight=(weight or {}).get(job, 1),
            passes=tuple(p for p in passes if p.job == job),
        )
        for job in dict.fromkeys(p.job for p in passes)
    ]  # fmt: skip
    stocks = {p.stock.id: p.stock for p in passes}
    shop = Shop(inks=INKS, stocks=stocks, formats={}, press=profile or press(), calendar=calendar or hours())
    units = (unit_1 or holding("black", "K"), unit_2)
    facts: dict[str, Any] = {"solution": PlateMaterial.METAL, "settings": SAME} | start
    return make_instance(shop, jobs, PressStart(units=units, **facts), start_at or moment(8), days=14)


def planned(instance: Instance, **units: UnitChoice) -> Plan:
    """The plan of the passes in the order given; a pass of one ink prints in unit 1 unless it is said otherwise."""
    return evaluate(instance, list(instance.passes), {PassId(name): choice for name, choice in units.items()})


def work(found: PlannedPass | Evening) -> dict[str, int]:
    """Tasks and their seconds, units behind a full stop: {"fill_fountain.2": 180}; those done outside left out."""
    return {
        task.task if task.unit is None else f"{task.task}.{task.unit}": task.seconds
        for task in found.tasks
        if not task.external
    }


def times(found: PlannedPass) -> tuple[int, int, int, int]:
    """Make-ready's start and end, the run's start and end."""
    return found.makeready_start, found.makeready_end, found.run_start, found.run_end
