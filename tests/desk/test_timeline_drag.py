from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.desk.timeline_drag import (
    DayTables,
    Drop,
    Forbidden,
    Forbids,
    PassDrag,
    forbidden,
    moved_order,
    nearest_first,
    reckon_all,
)
from queueplanner.planning.arrange import arranged, keeps_all_rules
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, Started
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan, solution_of
from queueplanner.planning.progress import CancelToken
from queueplanner.shop.errors import NoPlan
from tests.generated_days import random_day

days = st.integers(0, 400)


def planned(instance: Instance, seed: int) -> Plan | None:
    """A plan in some order and some units; None where the calendar holds none."""
    rng = random.Random(seed)
    wished = list(instance.passes)
    rng.shuffle(wished)
    units = {p: rng.choice(choices) for p, choices in instance.choices.items()}
    try:
        return evaluate(instance, arranged(instance, wished), units)
    except NoPlan:
        return None


def ruled(instance: Instance, seed: int) -> Instance:
    """The day with a pin, two passes kept together and a turn, such as some order keeps."""
    rng = random.Random(seed)
    order = arranged(instance, instance.passes)
    a, b = rng.sample(range(len(order)), 2)
    pinned = {order[a]: a} if rng.random() < 0.7 else {}
    at = rng.randrange(len(order) - 1)
    together = (frozenset(order[at : at + 2]),) if rng.random() < 0.7 else ()
    turns = ((order[min(a, b)], order[max(a, b)]),) if rng.random() < 0.5 else ()
    return instance.with_rules(OrderRules(pinned, together, turns))


def answers(instance: Instance, plan: Plan, pass_id) -> dict[int, Drop | Forbidden]:
    drag = PassDrag(instance, plan, pass_id)
    reckon_all(drag, DayTables(), CancelToken())
    return {place: drag.reckon(place) for place in range(len(plan.order))}


def lateness(plan: Plan) -> dict[str, int]:
    late: dict[str, int] = {}
    for p in plan.passes:
        late[p.job.id] = max(late.get(p.job.id, 0), p.late_seconds)
    return late


def check_drop(instance: Instance, plan: Plan, pass_id, drop: Drop) -> None:
    order = moved_order(instance, plan.order, pass_id, drop.place)
    assert order.index(pass_id) == drop.place
    _, units = solution_of(plan)
    then = evaluate(instance, order, {**units, pass_id: drop.units})
    now = plan.totals
    assert drop.makeready_seconds == then.totals.makeready_seconds - now.makeready_seconds
    assert drop.wash_ups == then.totals.wash_ups - now.wash_ups
    assert drop.late_seconds == then.totals.late_seconds - now.late_seconds
    before, after = lateness(plan), lateness(then)
    assert {j.job: (j.now, j.then) for j in drop.lateness} == {
        j: (before[j], after[j]) for j in before if before[j] != after[j]
    }
    for choice in instance.choices[pass_id]:
        try:
            other = evaluate(instance, order, {**units, pass_id: choice})
        except NoPlan:
            continue
        if drop.place != plan.order.index(pass_id):
            assert then.totals.objective <= other.totals.objective


@settings(max_examples=8)
@given(days)
def test_figures_are_the_differences_of_whole_plans_for_every_pass_and_place(seed: int) -> None:
    instance = random_day(seed, 5)
    plan = planned(instance, seed)
    if plan is None:
        return
    for pass_id in plan.order:
        for answer in answers(instance, plan, pass_id).values():
            if isinstance(answer, Drop):
                check_drop(instance, plan, pass_id, answer)


