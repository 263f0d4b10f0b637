"""Sorting, filtering and finding change what is on view, never the rows."""

from __future__ import annotations

import pytest

from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.desk.sheet_order import SheetOrder
from tests.desk.sheets import job, sheet


def jobs() -> JobSheetModel:
    return sheet(
        [
            job(job="1047", title="Menus", sheets="900", due="17:00", format="A4"),
            job(job="1047-10", title="Cards", sheets="1500", format="A3"),
            job(job="1047-2", title="menus, large", sheets="900", due="2026-11-26 09:30", format="A3"),
            job(job="99", title="Tags", sheets="10000", due="2026-11-27 08:00", stock="silk-115"),
        ]
    )


def named(model: JobSheetModel, order: SheetOrder) -> list[str]:
    return [model.name_of(key) for key in order.keys]


@pytest.mark.parametrize(
    ("column", "rising", "falling"),
    [
        ("job", ["99", "1047", "1047-2", "1047-10"], ["1047-10", "1047-2", "1047", "99"]),
        ("sheets", ["1047", "1047-2", "1047-10", "99"], ["99", "1047-10", "1047", "1047-2"]),
        ("due", ["1047-2", "1047", "99", "1047-10"], ["99", "1047", "1047-2", "1047-10"]),
    ],
)
def test_rows_are_sorted_by_what_cells_mean_and_equals_keep_their_order(column, rising, falling) -> None:
    model = jobs()
    order = SheetOrder(model)
    order.sort(column)
    assert named(model, order) == rising
    order.sort(column, descending=True)
    assert named(model, order) == falling
    order.sort(None)
    assert order.keys == list(model.keys)


def test_sorting_leaves_the_jobs_in_their_order() -> None:
    model = jobs()
    before = model.jobs
    SheetOrder(model).sort("sheets")
    assert model.jobs == before and model.undo_step is None


def test_a_filter_keeps_rows_that_hold_every_word() -> None:
    model = jobs()
    order = SheetOrder(model)
    order.narrow("MENUS a3")
    assert named(model, order) == ["1047-2"]
    order.narrow("silk coated")
    assert named(model, order) == ["99"]
    order.narrow("")
    assert len(order.keys) == 4


def test_an_edited_row_stays_where_it_is_until_it_is_sorted_anew() -> None:
    model = jobs()
    order = SheetOrder(model)
    order.sort("sheets")
    model.set_cell(order.keys[0], "sheets", "20000")
    order.follow()
    assert named(model, order)[0] == "1047"
    order.apply()
    assert named(model, order)[-1] == "1047"


def test_new_rows_stand_behind_the_row_they_stand_behind_and_hidden_ones_stay_hidden() -> None:
    model = jobs()
    order = SheetOrder(model)
    order.narrow("menus")
    order.sort("job", descending=True)
    assert named(model, order) == ["1047-2", "1047"]
    model.duplicate([order.keys[1]])
    order.follow()
    assert named(model, order) == ["1047-2", "1047", "1047-3"]
    model.undo()
    order.follow()
    assert named(model, order) == ["1047-2", "1047"]


def test_finding_goes_on_round_the_end_both_ways() -> None:
    model = jobs()
    order = SheetOrder(model)
    columns = ["job", "title", "format"]
    first, second = model.keys[0], model.keys[2]
    assert order.find("menus", columns, None) == (first, "title")
    assert order.find("menus", columns, (first, "title")) == (second, "title")
    assert order.find("menus", columns, (second, "title")) == (first, "title")
    assert order.find("menus", columns, (first, "title"), back=True) == (second, "title")
    assert order.find("menus", columns, (second, "job"), back=True) == (first, "title")
    assert order.find("nowhere", columns, None) is None
    assert order.find("", columns, None) is None
