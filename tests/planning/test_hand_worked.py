"""The evaluator against examples worked by hand, on the small shop: the arithmetic stands beside each of them."""

from __future__ import annotations

from datetime import time

import pytest

from queueplanner.planning.plan import Holding, Plan, UnitSpan
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.press import OwnTask, Place, TaskState
from queueplanner.shop.start import UnitStart
from tests.small_shop import (
    CLEAN,
    at,
    back_of,
    day,
    holding,
    hours,
    ink,
    moment,
    one,
    planned,
    plate,
    press,
    separation,
    times,
    work,
)

RED = holding("red", "R")
#: What every changeover but the first begins and ends with.
PILE_AND_CHECK = {"take_off_delivery_pile": 60, "load_pile": 120, "check_first_sheets": 60}
#: And what it takes besides when a plate or an ink goes in.
COLOUR = PILE_AND_CHECK | {"wash_blankets": 90, "register_and_colour": 180}


def test_a_pass_that_finds_all_in_place_costs_the_pile_and_the_check() -> None:
    # At the plan's start 120 + 60 s; later the delivery pile comes off as well, 60 s.
    first, second = planned(day(one("a", 3600), one("b", 3600))).passes
    assert work(first) == {"load_pile": 120, "check_first_sheets": 60}
    assert times(first) == (at(8), at(8, 3), at(8, 3), at(9, 3))
    assert work(second) == PILE_AND_CHECK
    assert times(second) == (at(9, 3), at(9, 7), at(9, 7), at(10, 7))


def test_an_idle_unit_carries_ink_and_plate_over_and_its_metal_plate_is_gummed() -> None:
    blue = one("b", 3600, ("blue", "B"))
    plan = planned(day(one("a", 3600), blue, one("c", 3600)), b=(2,))
    # b in the clean unit 2: 60 + 120 + plate on 120 + gum 30 + fill 180 + 90 + 180 + 60 = 840 s, 9:03 to 9:17.
    assert work(plan.passes[1]) == COLOUR | {"put_plate_on.2": 120, "gum_plate.1": 30, "fill_fountain.2": 180}
    assert times(plan.passes[1]) == (at(9, 3), at(9, 17), at(9, 17), at(10, 17))
    # c finds black and K still in unit 1: 240 + gum on unit 2, 30 = 270 s.
    assert work(plan.passes[2]) == PILE_AND_CHECK | {"gum_plate.2": 30}
    assert plan.totals.makeready_seconds == 180 + 840 + 270
    assert (plan.totals.wash_ups, plan.totals.plate_swaps) == (0, 1)


def test_in_one_unit_the_same_three_passes_cost_two_wash_ups() -> None:
    plan = planned(day(one("a", 3600), one("b", 3600, ("blue", "B")), one("c", 3600)))
    # b: empty 120, two washes 300 + 240, plate off 90 and on 120, fill 180, and 510 of pile, blankets, register, check.
    assert plan.passes[1].makeready_seconds == 120 + 540 + 90 + 120 + 180 + 510
    # c: black after blue asks for one wash, 240 s less.
    assert plan.passes[2].makeready_seconds == 120 + 300 + 90 + 120 + 180 + 510
    assert (plan.totals.wash_ups, plan.totals.washes, plan.totals.plate_swaps) == (2, 3, 2)


def _red_blue_red(sheets: int) -> Plan:
    """Red in unit 1, blue in unit 2 for so many sheets, red again."""
    a, c = (one(name, 3600, ("red", "R")) for name in "ac")
    return planned(day(a, one("b", sheets, ("blue", "B")), c, unit_1=RED), b=(2,))


def test_an_ink_going_stale_is_washed_where_its_unit_falls_idle() -> None:
    # Left alone red would stand from 9:03 over b's 840 s and 3000 s and c's 270 s: 4110 s, its open time is 3600.
    _, b, c = _red_blue_red(3000).passes
    # b: 840 + empty 120 + one wash 300 + oil 60 = 1320 s; a plate that falls idle is gummed all the same.
    assert work(b) == COLOUR | {
        "put_plate_on.2": 120, "gum_plate.1": 30, "fill_fountain.2": 180,
        "empty_fountain.1": 120, "wash_rollers.1": 300, "oil_rollers.1": 60,
    }  # fmt: skip
    assert times(b) == (at(9, 3), at(9, 25), at(9, 25), at(10, 15))
    # c inks the same red anew, no further wash: 60 + 120 + 60 + 90 + 180 + gum 30 + fill 180 = 720 s.
    assert work(c) == COLOUR | {"gum_plate.2": 30, "fill_fountain.1": 180}
    assert times(c) == (at(10, 15), at(10, 27), at(10, 27), at(11, 27))


