"""The run order as a table: columns as documented, rows as planned, nothing a spreadsheet could run."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange.cells import moment
from queueplanner.exchange.run_order_csv import COLUMNS, moment_cell, plan_to_csv, text_cell
from queueplanner.planning.plan import Plan
from tests.exchange.plans import demo_plan, plans

EXPORTS = Path(__file__).resolve().parents[2] / "docs" / "exports.md"
DAY = date(2026, 11, 26)


def rows(text: str, separator: str = ";") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), delimiter=separator))


def test_the_columns_are_told_in_their_order() -> None:
    told = re.findall(r"^\| `(\w+)` \|", EXPORTS.read_text(encoding="utf-8"), re.MULTILINE)
    assert told == list(COLUMNS)


@pytest.mark.parametrize("plan", plans(), ids=lambda plan: str(plan.start))
def test_a_row_holds_what_is_planned(plan: Plan) -> None:
    read = rows(plan_to_csv(plan))
    assert [row["pass"] for row in read] == list(plan.order)
    for place, (planned, row) in enumerate(zip(plan.passes, read, strict=True), 1):
        assert row["place"] == str(place)
        for column, value in (
            ("makeready_start", planned.makeready_start),
            ("makeready_end", planned.makeready_end),
            ("run_start", planned.run_start),
            ("run_end", planned.run_end),
        ):
            assert moment(row[column], DAY, plan.zone).timestamp() == value
        assert float(row["makeready_min"]) == pytest.approx(planned.makeready_seconds / 60, abs=0.005)
        assert float(row["late_min"]) == pytest.approx(planned.late_seconds / 60, abs=0.005)
        inks = {row["unit_1"], row["unit_2"]} - {""}
        assert inks == {s.ink.name for s in planned.print_pass.separations}
        assert int(row["sheets"]) == planned.print_pass.sheets


def test_lines_end_as_the_standard_says_and_the_separator_can_be_chosen() -> None:
    text = plan_to_csv(demo_plan(), ",")
    assert "\n" not in text.replace("\r\n", "")
    assert [row["title"] for row in rows(text, ",")] == [p.job.title for p in demo_plan().passes]


def test_a_title_that_begins_like_a_formula_is_no_formula() -> None:
    plan = demo_plan()
    first = plan.passes[0]
    odd = replace(first, job=first.job.model_copy(update={"title": '=HYPERLINK("x");"y"\n+1'}))
    read = rows(plan_to_csv(replace(plan, passes=(odd,))))
    assert read[0]["title"] == '\'=HYPERLINK("x");"y" +1'


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
def test_no_text_begins_a_formula_and_all_its_words_stay(text: str) -> None:
    cell = text_cell(text)
    assert not cell.startswith(("=", "+", "-", "@"))
    assert cell.removeprefix("'").split() in (text.split(), " ".join(text.split()).removeprefix("'").split())


@given(st.integers(0, 366 * 86400), st.sampled_from(["Europe/Amsterdam", "America/New_York"]))
def test_a_time_is_read_back_by_the_job_list_reader(seconds: int, name: str) -> None:
    zone = ZoneInfo(name)
    second = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp()) + seconds
    assert moment(moment_cell(second, zone), DAY, zone).timestamp() == second


def test_an_hour_shown_twice_is_told_apart() -> None:
    zone = ZoneInfo("Europe/Amsterdam")
    first = int(datetime(2026, 10, 25, 0, 30, tzinfo=UTC).timestamp())
    later = first + int(timedelta(hours=1).total_seconds())
    assert [moment_cell(m, zone) for m in (first, later)] == ["2026-10-25 02:30+02:00", "2026-10-25 02:30+01:00"]
