"""The demo lists have what they promise, and planning them is worth it."""

from __future__ import annotations

import pytest

from queueplanner.exchange.demo import DEMO_WEEK, demo_jobs
from queueplanner.exchange.job_csv import read_jobs
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.rules import as_received
from queueplanner.shop.ink import InkKind
from queueplanner.shop.job import Job, PrintPass, WorkStyle
from queueplanner.shop.plate import PlateMaterial
from tests.exchange.job_lists import demo_shop
from tests.exchange.plans import demo_instance


def jobs() -> tuple[Job, ...]:
    return demo_instance().jobs


def passes() -> list[PrintPass]:
    return list(demo_instance().passes.values())


def test_the_day_has_about_eighteen_jobs_in_some_two_dozen_passes() -> None:
    assert len(jobs()) == 18
    assert 22 <= len(passes()) <= 26


def test_the_day_has_work_of_every_kind() -> None:
    inks = [s.ink for p in passes() for s in p.separations]
    plates = [s.plate.id for p in passes() if p.side == 1 for s in p.separations]
    assert {len(p.separations) for p in passes()} == {1, 2}
    assert {job.work_style for job in jobs()} == set(WorkStyle)
    assert any(ink.kind is InkKind.METALLIC for ink in inks)
    assert len([i for i in inks if i.kind is InkKind.SPOT]) > 3 * len({i.id for i in inks if i.kind is InkKind.SPOT})
    assert len(set(plates)) < len(plates), "two jobs share a plate"
    assert {p.plate_material for p in passes()} == {PlateMaterial.METAL, PlateMaterial.POLYESTER}
    assert len({p.format for p in passes()}) >= 4
    assert min(p.stock.caliper_um for p in passes()) < 60
    assert max(p.stock.caliper_um for p in passes()) > 250
    assert any(p.earliest is not None and p.earliest.hour == 10 for p in passes())
    assert any(job.weight == 5 and job.due is not None and job.due.hour < 12 for job in jobs()), "a rush job"


def test_the_day_has_plates_for_the_changer_and_plates_for_hands() -> None:
    press = demo_shop().press
    automatic = {press.changes_automatically(s.plate) for p in passes() for s in p.separations}
    assert automatic == {True, False}


def test_planning_the_day_saves_a_quarter_of_its_makeready_and_nothing_is_late() -> None:
    instance = demo_instance()
    before = best_units(instance, as_received(instance)).totals
    after = plan_day(instance, 4).totals
    assert before.late_passes > 3
    assert after.late_passes == 0
    assert after.makeready_seconds <= before.makeready_seconds * 3 // 4


def test_the_week_is_larger_and_is_spread_over_five_days() -> None:
    week = read_jobs(demo_jobs("week.csv"), demo_shop(), DEMO_WEEK)
    assert 60 <= len(week) <= 70
    assert len({job.due.date() for job in week if job.due is not None}) == 5


def test_a_list_that_is_not_there_is_told() -> None:
    with pytest.raises(FileNotFoundError, match=r"month\.csv"):
        demo_jobs("month.csv")