@pytest.mark.parametrize(("sheets", "washed"), [(2490, False), (2491, True)])
def test_an_ink_that_stood_just_its_open_time_is_not_stale(sheets: int, washed: bool) -> None:
    # Red stands 840 + sheets + 270 s: with 2490 sheets 3600 s.
    assert ("wash_rollers.1" in work(_red_blue_red(sheets).passes[1])) is washed


def test_a_stale_ink_wanted_on_both_sides_is_emptied_washed_once_and_filled_between_them() -> None:
    front = one("a", 1000, ("red", "R"))
    plan = planned(day(front, back_of(front, 2 * 3600), unit_1=RED))
    # The front ends at 8:03 + 1000 s = 8:19:40 and is dry at 10:19:40: red would stand two hours from run to run.
    assert work(plan.passes[1]) == COLOUR | {
        "turn_pile": 180, "change_lay_side": 90, "set_double_sheet_detector": 60,
        "empty_fountain.1": 120, "wash_rollers.1": 300, "fill_fountain.1": 180,
    }  # fmt: skip
    # 60 + 120 + 180 + 90 + 60 + 120 + 300 + 180 + 90 + 180 + 60 = 1440 s = 24 min
    assert times(plan.passes[1])[:3] == (at(8, 19, 40), at(8, 43, 40), at(10, 19, 40))
    # One wash-up here, and one in the evening: red does not last till the morning.
    assert plan.totals.wash_ups == 2


def test_a_run_waits_until_its_first_side_is_dry_and_waiting_is_no_make_ready() -> None:
    front = one("a", 1000)
    plan = planned(day(front, back_of(front, 3600)))
    # 60 + 120 + turn 180 + lay side 90 + detector 60 + register 180 + check 60 = 750 s from 8:19:40 to 8:32:10;
    # dry at 9:19:40, 2850 s later.
    assert times(plan.passes[1])[:3] == (at(8, 19, 40), at(8, 32, 10), at(9, 19, 40))
    assert (plan.passes[1].makeready_seconds, plan.passes[1].waits_seconds) == (750, 2850)
    assert (plan.totals.makeready_seconds, plan.totals.waiting_seconds) == (180 + 750, 2850)


@pytest.mark.parametrize(
    ("ink", "its_plate", "more"),
    [
        # blue after red asks for two washes, one was done in the evening: one more, 240 s
        ("blue", "B", {"take_plate_off.1": 90, "put_plate_on.1": 120, "wash_rollers.1": 240}),
        # black asks for one, and that was done
        ("black", "K", {"take_plate_off.1": 90, "put_plate_on.1": 120}),
        # red again needs none
        ("red", "R", {}),
    ],
)
def test_the_evening_washes_once_and_the_morning_only_what_is_missing(
    ink: str, its_plate: str, more: dict[str, int]
) -> None:
    tomorrow = one("b", 60, (ink, its_plate), earliest=moment(8, day=1))
    plan = planned(day(one("a", 1000, ("red", "R")), tomorrow, unit_1=RED))
    evening = plan.evenings[0]
    # a ends at 8:03 + 1000 s; empty 120 + wash 300 + oil 60 = 480 s.
    assert (evening.start, evening.end, evening.seconds) == (at(8, 19, 40), at(8, 27, 40), 480)
    assert work(evening) == {"empty_fountain.1": 120, "wash_rollers.1": 300, "oil_rollers.1": 60}
    assert plan.passes[1].makeready_start == at(8, day=1)
    assert work(plan.passes[1]) == COLOUR | {"fill_fountain.1": 180} | more


@pytest.mark.parametrize(("sheets", "washed"), [(3149, True), (3150, False)])
def test_an_ink_stays_over_night_if_its_open_time_reaches_the_next_shift(sheets: int, washed: bool) -> None:
    # load 120, fill 180, blankets 90, register 180, check 60 = 630 s to 8:10:30; 3150 sheets to 9:03:00. From there
    # to 8:00 next day are 22 h 57 min = 22.95 h.
    its = separation("black", "K").model_copy(update={"ink": ink("brown", 30.0, 22.95)})
    plan = planned(day(one("a", sheets, separations=(its,)), unit_1=UnitStart(plate=plate("K"), oiled=True)))
    assert plan.passes[0].run_end == at(8, 10, 30) + sheets
    taken_out = ["empty_fountain", "wash_rollers", "oil_rollers"] if washed else []
    assert [t.task for t in plan.evenings[0].tasks] == taken_out


