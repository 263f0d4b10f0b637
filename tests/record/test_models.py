"""What goes into the record as a model comes out equal; equal models give equal rows."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from queueplanner.record.canonical import canonical
from queueplanner.record.day import Day, Order, OrderedPass
from queueplanner.record.errors import Damaged
from queueplanner.record.models import (
    MODEL_OF,
    Kept,
    body_of,
    day_row,
    item_row,
    job_row,
    model_of,
    order_row,
    read_day,
    read_items,
    read_jobs,
    read_orders,
    read_plates,
    read_shop,
    shop_rows,
)
from queueplanner.record.record import Record
from queueplanner.record.row import ItemKind, Row
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId
from queueplanner.shop.calendar import Break, Calendar, Shift
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink, InkKind, Tack
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, Strip, WorkStyle
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart, SettingsStart, UnitStart
from queueplanner.shop.stock import Coating, Grain, Stock
from queueplanner.shop.weights import Weights
from tests.record.rig import set_row
from tests.small_shop import press

MONDAY = date(2026, 3, 2)
names = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20)
numbers = st.floats(0.001, 999, allow_nan=False)
moments = st.integers(1_600_000_000, 2_200_000_000).map(
    lambda s: datetime.fromtimestamp(s, timezone(timedelta(hours=2)))
)
plates = st.builds(
    Plate, id=names.map(PlateId), material=st.sampled_from(PlateMaterial), length_mm=numbers,
    thickness_um=st.integers(1, 2000),
)  # fmt: skip
stocks = st.builds(
    Stock, id=names.map(StockId), name=names, grammage_gsm=numbers, caliper_um=st.integers(20, 2000),
    coating=st.sampled_from(Coating), grain=st.sampled_from(Grain), speed_sph=st.integers(1, 30_000),
)  # fmt: skip
formats = st.builds(
    lambda a, b, name: Format(short_mm=min(a, b), long_mm=max(a, b), name=name), numbers, numbers, st.none() | names
)
colours = st.one_of(
    st.tuples(st.floats(0, 100), st.floats(-160, 160), st.floats(-160, 160)).map(lambda lab: {"lab": lab}),
    st.just({"srgb": "#1e64b4"}),
    st.floats(0, 100).map(lambda lightness: {"lightness": lightness}),
    st.lists(st.floats(0, 2), min_size=36, max_size=36).map(lambda s: {"spectrum": tuple(s)}),
)
inks = st.builds(
    lambda name, kind, colour, tack, tolerance: Ink(
        id=InkId(name), name=name, kind=kind, tack=tack, tolerance=tolerance, open_time_h=2.5, drying_time_h=0.1,
        **colour,
    ),
    names, st.sampled_from(InkKind), colours, st.none() | st.builds(Tack, value=numbers, instrument=names),
    st.none() | st.floats(0.1, 50),
)  # fmt: skip


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """A job of one to three passes."""
    job_id = JobId(draw(names))
    passes = [
        PrintPass(
            id=PassId(f"{job_id}/{n}"), job=job_id, side=draw(st.integers(1, 2)),
            sheets=draw(st.integers(1, 10_000_000)),
            format=draw(formats), feed_edge=draw(st.sampled_from(FeedEdge)), stock=draw(stocks),
            lay_side=draw(st.sampled_from(LaySide)),
            strips=tuple(Strip(from_mm=a, to_mm=a + 1.5) for a in draw(st.lists(numbers, max_size=2))),
            separations=(Separation(ink=draw(inks), plate=draw(plates), coverage_percent=draw(st.floats(0, 100))),),
            earliest=draw(st.none() | moments), own_tasks=tuple(draw(st.lists(names, max_size=2))),
        )
        for n in range(1, draw(st.integers(1, 3)) + 1)
    ]  # fmt: skip
    return Job(
        id=job_id, title=draw(st.just("") | names), due=draw(st.none() | moments), weight=draw(st.integers(0, 1000)),
        work_style=draw(st.sampled_from(WorkStyle)), passes=tuple(passes),
    )  # fmt: skip


@given(st.one_of(jobs(), inks, stocks, formats, plates))
@settings(max_examples=150)
def test_a_model_comes_back_equal_and_gives_the_same_row_again(model: Job | Ink | Stock | Format | Plate) -> None:
    back = model_of(type(model), body_of(model))
    assert back == model
    assert canonical(body_of(back)) == canonical(body_of(model))


@given(st.lists(jobs(), max_size=3, unique_by=lambda j: j.id))
@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_jobs_come_back_from_the_record_equal(record: Record, wanted: list[Job]) -> None:
    for stale in read_jobs(record):
        set_row(record, Row.job(stale), None)
    for job in wanted:
        set_row(record, *job_row(job))
    assert {key: kept.value for key, kept in read_jobs(record).items()} == {job.id: job for job in wanted}


def a_shop() -> Shop:
    ink = Ink(id=InkId("red"), name="red", kind=InkKind.SPOT, srgb="#c02030", open_time_h=2.0, drying_time_h=1.0)
    stock = Stock(
        id=StockId("bond"), name="bond", grammage_gsm=80.0, caliper_um=100, coating=Coating.UNCOATED,
        grain=Grain.LONG, speed_sph=7000,
    )  # fmt: skip
    shift = Shift(
        days=frozenset({"monday", "tuesday"}), start=time(7), end=time(16), crew=2,
        breaks=(Break(start=time(12), end=time(12, 30)),),
    )  # fmt: skip
    return Shop(
        inks={ink.id: ink},
        stocks={stock.id: stock},
        formats={"House card": Format(short_mm=85.0, long_mm=55.0 + 40, name="House card")},
        press=press(),
        calendar=Calendar(time_zone="Europe/Vienna", shifts=(shift,), closed=frozenset({date(2026, 5, 1)})),
        weights=Weights(wash_up=90),
    )


def test_a_shop_comes_back_equal(record: Record) -> None:
    shop = a_shop()
    rows = shop_rows(shop)
    record.act("load_shop", {}, rows, station="desk", expected_versions=dict.fromkeys(rows, 0))
    assert read_shop(record, shop.press.id) == shop
    assert read_shop(record, "another press") is None
    assert read_items(record, ItemKind.INK, Ink) == {"red": Kept(shop.inks[InkId("red")], 1)}


def test_sets_have_one_order(record: Record) -> None:
    body = body_of(a_shop().calendar)
    assert body["shifts"][0]["days"] == ["monday", "tuesday"]


def test_plates_come_back_by_id(record: Record) -> None:
    plate = Plate(id=PlateId("K"), material=PlateMaterial.METAL, length_mm=505.0, thickness_um=150)
    set_row(record, *item_row(ItemKind.PLATE, "K", plate))
    assert read_plates(record) == {"K": Kept(plate, 1)}


def test_a_day_and_its_orders_come_back_equal(record: Record) -> None:
    unit = UnitStart(ink=InkId("red"), last_run_end=datetime(2026, 3, 1, 15, tzinfo=UTC))
    start = PressStart(
        units=(unit, UnitStart(oiled=True)), solution=PlateMaterial.METAL,
        settings=SettingsStart(format=Format(short_mm=320.0, long_mm=450.0), feed_edge=FeedEdge.LONG),
        printed_first_sides={PassId("1047/1"): None},
    )  # fmt: skip
    day = Day(press="small", day=MONDAY, jobs=(JobId("1047"),), start=start, starts_at=unit.last_run_end)
    order = Order(
        press="small", day=MONDAY, name="fewest wash-ups",
        passes=(OrderedPass(id=PassId("1047/1"), units=(2, 1), pinned=True), OrderedPass(id=PassId("1047/2"))),
        together=((PassId("1047/1"), PassId("1047/2")),), turns=((PassId("1047/1"), PassId("1047/2")),),
    )  # fmt: skip
    assert read_day(record, "small", MONDAY) == Kept(None, 0)
    set_row(record, *day_row(day))
    set_row(record, *order_row(order))
    assert read_day(record, "small", MONDAY) == Kept(day, 1)
    assert read_orders(record, "small", MONDAY) == {"fewest wash-ups": Kept(order, 1)}
    assert read_orders(record, "small", date(2026, 3, 3)) == {}


def test_an_order_names_each_pass_once() -> None:
    with pytest.raises(ValueError, match="1047/1 stands there twice"):
        Order(press="small", day=MONDAY, name="x", passes=(OrderedPass(id=PassId("1047/1")),) * 2)


def test_a_body_that_is_no_job_is_named(record: Record) -> None:
    set_row(record, Row.job("1047"), {"id": "1047", "due": "tomorrow", "passes": []})
    with pytest.raises(Damaged, match=r"jobs 1047: due: "):
        read_jobs(record)


def test_an_entry_of_another_kind_is_a_mistake() -> None:
    with pytest.raises(TypeError, match="an entry of kind ink is a Ink, not a Weights"):
        item_row(ItemKind.INK, "x", Weights())


@pytest.mark.parametrize("kind", list(ItemKind))
def test_every_kind_of_entry_has_its_model(kind: ItemKind) -> None:
    assert kind in MODEL_OF
