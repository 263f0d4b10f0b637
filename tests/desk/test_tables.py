from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from queueplanner.desk.day_rows import job_rows, pass_rows
from queueplanner.desk.figures import Figures
from queueplanner.desk.ink_colour import screen_colour
from queueplanner.desk.job_table import job_columns
from queueplanner.desk.order_table import order_columns
from queueplanner.desk.table_cells import INKS_ROLE, RowsModel
from queueplanner.desk.table_view import DeskTable
from queueplanner.desk.theme import Appearance, Theme, make_theme
from tests.desk.example_plan import BLUE, SILVER, ZONE, example_plan, jobs
from tests.desk.pictures import holds_colour, pixels

FIGURES = Figures(ZONE)


def jobs_model(planned: bool = True) -> RowsModel:
    model = RowsModel()
    model.set_table(job_columns(FIGURES), job_rows(jobs(), example_plan() if planned else None))
    return model


def order_model() -> RowsModel:
    model = RowsModel()
    model.set_table(order_columns(FIGURES), pass_rows(example_plan()))
    return model


def heads(model: RowsModel) -> list[str]:
    return [model.headerData(c, Qt.Orientation.Horizontal) for c in range(model.columnCount())]


def texts(model: RowsModel, head: str) -> list[str]:
    column = heads(model).index(head)
    return [model.index(row, column).data() for row in range(model.rowCount())]


@pytest.mark.parametrize("model", [jobs_model, order_model])
def test_figures_stand_to_the_right_under_a_head_that_does_too(model) -> None:
    made = model()
    for column, head in enumerate(heads(made)):
        right = head in {
            "Place", "Sheets", "Paper from", "Due", "Starts", "Ends", "Late, min", "Make-ready", "for, min",
            "Washes", "Run from", "Run to",
        }
        for alignment in (
            made.headerData(column, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole),
            made.index(0, column).data(Qt.ItemDataRole.TextAlignmentRole),
        ):
            assert bool(alignment & Qt.AlignmentFlag.AlignRight) is right, head


def test_minutes_carry_their_unit_in_the_head_and_one_decimal_each() -> None:
    cells = texts(order_model(), "for, min")
    assert all(cell.count(".") == 1 and len(cell.partition(".")[2]) == 1 for cell in cells)


def test_a_job_is_listed_with_place_times_and_lateness_when_planned() -> None:
    model = jobs_model()
    row = texts(model, "Job").index("1050")
    assert texts(model, "Place")[row] == "4, 6"
    assert texts(model, "Starts")[row] == FIGURES.day_clock(example_plan().passes[3].makeready_start)
    assert texts(model, "Late, min")[texts(model, "Job").index("1047")] != "on time"
    assert texts(model, "Late, min")[row] == "on time"


def test_before_planning_the_places_are_empty() -> None:
    model = jobs_model(planned=False)
    assert set(texts(model, "Place")) == {""}
    assert set(texts(model, "Starts")) == {""}


def test_the_run_order_says_all_that_the_timeline_shows() -> None:
    """The table is the picture's twin: equal content for whoever cannot see the picture."""
    model, plan = order_model(), example_plan()
    assert texts(model, "Pass") == list(plan.order)
    assert texts(model, "Make-ready") == [FIGURES.day_clock(p.makeready_start) for p in plan.passes]
    assert texts(model, "Run from") == [FIGURES.day_clock(p.run_start) for p in plan.passes]
    assert texts(model, "Run to") == [FIGURES.day_clock(p.run_end) for p in plan.passes]
    assert texts(model, "Stock") == [p.print_pass.stock.name for p in plan.passes]
    assert texts(model, "Unit and ink")[0] == "1: Harbour blue, 2: Black"


def test_inks_come_with_their_names_and_their_colours(qtbot, theme: Theme) -> None:
    model = jobs_model()
    table = DeskTable(model, theme, "Jobs")
    qtbot.addWidget(table)
    table.resize(1500, 400)
    table.show()
    cells = [model.index(row, heads(model).index("Inks")) for row in range(model.rowCount())]
    assert [words for _, words in cells[0].data(INKS_ROLE)] == ["Harbour blue", "Black"]
    picture = pixels(table)
    for ink in (BLUE, SILVER):
        assert holds_colour(picture, screen_colour(ink), within=4), ink.name


def test_sorting_puts_rows_without_a_value_last_both_ways(qtbot, light: Theme) -> None:
    model = jobs_model()
    table = DeskTable(model, light, "Jobs")
    qtbot.addWidget(table)
    due = heads(model).index("Due")
    for way in (Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder):
        table.sortByColumn(due, way)
        shown = [table.model().index(row, due).data() for row in range(table.model().rowCount())]
        assert shown[-1] == ""


def test_moving_along_the_rows_tells_which_is_chosen(qtbot, light: Theme) -> None:
    table = DeskTable(order_model(), light, "Run order")
    qtbot.addWidget(table)
    chosen = []
    table.row_chosen.connect(chosen.append)
    table.setFocus()
    QTest.keyClick(table, Qt.Key.Key_Down)
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert [row.pass_id for row in chosen] == list(example_plan().order[:2])


def test_a_selection_from_elsewhere_is_not_told_again(qtbot, light: Theme) -> None:
    table = DeskTable(order_model(), light, "Run order")
    qtbot.addWidget(table)
    with qtbot.assertNotEmitted(table.row_chosen):
        table.show_row(3)
    assert table.currentIndex().row() == 3


def test_rows_are_tall_enough_to_hit(qtbot, light: Theme) -> None:
    table = DeskTable(jobs_model(), light, "Jobs")
    qtbot.addWidget(table)
    assert table.rowHeight(0) >= 24


def test_rows_grow_and_shrink_with_the_text(qtbot, light: Theme) -> None:
    table = DeskTable(jobs_model(), light, "Jobs")
    qtbot.addWidget(table)
    usual = table.rowHeight(0)
    table.set_theme(make_theme(Appearance.LIGHT, 2.0))
    assert table.rowHeight(0) == pytest.approx(2 * usual, abs=1)
    table.set_theme(light)
    assert table.rowHeight(0) == usual