def test_make_ready_and_run_pause_over_breaks() -> None:
    breaks = ((time(8, 2), time(8, 12)), (time(8, 30), time(8, 45)))
    found = planned(day(one("a", 3600), calendar=hours(breaks=breaks))).passes[0]
    # 2 min of make-ready before the first break, 1 after; 17 min of the run before the second break, 43 after.
    assert found.makeready_pieces == ((at(8), at(8, 2)), (at(8, 12), at(8, 13)))
    assert found.run_pieces == ((at(8, 13), at(8, 30)), (at(8, 45), at(9, 28)))
    assert found.makeready_seconds == 180


def test_a_run_does_not_pause_longer_than_its_ink_may_stand() -> None:
    lunch = ((time(12), time(13, 0, 1)),)
    mounted = UnitStart(plate=plate("R"), oiled=True)
    run = one("a", 3600, ("red", "R"))
    late = planned(day(run, unit_1=mounted, start_at=moment(11), calendar=hours(breaks=lunch))).passes[0]
    # load 120, fill 180, blankets 90, register 180, check 60 = 630 s to 11:10:30; a break of 3601 s lies in the way.
    assert times(late) == (at(11), at(11, 10, 30), at(13, 0, 1), at(14, 0, 1))
    hour = ((time(12), time(13)),)
    whole = planned(day(run, unit_1=mounted, start_at=moment(11), calendar=hours(breaks=hour))).passes[0]
    assert times(whole) == (at(11), at(11, 10, 30), at(11, 10, 30), at(13, 10, 30))


def test_a_run_over_a_night_spares_the_evening_and_idle_ink_is_judged_by_its_age() -> None:
    found = planned(day(one("a", 40_000), unit_2=holding("red", None), profile=press(runs_cross_days=True)))
    # Red, idle in unit 2, would stand over the night: out at the first changeover, 180 + 120 + 300 + 60 = 660 s.
    assert work(found.passes[0]) == {
        "load_pile": 120, "empty_fountain.2": 120, "wash_rollers.2": 300, "oil_rollers.2": 60,
        "check_first_sheets": 60,
    }  # fmt: skip
    # 8:11 to 17:00 are 31,740 s, the other 8260 s end at 10:17:40; the only evening comes after that.
    assert times(found.passes[0]) == (at(8), at(8, 11), at(8, 11), at(10, 17, 40, day=1))
    assert [e.start for e in found.evenings] == [at(10, 17, 40, day=1)]


def test_where_no_run_may_cross_a_night_the_changeover_waits_for_a_day_that_holds_it() -> None:
    plan = planned(day(one("a", 3600), one("b", 30_000)))
    # From 9:07 only 28,380 s are left; next day 8:04 + 30,000 s = 16:24.
    assert times(plan.passes[1]) == (at(8, day=1), at(8, 4, day=1), at(8, 4, day=1), at(16, 24, day=1))
    assert [e.start for e in plan.evenings] == [at(9, 3), at(16, 24, day=1)]
    # 9 h hold 180 s of make-ready and 32,220 of run, and not one sheet more.
    assert planned(day(one("a", 32_220))).passes[0].run_end == at(17)
    with pytest.raises(NoPlan):
        planned(day(one("a", 32_221)))


@pytest.mark.parametrize(("last_end", "comes"), [(moment(7, 30), False), (moment(7, 29, 59), True), (None, True)])
def test_a_polyester_plate_that_stood_over_half_an_hour_is_damped_first(last_end: object, comes: bool) -> None:
    film = plate("P", PlateMaterial.POLYESTER)
    unit = UnitStart(ink="black", plate=film, last_run_end=last_end)
    found = planned(day(one("a", 60, ("black", film)), unit_1=unit, solution=PlateMaterial.POLYESTER)).passes[0]
    assert work(found) == {"load_pile": 120, "check_first_sheets": 60} | ({"pre_damp_plate.1": 30} if comes else {})
    # A metal plate goes on instead, and with it another solution (10 min): the film is damped to come off.
    off = planned(day(one("a", 60), unit_1=unit, solution=PlateMaterial.POLYESTER)).passes[0]
    assert ("pre_damp_plate.1" in work(off)) is comes
    assert off.makeready_seconds == 120 + 90 + 120 + 90 + 600 + 180 + 60 + (30 if comes else 0)


