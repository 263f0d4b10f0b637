"""The form of a job list: encodings, line ends, delimiters, ragged rows, quotation marks, size."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from queueplanner.exchange import csv_table
from queueplanner.exchange.job_csv import COLUMNS, read_jobs
from tests.exchange.job_lists import DAY, PLAIN, demo_shop, list_text, only, problems_of_text

ROWS = (
    {"title": '"Leaflet; two folds, ""blue"""', "coverage": '"12,5"', "due": "14:30"},
    {"title": "Café", "inks": "harbour-blue+black", "plates": "P1+P2"},
)


@pytest.mark.parametrize(
    ("mark", "line_end", "last", "sep", "delimiter"),
    list(itertools.product([b"", b"\xef\xbb\xbf"], ["\n", "\r\n", "\r"], [True, False], [True, False], ";,")),
)
def test_every_way_of_writing_the_same_list_reads_the_same(
    tmp_path: Path, mark: bytes, line_end: str, last: bool, sep: bool, delimiter: str
) -> None:
    plain = tmp_path / "plain.csv"
    plain.write_text(list_text(*ROWS), encoding="utf-8")
    text = (f"sep={delimiter}\n" if sep else "") + list_text(*ROWS, delimiter=delimiter)
    text = (text if last else text.rstrip("\n")).replace("\n", line_end)
    other = tmp_path / "other.csv"
    other.write_bytes(mark + text.encode())
    assert read_jobs(other, demo_shop(), DAY) == read_jobs(plain, demo_shop(), DAY)


def test_columns_may_stand_in_any_order_and_case(tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text("Inks;FORMAT; stock ;sheets;job\nblack;A4;bond-75;100;7\n")
    assert [job.id for job in read_jobs(path, demo_shop(), DAY)] == ["7"]


def test_empty_lines_and_trailing_empty_columns_mean_nothing(tmp_path: Path) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text("job;sheets;stock;format;inks;;\n\n1;100;bond-75;A4;black;;\n;;;;;;\n\n")
    assert len(read_jobs(path, demo_shop(), DAY)) == 1


def test_a_line_break_inside_quotation_marks_is_a_space_and_rows_keep_their_lines(tmp_path: Path) -> None:
    text = list_text({"title": '"two\r\nlines"'}, {"sheets": "none"})
    assert only(problems_of_text(tmp_path, text)).row == 4


def test_an_unknown_column_names_the_near_one(tmp_path: Path) -> None:
    found = only(problems_of_text(tmp_path, list_text({"coverege": "10"})))
    assert (found.row, found.column) == (1, "coverege")
    assert "did you mean coverage" in found.wanted


def test_a_doubled_and_a_missing_column_are_named(tmp_path: Path) -> None:
    found = problems_of_text(tmp_path, "job;sheets;job;stock;format\n1;100;1;bond-75;A4\n")
    assert {(p.row, p.column, p.found) for p in found} == {
        (1, "job", "the column twice"),
        (1, "inks", "no such column"),
    }


def test_text_under_a_nameless_column_is_a_problem(tmp_path: Path) -> None:
    found = only(problems_of_text(tmp_path, "job;sheets;stock;format;inks;\n1;100;bond-75;A4;black;lost\n"))
    assert "'lost'" in found.found


def test_all_faults_of_form_are_told_at_once_with_their_lines(tmp_path: Path) -> None:
    text = (
        "job;title;sheets;stock;format;inks\n"  # 1
        "1;fine;100;bond-75;A4;black\n"  # 2
        "2;short;100\n"  # 3
        "3;long;100;bond-75;A4;black;extra\n"  # 4
        '4;8.5" wide;100;bond-75;A4;black\n'  # 5
        '5;"a" b;100;bond-75;A4;black\n'  # 6
        '6;"never closed;100;bond-75;A4;black\n'  # 7
        "7;fine;100;bond-75;A4;black\n"  # 8
        "8;fine;;bond-75;A4;black\n"  # 9
    )
    found = problems_of_text(tmp_path, text)
    assert [p.row for p in found] == [3, 4, 5, 6, 7, 9]
    assert found[0].found == "3 cells"
    assert "quotation marks" in found[1].wanted


def test_an_open_quotation_mark_does_not_swallow_the_rows_below_it(tmp_path: Path) -> None:
    text = (
        "job;title;sheets;stock;format;inks\n"
        '1;"open;100;bond-75;A4;black\n'
        "2;bad;x;bond-75;A4;black\n"
        '3;"closed";y;bond-75;A4;black\n'
    )
    assert [p.row for p in problems_of_text(tmp_path, text)] == [2, 3, 4]


def test_two_lone_quotation_marks_do_not_make_one_job_of_two(tmp_path: Path) -> None:
    found = problems_of_text(tmp_path, list_text({"title": '"'}, {"title": '"'}, {}, {"sheets": "0"}))
    assert [p.row for p in found] == [2, 3, 5]
    assert "runs on over the next row" in found[0].found


@pytest.mark.parametrize("column", ["job", "sheets", "title"])
@pytest.mark.parametrize("code", [0x00, 0x07, 0x1B, 0x7F, 0x85])
def test_control_characters_are_named_by_code_point(tmp_path: Path, column: str, code: int) -> None:
    found = only(problems_of_text(tmp_path, list_text({column: f"1{chr(code)}2"})))
    assert (found.row, found.column) == (2, column)
    assert f"U+{code:04X}" in found.found


def test_a_control_character_in_the_header_is_named(tmp_path: Path) -> None:
    found = problems_of_text(tmp_path, "job;sheets;stock;format;inks;ti\0tle\n1;100;bond-75;A4;black;x\n")
    assert any(p.row == 1 and p.column == "number 6" and "U+0000" in p.found for p in found)


def test_tabs_between_columns_are_told(tmp_path: Path) -> None:
    assert "commas or semicolons" in only(problems_of_text(tmp_path, "job\tsheets\n1\t2\n")).wanted


def test_a_list_without_rows_is_told(tmp_path: Path) -> None:
    assert "at least one job" in only(problems_of_text(tmp_path, ";".join(COLUMNS) + "\n")).wanted


def test_too_many_rows_end_the_reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_table, "MOST_ROWS", 20)
    found = only(problems_of_text(tmp_path, list_text(*[{}] * 30)))
    assert (found.row, found.found) == (22, "more than 20 rows")


def test_ten_thousand_columns_are_refused(tmp_path: Path) -> None:
    text = ";".join(f"c{n}" for n in range(10_000)) + "\n" + ";" * 9_999 + "\n"
    assert only(problems_of_text(tmp_path, text)).found == "10000 columns"


def test_a_huge_cell_is_refused_and_not_repeated_in_the_message(tmp_path: Path) -> None:
    found = only(problems_of_text(tmp_path, list_text({"title": "x" * 1_000_000})))
    assert (found.row, found.column, found.found) == (2, "title", "1000000 characters")


def test_something_that_is_no_table_says_what_is_missing(tmp_path: Path) -> None:
    found = problems_of_text(tmp_path, "Dear Sir or Madam\nplease print\n")
    assert {p.column for p in found if p.found == "no such column"} == set(PLAIN)
