"""Small random days that stress every rule of a plan: seeded, so that a failure can be seen again."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, time, timedelta

from queueplanner.planning.instance import Instance, make_instance
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId
from queueplanner.shop.calendar import Break, Calendar, Shift
from queueplanner.shop.format import FeedEdge, Format, parse_format
from queueplanner.shop.ink import Ink, InkKind, Tack
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, Strip
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import (
    TASK_TABLE,
    CoverageClass,
    OwnTask,
    OwnTrigger,
    Place,
    PressProfile,
    Range,
    TaskMinutes,
    TaskState,
    WashOverride,
    WasteFigures,
)
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart, SettingsStart, UnitStart
from queueplanner.shop.stock import Coating, Grain, Stock

DAY = date(2026, 3, 3)
DAY_START = datetime(2026, 3, 3, 7, 0, tzinfo=UTC)
MINUTES = {
    "take_off_delivery_pile": 1, "load_pile": 2, "turn_pile": 3, "feeder_to_format": 3, "change_lay_side": 1.5,
    "feeder_to_caliper": 2, "set_double_sheet_detector": 1, "set_printing_pressure": 1, "delivery_to_format": 1.5,
    "move_guide_pulleys": 1, "set_gripper_fans_powder": 1, "retime_sheet_arrival": 2, "take_plate_off": 1.5,
    "lift_roller_package": 4, "put_plate_on": 2, "change_plate_packing": 2, "pre_damp_plate": 0.5, "gum_plate": 0.5,
    "empty_fountain": 2, "wash_rollers": 5, "oil_rollers": 1, "fill_fountain": 3, "reduce_tack": 1.5,
    "wash_blankets": 1.5, "change_dampening": 10, "register_and_colour": 3, "check_first_sheets": 1,
}  # fmt: skip
VARIANTS = {
    "take_plate_off": {"automatic": 0.5},
    "put_plate_on": {"automatic": 0.5},
    "wash_rollers": {"each_more": 4.0},
    "register_and_colour": {"second_unit": 1.5},
}


def inks(rng: random.Random) -> dict[InkId, Ink]:
    """Seven inks, some of which stale within the hour."""
    colours = {
        "black": (InkKind.PROCESS, (16.0, 0.0, 0.0), 6.0),
        "yellow": (InkKind.PROCESS, (89.0, -5.0, 93.0), 4.0),
        "cyan": (InkKind.PROCESS, (55.0, -37.0, -50.0), 4.0),
        "rose": (InkKind.SPOT, (80.0, 20.0, 3.0), 5.0),
        "teal": (InkKind.SPOT, (55.0, -30.0, -12.0), 3.0),
        "silver": (InkKind.METALLIC, (70.0, 0.0, 0.0), 6.0),
        "white": (InkKind.OPAQUE_WHITE, (96.0, 0.0, 1.0), 5.0),
    }
    return {
        InkId(key): Ink(
            id=InkId(key),
            name=key,
            kind=kind,
            lab=lab,
            family=rng.choice(["oil-based", "oil-based", "rubber-based"]),
            tack=None if rng.random() < 0.15 else Tack(value=tack, instrument=rng.choice("AAB")),
            open_time_h=rng.choice([0.5, 1.0, 2.0, 4.0, 16.0, 30.0, 60.0]),
            drying_time_h=rng.choice([0.25, 1.0, 4.0]),
        )
        for key, (kind, lab, tack) in colours.items()
    }


def press(rng: random.Random, units: int) -> PressProfile:
    """A press with or without each of its peculiarities."""
    own = (
        OwnTask(
            name="numbering", place=Place.DELIVERY, state=TaskState.STOPPED, minutes=4.0,
            when=frozenset(rng.sample(list(OwnTrigger), rng.randint(0, 2))),
        ),
        OwnTask(
            name="docket", place=Place.MIXING_TABLE, state=TaskState.OUTSIDE, minutes=1.0,
            when=frozenset(rng.sample(list(OwnTrigger), rng.randint(0, 3))),
        ),
    )  # fmt: skip
    outside = ["load_pile", "turn_pile", "reduce_tack", "own:docket"]
    return PressProfile(
        id="p",
        name="press",
        units=units,
        common_blanket=rng.random() < 0.3,
        idle_throw_off=rng.random() < 0.7,
        runs_cross_days=rng.random() < 0.5,
        automatic_plate_length_mm=rng.choice([None, 480.0]),
        plate_length_mm=Range(least=300, most=520),
        plate_thickness_um=Range(least=100, most=203),
        format_short_mm=Range(least=90, most=400),
        format_long_mm=Range(least=140, most=520),
        caliper_um=Range(least=40, most=400),
        ink_families=frozenset({"oil-based", "rubber-based"}),
        feed_pile_mm=300.0,
        delivery_pile_mm=250.0,
        feed_reload_min=3.0,
        delivery_reload_min=2.5,
        coverage_classes=(
            CoverageClass(name="light", up_to_percent=20, speed_factor=1.0),
            CoverageClass(name="heavy", up_to_percent=100, speed_factor=0.7),
        ),
        waste=WasteFigures(makeready_one_ink=100, makeready_two_inks=200, running_percent=3),
        wash_overrides=(WashOverride(old=InkId("black"), new=InkId("rose"), washes=4),) if rng.random() < 0.3 else (),
        external=tuple(rng.sample(outside, rng.randint(0, 4))) if rng.random() < 0.5 else (),
        tasks={key: TaskMinutes(minutes=float(MINUTES[key]), **VARIANTS.get(key, {})) for key in TASK_TABLE},
        own_tasks=own,
    )


def stocks() -> list[Stock]:
    """Thin to thick, with steps below and above a tenth."""
    return [
        Stock(
            id=StockId(f"s{caliper}"), name=f"stock {caliper}", grammage_gsm=float(caliper) / 1.2, caliper_um=caliper,
            coating=Coating.UNCOATED, grain=Grain.LONG, speed_sph=speed,
        )
        for caliper, speed in ((55, 5000), (100, 8000), (109, 8000), (120, 7000), (260, 4000))
    ]  # fmt: skip


def calendar(rng: random.Random, crew: int | None) -> Calendar:
    """Two shifts or one, with breaks; the crew may differ between them."""
    days = frozenset({"monday", "tuesday", "wednesday", "thursday", "friday"})
    early = Shift(
        days=days, start=time(7), end=time(rng.choice([11, 13])), crew=crew or rng.randint(1, 2),
        breaks=(Break(start=time(9), end=time(9, rng.choice([15, 45]))),),
    )  # fmt: skip
    late = Shift(days=days, start=time(14), end=time(17), crew=crew or rng.randint(1, 2))
    return Calendar(time_zone="UTC", shifts=(early, late) if rng.random() < 0.8 else (early,))


class _Maker:
    """Makes the passes of one day, sharing plates between them now and then."""

    def __init__(self, rng: random.Random, shelf: dict[InkId, Ink], units: int) -> None:
        self.rng, self.shelf, self.units = rng, shelf, units
        self.papers = stocks()
        self.plates: list[Plate] = []

    def plate(self, material: PlateMaterial, taken: set[str]) -> Plate:
        """A plate of a material, new or one already used."""
        old = [p for p in self.plates if p.material is material and p.id not in taken]
        if old and self.rng.random() < 0.3:
            return self.rng.choice(old)
        plate = Plate(
            id=PlateId(f"plate{len(self.plates)}"), material=material,
            length_mm=self.rng.choice([480.0, 480.2, 450.0]), thickness_um=self.rng.choice([100, 120, 150]),
        )  # fmt: skip
        self.plates.append(plate)
        return plate

    def separations(self) -> tuple[Separation, ...]:
        """One or two inks with their plates."""
        count = self.rng.randint(1, min(2, self.units))
        material = self.rng.choice([PlateMaterial.METAL, PlateMaterial.METAL, PlateMaterial.POLYESTER])
        chosen: list[Separation] = []
        for ink in self.rng.sample(list(self.shelf.values()), count):
            plate = self.plate(material, {s.plate.id for s in chosen})
            chosen.append(Separation(ink=ink, plate=plate, coverage_percent=self.rng.choice([10.0, 60.0])))
        return tuple(chosen)

    def print_pass(self, pass_id: str, job: str, first: PrintPass | None = None) -> PrintPass:
        """One pass; a second side runs on its first side's stock and format."""
        rng = self.rng
        earliest = DAY_START + timedelta(minutes=rng.randint(0, 300)) if rng.random() < 0.2 else None
        return PrintPass(
            id=PassId(pass_id),
            job=JobId(job),
            side=1 if first is None else 2,
            sheets=rng.choice([300, 1500, 4000, 9000]),
            running_waste=rng.choice([0, 50]),
            format=first.format if first else rng.choice(_FORMATS),
            feed_edge=first.feed_edge if first else rng.choice(list(FeedEdge)),
            stock=first.stock if first else rng.choice(self.papers),
            lay_side=rng.choice(list(LaySide)),
            strips=rng.choice([(), (Strip(from_mm=10, to_mm=22),)]),
            separations=self.separations(),
            overprint=rng.random() < 0.6,
            units_free=rng.random() < 0.4,
            earliest=earliest,
            first_side=None if first is None else first.id,
            drying_s=0 if first is None else rng.choice([900, 5400, 36000]),
            own_tasks=("numbering",) if rng.random() < 0.15 else (),
        )


