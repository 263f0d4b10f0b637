"""A shop's files: the program's own stand in for those missing, and every fault is told with its file and line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from queueplanner.exchange.shop_files import SHOP_FILES, load_shop
from queueplanner.exchange.start_file import load_start
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.ink import InkKind
from queueplanner.shop.press import TASK_TABLE
from queueplanner.shop.resources import resource_path
from queueplanner.shop.start import PressStart

#: Minutes by task, and their variants, as the trade model of the changeover gives them (judgement, no source).
MODEL_MINUTES = {
    "take_off_delivery_pile": (1,),
    "load_pile": (2,),
    "turn_pile": (3,),
    "feeder_to_format": (3,),
    "change_lay_side": (1.5,),
    "feeder_to_caliper": (2,),
    "set_double_sheet_detector": (1,),
    "set_printing_pressure": (1,),
    "delivery_to_format": (1.5,),
    "move_guide_pulleys": (1,),
    "set_gripper_fans_powder": (1,),
    "retime_sheet_arrival": (2,),
    "take_plate_off": (1.5, 0.5),
    "lift_roller_package": (4,),
    "put_plate_on": (2, 0.5),
    "change_plate_packing": (2,),
    "pre_damp_plate": (0.5,),
    "gum_plate": (0.5,),
    "empty_fountain": (2,),
    "wash_rollers": (5, 4),
    "oil_rollers": (1,),
    "fill_fountain": (3,),
    "reduce_tack": (1.5,),
    "wash_blankets": (1.5,),
    "change_dampening": (10,),
    "register_and_colour": (3, 1.5),
    "check_first_sheets": (1,),
}


def problems(folder: Path | None = None, press_file: Path | None = None) -> list[Problem]:
    with pytest.raises(BadInput) as caught:
        load_shop(folder, press_file)
    return list(caught.value.problems)


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def start_problems(folder: Path, text: str) -> list[Problem]:
    with pytest.raises(BadInput) as caught:
        load_start(written(folder, "start.toml", text), load_shop())
    return list(caught.value.problems)


def test_the_programs_own_shop_is_whole() -> None:
    shop = load_shop()
    assert 16 <= len(shop.inks) <= 20
    assert {ink.kind for ink in shop.inks.values()} == set(InkKind)
    calipers = sorted(stock.caliper_um for stock in shop.stocks.values())
    assert (len(calipers), calipers[0] < 60, calipers[-1] > 250) == (12, True, True)
    assert all(shop.press.caliper_um.holds(caliper) for caliper in calipers)
    assert all(ink.family in shop.press.ink_families for ink in shop.inks.values())
    assert shop.press.automatic_plate_length_mm is not None
    assert shop.press.plate_length_mm.holds(shop.press.automatic_plate_length_mm)
    assert load_start(None, shop) == PressStart.model_validate(
        {"units": [{"oiled": True}, {"oiled": True}], "solution": "metal"}
    )


def test_process_solids_and_tolerances_are_the_published_ones() -> None:
    inks = load_shop().inks
    solids = {name: (inks[name].lab, inks[name].tolerance_de00) for name in ("cyan", "magenta", "yellow", "black")}
    # FOGRA39L (ISO 12647-2:2004/Amd 1); deviation tolerances of ISO 12647-2, CIEDE2000.
    assert solids == {
        "cyan": ((55, -37, -50), 3.5),
        "magenta": ((48, 74, -3), 3.5),
        "yellow": ((89, -5, 93), 3.5),
        "black": ((16, 0, 0), 5),
    }


def test_task_minutes_are_those_of_the_model() -> None:
    tasks = load_shop().press.tasks
    found = {
        key: tuple(m for m in (t.minutes, t.automatic, t.each_more, t.second_unit) if m is not None)
        for key, t in tasks.items()
    }
    assert found == MODEL_MINUTES
    assert set(found) == set(TASK_TABLE)


@pytest.mark.parametrize("name", ["inks.toml", "stocks.toml", "press.toml", "shifts.toml", "planning.toml"])
def test_the_programs_own_files_say_where_figures_come_from(name: str) -> None:
    text = resource_path(name).read_text(encoding="utf-8")
    assert "judgement" in text or "invented" in text


def test_a_copy_of_every_file_makes_the_same_shop(tmp_path: Path) -> None:
    for name in SHOP_FILES:
        shutil.copy(resource_path(name), tmp_path / name)
    assert load_shop(tmp_path) == load_shop()


def test_a_list_of_the_shops_own_replaces_the_programs(tmp_path: Path) -> None:
    written(
        tmp_path,
        "inks.toml",
        '[soot]\nname = "Soot"\nkind = "spot"\nsrgb = "#202020"\nopen_time_h = 2\ndrying_time_h = 1\n',
    )
    shop = load_shop(tmp_path)
    assert list(shop.inks) == ["soot"]
    assert shop.stocks == load_shop().stocks


def test_a_press_file_need_hold_only_what_differs(tmp_path: Path) -> None:
    text = "common_blanket = true\n[tasks.wash_rollers]\nminutes = 7\n[waste]\nrunning_percent = 2\n"
    own, default = load_shop(press_file=written(tmp_path, "mine.toml", text)).press, load_shop().press
    assert (own.common_blanket, own.tasks["wash_rollers"].minutes, own.waste.running_percent) == (True, 7, 2)
    assert own.tasks["wash_rollers"].each_more == default.tasks["wash_rollers"].each_more
    same = {"common_blanket", "tasks", "waste"}
    assert own.model_dump(exclude=same) == default.model_dump(exclude=same)


def test_a_press_file_lies_over_the_folders_press(tmp_path: Path) -> None:
    written(tmp_path, "press.toml", 'name = "Ours"\nunits = 1\n')
    shop = load_shop(tmp_path, written(tmp_path.parent, "tonight.toml", "units = 2\n"))
    assert (shop.press.name, shop.press.units) == ("Ours", 2)


def test_a_press_file_may_hold_its_settings_card_too(tmp_path: Path) -> None:
    text = 'units = 1\n[card]\nfloat_sheets = 7\nguide_pulleys = "none"\n[materials]\nread_elsewhere = 2\n'
    press = load_shop(press_file=written(tmp_path, "p.toml", text)).press
    assert (press.units, press.card.float_sheets, press.card.guide_pulleys) == (1, 7, None)
    assert press.card.printing_pressure == load_shop().press.card.printing_pressure
    found = problems(press_file=written(tmp_path, "p.toml", "units = 1\n[card]\nfloat_shets = 7\n"))
    assert [(p.row, p.column) for p in found] == [(3, "card.float_shets")]


def test_the_word_none_takes_a_key_out(tmp_path: Path) -> None:
    press = load_shop(press_file=written(tmp_path, "p.toml", 'automatic_plate_length_mm = "none"\n')).press
    assert press.automatic_plate_length_mm is None


def test_every_fault_of_every_file_is_told_at_once_with_its_line(tmp_path: Path) -> None:
    written(
        tmp_path,
        "inks.toml",
        '[soot]\nname = "Soot"\nkind = "sooty"\nlab = [10, 0, 0]\nopen_time_h = -1\ndrying_time_h = 1\nspeed = 3\n',
    )
    written(tmp_path, "stocks.toml", '[a]\nname = "A"\ngrammage_gsm = "90"\ncoating = "uncoated"\ngrain = "long"\n')
    written(tmp_path, "planning.toml", "wash_up = 1.5\n")
    written(tmp_path, "press.toml", "[tasks]\nload_pile = { minutes = 2000 }\n")
    found = {(Path(p.file).name, p.row, p.column) for p in problems(tmp_path)}
    assert found == {
        ("inks.toml", 3, "soot.kind"),
        ("inks.toml", 5, "soot.open_time_h"),
        ("inks.toml", 7, "soot.speed"),
        ("stocks.toml", 1, "a.caliper_um"),
        ("stocks.toml", 3, "a.grammage_gsm"),
        ("stocks.toml", 1, "a.speed_sph"),
        ("planning.toml", 1, "wash_up"),
        ("press.toml", 2, "tasks.load_pile.minutes"),
    }


def test_each_fault_says_what_would_be_right(tmp_path: Path) -> None:
    written(tmp_path, "inks.toml", '[soot]\nname = "Soot"\nkind = "sooty"\nopen_time_h = true\n')
    told = {p.column: p.wanted for p in problems(tmp_path)}
    assert "'process', 'spot'" in told["soot.kind"]
    assert told["soot.open_time_h"] == "write a number"
    assert told["soot.drying_time_h"] == "this key is needed"


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ('name = "a"\nunits = = 2\n', 2),
        ('name = "a"\nname = "b"\n', 2),
        ('name = "a\n', 1),
        ("[tasks\n", 1),
    ],
)
def test_a_file_that_is_no_toml_is_told_with_its_line(tmp_path: Path, text: str, row: int) -> None:
    found = problems(press_file=written(tmp_path, "p.toml", text))
    assert [(Path(p.file).name, p.row) for p in found] == [("p.toml", row)]
    assert "TOML" in found[0].wanted


def test_values_nested_without_end_are_refused(tmp_path: Path) -> None:
    found = problems(press_file=written(tmp_path, "p.toml", f"name = {'[' * 100_000}"))
    assert len(found) == 1


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('external = ["wash_rollers"]\n', "only outside tasks"),
        ('external = ["take_off_delivery_pile"]\n', "can only come off"),
        ("[tasks]\npolish = { minutes = 1 }\n", "no such task"),
        ('[[wash_overrides]]\nold = "blak"\nnew = "yellow"\nwashes = 2\n', "did you mean black"),
        ('[[wash_overrides]]\nold = "black"\nnew = "yellow"\nwashes = 9\n', "at most 4"),
    ],
)
def test_a_press_that_cannot_be_is_refused(tmp_path: Path, text: str, words: str) -> None:
    assert any(words in p.wanted for p in problems(press_file=written(tmp_path, "p.toml", text)))


@pytest.mark.parametrize(
    ("text", "row", "column", "found", "words"),
    [
        ('units = 2\nexternal = ["wash_rollers"]\n', 2, "external", "['wash_rollers']", "only outside tasks"),
        ('default_lay_side = "left"\n', 1, "default_lay_side", "left", "'operator', 'drive'"),
        ("caliper_um = { least = 90, most = 40 }\n", 1, "caliper_um", "a table", "least is over most, 90 over 40"),
        ("automatic_plate_length_mm = 700\n", 1, "automatic_plate_length_mm", "700", "400 to 500 mm"),
        ("feed_pile_mm = 0\n", 1, "feed_pile_mm", "0", "write a number over 0"),
        ("[tasks]\nload_pile = 2\n", 2, "tasks.load_pile", "2", "write a table: { key = value }"),
        (
            '[[coverage_classes]]\nname = "b"\nup_to_percent = 50\nspeed_factor = 1\n'
            '[[coverage_classes]]\nname = "a"\nup_to_percent = 20\nspeed_factor = 1\n'
            '[[coverage_classes]]\nname = "c"\nup_to_percent = 100\nspeed_factor = 1\n',
            1,
            "coverage_classes",
            "up_to_percent",
            "each class must reach further",
        ),
    ],
)
def test_a_fault_of_the_press_stands_at_its_key(
    tmp_path: Path, text: str, row: int, column: str, found: str, words: str
) -> None:
    (problem,) = problems(press_file=written(tmp_path, "p.toml", text))
    assert (problem.row, problem.column) == (row, column)
    assert found in problem.found
    assert words in problem.wanted
    assert "0.0" not in problem.wanted


def test_a_time_without_seconds_is_told_as_one(tmp_path: Path) -> None:
    written(tmp_path, "shifts.toml", 'time_zone = "UTC"\n[[shifts]]\ndays = ["monday"]\nstart = 08:00\n')
    (problem,) = problems(tmp_path)
    assert (problem.row, problem.wanted) == (4, "write times with seconds, such as 06:30:00")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('time_zone = "Mars/Base"\n[[shifts]]\ndays=["monday"]\nstart=06:00:00\nend=14:00:00\ncrew=1\n', "IANA"),
        ('time_zone = "UTC"\n[[shifts]]\ndays=["moonday"]\nstart=06:00:00\nend=14:00:00\ncrew=1\n', "weekday"),
        ('time_zone = "UTC"\n[[shifts]]\ndays=["monday"]\nstart=06:00:00\nend=14:00:00\ncrew=3\n', "at most 2"),
        ('time_zone = "UTC"\n', "this key is needed"),
    ],
)
def test_hours_that_cannot_be_are_refused(tmp_path: Path, text: str, words: str) -> None:
    written(tmp_path, "shifts.toml", text)
    assert any(words in p.wanted for p in problems(tmp_path))


def test_a_folder_that_is_none_and_a_file_nothing_reads_are_told(tmp_path: Path) -> None:
    assert "no such folder" in problems(tmp_path / "nowhere")[0].found
    written(tmp_path, "ink.toml", "")
    found = problems(tmp_path)
    assert [(Path(p.file).name, "inks.toml" in p.wanted) for p in found] == [("ink.toml", True)]


def test_the_press_may_stand_anywhere_when_the_plan_begins(tmp_path: Path) -> None:
    text = """