@settings(max_examples=8)
@given(days)
def test_a_place_is_forbidden_just_where_no_plan_with_the_pass_there_keeps_the_rules(seed: int) -> None:
    """With pins kept by making room for them, a drop is allowed if and only if evaluating it raises nothing."""
    instance = ruled(random_day(seed, 5), seed)
    plan = planned(instance, seed)
    if plan is None:
        return
    _, units = solution_of(plan)
    for pass_id in plan.order:
        for place, answer in answers(instance, plan, pass_id).items():
            if isinstance(answer, Drop):
                check_drop(instance, plan, pass_id, answer)
            elif answer.rule is Forbids.CALENDAR:
                moved = moved_order(instance, plan.order, pass_id, place)
                for choice in instance.choices[pass_id]:
                    with pytest.raises(NoPlan):
                        evaluate(instance, moved, {**units, pass_id: choice})
            elif answer.rule is Forbids.PINNED:
                assert {answer.passes[0]: answer.place}.items() <= instance.rules.places.items()
            else:
                assert not keeps_all_rules(instance, moved_order(instance, plan.order, pass_id, place))


@given(days)
def test_where_it_stands_a_pass_costs_and_saves_nothing(seed: int) -> None:
    instance = random_day(seed, 4)
    plan = planned(instance, seed)
    if plan is None:
        return
    for place, pass_id in enumerate(plan.order):
        drag = PassDrag(instance, plan, pass_id)
        assert drag.answer() == Drop(place, solution_of(plan)[1][pass_id])


@pytest.fixture
def five() -> tuple[Instance, Plan]:
    """Five one-sided passes a, b, c, d, e in this order."""
    instance = next(
        day
        for day in (random_day(seed, 5) for seed in range(400))
        if all(p.first_side is None for p in day.passes.values()) and planned(day, 0)
    )
    plan = evaluate(instance, list(instance.passes), {})
    return instance, plan


def told(instance: Instance, plan: Plan, pass_place: int, place: int) -> Forbidden | None:
    return forbidden(instance, plan.order, plan.order[pass_place], place)


def test_a_pinned_pass_may_not_leave_its_place(five) -> None:
    instance, plan = five
    pinned = instance.with_rules(OrderRules(places={plan.order[1]: 1}))
    assert told(pinned, plan, 1, 3) == Forbidden(Forbids.PINNED, (plan.order[1],), 1)
    assert told(pinned, plan, 1, 1) is None


def test_no_pass_takes_the_place_of_a_pinned_one_but_may_go_past_it(five) -> None:
    instance, plan = five
    a, b, c, d, e = plan.order
    pinned = instance.with_rules(OrderRules(places={b: 1}))
    assert told(pinned, plan, 0, 1) == Forbidden(Forbids.PINNED, (b,), 1)
    assert told(pinned, plan, 0, 3) is None
    assert moved_order(pinned, plan.order, a, 3) == (c, b, d, a, e)


def test_a_pass_kept_together_with_another_may_change_sides_but_not_leave_it(five) -> None:
    instance, plan = five
    _, b, c, *_ = plan.order
    together = instance.with_rules(OrderRules(together=(frozenset({b, c}),)))
    assert told(together, plan, 1, 2) is None
    left = told(together, plan, 1, 4)
    assert left is not None
    assert (left.rule, set(left.passes)) == (Forbids.TOGETHER, {b, c})
    between = told(together, plan, 0, 1)
    assert between is not None
    assert (between.rule, set(between.passes)) == (Forbids.TOGETHER, {b, c})


def test_a_pass_may_not_run_before_the_one_it_comes_after(five) -> None:
    instance, plan = five
    a, _, _, d, _ = plan.order
    turned = instance.with_rules(OrderRules(turns=((a, d),)))
    assert told(turned, plan, 3, 0) == Forbidden(Forbids.TURN, (a, d))


def test_a_second_side_may_not_run_before_its_first() -> None:
    instance = random_day(7, 6)
    second = next(p for p in instance.passes.values() if p.first_side is not None)
    order = list(instance.passes)
    first_place = order.index(second.first_side)
    assert forbidden(instance, order, second.id, first_place) == Forbidden(
        Forbids.SECOND_SIDE, (second.first_side, second.id)
    )
    assert forbidden(instance, order, second.first_side, order.index(second.id)) == Forbidden(
        Forbids.SECOND_SIDE, (second.first_side, second.id)
    )