def test_what_is_done_outside_leaves_the_changeover_if_it_fits_into_the_run_before() -> None:
    slip = OwnTask(name="docket", place=Place.MIXING_TABLE, state=TaskState.OUTSIDE, minutes=3.0)
    profile = press(own_tasks=(slip,), external=("load_pile", "own:docket"))
    named = {"own_tasks": ("docket",)}

    def second(sheets: int, **more: object) -> tuple[int, list[str]]:
        found = planned(day(one("a", sheets), one("b", 60, **(named | more)), profile=profile)).passes[1]
        return found.makeready_seconds, [t.task for t in found.tasks if t.external]

    # Inside 60 + 120 + 180 + 60 = 420 s. A run of 300 s takes load 120 and docket 180, one of 299 only the load;
    # one of 119 s neither.
    assert second(300) == (120, ["load_pile", "own:docket"])
    assert second(299) == (300, ["load_pile"])
    assert second(119) == (420, [])
    # A load that does not go out leaves its room to the docket: with the lay side changing (90 s, detector 60,
    # register 180) it stays: 60 + 120 + 90 + 60 + 180 + 60 = 570 s.
    assert second(180, lay_side="drive") == (570, ["own:docket"])
    # The first pass of the plan has no run before it.
    first = planned(day(one("a", 60, **named), profile=profile)).passes[0]
    assert (first.makeready_seconds, any(t.external for t in first.tasks)) == (360, False)


def test_a_plate_needed_in_the_other_unit_moves_over() -> None:
    found = planned(day(one("a", 60), one("b", 60, ("blue", "K"))), b=(2,))
    # K comes off unit 1 (90), goes onto unit 2 (120), and blue into unit 2 (180); black stays where it is.
    assert work(found.passes[1]) == COLOUR | {
        "take_plate_off.1": 90, "put_plate_on.2": 120, "fill_fountain.2": 180,
    }  # fmt: skip
    off, on = (next(t for t in found.passes[1].tasks if t.task == key) for key in ("take_plate_off", "put_plate_on"))
    assert off.start is not None
    assert on.start is not None
    assert off.start + off.seconds <= on.start


def test_the_ribbons_of_a_plate_that_moves_over_show_it_in_one_unit_at_a_time() -> None:
    plan = planned(day(one("a", 60), one("b", 60, ("blue", "K"))), b=(2,))
    # b begins at 8:04. One person: pile off 60, load 120, K off 90 (to 270 s: 8:08:30), fill 180 (to 450), blankets 90
    # (to 540: 8:13), K on unit 2 from 8:13.
    where = {unit: [(s.start, s.end) for s in plan.spans if s.unit == unit and s.plate is not None] for unit in (1, 2)}
    assert where[1][-1][1] == at(8, 8, 30)
    on = next(t.start for t in plan.passes[1].tasks if t.task == "put_plate_on")
    assert on is not None
    assert where[2][0][0] == at(8, 4) + on
    assert all(s.plate is None for s in plan.spans if s.unit == 1 and s.start >= at(8, 8, 30))


def _blue_in_unit_2(old: float, new: float, profile: object) -> dict[str, int]:
    """Plate tasks when a new plate replaces an old one in unit 2, each of a length."""
    unit = holding("blue", plate("old", length=old))
    run = one("a", 60, ("blue", plate("new", length=new)))
    done = work(planned(day(run, unit_1=CLEAN, unit_2=unit, profile=profile), a=(2,)).passes[0])
    return {key.partition(".")[0]: s for key, s in done.items() if "plate" in key or "lift" in key}


def test_the_press_changes_its_one_length_and_hands_change_the_others() -> None:
    auto, by_hand = press(automatic_plate_length_mm=400.0), press()
    # By hand in unit 2 the roller package comes out and goes back (240) when a plate comes off: 240 + 90 + 120.
    assert _blue_in_unit_2(400.0, 400.0, by_hand) == {
        "lift_roller_package": 240,
        "take_plate_off": 90,
        "put_plate_on": 120,
    }
    # Per plate: the press takes off and puts on the plates of its own length, in 30 s each.
    assert _blue_in_unit_2(400.0, 400.0, auto) == {"take_plate_off": 30, "put_plate_on": 30}
    assert _blue_in_unit_2(400.0, 410.0, auto) == {"take_plate_off": 30, "put_plate_on": 120}
    assert _blue_in_unit_2(410.0, 400.0, auto) == {"lift_roller_package": 240, "take_plate_off": 90, "put_plate_on": 30}


