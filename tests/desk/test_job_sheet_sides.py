"""The two-sided editor beside the job sheet."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox

from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.job_sheet import JobSheet
from queueplanner.desk.sides_panel import BACK, FRONT
from queueplanner.desk.theme import Theme
from queueplanner.shop.job import LaySide, WorkStyle
from tests.desk.sheets import job, some_jobs
from tests.desk.windows import settle
from tests.exchange.job_lists import DAY, demo_shop

STYLES = [str(style) for style in WorkStyle]
STRAIGHT_BACK = {
    "one side": (),
    "work-and-turn": ("lay_side_back", "drying_h"),
    "work-and-tumble": ("lay_side_back", "drying_h"),
}


@pytest.fixture
def desk(qtbot, light: Theme) -> JobSheet:
    made = JobSheet(demo_shop(), some_jobs(), DAY, light)
    qtbot.addWidget(made)
    made.resize(1300, 760)
    made.show()
    made.activateWindow()
    made.table.go(1, 0)
    settle()
    return made


def choose(box: QComboBox, data: str) -> None:
    box.setCurrentIndex(box.findData(data))
    box.activated.emit(box.currentIndex())


def shown(desk: JobSheet) -> set[str]:
    return {column for column in (*FRONT, *BACK) if not desk.sides.field(column).isHidden()}


def current(desk: JobSheet):
    return desk.sheet.job_of(desk.sides.key)


@pytest.mark.parametrize("style", STYLES)
def test_a_work_style_shows_what_it_has_a_use_for(desk: JobSheet, style: str) -> None:
    choose(desk.sides.field("work_style"), style)
    assert shown(desk) == {*FRONT, *STRAIGHT_BACK.get(style, BACK)}


@pytest.mark.parametrize("style", ["one side", "work-and-turn", "work-and-tumble"])
def test_another_work_style_empties_what_it_has_no_use_for_in_one_step(desk: JobSheet, style: str) -> None:
    before = current(desk)
    choose(desk.sides.field("work_style"), style)
    assert current(desk).work_style is WorkStyle(style)
    assert desk.sheet.kept(desk.sides.key, "inks_back") == ""
    assert desk.sheet.undo_step.code == "work_style"
    desk.sheet.undo()
    assert current(desk) == before and desk.sheet.undo_step is None


@pytest.mark.parametrize(
    ("style", "front", "proposed"),
    [
        ("sheetwise", "operator", LaySide.DRIVE),
        ("sheetwise", "drive", LaySide.OPERATOR),
        ("work-and-turn", "operator", LaySide.DRIVE),
        ("work-and-tumble", "operator", LaySide.OPERATOR),
        ("work-and-tumble", "drive", LaySide.DRIVE),
    ],
)
def test_the_lay_side_is_proposed_by_the_work_style_and_may_be_another(desk: JobSheet, style, front, proposed) -> None:
    choose(desk.sides.field("work_style"), style)
    choose(desk.sides.field("lay_side"), front)
    box = desk.sides.field("lay_side_back")
    assert box.currentText() == f"{proposed} (proposed)"
    if style == "sheetwise":
        assert current(desk).passes[1].lay_side is proposed
    choose(box, str(proposed.other))
    assert desk.sheet.kept(desk.sides.key, "lay_side_back") == proposed.other
    assert current(desk).passes[1].lay_side is proposed.other
    choose(box, "")
    assert current(desk).passes[1].lay_side is proposed


def test_inks_of_the_second_side_are_picked_and_shown_with_their_colours(desk: JobSheet) -> None:
    line = desk.sides.field("inks_back")
    line.setFocus()
    line.selectAll()
    QTest.keyClicks(line, "bri+bla")
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert line.text() == "Brick red + Black"
    assert [s.ink.name for s in current(desk).passes[1].separations] == ["Brick red", "Black"]
    settle()
    assert {"Brick red", "Black"} <= {chip.accessibleName() for chip in desk.sides.findChildren(InkChip)}


def test_plates_of_the_second_side_are_written(desk: JobSheet) -> None:
    line = desk.sides.field("plates_back")
    line.setFocus()
    QTest.keyClicks(line, "P-7")
    QTest.keyClick(line, Qt.Key.Key_Tab)
    assert [s.plate.id for s in current(desk).passes[1].separations] == ["P-7"]


def test_a_fault_stands_under_its_line_in_the_words_of_the_cell(desk: JobSheet) -> None:
    line = desk.sides.field("coverage_back")
    line.setFocus()
    QTest.keyClicks(line, "120")
    QTest.keyClick(line, Qt.Key.Key_Return)
    problem = desk.sheet.problem(desk.sides.key, "coverage_back")
    assert desk.sides.reason("coverage_back") == f"Coverage, second side: found {problem.found}; {problem.wanted}"
    assert line.accessibleDescription() == desk.sides.reason("coverage_back")
    desk.sheet.undo()
    assert desk.sides.reason("coverage_back") == ""


def test_a_sheetwise_job_without_inks_for_its_second_side_is_told_so(desk: JobSheet) -> None:
    desk.table.go(0, 0)
    choose(desk.sides.field("work_style"), "sheetwise")
    assert desk.sides.reason("inks_back").startswith("Inks, second side: still empty.")


def test_what_a_work_style_has_no_use_for_is_seen_while_it_is_written(desk: JobSheet) -> None:
    key = desk.sides.key
    desk.sheet.set_cell(key, "work_style", "one side")
    assert "inks_back" in shown(desk) and "leave it empty" in desk.sides.reason("inks_back")


def test_the_panel_follows_the_row_and_says_when_there_is_none(desk: JobSheet) -> None:
    assert desk.sides._title.text() == "1048  Price list"
    desk.table.go(3, 0)
    assert desk.sides.key is None and shown(desk) == set()
    assert "Choose a row" in desk.sides._explain.text()


def test_looking_at_a_job_changes_nothing(desk: JobSheet) -> None:
    for row in range(4):
        desk.table.go(row, 0)
        for column in (*FRONT, *BACK):
            desk.sides.field(column).setFocus()
            settle()
    assert desk.sheet.undo_step is None
    assert list(desk.sheet.jobs) == some_jobs()


def test_a_job_from_elsewhere_is_shown_as_it_is_now(desk: JobSheet) -> None:
    changed = job(job="1048", title="Price list", sheets="1000", work_style="work-and-tumble", inks="black")
    desk.show_jobs([some_jobs()[0], changed, some_jobs()[2]])
    assert desk.sides.field("work_style").currentData() == "work-and-tumble"