_FORMATS: list[Format] = [f for f in map(parse_format, ("A4", "SRA3", "210 x 297.5", "320 x 451", "A5")) if f]


def jobs_of(rng: random.Random, passes: int, shelf: dict[InkId, Ink], units: int) -> list[Job]:
    """Jobs with so many passes together."""
    maker = _Maker(rng, shelf, units)
    jobs: list[Job] = []
    left = passes
    while left:
        number = f"j{len(jobs)}"
        first = maker.print_pass(f"{number}/1", number)
        made = [first]
        if left > 1 and rng.random() < 0.3:
            made.append(maker.print_pass(f"{number}/2", number, first))
        left -= len(made)
        due = DAY_START + timedelta(minutes=rng.randint(60, 1800)) if rng.random() < 0.7 else None
        jobs.append(Job(id=JobId(number), due=due, weight=rng.randint(0, 3), passes=tuple(made)))
    return jobs


def start_of(rng: random.Random, shelf: dict[InkId, Ink], units: int, plates: list[Plate]) -> PressStart:
    """A press that stands somewhere: known or unknown, inked or clean."""
    mounted = rng.sample(plates, min(len(plates), 2))
    given = []
    for number in range(units):
        inked = rng.random() < 0.5
        given.append(
            UnitStart(
                ink=rng.choice(list(shelf)) if inked else None,
                reduced=inked and rng.random() < 0.3,
                last_run_end=rng.choice([None, DAY_START - timedelta(minutes=rng.randint(1, 400))]),
                residue=None if inked or rng.random() < 0.5 else rng.choice(list(shelf)),
                residue_washes=0 if inked else 1,
                oiled=not inked and rng.random() < 0.5,
                plate=mounted[number] if number < len(mounted) and rng.random() < 0.6 else None,
            )
        )
    known = rng.random() < 0.5
    settings = SettingsStart(
        format=rng.choice(_FORMATS), feed_edge=FeedEdge.LONG, lay_side=LaySide.DRIVE, stock=StockId("s100"),
        caliper_um=100, speed_sph=8000.0, strips=(),
    )  # fmt: skip
    return PressStart(
        units=tuple(given),
        solution=rng.choice([None, PlateMaterial.METAL, PlateMaterial.POLYESTER]),
        delivery_pile=rng.random() < 0.5,
        settings=settings if known else SettingsStart(),
    )


def random_day(seed: int, passes: int, *, crew: int | None = 1, units: int | None = None) -> Instance:
    """A whole random day. `crew` None draws it by shift."""
    rng = random.Random(seed)
    units = units or rng.choice([1, 2, 2, 2, 2])
    shelf = inks(rng)
    jobs = jobs_of(rng, passes, shelf, units)
    plates = list({s.plate.id: s.plate for j in jobs for p in j.passes for s in p.separations}.values())
    shop = Shop(
        inks=shelf,
        stocks={s.id: s for s in stocks()},
        formats={},
        press=press(rng, units),
        calendar=calendar(rng, crew),
    )
    start_at = DAY_START - timedelta(minutes=rng.choice([0, 0, 0, 60, -90]))
    return make_instance(shop, jobs, start_of(rng, shelf, units, plates), start_at)