def test_tack_is_reduced_once_and_the_mark_goes_with_the_ink() -> None:
    # Red (L* 50, tack 6) is the lighter and goes in unit 1; black's tack in unit 2 is 8: too high for wet on wet.
    two = [one(name, 60, ("red", "R"), ("black", "K")) for name in "abc"]
    alone = one("d", 60, ("blue", "B"))
    plan = planned(day(*two[:2], alone, two[2], unit_1=RED, unit_2=holding("black", "K")), d=(2,))
    first, again, blue, anew = plan.passes
    assert work(first) == {"load_pile": 120, "reduce_tack": 90, "check_first_sheets": 60}
    assert [w.code for w in first.warnings] == ["tack_order"]
    # Black is reduced already: nothing to do, said so.
    assert work(again) == PILE_AND_CHECK
    assert [w.code for w in again.warnings] == ["tack_already_reduced"]
    # Blue takes black out of unit 2; black that goes in again is not reduced.
    assert "empty_fountain.2" in work(blue)
    assert work(anew)["reduce_tack"] == 90
    tasks = [t.task for t in anew.tasks]
    assert tasks.index("reduce_tack") < tasks.index("fill_fountain")


def test_a_wash_in_the_evening_takes_the_reduced_ink_out() -> None:
    blue_black = [
        one(n, 60, ("red", "R"), ("black", "K"), earliest=e) for n, e in (("a", None), ("b", moment(8, day=2)))
    ]
    plan = planned(day(*blue_black, unit_1=RED, unit_2=holding("black", "K")))
    # Black (24 h) stays from 8:05:30 to the first morning at 8:00, but not to the second.
    assert [[(t.task, t.unit) for t in e.tasks if t.task == "empty_fountain"] for e in plan.evenings[:2]] == [
        [("empty_fountain", 1)],
        [("empty_fountain", 2)],
    ]
    assert work(plan.passes[1])["reduce_tack"] == 90


def test_two_persons_need_the_shortest_schedule_worked_by_hand() -> None:
    # The changeover of 840 s in unit 2 again. Before register and check stand 600 s of work: two persons need at
    # least 300. Fill (180) and plate on (120) are both in unit 2, so one person has 300 s there. The blankets must be
    # done before the plate goes on, gum must turn while nothing is stopped: blankets 0-90 and gum 90-120 beside the
    # fill 0-180, load and pile off (180, outside) beside the rest. 300 + register 180 + check 60 = 540 s.
    blue = one("b", 3600, ("blue", "B"))
    plan = planned(day(one("a", 3600), blue, calendar=hours(crew=2)), b=(2,))
    first, second = plan.passes
    # load 120 and check 60 follow each other: nothing to share.
    assert (first.crew, first.makeready_seconds) == (2, 180)
    assert second.makeready_seconds == 540
    starts = {t.task: t.start for t in second.tasks}
    assert (starts["fill_fountain"], starts["put_plate_on"]) == (0, 180)
    assert (starts["register_and_colour"], starts["check_first_sheets"]) == (300, 480)
    assert {t.person for t in second.tasks} == {1, 2}


def test_one_person_goes_through_the_lane_without_a_pause() -> None:
    found = planned(day(one("a", 3600), one("b", 3600, ("blue", "B"))), b=(2,)).passes[1]
    assert {t.person for t in found.tasks} == {1}
    now = 0
    for task in found.tasks:
        assert task.start == now
        now += task.seconds
    assert now == 840


def _seen(plan: Plan, unit: int) -> list[tuple[int, int, str, str | None, str | None]]:
    def row(s: UnitSpan) -> tuple[int, int, str, str | None, str | None]:
        return s.start, s.end, s.holding.value, s.ink and s.ink.name, s.plate and s.plate.id

    return [row(s) for s in plan.spans if s.unit == unit]


