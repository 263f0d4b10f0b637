"""The slow evaluator against examples reckoned by hand. Minutes are the defaults unless a test says otherwise.

The shop of the examples: one person, 8 to 17 h every day. One sheet a second. At 8 h on the first day unit 1 holds
black and plate K, unit 2 is clean and oiled; the settings are those of every pass that does not say otherwise. So a
pass that finds all in place costs 180 s at the plan's start (load pile 120, check 60) and 240 s later (pile off 60).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from tests.oracle.evaluator import evaluate
from tests.oracle.problem import (
    Evaluation,
    Ink,
    Job,
    Order,
    OwnTask,
    Pass,
    PassResult,
    Plate,
    PressState,
    Problem,
    Profile,
    Refusal,
    Separation,
    Settings,
    Shift,
    Stock,
    Task,
    TaskId,
    UnitState,
)
from tests.oracle.random_problems import MIDNIGHT

HOUR = 3600
SAME = Settings("320", "450", "long", "operator", "bond", 100, (), Fraction(3600))
WASHES = {("black", "red"): 2, ("red", "black"): 1, ("black", "blue"): 2, ("blue", "black"): 1,
          ("red", "blue"): 2, ("blue", "red"): 3}


def at(hour: int, minute: int = 0, second: int = 0, day: int = 0) -> int:
    """A moment on the first day, or so many days later."""
    return MIDNIGHT + day * 24 * HOUR + hour * HOUR + minute * 60 + second


BLACK_IN_1 = UnitState(ink="black", plate="K", last_end=at(7, 50))
RED_IN_1 = UnitState(ink="red", plate="R", last_end=at(7, 50))
CLEAN = UnitState(oiled=True)


def one(name: str, sheets: int, *separations: tuple[str, str], **more: object) -> Pass:
    """A pass, its job of the same name, with (ink, plate) pairs; black on plate K if none is given."""
    pairs = separations or (("black", "K"),)
    base = Pass(name, name, sheets, "bond", tuple(Separation(ink, plate) for ink, plate in pairs))
    return replace(base, **more)  # type: ignore[arg-type]


def shop(*passes: Pass, unit_1: UnitState = BLACK_IN_1, unit_2: UnitState = CLEAN, **more: object) -> Problem:
    """The example shop with these passes."""
    base = Problem(
        profile=Profile(),
        inks={"black": Ink("black", "16", 24 * HOUR), "red": Ink("red", "48", HOUR),
              "blue": Ink("blue", "48", 24 * HOUR)},
        plates={
            "K": Plate("K", "metal", 400_000, 150),
            "R": Plate("R", "metal", 400_000, 150),
            "B": Plate("B", "metal", 400_000, 150),
            "thick": Plate("thick", "metal", 400_000, 171),
            "thicker by 20": Plate("thicker by 20", "metal", 400_000, 170),
            "P": Plate("P", "polyester", 400_000, 150),
            "Q": Plate("Q", "polyester", 400_000, 150),
        },
        stocks={"bond": Stock("bond", 100, "3600"), "twin": Stock("twin", 100, "3600")},
        jobs={one.job: Job(one.job) for one in passes},
        passes={one.id: one for one in passes},
        washes=WASHES,
        start=at(8),
        state=PressState({1: unit_1, 2: unit_2}, SAME, "metal"),
        shifts=tuple(Shift(at(8, day=day), at(17, day=day)) for day in range(6)),
    )
    return replace(base, **more)  # type: ignore[arg-type]


def reckoned(problem: Problem, *units: tuple[int, ...], makespan: object = None) -> Evaluation:
    """The passes in the order given, each in these units (all in unit 1 if none is given)."""
    choice = units or tuple((1,) for _ in problem.passes)
    order: Order = tuple(zip(problem.passes, choice, strict=True))
    found = evaluate(problem, order, makespan) if makespan else evaluate(problem, order)  # type: ignore[arg-type]
    assert isinstance(found, Evaluation), found
    return found


def refused(problem: Problem, *units: tuple[int, ...]) -> str:
    """The reason the passes in the order given are refused."""
    choice = units or tuple((1,) for _ in problem.passes)
    found = evaluate(problem, tuple(zip(problem.passes, choice, strict=True)))
    assert isinstance(found, Refusal)
    return found.reason


def work(result: PassResult) -> dict[str, int]:
    """Tasks and their seconds, units behind a full stop: {"fill_fountain.2": 180}."""
    return {task.key if task.unit is None else f"{task.key}.{task.unit}": task.seconds for task in result.tasks}


def times(result: PassResult) -> tuple[int, int, int, int]:
    """Make-ready's start and end, the run's start and end."""
    return result.start, result.end, result.run_start, result.run_end


def test_a_pass_that_finds_all_in_place_costs_the_pile_and_the_check():
    found = reckoned(shop(one("a", 3600), one("b", 3600)))
    first, second = found.passes
    assert work(first) == {"load_pile": 120, "check_first_sheets": 60}
    assert times(first) == (at(8), at(8, 3), at(8, 3), at(9, 3))
    assert work(second) == {"take_off_delivery_pile": 60, "load_pile": 120, "check_first_sheets": 60}
    assert times(second) == (at(9, 3), at(9, 7), at(9, 7), at(10, 7))
    # The evening at 10:07 keeps black (24 h): 180 + 240 = 420 s of make-ready, 10 points a second.
    assert [(evening.start, evening.tasks) for evening in found.evenings] == [(at(10, 7), ())]
    assert (found.makeready_seconds, found.wash_ups, found.plate_swaps, found.objective) == (420, 0, 0, 4200)


def test_an_idle_unit_keeps_ink_and_plate_and_its_metal_plate_is_gummed():
    found = reckoned(shop(one("a", 3600), one("b", 3600, ("blue", "B")), one("c", 3600)), (1,), (2,), (1,))
    # b, in unit 2 (clean): 60 + 120 + 120 + 30 + 180 + 90 + 180 + 60 = 840 s.
    assert work(found.passes[1]) == {
        "take_off_delivery_pile": 60,
        "load_pile": 120,
        "put_plate_on.2": 120,
        "gum_plate.1": 30,
        "fill_fountain.2": 180,
        "wash_blankets": 90,
        "register_and_colour": 180,
        "check_first_sheets": 60,
    }
    assert times(found.passes[1])[1:] == (at(9, 17), at(9, 17), at(10, 17))
    # c finds black and K in unit 1: only pile, gum on unit 2, check.
    assert work(found.passes[2]) == {
        "take_off_delivery_pile": 60, "load_pile": 120, "gum_plate.2": 30, "check_first_sheets": 60}
    assert found.makeready_seconds == 180 + 840 + 270
    assert (found.wash_ups, found.plate_swaps, found.stale_marks) == (0, 1, ())


def stale_day(sheets: int) -> Evaluation:
    """Red in unit 1, then blue in unit 2 for so many sheets, then red again."""
    passes = (one("a", 3600, ("red", "R")), one("b", sheets, ("blue", "B")), one("c", 3600, ("red", "R")))
    return reckoned(shop(*passes, unit_1=RED_IN_1), (1,), (2,), (1,))


def test_ink_going_stale_is_washed_at_the_changeover_at_which_its_unit_falls_idle():
    # Unmarked: a runs to 9:03, b's 840 s to 9:17, 3000 s to 10:07, c's 270 s to 10:11:30. Red stood 68.5 min > 60.
    found = stale_day(3000)
    assert found.stale_marks == ((1, 1),)
    b, c = found.passes[1:]
    # Marked: b 840 + empty 120 + one wash 300 + oil 60 = 1320 s.
    assert {key: work(b)[key] for key in ("empty_fountain.1", "wash_rollers.1", "oil_rollers.1")} == {
        "empty_fountain.1": 120, "wash_rollers.1": 300, "oil_rollers.1": 60}
    assert times(b) == (at(9, 3), at(9, 25), at(9, 25), at(10, 15))
    # c inks the same red anew with no further wash: 60 + 120 + 30 + 180 + 90 + 180 + 60 = 720 s.
    assert "wash_rollers.1" not in work(c)
    assert work(c)["fill_fountain.1"] == 180
    assert times(c) == (at(10, 15), at(10, 27), at(10, 27), at(11, 27))
    # Evening at 11:27: red again, 480 s; blue stays.
    assert [(task.key, task.unit) for task in found.evenings[0].tasks] == [
        ("empty_fountain", 1), ("wash_rollers", 1), ("oil_rollers", 1)]
    assert (found.makeready_seconds, found.wash_ups) == (180 + 1320 + 720 + 480, 2)


def test_ink_that_stood_just_its_open_time_is_not_stale():
    # Red stands 840 + sheets + 270 s: with 2490 sheets exactly 3600 s.
    assert stale_day(2490).stale_marks == ()
    assert stale_day(2491).stale_marks == ((1, 1),)


def test_stale_ink_between_two_passes_that_both_want_it_is_emptied_washed_once_and_filled():
    front = one("front", 1000, ("red", "R"))
    back = replace(front, id="back", lay_side="drive", first_side="front", drying_seconds=2 * HOUR)
    found = reckoned(shop(front, back, unit_1=RED_IN_1))
    # front 8:03 to 8:19:40, dry at 10:19:40: red would stand 2 h from run to run.
    assert found.stale_marks == ((1, 1),)
    # 60 + 120 + 180 + 90 + 60 + 120 + 300 + 180 + 90 + 180 + 60 = 1440 s, then the run waits till the sheets are dry.
    assert work(found.passes[1]) == {
        "take_off_delivery_pile": 60,
        "load_pile": 120,
        "turn_pile": 180,
        "change_lay_side": 90,
        "set_double_sheet_detector": 60,
        "empty_fountain.1": 120,
        "wash_rollers.1": 300,
        "fill_fountain.1": 180,
        "wash_blankets": 90,
        "register_and_colour": 180,
        "check_first_sheets": 60,
    }
    assert times(found.passes[1])[:3] == (at(8, 19, 40), at(8, 43, 40), at(10, 19, 40))
    assert found.wash_ups == 2  # one here, one in the evening


@pytest.mark.parametrize(
    ("last_end", "ink", "expected"),
    [
        (at(7), "red", {}),
        (at(6, 59, 59), "red", {"empty_fountain.1": 120, "wash_rollers.1": 300, "fill_fountain.1": 180}),
        (None, "red", {}),  # unknown counts as the plan's start
        (at(7), "blue", {"empty_fountain.1": 120, "wash_rollers.1": 540, "fill_fountain.1": 180}),
        (at(6, 59, 59), "blue", {"empty_fountain.1": 120, "wash_rollers.1": 540, "fill_fountain.1": 180}),
    ],
)
def test_stale_at_the_start_counts_to_the_first_changeovers_start(last_end, ink, expected):
    problem = shop(one("a", 60, (ink, "R")), unit_1=replace(RED_IN_1, last_end=last_end))
    found = work(reckoned(problem).passes[0])
    inking = ("empty_fountain.1", "wash_rollers.1", "fill_fountain.1")
    assert {key: found[key] for key in inking if key in found} == expected


def test_an_idle_unit_stale_at_the_start_is_emptied_washed_and_oiled_without_a_mark():
    problem = shop(one("a", 60), unit_2=UnitState(ink="red", last_end=at(6)))
    found = reckoned(problem)
    # 120 + 120 + 300 + 60 + 60 = 660 s
    assert work(found.passes[0]) == {
        "load_pile": 120, "empty_fountain.2": 120, "wash_rollers.2": 300, "oil_rollers.2": 60,
        "check_first_sheets": 60}
    assert (found.passes[0].stale_at_start, found.stale_marks) == ((2,), ())


@pytest.mark.parametrize("last_end", [at(7, 50), None])
def test_an_idle_unit_whose_ink_goes_stale_before_the_evening_is_washed_at_the_first_changeover(last_end):
    # Evening at 8:03 + 3600 s = 9:03: red stood 73 min, or 63 from the plan's start if its last run is unknown.
    found = reckoned(shop(one("a", 3600), unit_2=UnitState(ink="red", last_end=last_end)))
    assert found.stale_marks == ((0, 2),)
    assert found.passes[0].makeready_seconds == 660
    assert found.evenings[0].tasks == ()


def test_an_evening_ends_the_time_an_ink_has_stood():
    # The run ends at 8:03 + 2220 s = 8:40: red stood 50 min and is washed in the evening, not by a mark.
    found = reckoned(shop(one("a", 2220), unit_2=UnitState(ink="red", last_end=at(7, 50))))
    assert found.stale_marks == ()
    assert [task.key for task in found.evenings[0].tasks] == ["empty_fountain", "wash_rollers", "oil_rollers"]


def test_ink_stale_before_another_ink_follows_is_washed_where_its_unit_falls_idle():
    passes = (one("a", 3600, ("red", "R")), one("b", 3600, ("blue", "B")), one("c", 60))
    found = reckoned(shop(*passes, unit_1=RED_IN_1), (1,), (2,), (1,))
    assert found.stale_marks == ((1, 1),)
    # black after red asks for one wash, done at b: 60 + 120 + 90 + 120 + 30 + 180 + 90 + 180 + 60 = 930 s at c.
    assert found.passes[2].makeready_seconds == 930
    washed = {key for key in work(found.passes[2]) if key.startswith(("empty", "wash_rollers"))}
    assert washed == set()


def test_of_several_stale_inks_the_earliest_changeover_is_marked_first():
    # Red falls idle in unit 1 at b, in unit 2 at c; both stand longer than an hour.
    inks = (("red", "R"), ("red", "B"), ("black", "K"))
    a, b, c, d = (one(name, 3600, pair) for name, pair in zip("abcd", (*inks, inks[0]), strict=True))
    e = one("e", 60, inks[1])
    found = reckoned(shop(a, b, replace(c, sheets=60), d, e, unit_1=RED_IN_1), (1,), (2,), (1,), (1,), (2,))
    assert found.stale_marks == ((1, 1), (2, 2))
    same = shop(a, one("b", 60), a_second(a), unit_1=RED_IN_1, unit_2=UnitState(ink="red", last_end=at(7, 50)))
    assert reckoned(same, (1,), (1,), (1,)).stale_marks == ((0, 2),)


def a_second(job_pass: Pass) -> Pass:
    """The same printed once more."""
    return replace(job_pass, id=f"{job_pass.id} again")


@pytest.mark.parametrize(
    ("ink", "plate", "expected"),
    [
        # 60 + 120 + 90 + 120 + (2 - 1) × 240 + 180 + 90 + 180 + 60 = 1140 s
        ("blue", "B", {"take_plate_off.1": 90, "put_plate_on.1": 120, "wash_rollers.1": 240}),
        # black asks for one wash only, which the evening did: 900 s
        ("black", "K", {"take_plate_off.1": 90, "put_plate_on.1": 120}),
        # the same red: nothing but the fill, 690 s
        ("red", "R", {}),
    ],
)
def test_the_evening_washes_once_and_the_morning_only_what_is_missing(ink, plate, expected):
    second = one("b", 60, (ink, plate), earliest_start=at(8, day=1))
    found = reckoned(shop(one("a", 1000, ("red", "R")), second, unit_1=RED_IN_1))
    evening = found.evenings[0]
    assert (evening.start, evening.seconds) == (at(8, 19, 40), 120 + 300 + 60)
    shared = {"take_off_delivery_pile": 60, "load_pile": 120, "fill_fountain.1": 180, "wash_blankets": 90,
              "register_and_colour": 180, "check_first_sheets": 60}
    assert work(found.passes[1]) == shared | expected
    assert found.passes[1].start == at(8, day=1)
    # One wash-up for red's first evening; if red is printed again, its second evening is another.
    assert found.wash_ups == (2 if ink == "red" else 1)


def test_no_plate_is_gummed_after_an_evening():
    second = one("b", 60, ("blue", "B"), earliest_start=at(8, day=1))
    assert "gum_plate.1" not in work(reckoned(shop(one("a", 60), second), (1,), (2,)).passes[1])


@pytest.mark.parametrize(("open_seconds", "tasks"), [(82_620, 0), (82_619, 3)])
def test_ink_stays_overnight_if_its_open_time_reaches_the_next_shift(open_seconds, tasks):
    # The run ends at 9:03; 22 h 57 min = 82,620 s to 8:00.
    problem = shop(one("a", 3600))
    problem = replace(problem, inks=dict(problem.inks, black=Ink("black", "16", open_seconds)))
    assert len(reckoned(problem).evenings[0].tasks) == tasks


def test_a_day_without_a_run_has_its_evening_at_its_first_shift():
    # Red has stood 90 min at 8:00; the evening washes it anyhow, so no changeover is marked for it.
    unit = replace(RED_IN_1, last_end=at(6, 30))
    problem = shop(one("a", 60, ("red", "R"), earliest_start=at(8, day=1)), unit_1=unit, start=at(7, 50))
    found = reckoned(problem)
    assert found.stale_marks == ()
    assert [(evening.start, evening.seconds) for evening in found.evenings] == [
        (at(8), 480), (at(8, 11, 30, day=1), 480)]
    # Morning: 120 + 180 + 90 + 180 + 60 = 630 s and the run 60 s: 8:11:30.
    assert found.passes[0].makeready_seconds == 630


def test_a_night_that_began_before_the_plan_is_no_evening():
    problem = shop(one("a", 60, ("red", "R")), unit_1=replace(RED_IN_1, last_end=at(17, 30)), start=at(18))
    found = reckoned(problem)
    # Stale at the start instead: 120 + 120 + 300 + 180 + 90 + 180 + 60 = 1050 s.
    assert (found.passes[0].start, found.passes[0].makeready_seconds) == (at(8, day=1), 1050)
    assert [evening.night_start for evening in found.evenings] == [at(17, day=1)]


def test_drying_holds_the_run_but_not_the_make_ready():
    front = one("front", 1000)
    back = replace(front, id="back", lay_side="drive", first_side="front", drying_seconds=HOUR)
    found = reckoned(shop(front, back))
    # 60 + 120 + 180 + 90 + 60 + 180 + 60 = 750 s; waiting is not make-ready.
    assert times(found.passes[1])[:3] == (at(8, 19, 40), at(8, 32, 10), at(9, 19, 40))
    assert found.passes[1].makeready_seconds == 750


@pytest.mark.parametrize("crossing", [False, True])
def test_drying_beyond_the_day_moves_the_make_ready_too(crossing):
    front = one("front", 1000)
    back = replace(front, id="back", lay_side="drive", first_side="front", drying_seconds=24 * HOUR)
    found = reckoned(shop(front, back, profile=Profile(may_cross_nights=crossing)))
    assert times(found.passes[1])[:3] == (at(8, day=1), at(8, 12, 30, day=1), at(8, 19, 40, day=1))


@pytest.mark.parametrize(("end", "dry"), [(at(7, 30), at(8, 30)), (None, at(9))])
def test_a_first_side_printed_before_the_plan_dries_from_its_end_or_the_plans_start(end, dry):
    back = one("back", 60, first_side="front", drying_seconds=HOUR)
    assert reckoned(shop(back, printed={"front": end})).passes[0].run_start == dry


def test_make_ready_and_run_pause_over_breaks():
    problem = shop(one("a", 3600), breaks=((at(8, 2), at(8, 12)), (at(8, 30), at(8, 45))))
    # 2 min before the break, 1 min after; the run has 17 min before the second break and 43 after.
    assert times(reckoned(problem).passes[0]) == (at(8), at(8, 13), at(8, 13), at(9, 28))


def test_a_make_ready_that_ends_where_a_break_begins_ends_there_and_the_run_begins_after_it():
    problem = shop(one("a", 60), breaks=((at(8, 3), at(8, 13)),))
    assert times(reckoned(problem).passes[0]) == (at(8), at(8, 3), at(8, 13), at(8, 14))


def test_a_make_ready_due_in_a_break_begins_after_it():
    problem = shop(one("a", 60, earliest_start=at(9, 5)), breaks=((at(9), at(9, 10)),))
    assert reckoned(problem).passes[0].start == at(9, 10)


HIGH_PILES = Profile(may_cross_nights=True, feeder_pile_um=10**9, delivery_pile_um=10**9)


def test_a_run_over_a_night_spares_the_evening_and_idle_ink_is_judged_by_its_age():
    problem = shop(one("a", 40_000), unit_2=UnitState(ink="red", last_end=at(7, 50)), profile=HIGH_PILES)
    found = reckoned(problem)
    # Red in unit 2 stands over the night: washed at the first changeover, 180 + 480 = 660 s.
    assert found.stale_marks == ((0, 2),)
    # 8:11 to 17:00 are 31,740 s, 8,260 s are left for the next morning: 10:17:40.
    assert times(found.passes[0]) == (at(8), at(8, 11), at(8, 11), at(10, 17, 40, day=1))
    assert [evening.start for evening in found.evenings] == [at(10, 17, 40, day=1)]


def test_where_crossing_is_forbidden_the_changeover_waits_for_a_day_that_holds_the_run():
    profile = replace(HIGH_PILES, may_cross_nights=False)
    found = reckoned(shop(one("a", 3600), one("b", 30_000), profile=profile))
    # From 9:07 only 28,380 s are left; next day 8:04 + 30,000 s = 16:24.
    assert times(found.passes[1]) == (at(8, day=1), at(8, 4, day=1), at(8, 4, day=1), at(16, 24, day=1))
    assert len(found.evenings) == 2
    assert refused(shop(one("a", 32_401), profile=profile)) == "run_longer_than_a_day"


def test_a_run_may_end_with_the_shift():
    # 180 + 32,220 = 32,400 s = 9 h.
    profile = replace(HIGH_PILES, may_cross_nights=False)
    assert reckoned(shop(one("a", 32_220), profile=profile)).passes[0].run_end == at(17)
    assert reckoned(shop(one("a", 60, earliest_start=at(16, 57)))).passes[0].start == at(8, day=1)
    assert reckoned(shop(one("a", 60, earliest_start=at(16, 56)))).passes[0].start == at(16, 56)


def test_a_run_does_not_pause_longer_than_its_inks_open_time():
    unit = UnitState(plate="R", oiled=True)
    problem = shop(one("a", 3600, ("red", "R")), unit_1=unit, start=at(11), breaks=((at(12), at(13, 0, 1)),))
    # 630 s to 11:10:30; the run would meet a break of 3601 s: it starts after it.
    assert times(reckoned(problem).passes[0])[1:] == (at(11, 10, 30), at(13, 0, 1), at(14, 0, 1))
    shorter = replace(problem, breaks=((at(12), at(13)),))
    assert reckoned(shorter).passes[0].run_start == at(11, 10, 30)
    # With black beside it the shorter of the two open times counts: 13:00:01 again.
    both = one("a", 3600, ("red", "R"), ("black", "K"))
    two = replace(problem, passes={"a": both}, state=replace(problem.state, units={1: unit, 2: CLEAN}))
    assert reckoned(two, (1, 2)).passes[0].run_start == at(13, 0, 1)


def test_a_run_whose_every_start_meets_too_long_a_pause_is_refused():
    problem = shop(one("a", 40_000, ("red", "R")), unit_1=RED_IN_1, profile=HIGH_PILES)
    assert refused(problem) == "pause_longer_than_open_time"


@pytest.mark.parametrize(("last_end", "comes"), [(at(7, 30), False), (at(7, 29, 59), True), (None, True)])
def test_a_polyester_plate_is_pre_damped_after_more_than_half_an_hour(last_end, comes):
    unit = UnitState(ink="black", plate="P", last_end=last_end)
    prints = shop(one("a", 60, ("black", "P")), unit_1=unit)
    comes_off = shop(one("a", 60, ("black", "Q")), unit_1=unit)
    stays_idle = shop(one("a", 60, ("black", "Q")), unit_1=unit)
    assert ("pre_damp_plate.1" in work(reckoned(prints).passes[0])) is comes
    assert ("pre_damp_plate.1" in work(reckoned(comes_off).passes[0])) is comes
    assert "pre_damp_plate.1" not in work(reckoned(stays_idle, (2,)).passes[0])
    cannot_stay = replace(stays_idle, profile=Profile(idle_unit_thrown_off=False))
    assert ("pre_damp_plate.1" in work(reckoned(cannot_stay, (2,)).passes[0])) is comes


LABELS = OwnTask("labels", "mixing table", "outside", "5", frozenset({"backs_up"}))


@pytest.mark.parametrize(
    ("run", "lay_side", "expected"),
    [
        (300, "operator", {"load_pile", "turn_pile"}),  # 120 + 180 = 300; nothing is left for the labels' 300
        (299, "operator", {"load_pile"}),  # 179 s left: the turn's 180 do not fit, nor the labels
        (599, "operator", {"load_pile", "turn_pile"}),
        (600, "operator", {"load_pile", "turn_pile", "own:labels"}),
        (419, "drive", {"own:labels"}),  # the lay side changes: piles stay in
        (119, "operator", set()),
    ],
)
def test_external_tasks_leave_the_changeover_while_they_fit_into_the_run_before(run, lay_side, expected):
    marks = frozenset({"load_pile", "turn_pile", "own:labels"})
    profile = Profile(external=marks, own_tasks=(LABELS,))
    front = one("front", run)
    back = replace(front, id="back", first_side="front", lay_side=lay_side)
    found = reckoned(shop(front, back, profile=profile))
    assert not any(task.external for task in found.passes[0].tasks)
    second = found.passes[1]
    assert {task.key for task in second.tasks if task.external} == expected
    assert second.makeready_seconds == sum(task.seconds for task in second.tasks if not task.external)
    assert not {task for pair in second.precedence for task in pair} & {(key, None) for key in expected}


@pytest.mark.parametrize("mark", ["take_off_delivery_pile", "feeder_to_format", "own:numbering"])
def test_a_mark_on_another_task_is_refused(mark):
    numbering = OwnTask("numbering", "delivery", "stopped", "5")
    assert refused(shop(one("a", 60), profile=Profile(external=frozenset({mark}), own_tasks=(numbering,)))) == (
        "external_mark")


def test_a_plate_moving_to_the_other_unit_comes_off_first():
    blue = UnitState(ink="blue", plate="B", last_end=at(7, 50))
    result = reckoned(shop(one("a", 60), unit_2=blue), (2,)).passes[0]
    # 120 + 90 + 90 + 240 + 120 + 120 + 300 + 180 + 90 + 180 + 60 = 1590 s; black stays in unit 1.
    assert work(result) == {
        "load_pile": 120,
        "take_plate_off.1": 90,
        "take_plate_off.2": 90,
        "lift_roller_package.2": 240,
        "put_plate_on.2": 120,
        "empty_fountain.2": 120,
        "wash_rollers.2": 300,
        "fill_fountain.2": 180,
        "wash_blankets": 90,
        "register_and_colour": 180,
        "check_first_sheets": 60,
    }
    assert result.makeready_seconds == 1590
    off_1, off_2, on_2 = ("take_plate_off", 1), ("take_plate_off", 2), ("put_plate_on", 2)
    blankets, wash = ("wash_blankets", None), ("wash_rollers", 2)
    assert {(off_1, on_2), (off_1, blankets), (blankets, on_2), (("lift_roller_package", 2), off_2),
            (off_2, wash), (wash, on_2), (("empty_fountain", 2), wash)} <= result.precedence
    assert (wash, blankets) not in result.precedence
    assert (("fill_fountain", 2), on_2) not in result.precedence


@pytest.mark.parametrize(
    ("length", "swap"),
    [
        (400_000, {"take_plate_off.2": 30, "put_plate_on.2": 30}),
        (None, {"take_plate_off.2": 90, "lift_roller_package.2": 240, "put_plate_on.2": 120}),
    ],
)
@pytest.mark.parametrize(
    ("plate", "packing"), [("R", {}), ("thicker by 20", {}), ("thick", {"change_plate_packing.2": 120})]
)
def test_plates_go_by_hand_or_automatically_and_packing_follows_their_thickness(length, swap, plate, packing):
    unit = UnitState(ink="black", plate="B", last_end=at(7, 50))
    problem = shop(one("a", 60, ("black", plate)), unit_2=unit, profile=Profile(automatic_length_um=length))
    shared = {"load_pile": 120, "wash_blankets": 90, "register_and_colour": 180, "check_first_sheets": 60}
    assert work(reckoned(problem, (2,)).passes[0]) == shared | swap | packing


def test_an_idle_unit_that_cannot_be_thrown_off_loses_its_plate_but_not_its_ink():
    profile = Profile(idle_unit_thrown_off=False)
    blue = UnitState(ink="blue", plate="B", last_end=at(7, 50))
    found = work(reckoned(shop(one("a", 60), unit_2=blue, profile=profile)).passes[0])
    # No plate goes on and no ink is filled: no register.
    assert found == {"load_pile": 120, "take_plate_off.2": 90, "lift_roller_package.2": 240, "wash_blankets": 90,
                     "check_first_sheets": 60}
    # A plate that comes off where its unit falls idle is not gummed.
    changing = shop(one("a", 60), one("b", 60, ("blue", "B")), unit_2=blue, profile=profile)
    second = work(reckoned(changing, (1,), (2,)).passes[1])
    assert second["take_plate_off.1"] == 90
    assert "gum_plate.1" not in second


def test_two_units_with_fresh_plate_or_ink_take_longer_to_register():
    found = work(reckoned(shop(one("a", 60, ("blue", "B"), ("black", "K"))), (1, 2)).passes[0])
    # Unit 1: K off, B on, black out (n = 2: 300 + 240), blue in. Unit 2: K on, black in. Register 3 + 1.5 min.
    assert found == {
        "load_pile": 120,
        "take_plate_off.1": 90,
        "put_plate_on.1": 120,
        "put_plate_on.2": 120,
        "empty_fountain.1": 120,
        "wash_rollers.1": 540,
        "fill_fountain.1": 180,
        "fill_fountain.2": 180,
        "wash_blankets": 90,
        "register_and_colour": 270,
        "check_first_sheets": 60,
    }


def tacky(blue: str | None, black: str | None, instrument: str = "A", **profile: bool) -> Problem:
    """Blue in unit 1 and black in unit 2, all in place, with these tacks; printed twice."""
    both = (("blue", "B"), ("black", "K"))
    overprint = not profile.get("separate_blankets", False)
    passes = (one("a", 60, *both, overprint=overprint), one("b", 60, *both, overprint=overprint))
    problem = shop(
        *passes,
        unit_1=UnitState(ink="blue", plate="B", last_end=at(7, 50)),
        unit_2=UnitState(ink="black", plate="K", last_end=at(7, 50)),
        profile=Profile(**profile),
    )
    inks = {"blue": Ink("blue", "48", 24 * HOUR, blue, "A"), "black": Ink("black", "16", 24 * HOUR, black, instrument)}
    return replace(problem, inks=inks)


def wet_on_wet(problem: Problem) -> Problem:
    """The same with inks that overprint."""
    return replace(problem, passes={name: replace(one, overprint=True) for name, one in problem.passes.items()})


@pytest.mark.parametrize(
    ("problem", "comes"),
    [
        (tacky("12", "12"), True),
        (tacky("12.5", "12"), False),
        (tacky("9", "12"), True),
        (tacky("9", "12", "B"), False),
        (tacky(None, "12"), False),
        (tacky("9", "12", separate_blankets=True), False),
        (wet_on_wet(tacky("9", "12", separate_blankets=True)), True),
    ],
)
def test_tack_is_reduced_once_where_unit_1_has_not_the_higher(problem, comes):
    first, second = reckoned(problem, (1, 2), (1, 2)).passes
    assert ("reduce_tack" in work(first)) is comes
    assert "reduce_tack" not in work(second)


def test_reduced_tack_goes_with_the_ink():
    problem = tacky("9", "12")
    later = replace(problem.passes["b"], earliest_start=at(8, day=1))
    inks = dict(problem.inks, black=replace(problem.inks["black"], open_seconds=HOUR))
    problem = replace(problem, inks=inks, passes=dict(problem.passes, b=later))
    second = reckoned(problem, (1, 2), (1, 2)).passes[1]
    assert work(second)["reduce_tack"] == 90  # black was washed out in the evening
    assert (("reduce_tack", None), ("fill_fountain", 2)) in second.precedence


def test_a_new_ink_has_its_own_tack_again():
    problem = tacky("9", "12")
    inks = dict(problem.inks, red=Ink("red", "17", HOUR, "11", "A"))
    second = one("b", 60, ("blue", "B"), ("red", "R"))
    problem = replace(problem, inks=inks, passes=dict(problem.passes, b=second))
    first, changed = reckoned(problem, (1, 2), (1, 2)).passes
    assert work(first)["reduce_tack"] == 90
    assert work(changed)["reduce_tack"] == 90


def test_tack_counts_without_overprint_where_the_blanket_is_common():
    problem = tacky("9", "12")
    plain = {name: replace(found, overprint=False) for name, found in problem.passes.items()}
    assert "reduce_tack" in work(reckoned(replace(problem, passes=plain), (1, 2), (1, 2)).passes[0])


FORMAT = {"feeder_to_format": 180, "set_double_sheet_detector": 60, "delivery_to_format": 90,
          "move_guide_pulleys": 60, "register_and_colour": 180}
CALIPER = {"feeder_to_caliper": 120, "set_double_sheet_detector": 60, "set_printing_pressure.1": 60,
           "set_printing_pressure.2": 60, "set_gripper_fans_powder": 60}


@pytest.mark.parametrize(
    ("before", "expected"),
    [
        ({"short_mm": "319.5"}, {}),
        ({"short_mm": "321"}, FORMAT),
        ({"short_mm": "319"}, FORMAT | {"wash_blankets": 90}),
        ({"long_mm": None}, FORMAT | {"wash_blankets": 90}),
        ({"feed_edge": "short"}, FORMAT | {"wash_blankets": 90}),
        ({"lay_side": "drive"}, {"change_lay_side": 90, "set_double_sheet_detector": 60, "register_and_colour": 180}),
        ({"caliper_um": 110}, {}),  # 10 of 110 is under 10 %
        ({"caliper_um": 112}, CALIPER),  # 12 of 112 is 10.7 %
        ({"caliper_um": 91}, {}),  # 9 of 91 is 9.9 %
        ({"caliper_um": 90}, CALIPER),  # 10 of 90 is 11.1 %
        ({"caliper_um": 250}, CALIPER),
        ({"caliper_um": 251}, CALIPER | {"retime_sheet_arrival": 120}),
        ({"caliper_um": 60}, CALIPER),
        ({"caliper_um": 59}, CALIPER | {"retime_sheet_arrival": 120}),
        ({"caliper_um": None}, CALIPER | {"retime_sheet_arrival": 120}),
        ({"stock": "twin"}, {"set_double_sheet_detector": 60}),
        ({"strips": (100,)}, {"move_guide_pulleys": 60}),
        ({"speed": Fraction(3000)}, {}),  # 600 of 3000 is just 20 %
        ({"speed": Fraction(2999)}, {"set_gripper_fans_powder": 60}),
        ({"speed": None}, {"set_gripper_fans_powder": 60}),
    ],
)
def test_settings_are_set_when_they_differ_from_the_pass_before(before, expected):
    state = PressState({1: BLACK_IN_1, 2: CLEAN}, replace(SAME, **before), "metal")
    found = work(reckoned(shop(one("a", 60), state=state)).passes[0])
    assert found == {"load_pile": 120, "check_first_sheets": 60} | expected


@pytest.mark.parametrize(
    ("units", "solution", "pile", "expected"),
    [
        ({1: BLACK_IN_1, 2: UnitState()}, "metal", False, {"oil_rollers.2": 60}),
        ({1: BLACK_IN_1, 2: CLEAN}, None, False, {"change_dampening": 600}),
        ({1: BLACK_IN_1, 2: CLEAN}, "polyester", False, {"change_dampening": 600}),
        ({1: BLACK_IN_1, 2: CLEAN}, "metal", True, {"take_off_delivery_pile": 60}),
    ],
)
def test_the_rest_of_the_press_is_taken_as_the_start_gives_it(units, solution, pile, expected):
    problem = shop(one("a", 60), state=PressState(units, SAME, solution, pile))
    found = work(reckoned(problem).passes[0])
    assert found == {"load_pile": 120, "check_first_sheets": 60} | expected


@pytest.mark.parametrize(
    ("fact", "second"),
    [
        ("stock", one("b", 60, stock="twin")),
        ("format", one("b", 60, long_mm="451")),
        ("lay_side", one("b", 60, lay_side="drive")),
        ("caliper", one("b", 60, stock="thin")),
        ("plate", one("b", 60, ("black", "R"))),
        ("ink_filled", one("b", 60, ("blue", "K"))),
        ("backs_up", one("b", 60, first_side="a")),
    ],
)
def test_a_shops_own_task_comes_by_name_or_by_fact(fact, second):
    own = (OwnTask("extra", "unit 1", "stopped", "0.125", frozenset({fact})), OwnTask("numbering", "delivery",
                                                                                      "turning", "2"))
    problem = shop(one("a", 60), second, one("c", 60, own_tasks=("numbering",)), profile=Profile(own_tasks=own))
    problem = replace(problem, stocks=dict(problem.stocks, thin=Stock("thin", 99, "3600")))
    first, changed, _ = reckoned(problem).passes
    assert "own:extra" not in work(first)
    assert work(changed)["own:extra"] == 8  # 7.5 s, the half rounded up
    assert (("own:extra", None), ("check_first_sheets", None)) in changed.precedence
    same = replace(problem, passes=dict(problem.passes, b=one("b", 60)))
    _, same_again, named = reckoned(same).passes
    assert "own:extra" not in work(same_again)
    assert work(named)["own:numbering"] == 120


def test_piles_are_reloaded_and_heavy_coverage_slows_the_run():
    # 9,000 sheets at 3600 × 0.8 = 2880 an hour: 11,250 s. Piles of 4,000 (feeder) and 3,000 (delivery) sheets:
    # 2 stops of 3 min and 2 of 1 min: 480 s.
    heavy = replace(one("a", 9000), separations=(Separation("black", "K", "heavy"),))
    profile = Profile(feeder_pile_um=400_050, delivery_pile_um=300_000)
    assert reckoned(shop(heavy, profile=profile)).passes[0].run_seconds == 11_250 + 480
    # One sheet more: 11,251.25 s, rounded up, and a third stop at the delivery.
    assert reckoned(shop(replace(heavy, sheets=9001), profile=profile)).passes[0].run_seconds == 11_252 + 540
    # The heaviest class counts: 2880 sheets in an hour.
    two = replace(heavy, sheets=2880, separations=(Separation("blue", "B", "light"), *heavy.separations))
    assert reckoned(shop(two), (1, 2)).passes[0].run_seconds == 3600


def test_the_shift_in_which_a_changeover_begins_gives_its_crew():
    shifts = (Shift(at(8), at(12)), Shift(at(12), at(17), 2), Shift(at(8, day=1), at(17, day=1)))
    seen: list[int] = []

    def shared_out(tasks: Sequence[Task], pairs: frozenset[tuple[TaskId, TaskId]], crew: int) -> int:
        seen.append(crew)
        return sum(task.seconds for task in tasks) // crew

    def started_at(moment: int) -> PassResult:
        problem = shop(one("a", 60, earliest_start=moment), shifts=shifts)
        return reckoned(problem, makespan=shared_out).passes[0]

    assert (started_at(at(11, 59)).crew, started_at(at(11, 59)).makeready_seconds) == (1, 180)
    assert (started_at(at(12)).crew, started_at(at(12)).makeready_seconds) == (2, 90)
    assert set(seen) == {1, 2}
    # An evening that begins at 17:00 sharp has the crew of the shift that ends there: 480 / 2.
    red = shop(one("a", 3600, ("red", "R"), earliest_start=at(15, 54, 45)), shifts=shifts,
               unit_1=UnitState(plate="R"))
    evening = reckoned(red, makespan=shared_out).evenings[0]
    assert (evening.start, evening.crew, evening.seconds) == (at(17), 2, 240)


@pytest.mark.parametrize(("second_start", "evenings"), [(at(15, 59, 59), 1), (at(16), 2)])
def test_shifts_four_hours_apart_are_two_working_days(second_start, evenings):
    shifts = (Shift(at(8), at(12)), Shift(second_start, at(20)), Shift(at(8, day=1), at(17, day=1)))
    problem = shop(one("a", 60), one("b", 60, earliest_start=second_start), shifts=shifts)
    assert len(reckoned(problem).evenings) == evenings


def test_a_make_ready_goes_on_after_a_gap_within_the_working_day():
    shifts = (Shift(at(8), at(8, 1)), Shift(at(10), at(17)))
    assert times(reckoned(shop(one("a", 60), shifts=shifts)).passes[0])[:2] == (at(8), at(10, 2))


def test_the_objective_weighs_lateness_make_ready_wash_ups_and_reversed_pairs():
    front = one("front", 1000, ("red", "R"), job="j")
    back = one("back", 1000, ("red", "R"), job="j", first_side="front")
    third = one("third", 60, ("red", "R"))
    problem = shop(front, back, third, unit_1=RED_IN_1, known_order=("third", "front", "back"))
    problem = replace(problem, jobs={"j": Job("j", due=at(8, 40), weight=2), "third": Job("third")})
    found = reckoned(problem)
    # front 8:03 to 8:19:40; back 60 + 120 + 180 + 180 + 60 = 600 s to 8:29:40, ends 8:46:20: 380 s late, once.
    assert found.late_by_job == {"j": 380, "third": 0}
    assert [result.late_seconds for result in found.passes] == [0, 380, 0]
    # make-ready 180 + 600 + 240 + evening 480 = 1500; one wash-up; third stood before both: two pairs.
    assert (found.makeready_seconds, found.wash_ups, found.reversed_pairs) == (1500, 1, 2)
    assert found.objective == 1000 * 2 * 380 + 10 * 1500 + 60 * 1 + 120 * 2


def test_begun_passes_make_no_reversed_pairs_and_pins_count_among_the_others():
    passes = (one("a", 60), one("b", 60), one("c", 60))
    problem = shop(*passes, started=("a",), known_order=("c", "b", "a"))
    assert reckoned(problem).reversed_pairs == 1
    reckoned(replace(problem, pinned={"b": 0, "c": 1}))
    assert refused(replace(problem, pinned={"b": 1})) == "pinned_place"


def test_the_solution_follows_the_printing_plates():
    polyester = one("b", 60, ("black", "P"))
    first, second, third, fourth = reckoned(shop(one("a", 60), polyester, a_second(polyester), one("c", 60))).passes
    assert [work(one).get("change_dampening") for one in (first, second, third, fourth)] == [None, 600, None, 600]


ARROWS = """
    lift_roller_package.2 > take_plate_off.2
    pre_damp_plate.1 > take_plate_off.1
    pre_damp_plate.2 > take_plate_off.2
    take_plate_off.1 > change_plate_packing.1 wash_rollers.1 wash_blankets
    take_plate_off.2 > change_plate_packing.2 wash_rollers.2 wash_blankets put_plate_on.1
    change_plate_packing.1 > put_plate_on.1
    change_plate_packing.2 > put_plate_on.2
    empty_fountain.1 > wash_rollers.1
    empty_fountain.2 > wash_rollers.2
    wash_rollers.1 > fill_fountain.1 put_plate_on.1
    wash_rollers.2 > fill_fountain.2 put_plate_on.2
    reduce_tack > fill_fountain.2
    wash_blankets > put_plate_on.1 put_plate_on.2
    take_off_delivery_pile > delivery_to_format move_guide_pulleys set_gripper_fans_powder retime_sheet_arrival
    feeder_to_format > load_pile
    change_lay_side > load_pile
    load_pile > turn_pile
    feeder_to_caliper > set_double_sheet_detector
    turn_pile > set_double_sheet_detector
    register_and_colour > check_first_sheets
