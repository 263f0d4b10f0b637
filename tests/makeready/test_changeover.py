"""The changeover: every row of the task table comes when its trigger holds and only then, in an order that binds.

The press before: black and metal plate K in unit 1, unit 2 clean and oiled, all settings those of the next pass, which
prints black from K in unit 1. What it takes then is loading the pile and the check; each case changes one thing.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from queueplanner.exchange.shop_files import load_shop
from queueplanner.makeready.changeover import Changeover, Moment, changeover, evening_tasks
from queueplanner.makeready.fit import refusals
from queueplanner.makeready.state import PressState, Residue, Settings, UnitState
from queueplanner.makeready.tasks import TaskLine, precedence
from queueplanner.planning.instance import unit_choices_of
from queueplanner.shop.base import InkId
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Tack
from queueplanner.shop.job import LaySide, PrintPass
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import TASK_TABLE, OwnTask, OwnTrigger, Place, PressProfile, TaskState
from queueplanner.shop.shop import Shop
from tests.generated_days import random_day
from tests.small_shop import INKS, SHEET, STRIP, at, back_of, hours, ink, one, plate, press, separation, stock

NOW = at(12)
BLACK, RED, BLUE = (INKS[InkId(name)] for name in ("black", "red", "blue"))
K = plate("K")
OTHER = plate("other")
FILM = plate("film", PlateMaterial.POLYESTER)
SAME = Settings(SHEET, FeedEdge.LONG, LaySide.OPERATOR, stock().id, 100, Fraction(3600), ())
INKED = UnitState(ink=BLACK, plate=K, last_run_end=NOW)
CLEAN = UnitState(oiled=True)
TWO = one("two", 60, ("red", "R"), ("black", "K"))


@dataclass(frozen=True)
class Scene:
    """One changeover: what differs from the quiet one."""

    unit_1: UnitState = INKED
    unit_2: UnitState = CLEAN
    print_pass: PrintPass = field(default_factory=lambda: one("a", 60))
    units: tuple[int, ...] = (1,)
    settings: Settings = SAME
    press: PressProfile = field(default_factory=press)
    stale: frozenset[int] = frozenset()
    solution: PlateMaterial | None = PlateMaterial.METAL
    pile: bool = False
    printed: frozenset[int] = frozenset()
    room: int | None = None

    def found(self) -> Changeover:
        state = PressState((self.unit_1, self.unit_2), self.solution, self.pile, self.settings, self.printed)
        return changeover(self.press, state, self.print_pass, self.units, Moment(NOW, self.stale), self.room)

    def tasks(self) -> dict[str, int]:
        """Tasks and seconds, units behind a full stop."""
        return {name(line): line.seconds for line in self.found().lines}


def name(line: TaskLine) -> str:
    return line.task if line.unit is None else f"{line.task}.{line.unit}"


def now(**changes: Any) -> Scene:
    """The quiet scene, its pass with other facts."""
    return Scene(print_pass=one("a", 60, **changes))


def was(**changes: Any) -> Scene:
    """The quiet scene, with other settings before."""
    return Scene(settings=replace(SAME, **changes))


def sheet(short: float, long: float) -> Format:
    return Format(short_mm=short, long_mm=long)


def paper(caliper_um: int, speed_sph: int = 3600) -> Any:
    return stock("other", caliper_um, speed_sph)


def calipers(before: int, now: int) -> Scene:
    return Scene(print_pass=one("a", 60, stock=paper(now)), settings=replace(SAME, caliper_um=before))


def test_where_all_is_in_place_only_the_pile_and_the_check_are_left() -> None:
    assert Scene().tasks() == {"load_pile": 120, "check_first_sheets": 60}
    assert Scene().found().warnings == ()


BACK = back_of(one("f", 60), 0, lay_side=LaySide.OPERATOR)
BLUE_2 = Scene(print_pass=one("a", 60, ("blue", "B")), units=(2,), printed=frozenset({1}))

#: (task, seconds if it comes or None, scene)
ROWS: list[tuple[str, int | None, Scene]] = [
    ("take_off_delivery_pile", 60, Scene(pile=True)),
    ("take_off_delivery_pile", None, Scene(pile=False)),
    ("load_pile", 120, Scene()),
    ("turn_pile", 180, Scene(print_pass=BACK)),
    ("turn_pile", None, Scene(print_pass=BACK.model_copy(update={"first_side": None}))),
    # format: either side by a millimetre, or the feed edge
    ("feeder_to_format", 180, was(format=sheet(319, 450))),
    ("feeder_to_format", 180, was(format=sheet(320, 451))),
    ("feeder_to_format", None, was(format=sheet(319.1, 450.9))),
    ("feeder_to_format", 180, was(feed_edge=FeedEdge.SHORT)),
    ("delivery_to_format", 90, was(format=sheet(319, 450))),
    ("delivery_to_format", 90, was(format=sheet(320, 451))),
    ("delivery_to_format", None, was(format=sheet(319.1, 450.9))),
    ("delivery_to_format", 90, was(feed_edge=FeedEdge.SHORT)),
    ("change_lay_side", 90, was(lay_side=LaySide.DRIVE)),
    ("change_lay_side", None, was(lay_side=LaySide.OPERATOR)),
    # caliper: more than 10 % of the pass before
    ("feeder_to_caliper", None, now(stock=paper(110))),
    ("feeder_to_caliper", 120, now(stock=paper(111))),
    ("feeder_to_caliper", None, now(stock=paper(90))),
    ("feeder_to_caliper", 120, now(stock=paper(89))),
    ("set_double_sheet_detector", 60, now(stock=paper(100))),
    ("set_double_sheet_detector", 60, was(format=sheet(310, 450))),
    ("set_double_sheet_detector", 60, was(lay_side=LaySide.DRIVE)),
    ("set_double_sheet_detector", 60, was(caliper_um=80)),
    ("set_double_sheet_detector", None, was(strips=(STRIP,), speed_sph=Fraction(2000))),
    # idle units too
    ("set_printing_pressure.1", 60, now(stock=paper(111))),
    ("set_printing_pressure.2", 60, now(stock=paper(111))),
    ("set_printing_pressure.1", None, now(stock=paper(110))),
    ("set_printing_pressure.2", None, now(stock=paper(110))),
    ("move_guide_pulleys", 60, was(strips=(STRIP,))),
    ("move_guide_pulleys", 60, was(format=sheet(310, 450))),
    ("move_guide_pulleys", None, was(lay_side=LaySide.DRIVE, caliper_um=80)),
    ("set_gripper_fans_powder", 60, now(stock=paper(111))),
    ("set_gripper_fans_powder", None, now(stock=paper(110))),
    # run speed: more than 20 % of the pass before, which is 3600
    ("set_gripper_fans_powder", None, now(stock=paper(100, 4320))),
    ("set_gripper_fans_powder", 60, now(stock=paper(100, 4321))),
    ("set_gripper_fans_powder", None, now(stock=paper(100, 2880))),
    ("set_gripper_fans_powder", 60, now(stock=paper(100, 2879))),
    # heavy coverage runs at 0.8: from 3600 to 2880, just a fifth
    ("set_gripper_fans_powder", None, now(separations=(separation("black", "K", 100.0),))),
    ("set_gripper_fans_powder", 60, Scene(
        print_pass=one("a", 60, separations=(separation("black", "K", 100.0),)),
        settings=replace(SAME, speed_sph=Fraction(3601)))),
    # very thin below 60 µm, very thick above 250 µm
    ("retime_sheet_arrival", 120, calipers(60, 59)),
    ("retime_sheet_arrival", None, calipers(250, 60)),
    ("retime_sheet_arrival", 120, calipers(250, 251)),
    ("retime_sheet_arrival", 120, calipers(50, 300)),
    ("retime_sheet_arrival", None, calipers(251, 300)),
    # plates off: another one is needed there, this one in the other unit, or the unit is idle and cannot be thrown off
    ("take_plate_off.1", 90, Scene(unit_1=replace(INKED, plate=OTHER))),
    ("take_plate_off.1", 90, Scene(units=(2,))),
    ("take_plate_off.1", None, BLUE_2),
    ("take_plate_off.1", 90, replace(BLUE_2, press=press(idle_throw_off=False))),
    ("take_plate_off.1", None, Scene(press=press(idle_throw_off=False))),
    ("take_plate_off.2", 90, Scene(unit_2=replace(CLEAN, plate=OTHER), units=(2,), unit_1=CLEAN)),
    ("take_plate_off.2", None, Scene(unit_2=replace(CLEAN, plate=OTHER))),
    ("take_plate_off.1", 30, Scene(unit_1=replace(INKED, plate=OTHER), press=press(automatic_plate_length_mm=400.2))),
    ("take_plate_off.1", 90, Scene(unit_1=replace(INKED, plate=OTHER), press=press(automatic_plate_length_mm=400.3))),
    ("put_plate_on.1", 120, Scene(unit_1=replace(INKED, plate=None))),
    ("put_plate_on.1", 30, Scene(unit_1=replace(INKED, plate=None), press=press(automatic_plate_length_mm=399.8))),
    ("put_plate_on.1", None, Scene()),
    ("put_plate_on.2", 120, Scene(units=(2,))),
    ("put_plate_on.2", None, Scene()),
    ("lift_roller_package.2", 240, Scene(unit_2=replace(CLEAN, plate=OTHER), units=(2,), unit_1=CLEAN)),
    ("lift_roller_package.2", None, Scene(unit_2=replace(CLEAN, plate=OTHER), units=(2,), unit_1=CLEAN,
                                          press=press(automatic_plate_length_mm=400.0))),
    ("lift_roller_package.2", None, Scene(units=(2,))),
    ("lift_roller_package.2", None, Scene(unit_1=replace(INKED, plate=OTHER))),
    # more than 0.02 mm from the plate this changeover takes off there
    ("change_plate_packing.1", None, Scene(unit_1=replace(INKED, plate=plate("x", um=170)))),
    ("change_plate_packing.1", 120, Scene(unit_1=replace(INKED, plate=plate("x", um=171)))),
    ("change_plate_packing.1", 120, Scene(unit_1=replace(INKED, plate=plate("x", um=129)))),
    ("change_plate_packing.1", None, Scene(unit_1=replace(INKED, plate=None))),
    # polyester, over 30 minutes since that unit's last run; unknown: yes
    ("pre_damp_plate.1", 30, Scene(unit_1=UnitState(BLACK, plate=FILM, last_run_end=NOW - 1801),
                                   print_pass=one("a", 60, ("black", FILM)))),
    ("pre_damp_plate.1", None, Scene(unit_1=UnitState(BLACK, plate=FILM, last_run_end=NOW - 1800),
                                     print_pass=one("a", 60, ("black", FILM)))),
    ("pre_damp_plate.1", 30, Scene(unit_1=UnitState(BLACK, plate=FILM), print_pass=one("a", 60, ("black", FILM)))),
    ("pre_damp_plate.1", 30, Scene(unit_1=UnitState(BLACK, plate=FILM))),
    ("pre_damp_plate.1", None, Scene(unit_1=UnitState(BLACK, plate=K))),
    ("pre_damp_plate.2", None, Scene(unit_2=UnitState(oiled=True, plate=FILM))),
    ("pre_damp_plate.1", None, Scene(unit_1=UnitState(BLACK), print_pass=one("a", 60, ("black", FILM)))),
    # a metal plate stays on a unit that printed in the pass before and does not in this one
    ("gum_plate.1", 30, BLUE_2),
    ("gum_plate.1", None, replace(BLUE_2, printed=frozenset())),
    ("gum_plate.1", None, replace(BLUE_2, unit_1=replace(INKED, plate=FILM))),
    ("gum_plate.1", None, replace(BLUE_2, press=press(idle_throw_off=False))),
    ("gum_plate.1", None, Scene(printed=frozenset({1}))),
    ("gum_plate.2", 30, Scene(unit_2=UnitState(RED, plate=OTHER), printed=frozenset({2}))),
    ("empty_fountain.1", 120, Scene(unit_1=replace(INKED, ink=BLUE))),
    ("empty_fountain.1", 120, Scene(stale=frozenset({1}))),
    ("empty_fountain.1", None, Scene()),
    ("empty_fountain.1", None, BLUE_2),
    ("empty_fountain.1", None, Scene(unit_1=UnitState(residue=Residue(BLUE, 1), plate=K))),
    ("empty_fountain.2", 120, Scene(unit_2=UnitState(RED), stale=frozenset({2}))),
    ("empty_fountain.2", None, Scene(unit_2=UnitState(RED))),
    # 5 min for the first wash, 4 for each more: black asks for one after blue, red for two and blue for two after black
    ("wash_rollers.1", 300, Scene(unit_1=replace(INKED, ink=BLUE))),
    ("wash_rollers.1", 540, Scene(print_pass=one("a", 60, ("red", "K")))),
    ("wash_rollers.1", 300, Scene(stale=frozenset({1}))),
    ("wash_rollers.1", 540, Scene(print_pass=one("a", 60, ("red", "K")), stale=frozenset({1}))),
    ("wash_rollers.1", 480, Scene(unit_1=UnitState(residue=Residue(BLACK, 0)), print_pass=one("a", 60, ("red", "K")))),
    ("wash_rollers.1", 240, Scene(unit_1=UnitState(residue=Residue(BLACK, 1)), print_pass=one("a", 60, ("red", "K")))),
    ("wash_rollers.1", None, Scene(unit_1=UnitState(residue=Residue(BLACK, 2)), print_pass=one("a", 60, ("red", "K")))),
    ("wash_rollers.1", None, Scene(unit_1=UnitState(residue=Residue(BLACK, 0)))),
    ("wash_rollers.1", None, Scene(unit_1=UnitState())),
    ("oil_rollers.2", 60, Scene(unit_2=UnitState())),
    ("oil_rollers.2", 60, Scene(unit_2=UnitState(residue=Residue(RED, 1)))),
    ("oil_rollers.2", 60, Scene(unit_2=UnitState(RED), stale=frozenset({2}))),
    ("oil_rollers.2", None, Scene()),
    ("oil_rollers.2", None, Scene(unit_2=UnitState(RED))),
    ("oil_rollers.2", None, Scene(unit_2=UnitState(), units=(2,))),
    ("fill_fountain.1", 180, Scene(unit_1=UnitState())),
    ("fill_fountain.1", 180, Scene(unit_1=CLEAN)),
    ("fill_fountain.1", 180, Scene(unit_1=replace(INKED, ink=BLUE))),
    ("fill_fountain.1", 180, Scene(stale=frozenset({1}))),
    ("fill_fountain.1", None, Scene()),
    ("fill_fountain.2", None, Scene(unit_2=UnitState(RED), stale=frozenset({2}))),
    ("wash_blankets", 90, Scene(unit_1=replace(INKED, plate=None))),
    ("wash_blankets", 90, replace(BLUE_2, press=press(idle_throw_off=False), unit_2=UnitState(BLUE, plate=plate("B")))),
    ("wash_blankets", None, replace(BLUE_2, unit_2=UnitState(BLUE, plate=plate("B")))),
    ("wash_blankets", 90, Scene(unit_1=replace(CLEAN, plate=K))),
    # the sheet grows by a millimetre on either side; another feed edge counts as grown
    ("wash_blankets", 90, was(format=sheet(319, 450))),
    ("wash_blankets", 90, was(format=sheet(320, 449))),
    ("wash_blankets", 90, was(format=sheet(330, 449))),
    ("wash_blankets", None, was(format=sheet(320, 449.1))),
    ("wash_blankets", None, was(format=sheet(340, 460))),
    ("wash_blankets", 90, was(feed_edge=FeedEdge.SHORT)),
    ("wash_blankets", None, was(lay_side=LaySide.DRIVE, caliper_um=50)),
    ("change_dampening", 600, Scene(solution=PlateMaterial.POLYESTER)),
    ("change_dampening", None, Scene(solution=PlateMaterial.METAL)),
    ("change_dampening", 600, Scene(print_pass=one("a", 60, ("black", FILM)))),
    # an idle unit's plate stays whatever the solution
    ("change_dampening", None, Scene(unit_2=UnitState(oiled=True, plate=FILM))),
    ("reduce_tack", 90, Scene(UnitState(RED), UnitState(BLACK), TWO, (1, 2))),
    ("reduce_tack", None, Scene(UnitState(RED), UnitState(BLACK, reduced=True), TWO, (1, 2))),
    ("reduce_tack", 90, Scene(UnitState(RED), UnitState(BLUE, reduced=True), TWO, (1, 2))),
    ("reduce_tack", None, Scene(print_pass=one("a", 60, ("red", "R"), ("blue", "B")), units=(1, 2))),
    ("reduce_tack", None, Scene(print_pass=TWO.model_copy(update={"overprint": False}), units=(1, 2))),
    ("reduce_tack", 90, Scene(print_pass=TWO.model_copy(update={"overprint": False}), units=(1, 2),
                              press=press(common_blanket=True))),
    ("register_and_colour", 180, Scene(unit_1=replace(INKED, plate=None))),
    ("register_and_colour", 180, Scene(unit_1=replace(INKED, ink=None))),
    ("register_and_colour", 180, was(format=sheet(330, 450))),
    ("register_and_colour", 180, was(feed_edge=FeedEdge.SHORT)),
    ("register_and_colour", 180, was(lay_side=LaySide.DRIVE)),
    ("register_and_colour", 180, Scene(print_pass=BACK)),
    ("register_and_colour", None, was(caliper_um=50, strips=(STRIP,), stock=None, speed_sph=None)),
    ("register_and_colour", None, replace(BLUE_2, unit_2=UnitState(BLUE, plate=plate("B")))),
    # a minute and a half more when two units each have a plate put on or an ink filled
    ("register_and_colour", 270, Scene(UnitState(RED), UnitState(plate=K), TWO, (1, 2))),
    ("register_and_colour", 180, Scene(UnitState(RED, plate=plate("R")), UnitState(), TWO, (1, 2))),
    ("check_first_sheets", 60, Scene()),
]  # fmt: skip


def _row_name(row: object) -> str:
    return row if isinstance(row, str) else ""


@pytest.mark.parametrize(("task", "seconds", "scene"), ROWS, ids=_row_name)
def test_a_task_comes_when_its_trigger_holds_and_only_then(task: str, seconds: int | None, scene: Scene) -> None:
    assert scene.tasks().get(task) == seconds


def test_every_row_of_the_table_is_seen_to_come_and_all_but_two_to_stay_away() -> None:
    came = {task.partition(".")[0] for task, seconds, _ in ROWS if seconds is not None}
    stayed = {task.partition(".")[0] for task, seconds, _ in ROWS if seconds is None}
    assert came == set(TASK_TABLE)
    assert stayed == set(TASK_TABLE) - {"load_pile", "check_first_sheets"}


#: What each unknown setting brings: all that a change of it could bring.
FORMAT_TASKS = {"feeder_to_format", "delivery_to_format", "move_guide_pulleys", "set_double_sheet_detector",
                "wash_blankets", "register_and_colour"}  # fmt: skip
UNKNOWN = [
    ({"format": None}, FORMAT_TASKS),
    ({"feed_edge": None}, FORMAT_TASKS),
    ({"lay_side": None}, {"change_lay_side", "set_double_sheet_detector", "register_and_colour"}),
    ({"stock": None}, {"set_double_sheet_detector"}),
    (
        {"caliper_um": None},
        {"feeder_to_caliper", "set_double_sheet_detector", "set_printing_pressure.1", "set_printing_pressure.2",
         "set_gripper_fans_powder", "retime_sheet_arrival"},
    ),
    ({"speed_sph": None}, {"set_gripper_fans_powder"}),
    ({"strips": None}, {"move_guide_pulleys"}),
]  # fmt: skip


@pytest.mark.parametrize(("settings", "brings"), UNKNOWN, ids=[next(iter(settings)) for settings, _ in UNKNOWN])
def test_what_is_unknown_differs_from_everything(settings: dict[str, None], brings: set[str]) -> None:
    assert set(was(**settings).tasks()) == {"load_pile", "check_first_sheets"} | brings


def test_an_unknown_solution_is_changed_and_an_unknown_residue_is_none() -> None:
    assert Scene(solution=None).tasks()["change_dampening"] == 600
    assert "wash_rollers.1" not in Scene(unit_1=UnitState(residue=None, plate=K)).tasks()


OWN_TRIGGERS: list[tuple[OwnTrigger, Scene, Scene]] = [
    (OwnTrigger.STOCK, now(stock=paper(100)), was(caliper_um=99)),
    (OwnTrigger.FORMAT, was(format=sheet(321, 450)), was(format=sheet(320.9, 450))),
    (OwnTrigger.FORMAT, was(feed_edge=FeedEdge.SHORT), Scene()),
    (OwnTrigger.LAY_SIDE, was(lay_side=LaySide.DRIVE), Scene()),
    # any change of caliper, not only one of more than a tenth
    (OwnTrigger.CALIPER, was(caliper_um=99), was(stock=None)),
    (OwnTrigger.PLATE, Scene(unit_1=replace(INKED, plate=None)), Scene()),
    (OwnTrigger.PLATE, replace(BLUE_2, unit_2=UnitState(BLUE, plate=plate("B")), press=press(idle_throw_off=False)),
     replace(BLUE_2, unit_2=UnitState(BLUE, plate=plate("B")))),
    (OwnTrigger.INK_FILLED, Scene(unit_1=replace(CLEAN, plate=K)), Scene(unit_1=replace(INKED, plate=None))),
    (OwnTrigger.BACKS_UP, Scene(print_pass=BACK), Scene()),
]  # fmt: skip


@pytest.mark.parametrize(("fact", "holds", "near"), OWN_TRIGGERS)
def test_a_shops_own_task_comes_with_its_fact_or_by_name(fact: OwnTrigger, holds: Scene, near: Scene) -> None:
    own = OwnTask(name="score", place=Place.DELIVERY, state=TaskState.STOPPED, minutes=0.125, when=frozenset({fact}))

    def with_own(scene: Scene) -> Scene:
        return replace(scene, press=scene.press.model_copy(update={"own_tasks": (own,)}))

    # 0.125 min are 7.5 s, rounded half up.
    assert with_own(holds).tasks()["own:score"] == 8
    assert "own:score" not in with_own(near).tasks()
    named = replace(near, print_pass=near.print_pass.model_copy(update={"own_tasks": ("score",)}))
    assert with_own(named).tasks()["own:score"] == 8


#: All that binds directly, for every task that a changeover can hold at once; what follows from them is left out.
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
SCORE = OwnTask(name="score", place=Place.DELIVERY, state=TaskState.STOPPED, minutes=1.0)


def everything() -> Scene:
    """Both units change ink and plate; Q moves from unit 2 to unit 1; nothing is known of the settings."""
    films = {key: plate(key, PlateMaterial.POLYESTER, um=um) for key, um in (("P", 120), ("Q", 150), ("S", 200))}
    facts = {"side": 2, "first_side": "front", "own_tasks": ("score",)}
    both = one("a", 60, ("blue", films["Q"]), ("black", films["S"]), **facts)
    return Scene(
        unit_1=UnitState(ink=BLACK, plate=films["P"]),
        unit_2=UnitState(ink=RED, plate=films["Q"]),
        print_pass=both,
        units=(1, 2),
        settings=Settings(),
        press=press(own_tasks=(SCORE,)),
        solution=None,
        pile=True,
    )


def all_before(lines: tuple[TaskLine, ...]) -> set[tuple[str, str]]:
    """Every pair of tasks of which one has to wait for the other, near and far."""
    before = precedence(lines)
    return closed({(name(lines[j]), name(line)) for i, line in enumerate(lines) for j in before[i]})


def closed(pairs: set[tuple[str, str]]) -> set[tuple[str, str]]:
    more = pairs | {(a, d) for a, b in pairs for c, d in pairs if b == c}
    return pairs if more == pairs else closed(more)


def test_each_task_waits_for_what_it_must_and_for_nothing_else() -> None:
    lines = everything().found().lines
    names = {name(line) for line in lines}
    assert len(names) == len(lines) == 34
    expected = {
        (first, then)
        for row in ARROWS.strip().split("\n")
        for first, _, rest in [row.strip().partition(" > ")]
        for then in rest.split()
    }
    expected |= {(n, "register_and_colour") for n in names - {"register_and_colour", "check_first_sheets"}}
    assert all_before(lines) == closed(expected)


def test_an_emptied_unit_is_oiled_after_its_wash() -> None:
    lines = Scene(unit_2=UnitState(RED), stale=frozenset({2})).found().lines
    found = all_before(lines)
    assert {("empty_fountain.2", "wash_rollers.2"), ("wash_rollers.2", "oil_rollers.2")} <= found


def test_a_plate_that_stays_waits_for_no_blanket_and_a_task_done_outside_binds_nothing() -> None:
    moved = replace(now(stock=paper(100)), press=press(external=("load_pile",)), room=600).found().lines
    before = precedence(moved)
    load = next(i for i, line in enumerate(moved) if line.task == "load_pile")
    assert moved[load].external
    assert before[load] == frozenset()
    assert all(load not in b for b in before)


@pytest.mark.parametrize(
    ("settings", "pass_facts", "external"),
    [
        ({}, {}, True),
        ({"caliper_um": 80}, {}, True),
        ({"lay_side": LaySide.DRIVE}, {}, False),
        ({"format": sheet(310, 450)}, {}, False),
    ],
    ids=["nothing", "caliper", "lay side", "format"],
)
def test_the_pile_is_loaded_outside_only_if_its_stops_stay(
    settings: dict[str, Any], pass_facts: dict[str, Any], external: bool
) -> None:
    scene = Scene(
        settings=replace(SAME, **settings), print_pass=BACK, room=3600, press=press(external=("load_pile", "turn_pile"))
    )
    lines = {line.task: line.external for line in scene.found().lines}
    assert (lines["load_pile"], lines["turn_pile"]) == (external, external)
    # Never before the first pass: there is no run to do it in.
    assert not any(line.external for line in replace(scene, room=None).found().lines)


@pytest.mark.parametrize("key", ["take_off_delivery_pile", "wash_blankets", "feeder_to_format", "own:score", "own:x"])
def test_a_mark_for_what_cannot_be_done_outside_is_refused(key: str) -> None:
    with pytest.raises(ValidationError, match="external"):
        press(own_tasks=(SCORE,), external=(key,))


@pytest.mark.parametrize("seed", range(12))
def test_the_working_order_keeps_what_binds(seed: int) -> None:
    instance = random_day(500 + seed, 8)
    state, shop = instance.state, instance.shop
    for print_pass in instance.passes.values():
        for units in instance.choices[print_pass.id]:
            found = changeover(shop.press, state, print_pass, units, Moment(instance.start_at), 600)
            before = precedence(found.lines)
            assert all(j < i for i, b in enumerate(before) for j in b)
            # What is done outside stands first.
            outside = [line.external for line in found.lines]
            assert outside == sorted(outside, reverse=True)
        state = found.after


def test_the_working_order_is_the_tables_as_far_as_it_may_be() -> None:
    lines = Scene(pile=True, unit_1=UnitState(BLUE, plate=OTHER), settings=replace(SAME, lay_side=None)).found().lines
    # The table's order would be pile off, load, lay side, detector, plate off, plate on, empty, wash, fill, blankets;
    # load waits for the lay side, plate on for wash and blankets.
    assert [name(line) for line in lines] == [
        "take_off_delivery_pile", "change_lay_side", "load_pile", "set_double_sheet_detector", "take_plate_off.1",
        "empty_fountain.1", "wash_rollers.1", "fill_fountain.1", "wash_blankets", "put_plate_on.1",
        "register_and_colour", "check_first_sheets",
    ]  # fmt: skip


def _of_press(length: float = 488.0, um: int = 150) -> PrintPass:
    return one("a", 60, ("black", plate("x", length=length, um=um)))


def _own_press() -> PressProfile:
    shop: Shop = load_shop()
    return shop.press


@pytest.mark.parametrize("um", [100, 102, 140, 152, 200, 203])
def test_plates_of_a_tenth_to_a_fifth_of_a_millimetre_are_taken(um: int) -> None:
    # 0.004 in = 0.1016 mm, 0.0055 in = 0.1397 mm, 0.006 in = 0.1524 mm, 0.008 in = 0.2032 mm: in whole micrometres.
    assert refusals(_own_press(), _of_press(um=um)) == []


@pytest.mark.parametrize("um", [99, 204, 305])
def test_other_thicknesses_are_refused_with_the_reason(um: int) -> None:
    (refused,) = refusals(_own_press(), _of_press(um=um))
    assert refused.field == "plate_thickness_mm"
    assert f"{um / 1000:g} mm" in refused.found
    assert "from 0.1 to 0.203 mm" in refused.wanted


@pytest.mark.parametrize(("length", "taken"), [(399.9, False), (400.0, True), (500.0, True), (500.1, False)])
def test_a_plate_of_a_length_out_of_range_is_refused_with_the_reason(length: float, taken: bool) -> None:
    found = refusals(_own_press(), _of_press(length))
    assert [f.field for f in found] == ([] if taken else ["plate_length_mm"])
    assert all("from 400 to 500 mm" in f.wanted for f in found)


@pytest.mark.parametrize(
    ("length", "automatic"),
    # 19 7/8 in are 504.825 mm: within 0.2 mm of 505.
    [(505.0, True), (19.875 * 25.4, True), (504.8, True), (504.79, False), (505.2, True), (505.21, False),
     (400.0, False)],
)  # fmt: skip
def test_the_changer_takes_only_the_one_length_it_was_built_for(length: float, automatic: bool) -> None:
    built = press(automatic_plate_length_mm=505.0)
    scene = Scene(unit_1=replace(INKED, plate=None), print_pass=_of_press(length), press=built)
    assert scene.tasks()["put_plate_on.1"] == (30 if automatic else 120)


@pytest.mark.parametrize("um", [100, 203])
def test_the_changer_takes_any_thickness_in_range(um: int) -> None:
    built = press(automatic_plate_length_mm=488.0)
    scene = Scene(unit_1=replace(INKED, plate=None), print_pass=_of_press(um=um), press=built)
    assert scene.tasks()["put_plate_on.1"] == 30


def _shop(**changes: Any) -> Shop:
    return Shop(inks={}, stocks={}, formats={}, press=press(**changes), calendar=hours())


def _pair(first: float, second: float, **more: Any) -> PrintPass:
    inks = ink("first", first, 24.0), ink("second", second, 24.0)
    both = tuple(separation("black", n).model_copy(update={"ink": i}) for n, i in zip("xy", inks, strict=True))
    return one("a", 60, separations=both, **more)


@pytest.mark.parametrize(
    ("first", "second", "choices"),
    [
        (50.0, 40.0, ((1, 2),)),
        (40.0, 50.0, ((2, 1),)),
        # L* that differ by no more than 0.1: either way
        (50.0, 50.1, ((1, 2), (2, 1))),
        (50.1, 50.0, ((1, 2), (2, 1))),
        (50.0, 50.11, ((2, 1),)),
        (50.11, 50.0, ((1, 2),)),
    ],
)
def test_the_lighter_ink_prints_in_unit_1(first: float, second: float, choices: tuple[tuple[int, int], ...]) -> None:
    assert unit_choices_of(_shop(), _pair(first, second)) == choices


def test_free_units_need_separate_blankets_and_no_overprint() -> None:
    free = _pair(40.0, 50.0, units_free=True, overprint=False)
    assert unit_choices_of(_shop(), free) == ((1, 2), (2, 1))
    assert unit_choices_of(_shop(common_blanket=True), free) == ((2, 1),)
    assert unit_choices_of(_shop(), _pair(40.0, 50.0, units_free=True)) == ((2, 1),)
    noted = Scene(print_pass=_pair(40.0, 50.0, units_free=True), units=(2, 1)).found().warnings
    assert "units_free_idle" in [w.code for w in noted]


def test_one_ink_prints_in_either_unit() -> None:
    assert unit_choices_of(_shop(), one("a", 60)) == ((1,), (2,))
    assert unit_choices_of(_shop(units=1), one("a", 60)) == ((1,),)


@pytest.mark.parametrize(
    ("first", "second", "codes"),
    [
        (Tack(value=6.0, instrument="A"), Tack(value=5.9, instrument="A"), []),
        (Tack(value=6.0, instrument="A"), Tack(value=6.0, instrument="A"), ["tack_order"]),
        (Tack(value=6.0, instrument="A"), Tack(value=8.0, instrument="B"), ["tack_unknown"]),
        (None, Tack(value=8.0, instrument="A"), ["tack_unknown"]),
    ],
    ids=["higher first", "equal", "other instrument", "unknown"],
)
def test_tack_is_compared_on_one_instrument_only(first: Tack | None, second: Tack, codes: list[str]) -> None:
    both = tuple(
        s.model_copy(update={"ink": s.ink.model_copy(update={"tack": t})})
        for s, t in zip(TWO.separations, (first, second), strict=True)
    )
    scene = Scene(print_pass=TWO.model_copy(update={"separations": both}), units=(1, 2))
    assert [w.code for w in scene.found().warnings] == codes
    assert ("reduce_tack" in scene.tasks()) is (codes == ["tack_order"])


def test_the_press_after_a_changeover_is_what_the_pass_leaves() -> None:
    after = Scene(UnitState(RED, plate=plate("R")), UnitState(oiled=True), TWO, (1, 2)).found().after
    assert after.unit(1) == UnitState(RED, plate=plate("R"))
    assert after.unit(2) == UnitState(BLACK, reduced=True, plate=K)
    assert (after.solution, after.delivery_pile, after.printed) == (PlateMaterial.METAL, True, frozenset({1, 2}))
    assert after.settings == SAME


def test_a_stale_unit_remembers_its_ink_and_one_wash() -> None:
    after = Scene(unit_2=UnitState(RED, reduced=True, last_run_end=7), stale=frozenset({2})).found().after
    assert after.unit(2) == UnitState(residue=Residue(RED, 1), oiled=True, last_run_end=7)


def test_an_evening_takes_the_named_inks_out_and_leaves_the_plates() -> None:
    state = PressState((INKED, UnitState(RED, plate=OTHER)), PlateMaterial.METAL, True, SAME, frozenset({1, 2}))
    lines, after = evening_tasks(press(), state, [2])
    assert [(name(line), line.seconds) for line in lines] == [
        ("empty_fountain.2", 120), ("wash_rollers.2", 300), ("oil_rollers.2", 60)]  # fmt: skip
    assert after.units == (INKED, UnitState(residue=Residue(RED, 1), oiled=True, plate=OTHER))
    # No plate is gummed the next morning: the evening did that.
    assert after.printed == frozenset()


def test_a_press_of_one_unit_refuses_two_inks_and_needs_nothing_of_a_second() -> None:
    (refused,) = refusals(press(units=1), TWO)
    assert (refused.field, refused.found) == ("inks", "2 inks")
    state = PressState((INKED,), PlateMaterial.METAL, False, SAME)
    found = changeover(press(units=1), state, one("a", 60, stock=paper(150)), (1,), Moment(NOW))
    assert {line.unit for line in found.lines} == {None, 1}


def test_plates_of_one_pass_are_of_one_material_and_differ() -> None:
    with pytest.raises(ValidationError, match="one material"):
        one("a", 60, ("red", "R"), ("black", FILM))
    with pytest.raises(ValidationError, match="two different plates"):
        one("a", 60, ("red", K), ("black", K))


def _plate_ids(plates: list[Plate | None]) -> list[str]:
    return [p.id for p in plates if p is not None]


@pytest.mark.parametrize("seed", range(8))
def test_a_plate_is_in_one_unit_only(seed: int) -> None:
    instance = random_day(900 + seed, 8, units=2)
    state = instance.state
    for print_pass in instance.passes.values():
        units = instance.choices[print_pass.id][-1]
        state = changeover(instance.shop.press, state, print_pass, units, Moment(instance.start_at)).after
        mounted = _plate_ids([u.plate for u in state.units])
        assert len(mounted) == len(set(mounted))