def test_the_ribbons_show_what_stands_on_each_unit_when() -> None:
    plan = planned(day(one("a", 1020), one("b", 600, ("red", "R"))))
    # a 8:03 to 8:20. b, one person, in working order: pile off 60, load 120 (to 180 s), plate off 90 (270), then
    # empty, wash ×2, fill, blankets and plate on until all before register is done.
    b = plan.passes[1]
    starts = {t.task: t.start or 0 for t in b.tasks}
    # empty 120 s: black stands till then; red stands from the start of its fill; K until 8:20 + 270 s.
    emptied, filled = at(8, 20) + starts["empty_fountain"] + 120, at(8, 20) + starts["fill_fountain"]
    off, on = at(8, 20) + starts["take_plate_off"] + 90, at(8, 20) + starts["put_plate_on"]
    assert off == at(8, 24, 30)
    assert emptied == at(8, 26, 30)
    # 60 + 120 + 90 + 120 + 540 + 180 + 90 + 120 + 180 + 60 = 1560 s: red runs 8:46 to 8:56, then its evening:
    # empty to 8:58, wash and oil to 9:04.
    inked = [
        (at(8), at(8, 3), "standing", "black"),
        (at(8, 3), at(8, 20), "printing", "black"),
        (at(8, 20), emptied, "standing", "black"),
        (emptied, filled, "clean", None),
        (filled, at(8, 46), "standing", "red"),
        (at(8, 46), at(8, 56), "printing", "red"),
        (at(8, 56), at(8, 58), "standing", "red"),
        (at(8, 58), at(9, 4), "clean", None),
    ]
    for start, end, what, name in inked:
        inside = [s for s in _seen(plan, 1) if start <= s[0] < end]
        assert (inside[0][0], inside[-1][1]) == (start, end)
        assert {s[2:4] for s in inside} == {(what, name)}
    for start, end, _, _, mounted in _seen(plan, 1):
        assert mounted == ("K" if end <= off else "R" if start >= on else None)
    assert _seen(plan, 2) == [(at(8), at(9, 4), Holding.CLEAN.value, None, None)]


def test_closed_time_is_told_between_the_plans_start_and_end() -> None:
    plan = planned(day(one("a", 3600), one("b", 30_000), calendar=hours(breaks=((time(9), time(9, 10)),))))
    # b's 30,000 s and 240 s fit into a day of 9 h less 10 min = 31,800 s, from the next morning on.
    assert plan.closed == ((at(9), at(9, 10)), (at(17), at(8, day=1)), (at(9, day=1), at(9, 10, day=1)))


def test_the_totals_and_the_objective_are_sums_worked_by_hand() -> None:
    front = one("a", 1000, ("red", "R"), job="j", running_waste=100, makeready_waste=50)
    back = back_of(front, 0)
    third = one("c", 60, ("red", "R"))
    plan = planned(
        day(front, back, third, unit_1=RED, due={"j": moment(8, 40)}, weight={"j": 2}),
    )
    # front: 180 s, run 1100 sheets: 8:21:20. back: pile 180, turn 180, lay side 90, detector 60, register 180,
    # check 60 = 750 s to 8:33:50, run 1100 s to 8:52:10: 730 s late, told once, at the job's last run.
    assert [p.run_end for p in plan.passes[:2]] == [at(8, 21, 20), at(8, 52, 10)]
    assert [p.late_seconds for p in plan.passes] == [0, 730, 0]
    # third: lay side back 90, detector 60, register 180, pile and check 240 = 570 s to 9:01:40, run to 9:02:40;
    # evening 480 s to 9:10:40.
    totals = plan.totals
    assert totals.makeready_seconds == 180 + 750 + 570 + 480 == 1980
    assert totals.run_seconds == 2 * 1100 + 60
    assert (totals.wash_ups, totals.washes, totals.plate_swaps, totals.feeder_resets) == (1, 1, 0, 2)
    assert totals.waste_sheets == 2 * 150
    assert (totals.late_passes, totals.late_seconds, totals.weighted_late_seconds) == (1, 730, 1460)
    assert totals.end == at(9, 2, 40)
    # 1000 × 1460 + 10 × 1980 + 60 × 1
    assert totals.objective == 1_460_000 + 19_800 + 60


def test_piles_are_reloaded_in_the_run_and_heavy_coverage_slows_it() -> None:
    # 450 mm and 400 mm of 0.1 mm: 4500 and 4000 sheets. 9000 sheets: one reload of the feeder (3 min), two of the
    # delivery (1 min each) = 300 s; one sheet more is a second reload of the feeder.
    profile = press(feed_pile_mm=450.0, delivery_pile_mm=400.0)
    assert day(one("a", 9000), profile=profile).run_seconds["a"] == 9000 + 300
    assert day(one("a", 9001), profile=profile).run_seconds["a"] == 9001 + 480
    # Over 40 % at 0.8 of the speed: 1000 × 3600 / 2880 = 1250 s; 1001 sheets are 1251.25, rounded up.
    facts = {"separations": (one("x", 1).separations[0].model_copy(update={"coverage_percent": 41.0}),)}
    assert day(one("a", 1000, **facts)).run_seconds["a"] == 1250
    assert day(one("a", 1001, **facts)).run_seconds["a"] == 1252
