"""What a job list says: every column, what stands in for one left out, and every fault of its jobs at once."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange.job_csv import COLUMNS, REQUIRED, read_jobs
from queueplanner.exchange.shop_files import load_shop
from queueplanner.shop.errors import BadInput
from queueplanner.shop.format import FeedEdge
from queueplanner.shop.job import Job, LaySide, WorkStyle
from queueplanner.shop.plate import PlateMaterial
from tests.exchange.job_lists import DAY, demo_shop, list_text, only, problems, problems_of_text, taken


def one(folder: Path, row: dict[str, str]) -> Job:
    jobs = taken(folder, row)
    assert len(jobs) == 1
    return jobs[0]


def test_a_plain_row_takes_every_default(tmp_path: Path) -> None:
    job = one(tmp_path, {})
    only_pass = job.passes[0]
    separation = only_pass.separations[0]
    assert (job.id, job.title, job.due, job.weight, job.work_style) == ("1", "", None, 1, WorkStyle.ONE_SIDE)
    assert (only_pass.id, only_pass.side, only_pass.first_side, only_pass.drying_s) == ("1", 1, None, 0)
    assert (only_pass.sheets, only_pass.running_waste, only_pass.makeready_waste) == (1000, 37, 120)
    assert (only_pass.feed_edge, only_pass.lay_side) == (FeedEdge.LONG, LaySide.OPERATOR)
    assert (only_pass.strips, only_pass.overprint, only_pass.units_free) == ((), True, False)
    assert (only_pass.earliest, only_pass.own_tasks) == (None, ())
    assert (separation.ink.id, separation.coverage_percent) == ("black", 20.0)
    assert separation.plate.model_dump() == {
        "id": "1/black",
        "material": PlateMaterial.METAL,
        "length_mm": 488.0,
        "thickness_um": 150,
    }


def test_a_full_row_is_taken_as_written(tmp_path: Path) -> None:
    job = one(
        tmp_path,
        {
            "job": "24-1047 B",
            "title": "Letterheads",
            "sheets": "2500",
            "due": "2026-11-27 09:15",
            "weight": "3",
            "format": "230 x 320",
            "feed_edge": "short",
            "inks": "harbour-blue + warm-grey",
            "plates": "HB + WG",
            "coverage": "8 % + 12,5",
            "plate_material": "polyester",
            "plate_length_mm": "470,5",
            "plate_thickness_mm": "0.1016",
            "lay_side": "drive",
            "strips": "18-34 190-206",
            "overprint": "no",
            "units_free": "yes",
            "earliest": "10:00",
            "makeready_waste": "99",
            "running_waste": "11",
            "own_tasks": "Numbering + perforating",
        },
    )
    taken_pass = job.passes[0]
    assert (job.id, job.title, job.weight) == ("24-1047 B", "Letterheads", 3)
    assert job.due is not None
    assert job.due.isoformat() == "2026-11-27T09:15:00+01:00"
    assert (taken_pass.format.short_mm, taken_pass.format.long_mm) == (230, 320)
    assert [(s.ink.id, s.plate.id, s.coverage_percent) for s in taken_pass.separations] == [
        ("harbour-blue", "HB", 8.0),
        ("warm-grey", "WG", 12.5),
    ]
    plate = taken_pass.separations[0].plate
    assert (plate.material, plate.length_mm, plate.thickness_um) == (PlateMaterial.POLYESTER, 470.5, 102)
    assert (taken_pass.feed_edge, taken_pass.lay_side) == (FeedEdge.SHORT, LaySide.DRIVE)
    assert (taken_pass.overprint, taken_pass.units_free) == (False, True)
    assert taken_pass.earliest is not None
    assert taken_pass.earliest.isoformat() == "2026-11-26T10:00:00+01:00"
    assert (taken_pass.makeready_waste, taken_pass.running_waste) == (99, 11)
    assert taken_pass.own_tasks == ("numbering", "perforating")


def test_inks_and_stocks_are_known_by_name_too(tmp_path: Path) -> None:
    job = one(tmp_path, {"inks": "Harbour Blue", "stock": "Bond 75 g/m²"})
    assert (job.passes[0].separations[0].ink.id, job.passes[0].stock.id) == ("harbour-blue", "bond-75")


@pytest.mark.parametrize(
    ("style", "back_lay"),
    [("sheetwise", "drive"), ("work-and-turn", "drive"), ("work-and-tumble", "operator")],
)
def test_a_two_sided_job_becomes_two_passes_with_drying_between(tmp_path: Path, style: str, back_lay: str) -> None:
    back = {"inks_back": "black"} if style == "sheetwise" else {}
    front, second = one(tmp_path, {"job": "7", "work_style": style, "inks": "silver+black", **back}).passes
    assert (front.id, front.side, front.first_side, front.drying_s) == ("7/1", 1, None, 0)
    assert (second.id, second.side, second.first_side) == ("7/2", 2, "7/1")
    assert second.drying_s == 4 * 3600  # silver dries longest
    assert (front.lay_side, second.lay_side) == ("operator", back_lay)
    assert (front.format, front.stock, front.sheets) == (second.format, second.stock, second.sheets)


def test_sheetwise_sides_have_plates_of_their_own(tmp_path: Path) -> None:
    front, back = one(tmp_path, {"job": "7", "work_style": "sheetwise", "inks_back": "black"}).passes
    assert (front.separations[0].plate.id, back.separations[0].plate.id) == ("7/1/black", "7/2/black")
    assert back.strips == ()


@pytest.mark.parametrize("style", ["work-and-turn", "work-and-tumble"])
def test_other_styles_print_both_sides_from_the_same_plates(tmp_path: Path, style: str) -> None:
    row = {"job": "7", "work_style": style, "inks": "coral+plum", "strips": "18-34"}
    front, back = one(tmp_path, row).passes
    assert front.separations == back.separations
    assert [s.plate.id for s in back.separations] == ["7/1/coral", "7/1/plum"]
    assert front.strips == back.strips


def test_what_is_told_of_the_back_counts(tmp_path: Path) -> None:
    row = {"work_style": "sheetwise", "inks_back": "black+amber", "plates_back": "B1+B2", "coverage_back": "5+6"}
    row |= {"lay_side_back": "operator", "strips_back": "10-20", "drying_h": "0.5", "own_tasks": "numbering"}
    front, back = one(tmp_path, row).passes
    assert [(s.ink.id, s.plate.id, s.coverage_percent) for s in back.separations] == [
        ("black", "B1", 5.0),
        ("amber", "B2", 6.0),
    ]
    assert (back.lay_side, back.drying_s, [s.from_mm for s in back.strips]) == ("operator", 1800, [10.0])
    assert (front.own_tasks, back.own_tasks) == ((), ("numbering",))


@pytest.mark.parametrize(
    ("column", "text"),
    [("lay_side_back", "drive"), ("strips_back", "18-34"), ("drying_h", "2"), ("inks_back", "black")],
)
def test_back_columns_of_a_one_sided_job_must_be_empty(tmp_path: Path, column: str, text: str) -> None:
    found = only(problems(tmp_path, {column: text}))
    assert (found.column, "'one side'" in found.wanted) == (column, True)


@pytest.mark.parametrize("column", ["inks_back", "plates_back", "coverage_back"])
def test_shared_plates_leave_the_back_nothing_to_say(tmp_path: Path, column: str) -> None:
    found = only(problems(tmp_path, {"work_style": "work-and-turn", column: "black"}))
    assert (found.column, "same plates" in found.wanted) == (column, True)


def test_a_sheetwise_job_needs_inks_for_its_back(tmp_path: Path) -> None:
    found = problems(tmp_path, {"work_style": "sheetwise"}, {"work_style": "sheetwise", "inks_back": ""})
    assert [(p.row, p.column, p.found) for p in found] == [(2, "inks_back", "nothing"), (3, "inks_back", "nothing")]
    assert {p.wanted for p in found} == {"fill it in: every sheetwise job needs it"}


def test_every_fault_of_every_row_is_told_at_once(tmp_path: Path) -> None:
    found = problems(
        tmp_path,
        {"sheets": "1,234", "stock": "bond-57", "format": "A44", "inks": "blak", "due": "25:00"},
        {},
        {"weight": "-1", "coverage": "10+20", "plates": "", "overprint": "perhaps", "feed_edge": "broad"},
    )
    assert [(p.row, p.column) for p in found] == [
        (2, "sheets"),
        (2, "due"),
        (2, "stock"),
        (2, "format"),
        (2, "inks"),
        (4, "weight"),
        (4, "feed_edge"),
        (4, "coverage"),
        (4, "overprint"),
    ]
    assert "did you mean bond-75" in next(p.wanted for p in found if p.column == "stock")
    assert "did you mean black" in next(p.wanted for p in found if p.column == "inks")
    assert all(p.file.endswith("jobs.csv") for p in found)


@pytest.mark.parametrize("column", REQUIRED)
def test_a_needed_cell_left_empty_is_told(tmp_path: Path, column: str) -> None:
    assert (only(problems(tmp_path, {column: ""})).column, only(problems(tmp_path, {column: ""})).row) == (column, 2)


@pytest.mark.parametrize("column", REQUIRED)
def test_a_needed_column_left_out_is_told_once(tmp_path: Path, column: str) -> None:
    text = list_text({}, {}, {})
    header, *rows = text.splitlines()
    at = header.split(";").index(column)
    cut = [";".join(c for i, c in enumerate(line.split(";")) if i != at) for line in (header, *rows)]
    found = only(problems_of_text(tmp_path, "\n".join(cut)))
    assert (found.row, found.column, found.found) == (1, column, "no such column")


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("sheets", "0"),
        ("sheets", "-1"),
        ("sheets", "1e30"),
        ("sheets", "1" + "0" * 30),
        ("sheets", "12.5"),
        ("weight", "1001"),
        ("coverage", "101"),
        ("coverage", "NaN"),
        ("plate_length_mm", "0.0001"),
        ("plate_length_mm", "1e308"),
        ("plate_length_mm", "inf"),
        ("plate_thickness_mm", "0"),
        ("plate_thickness_mm", "3"),
        ("makeready_waste", "-5"),
        ("running_waste", "99999999999"),
        ("format", "0 x 0"),
        ("format", "9999 x 99999"),
        ("strips", "5-1"),
        ("work_style", "both sides"),
        ("plate_material", "gold"),
        ("own_tasks", "foiling"),
        ("inks", "black+black"),
        ("inks", "black+amber+plum"),
        ("inks", "+"),
        ("plates", "P+P"),
        ("job", "#12"),
        ("job", "1 #2"),
        ("job", "x" * 41),
        ("job", "a\u200bb"),
        ("title", "x" * 201),
    ],
)
def test_absurd_values_are_refused_with_what_would_be_right(tmp_path: Path, column: str, text: str) -> None:
    found = problems(tmp_path, {column: text})
    assert {p.column for p in found} == {column}
    assert all(p.wanted for p in found)


@given(st.text(max_size=30), st.sampled_from([c for c in COLUMNS if c not in ("title", "job", "plates")]))
def test_no_text_in_any_cell_ends_in_anything_but_a_job_or_a_problem(
    tmp_path_factory: pytest.TempPathFactory, text: str, column: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    quoted = '"' + text.replace('"', '""') + '"'
    path.write_text(list_text({column: quoted}), encoding="utf-8", errors="replace", newline="")
    assert jobs_or_problems(path)


def jobs_or_problems(path: Path) -> list[object]:
    """The jobs of a list, or else its problems, each of which says what was found and what would be right."""
    try:
        return list(read_jobs(path, demo_shop(), DAY))
    except BadInput as error:
        return [p for p in error.problems if p.wanted and p.found]


@pytest.mark.parametrize(
    "title",
    ["=1+1", "'; drop table jobs", "{0.__class__}", "<img src=x>", "%s%n", "-2+3", "\u0645\u0631\u062d\u0628\u0627"],
)
def test_titles_are_taken_letter_by_letter(tmp_path: Path, title: str) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text({"title": f'"{title}"'}), encoding="utf-8")
    assert read_jobs(path, demo_shop(), DAY)[0].title == title


@pytest.mark.parametrize(
    ("first", "second"), [("A1", "A1"), ("a1", "A1"), ("Caf\u00e9", "Cafe\u0301"), ("\uff21\uff11", "A1")]
)
def test_ids_that_are_or_look_the_same_are_told_with_both_rows(tmp_path: Path, first: str, second: str) -> None:
    found = only(problems(tmp_path, {"job": first}, {}, {"job": second}))
    assert (found.row, found.column) == (4, "job")
    assert "row 2" in found.wanted
    assert ("Unicode form" in found.wanted) == (first != second)


def test_a_job_named_like_another_jobs_pass_is_told(tmp_path: Path) -> None:
    found = only(problems(tmp_path, {"job": "7", "work_style": "work-and-turn"}, {"job": "7/2"}))
    assert (found.row, found.column) == (3, "job")
    assert "row 2" in found.found


def test_a_plate_may_print_in_several_jobs(tmp_path: Path) -> None:
    jobs = taken(tmp_path, {"plates": "logo"}, {"plates": "logo", "stock": "laid-100"})
    assert jobs[0].passes[0].separations[0].plate == jobs[1].passes[0].separations[0].plate


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [
        ("plate_material", "polyester", "polyester"),
        ("plate_length_mm", "450", "450 mm"),
        ("plate_thickness_mm", "0.2", "0.2 mm"),
    ],
)
def test_a_plate_that_is_two_things_is_told(tmp_path: Path, column: str, value: str, told: str) -> None:
    shared = {"plates": "logo", "plate_thickness_mm": "0.15", "plate_material": "metal", "plate_length_mm": "488"}
    found = only(problems(tmp_path, shared, shared | {column: value}))
    assert (found.row, found.column) == (3, column)
    assert told in found.found
    assert "row 2" in found.wanted


def test_plates_that_differ_only_in_capitals_are_told(tmp_path: Path) -> None:
    found = only(problems(tmp_path, {"plates": "Logo"}, {"plates": "logo"}))
    assert (found.row, found.column, "row 2" in found.wanted) == (3, "plates", True)


def test_what_the_press_cannot_run_is_told_by_column(tmp_path: Path) -> None:
    found = problems(
        tmp_path,
        {"format": "A1", "work_style": "work-and-turn"},
        {"plate_thickness_mm": "0.3"},
        {"plate_length_mm": "510"},
        {"strips": "200-400"},
        {"work_style": "sheetwise", "inks_back": "black", "strips_back": "200-400"},
    )
    assert [(p.row, p.column) for p in found] == [
        (2, "format"),
        (3, "plate_thickness_mm"),
        (4, "plate_length_mm"),
        (5, "strips"),
        (6, "strips_back"),
    ]


def test_plates_a_tenth_to_a_fifth_of_a_millimetre_are_taken(tmp_path: Path) -> None:
    for text in ("0.10", "0.1016", "0.15", "0.2", "0.2032"):
        assert taken(tmp_path, {"plate_thickness_mm": text})
    for text in ("0.09", "0.21"):
        assert "thick" in only(problems(tmp_path, {"plate_thickness_mm": text})).wanted


def test_on_a_press_of_one_unit_two_inks_are_told(tmp_path: Path) -> None:
    press = tmp_path / "press.toml"
    press.write_text('units = 1\nname = "Small press"\n')
    found = only(problems(tmp_path, {"inks": "black+amber"}, shop=load_shop(press_file=press)))
    assert (found.column, "Small press has 1" in found.wanted) == ("inks", True)


def test_without_an_automatic_changer_every_plate_needs_its_length(tmp_path: Path) -> None:
    press = tmp_path / "press.toml"
    press.write_text('automatic_plate_length_mm = "none"\n')
    shop = load_shop(press_file=press)
    found = only(problems(tmp_path, {}, shop=shop))
    assert (found.row, found.column, found.found) == (2, "plate_length_mm", "nothing")
    assert taken(tmp_path, {"plate_length_mm": "480"}, shop=shop)


def test_a_skipped_hour_in_the_list_is_told_with_its_cell(tmp_path: Path) -> None:
    found = only(problems(tmp_path, {"due": "02:30"}, day=date(2026, 3, 29)))
    assert (found.column, "skip" in found.wanted) == ("due", True)


def test_nothing_read_changes_with_the_day_but_times_without_a_date(tmp_path: Path) -> None:
    row = {"due": "14:00", "earliest": "2026-11-26 10:00"}
    one_day, next_day = (taken(tmp_path, row, day=date(2026, 11, day))[0] for day in (26, 27))
    assert one_day.due is not None
    assert next_day.due is not None
    assert (next_day.due - one_day.due).days == 1
    assert one_day.passes == next_day.passes
    assert json.loads(one_day.model_dump_json(exclude={"due"})) == json.loads(next_day.model_dump_json(exclude={"due"}))