"""


def closed(pairs: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """The pairs and all that follow from them."""
    more = pairs | {(a, d) for a, b in pairs for c, d in pairs if b == c}
    return pairs if more == pairs else closed(more)


def test_in_a_changeover_of_everything_each_task_waits_for_what_it_must():
    # Q moves from unit 2 to unit 1, P comes off unit 1, S goes on unit 2; both inks change.
    plates = {"P": Plate("P", "polyester", 400_000, 120), "Q": Plate("Q", "polyester", 400_000, 150),
              "S": Plate("S", "polyester", 400_000, 200)}
    state = PressState(
        {1: UnitState(ink="black", plate="P"), 2: UnitState(ink="red", plate="Q")}, Settings(), None, True)
    both = one("a", 60, ("blue", "Q"), ("black", "S"), first_side="front")
    problem = shop(both, state=state, plates=plates, printed={"front": at(7)})
    problem = replace(problem, inks=dict(problem.inks, blue=Ink("blue", "48", HOUR, "9", "A"),
                                         black=Ink("black", "16", HOUR, "12", "A")))
    result = reckoned(problem, (1, 2)).passes[0]
    names = {task.id: task.key if task.unit is None else f"{task.key}.{task.unit}" for task in result.tasks}
    assert len(names) == 33
    expected = {(a, b) for line in ARROWS.split("\n") if line for a, _, rest in [line.strip().partition(" > ")]
                for b in rest.split()}
    expected |= {(name, "register_and_colour") for name in names.values()}
    expected -= {(name, "register_and_colour") for name in ("register_and_colour", "check_first_sheets")}
    assert closed({(names[a], names[b]) for a, b in result.precedence}) == closed(expected)


def test_an_idle_unit_washed_for_its_age_is_oiled_last():
    result = reckoned(shop(one("a", 60), unit_2=UnitState(ink="red", last_end=at(6)))).passes[0]
    chain = [("empty_fountain", 2), ("wash_rollers", 2), ("oil_rollers", 2), ("check_first_sheets", None)]
    assert all((a, b) in result.precedence for a, b in pairwise(chain))


def test_two_inks_go_lighter_first_unless_equally_light_or_free():
    pair = (("black", "K"), ("blue", "B"))
    assert refused(shop(one("a", 60, *pair)), (1, 2)) == "darker_ink_in_unit_1"
    assert refused(shop(one("a", 60, *pair, units_free=True, overprint=False)), (1, 2)) == "darker_ink_in_unit_1"
    free = Profile(separate_blankets=True)
    assert refused(shop(one("a", 60, *pair, units_free=True), profile=free), (1, 2)) == "darker_ink_in_unit_1"
    reckoned(shop(one("a", 60, *pair, units_free=True, overprint=False), profile=free), (1, 2))
    near = shop(one("a", 60, *pair))
    reckoned(replace(near, inks=dict(near.inks, blue=Ink("blue", "16.1", HOUR))), (1, 2))
    assert refused(replace(near, inks=dict(near.inks, blue=Ink("blue", "16.11", HOUR))), (1, 2)) == (
        "darker_ink_in_unit_1")


def test_what_no_press_or_order_may_do_is_refused():
    pair = (("blue", "B"), ("black", "K"))
    single = PressState({1: BLACK_IN_1}, SAME, "metal")
    assert refused(shop(one("a", 60, *pair), profile=Profile(units=1), state=single), (1, 2)) == "too_many_separations"
    assert refused(shop(one("a", 60, ("blue", "P"), ("black", "K"))), (1, 2)) == "mixed_plate_materials"
    assert refused(shop(one("a", 60, ("blue", "K"), ("black", "K"))), (1, 2)) == "one_plate_in_two_units"
    assert refused(shop(one("a", 60), profile=Profile(plate_length_um=(1, 399_999)))) == "plate_length"
    assert refused(shop(one("a", 60), profile=Profile(plate_thickness_um=(151, 300)))) == "plate_thickness"
    back = one("back", 60, first_side="front")
    assert refused(shop(back, one("front", 60))) == "second_side_before_first"
    assert refused(shop(back)) == "first_side_missing"
    assert refused(shop(one("a", 60), one("b", 60), pinned={"b": 0})) == "pinned_place"
    assert refused(shop(one("a", 60), one("b", 60), started=("b",))) == "started_pass_moved"
    assert refused(shop(one("a", 60, earliest_start=at(8, day=6)))) == "calendar_ends"
