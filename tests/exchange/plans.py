"""Plans for tests: the demo day in the order it came in, and random small days."""

from __future__ import annotations

from contextlib import suppress
from functools import cache

from queueplanner.exchange.demo import DEMO_DAY, demo_jobs
from queueplanner.exchange.job_csv import read_jobs
from queueplanner.exchange.start_file import load_start
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.rules import as_received
from queueplanner.shop.errors import NoPlan
from tests.exchange.job_lists import demo_shop
from tests.generated_days import random_day


@cache
def demo_instance() -> Instance:
    """The demo day, ready to be put in order."""
    shop = demo_shop()
    begins = shop.calendar.first_shift_start(DEMO_DAY)
    assert begins is not None
    return make_instance(shop, read_jobs(demo_jobs(), shop, DEMO_DAY), load_start(None, shop), begins)


@cache
def demo_plan() -> Plan:
    """The demo day in the order it came in, every pass in its first possible units."""
    return evaluate(demo_instance(), as_received(demo_instance()), {})


@cache
def random_plans(count: int = 12) -> tuple[Plan, ...]:
    """So many random days in the order they came in; days whose passes fit into no working day are left out."""
    made: list[Plan] = []
    for seed in range(1000):
        instance = random_day(seed, 7)
        with suppress(NoPlan):
            made.append(evaluate(instance, as_received(instance), {}))
        if len(made) == count:
            break
    return tuple(made)


def plans() -> list[Plan]:
    """The demo day and a dozen of random ones."""
    return [demo_plan(), *random_plans()]
