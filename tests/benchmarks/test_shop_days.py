"""The days of the benchmarks: the same again from a seed, as long as asked for, and feasible where they say so."""

from __future__ import annotations

from statistics import fmean

import pytest
from benchmarks.shop_days import Kind, ShopDay, shop_day

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.plan import Plan
from queueplanner.planning.rules import as_received, by_due_time

SIZES = (8, 13, 20)


def along_its_origin(day: ShopDay) -> Plan:
    """The day in the order and units of the plan its due times were set from."""
    units = {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in day.origin.passes}
    return evaluate(day.instance, day.origin.order, units)


@pytest.mark.parametrize("kind", Kind)
def test_a_seed_gives_the_same_day_again(kind: Kind) -> None:
    assert shop_day(5, 12, kind).instance.jobs == shop_day(5, 12, kind).instance.jobs
    assert shop_day(5, 12, kind).instance.jobs != shop_day(6, 12, kind).instance.jobs


@pytest.mark.parametrize("passes", SIZES)
@pytest.mark.parametrize("kind", Kind)
def test_a_day_is_as_long_as_asked_for(kind: Kind, passes: int) -> None:
    day = shop_day(1, passes, kind).instance
    assert day.size == passes
    assert len(evaluate(day, as_received(day), {}).passes) == passes


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("passes", SIZES)
def test_a_feasible_day_has_an_order_without_lateness(seed: int, passes: int) -> None:
    day = shop_day(seed, passes)
    assert any(job.due is not None for job in day.instance.jobs)
    assert along_its_origin(day).totals.late_seconds == 0


@pytest.mark.parametrize("seed", range(3))
def test_an_overloaded_day_is_late_in_its_good_order_and_by_due_time(seed: int) -> None:
    day = shop_day(seed, 13, Kind.OVERLOADED)
    assert along_its_origin(day).totals.late_passes > 0
    assert evaluate(day.instance, by_due_time(day.instance), {}).totals.late_passes > 0


def test_a_day_of_make_ready_only_has_neither_due_times_nor_washes_in_the_evening() -> None:
    day = shop_day(3, 30, Kind.FREE)
    assert all(job.due is None for job in day.instance.jobs)
    plan = along_its_origin(day)
    assert len(plan.evenings) > 1
    assert not any(evening.tasks for evening in plan.evenings)


def test_a_long_list_takes_several_days() -> None:
    assert len(shop_day(1, 45).origin.evenings) >= 2


def test_inks_formats_and_plates_come_as_in_a_small_shop() -> None:
    lists = [list(shop_day(seed, 40).instance.passes.values()) for seed in range(3)]
    passes = [p for made in lists for p in made]
    assert fmean(any(s.ink.id == "black" for s in p.separations) for p in passes) == pytest.approx(0.6, abs=0.1)
    assert fmean(len(p.separations) == 1 for p in passes) == pytest.approx(0.25, abs=0.1)
    assert len({p.format.name for p in passes}) == 4
    assert len({p.stock.id for p in passes}) == 6
    for made in lists:
        plates = [s.plate.id for p in made for s in p.separations]
        assert len(set(plates)) < len(plates)
        assert any(p.first_side is not None for p in made)


@pytest.mark.parametrize("crew", [1, 2])
def test_a_day_is_worked_by_the_crew_asked_for(crew: int) -> None:
    plan = shop_day(1, 8, crew=crew).origin
    assert {p.crew for p in plan.passes} == {crew}