def test_the_pass_on_the_press_stays_first_and_pins_count_behind_it(five) -> None:
    instance, plan = five
    a, b, c, d, e = plan.order
    begun = instance.with_started(Started(a, instance.choices[a][0], 60, 600)).with_rules(OrderRules(places={c: 1}))
    assert told(begun, plan, 0, 2) == Forbidden(Forbids.STARTED, (a,))
    assert told(begun, plan, 3, 0) == Forbidden(Forbids.STARTED, (a,))
    assert told(begun, plan, 3, 2) == Forbidden(Forbids.PINNED, (c,), 2)
    assert told(begun, plan, 3, 1) is None
    assert moved_order(begun, plan.order, d, 1) == (a, d, c, b, e)


@settings(max_examples=6)
@given(days)
def test_with_a_pass_on_the_press_figures_are_still_those_of_whole_plans(seed: int) -> None:
    instance = random_day(seed, 5)
    first = arranged(instance, instance.passes)[0]
    begun = instance.with_started(Started(first, instance.choices[first][0], 300, 1200))
    plan = planned(begun, seed)
    if plan is None:
        return
    for pass_id in plan.order:
        for answer in answers(begun, plan, pass_id).values():
            if isinstance(answer, Drop) and answer.place != plan.order.index(pass_id):
                check_drop(begun, plan, pass_id, answer)


def test_each_place_is_reckoned_once(five) -> None:
    instance, plan = five
    drag = PassDrag(instance, plan, plan.order[0])
    drag.use(DayTables().of(instance))
    assert drag.answer(3) is None
    first = drag.reckon(3)
    assert drag.reckon(3) is first
    assert drag.answer(3) is first


def test_the_place_under_the_hand_comes_first_then_its_neighbours(five) -> None:
    assert list(nearest_first(1, 4)) == [1, 2, 0, 3, 4]
    assert all(sorted(nearest_first(near, last)) == list(range(last + 1)) for near, last in product(range(3), (2, 5)))


def test_reckoning_ends_when_told_to_stop(five) -> None:
    instance, plan = five
    stopped = CancelToken()
    stopped.cancel()
    drag = PassDrag(instance, plan, plan.order[0])
    reckon_all(drag, DayTables(), stopped)
    assert drag.answer(2) is None


def test_tables_are_built_anew_only_for_another_day(five) -> None:
    instance, plan = five
    tables = DayTables()
    built = tables.of(instance)
    assert tables.of(instance) is built
    later = {plan.order[2]: instance.start_at + 3600}
    ruled_later = tables.of(instance.with_rules(OrderRules(not_before=later)))
    assert ruled_later.tables.shared is built.tables.shared
    other = replace(instance, start_at=instance.start_at + 60)
    assert tables.of(other).tables.shared is not built.tables.shared


def test_an_earliest_start_laid_on_later_is_reckoned_with(five) -> None:
    instance, plan = five
    tables = DayTables()
    tables.of(instance)
    late = instance.with_rules(OrderRules(not_before={plan.order[0]: plan.totals.end}))
    again = evaluate(late, plan.order, solution_of(plan)[1])
    drag = PassDrag(late, again, plan.order[0])
    reckon_all(drag, tables, CancelToken())
    dropped = drag.reckon(4)
    assert isinstance(dropped, Drop)
    check_drop(late, again, plan.order[0], dropped)


def test_without_tables_the_evaluator_gives_the_same_figures(five) -> None:
    instance, plan = five
    quick, slow = (PassDrag(instance, plan, plan.order[1]) for _ in range(2))
    quick.use(DayTables().of(instance))
    slow.use(None)
    assert [quick.reckon(place) for place in range(5)] == [slow.reckon(place) for place in range(5)]


def test_a_day_of_too_many_own_tasks_for_the_tables_is_still_reckoned(five) -> None:
    instance, plan = five

    class Full(DayTables):
        def of(self, instance: Instance):
            raise NoPlan("too many own tasks", [], "fewer")

    drag = PassDrag(instance, plan, plan.order[1])
    reckon_all(drag, Full(), CancelToken())
    assert all(drag.answer(place) is not None for place in range(5))
