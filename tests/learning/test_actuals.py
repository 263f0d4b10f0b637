"""What a logged changeover is made of."""

from __future__ import annotations

import random

import pytest

from queueplanner.learning.actuals import Trigger, actual_tasks, totalled_only, work_ahead
from queueplanner.learning.figures import Figure, figure_seconds, parts_of
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.plan import PlannedTask
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.press import PressProfile
from tests.generated_days import random_day
from tests.learning.logged import changeover, task
from tests.small_shop import back_of, day, one, planned, press


def _planned_tasks(seed: int) -> tuple[PressProfile, list[tuple[PlannedTask, ...]]]:
    """The tasks of every changeover and evening of a random day in a random order."""
    instance = random_day(seed, 5)
    order = list(instance.passes)
    firsts = [p for p in order if instance.passes[p].first_side is None]
    random.Random(seed).shuffle(firsts)
    order = firsts + [p for p in order if p not in firsts]
    plan = evaluate(instance, order, {})
    return instance.shop.press, [p.tasks for p in plan.passes] + [e.tasks for e in plan.evenings]


def test_the_figures_of_every_planned_task_add_up_to_its_seconds() -> None:
    seen: set[Figure] = set()
    for seed in range(40):
        try:
            profile, sets = _planned_tasks(seed)
        except NoPlan:
            continue
        seconds = figure_seconds(profile)
        for tasks in sets:
            for line in tasks:
                parts = parts_of(line, tasks, profile)
                assert sum(seconds[f] * n for f, n in parts) == pytest.approx(line.seconds, abs=0.5), line
                seen.update(f for f, _ in parts)
    wanted = {
        Figure("wash_rollers"), Figure("wash_rollers", "each_more"), Figure("register_and_colour", "second_unit"),
        Figure("put_plate_on", "automatic"), Figure("take_plate_off", "automatic"), Figure("own:numbering"),
    }  # fmt: skip
    assert wanted <= seen


def test_each_task_of_a_plan_has_its_trigger() -> None:
    front = one("a", 500, ("red", "P"))
    plan = planned(day(front, back_of(front, 0), one("b", 500, ("blue", "P"))))
    told = [{t.task: t.trigger for t in actual_tasks(p.tasks, press())} for p in plan.passes]
    assert told[0]["put_plate_on"] is Trigger.PLATE
    assert told[0]["register_and_colour"] is Trigger.PLATE
    assert told[0]["wash_blankets"] is Trigger.PLATE
    assert told[1]["turn_pile"] is Trigger.SECOND_SIDE
    assert told[1]["change_lay_side"] is Trigger.LAY_SIDE
    assert told[1]["set_double_sheet_detector"] is Trigger.LAY_SIDE
    assert told[1]["register_and_colour"] is Trigger.LAY_SIDE
    assert told[2]["wash_rollers"] is Trigger.INK
    assert told[2]["wash_blankets"] is Trigger.INK
    assert told[2]["register_and_colour"] is Trigger.INK


def test_ticks_are_taken_by_position() -> None:
    plan = planned(day(one("a", 500)))
    tasks = actual_tasks(plan.passes[0].tasks, press(), {1: 75.5})
    assert [t.ticked_seconds for t in tasks] == [None, 75.5]
    assert [t.ticked_seconds for t in totalled_only(changeover(200, tasks)).tasks] == [None, None]


def test_work_ahead_has_the_planned_tasks_and_has_taken_no_time() -> None:
    planned_pass = planned(day(one("a", 500, ("red", "P")))).passes[0]
    ahead = work_ahead(planned_pass.tasks, press(), 1, planned_pass.makeready_seconds, "a")
    assert (ahead.pass_id, ahead.press, ahead.seconds, ahead.crew_ratio) == ("a", "small", 0, 1)
    assert [t.task for t in ahead.tasks] == [t.task for t in planned_pass.tasks]


def test_tasks_done_in_the_run_before_take_no_make_ready() -> None:
    done = changeover(300, [task("load_pile", 120, external=True), task("put_plate_on", 240)], planned=240)
    assert (done.planned_sum, done.crew_ratio, done.excess_seconds) == (240, 1, 60)


def test_two_persons_have_the_planned_share_of_the_sum() -> None:
    assert changeover(
        300, [task("load_pile", 120), task("put_plate_on", 240)], planned=240, crew=2
    ).crew_ratio == pytest.approx(2 / 3)
    assert changeover(300, [task("load_pile", 0)], planned=0).crew_ratio == 1
