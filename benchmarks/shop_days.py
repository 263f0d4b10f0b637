"""Days of an invented small commercial shop, drawn from a seed: the ground both benchmarks stand on.

Black prints in about three passes of five, a few house colours come back again and again, a quarter of the passes has
one colour, and customers keep to their stock, their format and now and then to a plate. All shares are judgement.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from functools import cache

from benchmarks.nearest import near_order

from queueplanner.exchange.shop_files import load_shop
from queueplanner.exchange.start_file import load_start
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.plan import Plan
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId, exact
from queueplanner.shop.calendar import WorkClock
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, WorkStyle
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.shop import Shop
from queueplanner.shop.stock import Stock

#: A Monday.
FIRST_DAY = date(2026, 11, 30)
FORMATS = ("A4", "A3", "SRA3", "Card sheet")
STOCKS = ("bond-60", "bond-75", "offset-90", "laid-100", "silk-150", "silk-250")
HOUSE_COLOURS = (
    "harbour-blue", "brick-red", "moss-green", "amber", "coral", "plum", "deep-teal", "warm-grey", "mint", "sand",
)  # fmt: skip
SHEETS = (300, 500, 750, 1000, 1500, 2000, 3000, 4000)
COVERAGE = (5.0, 10.0, 15.0, 25.0, 40.0, 60.0)
WEIGHTS = (1, 1, 1, 1, 2, 3, 5)
BLACK, ONE_COLOUR, TWO_SIDED, NO_DUE = 0.6, 0.25, 0.18, 0.15
USUAL_STOCK, USUAL_FORMAT, SHARED_PLATE, POLYESTER, BY_HAND = 0.65, 0.6, 0.2, 0.3, 0.15
#: Clock minutes after the end in a good plan (feasible days), share of its working time (overloaded days).
SLACK_MIN, TOO_TIGHT = (30, 240), (0.6, 0.9)
#: How often the good plan goes on with the second nearest pass, so that due times give no rule away.
STRAY = 0.2
HALF_HOUR = 1800


class Kind(StrEnum):
    """What a day's due times ask: all can be met, not all can, or there are none and every ink stays open for weeks."""

    FEASIBLE = "feasible"
    OVERLOADED = "overloaded"
    FREE = "free"


@dataclass(frozen=True)
class ShopDay:
    """A day to plan, and the plan its due times were set from (it knows none of them)."""

    instance: Instance
    origin: Plan


def shop_day(seed: int, passes: int, kind: Kind = Kind.FEASIBLE, crew: int = 1) -> ShopDay:
    """The day of a seed: so many passes for so many persons at the press; long lists take several working days.

    Days of one seed and size hold the same jobs, whatever their kind and crew; the good plan may differ.
    """
    rng = random.Random(seed)
    shop = _shop(crew, kind)
    jobs = _Maker(rng, shop, passes).jobs()
    undated = _instance(shop, jobs)
    plan = evaluate(undated, *near_order(undated, rng, STRAY))
    if kind is Kind.FREE:
        return ShopDay(undated, plan)
    return ShopDay(_instance(shop, _dated(rng, undated, plan, kind)), plan)


@cache
def _shop(crew: int, kind: Kind) -> Shop:
    shop = load_shop()
    inks = shop.inks
    if kind is Kind.FREE:
        inks = {key: ink.model_copy(update={"open_time_h": 1000.0}) for key, ink in inks.items()}
    return shop.model_copy(update={"inks": inks, "calendar": shop.calendar.with_crew(crew)})


def _instance(shop: Shop, jobs: list[Job]) -> Instance:
    start = shop.calendar.first_shift_start(FIRST_DAY)
    assert start is not None
    return make_instance(shop, jobs, load_start(None, shop), start)


@dataclass(frozen=True)
class _Customer:
    """Who orders: house colour and second colour, usual stock and format, and the plates on the shelf."""

    colours: tuple[Ink, Ink]
    stock: Stock
    format: Format
    plates: dict[tuple[InkId, PlateMaterial], Plate]


