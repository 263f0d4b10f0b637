"""A job written as cells is read back as the same job."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.exchange.csv_table import Table, take_cells
from queueplanner.exchange.demo import DEMO_DAY, DEMO_WEEK, demo_jobs
from queueplanner.exchange.job_cells import cells_of_job, number_cell
from queueplanner.exchange.job_csv import read_jobs
from queueplanner.exchange.job_passes import job_of_entry
from queueplanner.exchange.job_row import read_entry
from queueplanner.shop.job import Job, WorkStyle
from tests.exchange.job_lists import DAY, PLAIN, demo_shop

SHOP = demo_shop()
INKS = [ink.id for ink in SHOP.inks.values() if ink.family in SHOP.press.ink_families]
STYLES = st.sampled_from([str(style) for style in WorkStyle])


def read(cells: dict[str, str], day: date = DAY) -> Job:
    table = Table("cells")
    take_cells(table, 1, cells.items())
    entry = read_entry(table.rows[0], table, SHOP, day)
    assert entry is not None, table.problems
    return job_of_entry(entry, SHOP.press)


@st.composite
def rows(draw) -> dict[str, str]:
    style = draw(STYLES)
    two = style != "one side"
    pair = st.lists(st.sampled_from(INKS), min_size=1, max_size=2, unique=True)
    inks = draw(pair)
    maybe = lambda *texts: draw(st.sampled_from(["", *texts]))  # noqa: E731
    row = PLAIN | {
        "job": draw(st.sampled_from(["1047", "10 a", "x/1"])),
        "title": maybe('Menus, "The Copper Pan"'),
        "sheets": str(draw(st.integers(1, 10_000_000))),
        "due": maybe("17:00", "2026-11-27 08:30:15", "2027-03-01 00:00"),
        "weight": maybe("0", "7"),
        "stock": draw(st.sampled_from(["silk-250", "Bond 75 g/m²"])),
        "format": draw(st.sampled_from(["A4", "letter", "Card sheet", "210,5 x 300", "8.5 x 11 in"])),
        "feed_edge": maybe("short"),
        "work_style": style,
        "inks": "+".join(inks),
        "plates": maybe("+".join(f"P{i}" for i in range(len(inks)))),
        "coverage": maybe("+".join(str(draw(st.integers(0, 100))) for _ in inks), "+".join("20" for _ in inks)),
        "plate_material": maybe("polyester", "paper", "metal"),
        "plate_length_mm": maybe("504.8250", "500"),
        "plate_thickness_mm": maybe("0.102", "1.5", "0.15"),
        "lay_side": maybe("drive", "operator"),
        "strips": maybe("18-34 190.5-206"),
        "overprint": maybe("no", "yes"),
        "units_free": maybe("yes"),
        "earliest": maybe("10:00"),
        "makeready_waste": maybe("0", "75"),
        "running_waste": maybe("0", "33"),
    }
    if two:
        row |= {"lay_side_back": maybe("drive", "operator"), "strips_back": maybe("3-9"), "drying_h": maybe("0", "2,5")}
    if style == "sheetwise":
        back = draw(pair)
        row |= {
            "inks_back": "+".join(back),
            "plates_back": maybe("+".join(f"Q{i}" for i in range(len(back)))),
            "coverage_back": maybe("+".join("33.5" for _ in back)),
        }
    return row


@settings(max_examples=300, derandomize=True, deadline=None)
@given(rows())
def test_any_job_comes_back_as_it_was(row) -> None:
    job = read(row)
    assert read(cells_of_job(job, SHOP, DAY)) == job


@pytest.mark.parametrize(("name", "day"), [("day.csv", DEMO_DAY), ("week.csv", DEMO_WEEK)])
def test_the_demo_jobs_come_back_as_they_were(name: str, day: date) -> None:
    for job in read_jobs(demo_jobs(name), SHOP, day):
        assert read(cells_of_job(job, SHOP, day), day) == job


def test_what_a_list_fills_in_by_itself_is_left_empty() -> None:
    cells = cells_of_job(
        read(PLAIN | {"feed_edge": "long", "weight": "1", "coverage": "20", "plates": "1/black"}), SHOP, DAY
    )
    assert cells == PLAIN


def test_a_time_the_clocks_show_twice_is_written_with_its_offset() -> None:
    day = date(2026, 10, 25)
    for text in ("02:30+02:00", "02:30+01:00"):
        job = read(PLAIN | {"due": text}, day)
        assert cells_of_job(job, SHOP, day)["due"] == text


def test_a_number_is_never_written_so_that_it_would_be_asked_about() -> None:
    assert number_cell(504.825) == "504.8250"
    assert number_cell(0.102) == "0.102"
    assert number_cell(500.0) == "500"
    assert number_cell(1e-05) == "0.00001"
