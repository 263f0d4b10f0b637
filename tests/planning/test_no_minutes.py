"""A shop may set every task to no minutes at all."""

from __future__ import annotations

from dataclasses import replace

from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.rules import as_received
from queueplanner.shop.press import TaskMinutes
from tests.generated_days import random_day


def test_tasks_of_no_minutes_give_a_plan_without_makeready() -> None:
    instance = random_day(79, 6, units=2)
    nothing = TaskMinutes(minutes=0.0, automatic=0.0, each_more=0.0, second_unit=0.0)
    press = instance.shop.press.model_copy(
        update={"tasks": dict.fromkeys(instance.shop.press.tasks, nothing), "own_tasks": (), "external": ()}
    )
    idle = replace(instance, shop=instance.shop.model_copy(update={"press": press}))
    plan = evaluate(idle, as_received(idle), {})
    assert plan.totals.makeready_seconds == 0
    assert all(p.makeready_start == p.makeready_end for p in plan.passes)