class _Maker:
    """Draws the jobs of one day."""

    def __init__(self, rng: random.Random, shop: Shop, passes: int) -> None:
        self.rng, self.shop, self.left = rng, shop, passes
        self.formats = [f for f in map(shop.format_named, FORMATS) if f is not None]
        self.stocks = [shop.stocks[StockId(s)] for s in STOCKS]
        self.palette = rng.sample(HOUSE_COLOURS, 5 if passes < 40 else 8)
        self.customers = [self._customer() for _ in range(max(3, passes // 3))]
        self.made: list[Job] = []

    def jobs(self) -> list[Job]:
        """Jobs with exactly the wanted number of passes, without due times."""
        while self.left:
            number, customer = f"j{len(self.made) + 1}", self.rng.choice(self.customers)
            style = self._style()
            passes = [self._pass(PassId(f"{number}/1"), JobId(number), customer)]
            if style.two_sided:
                passes.append(self._back(passes[0], style, customer))
            self.left -= len(passes)
            job = Job(id=JobId(number), weight=self.rng.choice(WEIGHTS), work_style=style, passes=tuple(passes))
            self.made.append(job)
        return self.made

    def _customer(self) -> _Customer:
        weights = [1 / (i + 1) for i in range(len(self.palette))]
        first = self.rng.choices(self.palette, weights)[0]
        second = self.rng.choice([colour for colour in self.palette if colour != first])
        inks = self.shop.inks[InkId(first)], self.shop.inks[InkId(second)]
        return _Customer(inks, self.rng.choice(self.stocks), self.rng.choice(self.formats), {})

    def _style(self) -> WorkStyle:
        if self.left < 2 or self.rng.random() >= TWO_SIDED:
            return WorkStyle.ONE_SIDE
        return self.rng.choice([style for style in WorkStyle if style.two_sided])

    def _pass(self, pass_id: PassId, job: JobId, customer: _Customer) -> PrintPass:
        rng = self.rng
        sheets = rng.choice(SHEETS)
        return PrintPass(
            id=pass_id,
            job=job,
            sheets=sheets,
            running_waste=int(sheets * exact(self.shop.press.waste.running_percent) / 100),
            format=customer.format if rng.random() < USUAL_FORMAT else rng.choice(self.formats),
            feed_edge=FeedEdge.LONG,
            stock=customer.stock if rng.random() < USUAL_STOCK else rng.choice(self.stocks),
            lay_side=LaySide.OPERATOR,
            separations=self._separations(pass_id, customer),
            overprint=rng.random() < 0.9,
            units_free=rng.random() < 0.3,
            own_tasks=("numbering",) if rng.random() < 0.08 else (),
        )

    def _back(self, first: PrintPass, style: WorkStyle, customer: _Customer) -> PrintPass:
        """The second side: on the same sheets, from the same plates or its own."""
        back = PassId(f"{first.job}/2")
        changes = {
            "id": back,
            "side": 2,
            "lay_side": first.lay_side.other if style.lay_side_changes else first.lay_side,
            "separations": first.separations if style.same_plates else self._separations(back, customer),
            "first_side": first.id,
            "drying_s": max(s.ink.drying_seconds for s in first.separations),
        }
        return first.model_copy(update=changes)

    def _separations(self, pass_id: PassId, customer: _Customer) -> tuple[Separation, ...]:
        rng, black = self.rng, self.shop.inks[InkId("black")]
        house, second = customer.colours
        with_black, alone = rng.random() < BLACK, rng.random() < ONE_COLOUR
        inks = ([black] if with_black else [house]) if alone else [house, black if with_black else second]
        polyester = alone and rng.random() < POLYESTER
        material = PlateMaterial.POLYESTER if polyester else PlateMaterial.METAL
        return tuple(
            Separation(
                ink=ink,
                plate=self._plate(pass_id, ink, material, customer),
                coverage_percent=rng.choice(COVERAGE),
            )
            for ink in inks
        )

    def _plate(self, pass_id: PassId, ink: Ink, material: PlateMaterial, customer: _Customer) -> Plate:
        """One from the customer's shelf, or a new one."""
        key = ink.id, material
        if key in customer.plates and self.rng.random() < SHARED_PLATE:
            return customer.plates[key]
        usual = self.shop.press.automatic_plate_length_mm or 488.0
        customer.plates[key] = Plate(
            id=PlateId(f"{pass_id} {ink.id}"),
            material=material,
            length_mm=450.0 if self.rng.random() < BY_HAND else usual,
            thickness_um=130 if material is PlateMaterial.POLYESTER else 150,
        )
        return customer.plates[key]


def _dated(rng: random.Random, day: Instance, plan: Plan, kind: Kind) -> list[Job]:
    """The jobs with due times set from a plan's ends: a while after them, or well before."""
    ends: dict[JobId, int] = {}
    for planned in plan.passes:
        ends[planned.job.id] = max(planned.run_end, ends.get(planned.job.id, 0))
    due = _after if kind is Kind.FEASIBLE else _before
    jobs = []
    for job in day.jobs:
        moment = due(rng, day, ends[job.id])
        none = rng.random() < NO_DUE
        jobs.append(job if none else job.model_copy(update={"due": datetime.fromtimestamp(moment, UTC)}))
    return jobs


def _after(rng: random.Random, _day: Instance, end: int) -> int:
    """The next half hour after an end and some slack."""
    late = end + int(timedelta(minutes=rng.randint(*SLACK_MIN)).total_seconds())
    return -(-late // HALF_HOUR) * HALF_HOUR


def _before(rng: random.Random, day: Instance, end: int) -> int:
    """A moment at a share of the working time up to an end, no sooner than the first half hour."""
    share = rng.uniform(*TOO_TIGHT)
    seconds = max(HALF_HOUR, int(share * working_seconds(day.clock, day.start_at, end)))
    return day.clock.pieces(day.clock.windows[0].start, seconds)[-1][1]


def working_seconds(clock: WorkClock, start: int, end: int) -> int:
    """Working seconds between two moments."""
    return sum(max(0, min(end, w.end) - max(start, w.start)) for w in clock.windows)
