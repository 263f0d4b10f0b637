from __future__ import annotations

from pathlib import Path

from queueplanner.desk.day_model import Change, DayModel, DayState, Pick, Saving, Shown
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import Problem
from tests.desk.example_plan import example_plan, jobs


def loaded() -> DayModel:
    model = DayModel()
    model.load_started(Path("day.csv"))
    model.loaded(jobs(), example_plan(extra_washes=9))
    return model


def test_a_day_goes_from_empty_over_loading_and_planning_to_planned() -> None:
    model = DayModel()
    states = [model.state]
    model.listen(lambda change: states.append(model.state) if change is Change.STATE else None)
    model.load_started(Path("day.csv"))
    model.loaded(jobs(), example_plan(extra_washes=9))
    model.planning_started()
    model.progressed(1.0, example_plan())
    model.planned(example_plan(), stopped=False)
    assert states == [DayState.EMPTY, DayState.LOADING, DayState.READY, DayState.PLANNING, DayState.PLANNED]


def test_a_stopped_plan_is_kept() -> None:
    model = loaded()
    model.planning_started()
    model.planned(example_plan(), stopped=True)
    assert model.state is DayState.STOPPED
    assert model.plan == example_plan()


def test_the_order_as_received_is_on_show_until_a_better_plan_is_found() -> None:
    model = loaded()
    assert model.plan is model.as_received
    model.planning_started()
    model.progressed(0.5, None)
    assert model.plan is model.as_received
    model.progressed(1.0, example_plan())
    assert model.plan == example_plan()


def test_both_orders_can_be_shown_once_there_are_two() -> None:
    model = loaded()
    model.planned(example_plan(), stopped=False)
    model.show(Shown.AS_RECEIVED)
    assert model.plan is model.as_received
    assert not model.shows_planned
    assert all(saving.as_received is None for saving in model.savings.values())


def test_savings_are_reckoned_against_the_order_as_received() -> None:
    model = loaded()
    model.planned(example_plan(), stopped=False)
    saving = model.savings["wash_ups"]
    assert saving.saved == 9
    assert model.savings["makeready_seconds"].saved == 9 * 600


def test_a_saving_of_nothing_has_no_percentage() -> None:
    assert Saving(0, 0).percent is None
    assert Saving(75, 100).percent == 25


def test_a_refused_list_leaves_nothing_of_the_day_before() -> None:
    model = loaded()
    problem = Problem("day.csv", 2, "due", "x", "write a time")
    model.refused((problem,))
    assert model.state is DayState.ERROR
    assert model.plan is None
    assert model.job_rows == ()
    assert model.problems == (problem,)


def test_failed_planning_keeps_the_jobs_and_says_why() -> None:
    model = loaded()
    model.planning_started()
    model.planning_failed("no order meets a hard rule")
    assert model.state is DayState.READY
    assert model.failure == "no order meets a hard rule"
    assert len(model.job_rows) == 6


def test_picks_follow_time_with_the_evening_last() -> None:
    picks = loaded().picks()
    assert [p.pass_id for p in picks[:-1]] == list(example_plan().order)
    assert picks[-1] == Pick(evening=0)


def test_stepping_goes_from_pass_to_pass_and_stops_at_both_ends() -> None:
    model = loaded()
    model.step(1)
    assert model.pick == Pick(pass_id=PassId("1041"))
    model.step(1)
    assert model.pick == Pick(pass_id=PassId("1044"))
    model.step(-5)
    assert model.pick == Pick(pass_id=PassId("1041"))
    model.step(100)
    assert model.pick == Pick(evening=0)


def test_a_selection_survives_a_better_plan() -> None:
    model = loaded()
    model.select(Pick(pass_id=PassId("1047")))
    model.planning_started()
    model.progressed(1.0, example_plan())
    assert model.pick == Pick(pass_id=PassId("1047"))


def test_a_two_sided_job_has_one_row_with_both_places() -> None:
    row = next(r for r in loaded().job_rows if r.job_id == "1050")
    assert row.places == (4, 6)
    assert row.start == example_plan().passes[3].makeready_start
    assert row.end == example_plan().passes[5].run_end


def test_pass_rows_say_the_same_as_the_plan() -> None:
    for row, planned in zip(loaded().pass_rows, example_plan().passes, strict=True):
        assert row.pass_id == planned.id
        assert (row.makeready_start, row.run_start, row.run_end) == (
            planned.makeready_start, planned.run_start, planned.run_end,
        )
        assert row.makeready_seconds == planned.makeready_seconds
        assert row.late_seconds == planned.late_seconds
        assert {ink.id: unit for unit, ink in row.inks} == dict(planned.unit_of)


def test_planning_again_never_makes_the_plan_worse() -> None:
    model = loaded()
    model.planned(example_plan(), stopped=False)
    model.planning_started()
    model.progressed(0.1, example_plan(extra_washes=5))
    assert model.best == example_plan()
    model.planned(example_plan(extra_washes=1), stopped=True)
    assert model.best == example_plan()


def test_listeners_hear_of_each_selection_once() -> None:
    model, heard = loaded(), []
    model.listen(heard.append)
    model.select(Pick(pass_id=PassId("1047")))
    model.select(Pick(pass_id=PassId("1047")))
    assert heard == [Change.PICK]
