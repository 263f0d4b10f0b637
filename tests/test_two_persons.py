"""The demo day for one person and for two: planning for the crew that will run it pays."""

from __future__ import annotations

import pytest

from queueplanner.exchange.demo import DEMO_DAY, demo_jobs
from queueplanner.exchange.job_csv import read_jobs
from queueplanner.exchange.shop_files import load_shop
from queueplanner.exchange.start_file import load_start
from queueplanner.planning.engine import warm_up
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, UnitChoice, make_instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.planner import best_units, plan_day
from queueplanner.planning.rules import as_received
from queueplanner.planning.search import Numbered
from queueplanner.shop.base import PassId


@pytest.fixture(scope="module")
def day() -> Instance:
    """The demo day with one person at the press."""
    shop = load_shop()
    begins = shop.calendar.first_shift_start(DEMO_DAY)
    assert begins is not None
    instance = make_instance(shop, read_jobs(demo_jobs(), shop, DEMO_DAY), load_start(None, shop), begins)
    warm_up(Numbered.of(instance).tables)
    return instance


def with_two(instance: Instance) -> Instance:
    """The same day with two persons at the press."""
    shop = instance.shop
    calendar = shop.calendar.with_crew(2)
    begins = calendar.first_shift_start(DEMO_DAY)
    assert begins is not None
    shop = shop.model_copy(update={"calendar": calendar})
    return make_instance(shop, instance.jobs, load_start(None, shop), begins)


def choices(plan: Plan) -> dict[PassId, UnitChoice]:
    """The unit choice of each pass of a plan."""
    return {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in plan.passes}


def test_a_plan_for_two_beats_the_plan_for_one_run_by_two(day: Instance) -> None:
    two = with_two(day)
    for_one, for_two = plan_day(day, 6.0), plan_day(two, 6.0)
    one_run_by_two = evaluate(two, for_one.order, choices(for_one))
    assert for_two.order != for_one.order
    assert for_two.totals.objective < one_run_by_two.totals.objective
    assert for_two.totals.makeready_seconds < one_run_by_two.totals.makeready_seconds


def test_two_persons_never_take_longer_for_a_changeover_and_never_half_the_work(day: Instance) -> None:
    plan = best_units(with_two(day), as_received(day))
    for planned in plan.passes:
        work = sum(t.seconds for t in planned.tasks if not t.external)
        assert work / 2 <= planned.makeready_seconds <= work
        lanes = [(t.person, t.start, t.seconds) for t in planned.tasks if not t.external]
        assert {person for person, _, _ in lanes} == {1, 2}
        assert max(start + seconds for _, start, seconds in lanes if start is not None) == planned.makeready_seconds


def test_the_crew_of_the_shift_decides_the_minutes(day: Instance) -> None:
    alone = best_units(day, as_received(day))
    together = evaluate(with_two(day), alone.order, choices(alone))
    for one, two in zip(alone.passes, together.passes, strict=True):
        assert two.crew == 2
        assert two.makeready_seconds < one.makeready_seconds