delivery_pile = true
[[units]]
ink = "black"
last_run_end = 2026-11-25T21:40:00
plate = { id = "P12", material = "metal", length_mm = 488, thickness_um = 150 }
[[units]]
residue = "magenta"
residue_washes = 1
[settings]
format = "SRA3"
feed_edge = "long"
stock = "bond-75"
strips = [{ from_mm = 18, to_mm = 34 }]
[printed_first_sides]
"1047/1" = 2026-11-25T16:05:00+00:00
"1048/1" = "unknown"
"""
    start = load_start(written(tmp_path, "start.toml", text), load_shop())
    first, second = start.units
    assert first.last_run_end is not None
    assert first.last_run_end.isoformat() == "2026-11-25T21:40:00+01:00"
    assert (first.ink, second.residue, second.residue_washes) == ("black", "magenta", 1)
    assert start.settings.format is not None
    assert start.settings.format.name == "SRA3"
    assert set(start.printed_first_sides) == {"1047/1", "1048/1"}
    assert start.printed_first_sides["1048/1"] is None  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "column", "words"),
    [
        ('[[units]]\nink = "blak"\n[[units]]\n', "units.0.ink", "did you mean black"),
        ('[[units]]\n[[units]]\nresidue = "blak"\n', "units.1.residue", "did you mean black"),
        ('[settings]\nstock = "bond"\n', "settings.stock", "bond-60"),
        ('[settings]\nformat = "A44"\n', "settings.format", "210 x 297"),
        ('[settings]\nformats = "A4"\n', "settings.formats", "take it out"),
        ("[[units]]\noiled = true\n", "units", "all 2 units"),
        ('[[units]]\nink = "black"\noiled = true\n[[units]]\n', "units.0", "neither residue nor oil"),
        ("[[units]]\nlast_run_end = 2026-03-29T02:30:00\n[[units]]\n", "units.0.last_run_end", "skip"),
        ('solution = "stone"\n', "solution", "'metal', 'polyester'"),
    ],
)
def test_a_start_that_cannot_be_is_told(tmp_path: Path, text: str, column: str, words: str) -> None:
    found = start_problems(tmp_path, text)
    assert [p.column for p in found] == [column]
    assert words in found[0].wanted
    assert found[0].row is not None
