"""Where the minutes went."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.actuals import ActualChangeover, InkChange, Trigger
from queueplanner.learning.pareto import By, changeovers_by, pareto, shared_out, stops_by_reason
from tests.learning.logged import changeover, run, task

INK, PLATE = Trigger.INK, Trigger.PLATE


def _washed(seconds: float, old: str = "black", new: str = "yellow", ticked: float | None = None) -> ActualChangeover:
    tasks = [task("wash_rollers", 300, ticked, unit=1, trigger=INK), task("put_plate_on", 100, unit=2, trigger=PLATE)]
    return changeover(seconds, tasks, changes=(InkChange(1, old, new),))


def test_stops_are_summed_by_reason_the_longest_first() -> None:
    rows = stops_by_reason([run(stops={"dust": 60, "plate": 200}), run(stops={"dust": 240})])
    assert [(r.key, r.count, r.amount, r.share, r.running_share) for r in rows] == [
        ("dust", 2, 300, 0.6, 0.6),
        ("plate", 1, 200, 0.4, 1.0),
    ]


def test_no_stops_make_no_bars() -> None:
    assert stops_by_reason([run()]) == ()
    assert pareto([("dust", 0.0)])[0].share == 0


def test_a_total_is_shared_out_as_planned_and_by_ticks_where_there_are_any() -> None:
    assert [cost for _, cost in shared_out(_washed(800))] == [(300, 600), (100, 200)]
    assert [cost for _, cost in shared_out(_washed(800, ticked=700))] == [(300, 700), (100, 100)]


def test_changeovers_are_summed_by_each_cause() -> None:
    done = [_washed(800), _washed(400, "blue", "black"), changeover(100, press="q", crew=2)]
    assert {r.key: (r.changeovers, r.planned_seconds, r.actual_seconds) for r in changeovers_by(done, By.INK_PAIR)} == {
        "black → yellow": ((0,), 300, 600),
        "blue → black": ((1,), 300, 300),
    }
    assert [r.key for r in changeovers_by(done, By.TRIGGER)] == ["ink", "plate", "every pass"]
    assert {r.key: r.actual_seconds for r in changeovers_by(done, By.CREW)} == {"1": 1200, "2": 100}
    assert {r.key: r.excess_seconds for r in changeovers_by(done, By.PRESS)} == {"p": 400, "q": 0}
    assert {r.key: r.actual_seconds for r in changeovers_by(done, By.TASK)} == {
        "wash_rollers": 900, "put_plate_on": 300, "load_pile": 100,
    }  # fmt: skip


def test_a_single_bad_day_makes_no_habit() -> None:
    habit = [_washed(s, "black", "yellow") for s in (700, 900, 500, 800, 600, 850, 550, 700)]
    calm = [
        _washed(s, "blue", new) for new in ("black", "red", "rose") for s in (400, 600, 200, 500, 300, 550, 250, 400)
    ]
    once = [_washed(700, "red", "blue")]
    usual = {r.key: r.usual_excess for r in changeovers_by([*habit, *calm, *once], By.INK_PAIR)}
    assert usual["red → blue"] < 0.7 * 225 < usual["black → yellow"]  # both cost 225 s a time over the plan
    assert abs(usual["blue → red"]) < 30


AMOUNTS = st.lists(st.tuples(st.sampled_from("abcde"), st.integers(0, 1000).map(float)), max_size=30)


@settings(derandomize=True, deadline=None)
@given(AMOUNTS)
def test_bars_fall_and_their_shares_add_up(amounts: list[tuple[str, float]]) -> None:
    rows = pareto(amounts)
    assert [r.amount for r in rows] == sorted((r.amount for r in rows), reverse=True)
    assert sum(r.amount for r in rows) == sum(a for _, a in amounts)
    if any(a for _, a in amounts):
        assert rows[-1].running_share == pytest.approx(1)


@settings(derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 5000), st.none() | st.integers(0, 3000)), min_size=1, max_size=8))
def test_what_causes_cost_adds_up_to_what_was_spent(made: list[tuple[int, int | None]]) -> None:
    done = [_washed(seconds, ticked=ticked) for seconds, ticked in made]
    for by in (By.TRIGGER, By.TASK, By.CREW, By.PRESS):
        rows = changeovers_by(done, by)
        assert sum(r.actual_seconds for r in rows) == pytest.approx(sum(seconds for seconds, _ in made))
        assert sum(r.planned_seconds for r in rows) == pytest.approx(400 * len(made))
