"""The job sheet's keys and pointer on the real widget."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from queueplanner.desk.job_sheet import JobSheet
from queueplanner.desk.pick_editor import PickEditor
from queueplanner.desk.sheet_columns import SHEET_COLUMNS
from queueplanner.desk.sheet_picks import matches, picks_for
from queueplanner.desk.sheet_tools import sheet_commands
from queueplanner.desk.theme import Theme
from tests.desk.sheets import some_jobs
from tests.desk.windows import settle
from tests.exchange.job_lists import DAY, demo_shop

KEY, CTRL, SHIFT = Qt.Key, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def made(qtbot, theme: Theme, jobs=None, **more) -> JobSheet:
    widget = JobSheet(demo_shop(), some_jobs() if jobs is None else jobs, DAY, theme, **more)
    qtbot.addWidget(widget)
    widget.resize(1300, 700)
    widget.show()
    widget.activateWindow()
    widget.table.setFocus()
    settle()
    return widget


@pytest.fixture
def desk(qtbot, light: Theme) -> JobSheet:
    return made(qtbot, light)


@pytest.fixture
def bare(qtbot, light: Theme) -> JobSheet:
    return made(qtbot, light, jobs=[])


def column(widget: JobSheet, key: str) -> int:
    return [c.key for c in widget.table._model.columns].index(key)


def go(widget: JobSheet, row: int, key: str) -> None:
    widget.table.go(row, column(widget, key))


def press(key: Qt.Key, held=Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(QApplication.focusWidget(), key, held)


def write(text: str) -> None:
    for letter in text:
        QTest.keyClicks(QApplication.focusWidget(), letter)


def here(widget: JobSheet) -> tuple[int, str]:
    index = widget.table.currentIndex()
    return index.row(), widget.table._model.columns[index.column()].key


def cell(widget: JobSheet, row: int, key: str) -> str:
    return widget.table._model.index(row, column(widget, key)).data(Qt.ItemDataRole.EditRole)


def writing(widget: JobSheet) -> bool:
    return isinstance(QApplication.focusWidget(), QLineEdit) and widget.table.isAncestorOf(QApplication.focusWidget())


def test_typing_replaces_and_enter_goes_down(desk: JobSheet) -> None:
    go(desk, 0, "sheets")
    write("1750")
    assert writing(desk)
    press(KEY.Key_Return)
    assert cell(desk, 0, "sheets") == "1750"
    assert here(desk) == (1, "sheets") and not writing(desk)
    press(KEY.Key_Return, SHIFT)
    assert here(desk) == (0, "sheets")


def test_f2_changes_what_stands_there(desk: JobSheet) -> None:
    go(desk, 0, "title")
    press(KEY.Key_F2)
    press(KEY.Key_End)
    write(" A4")
    press(KEY.Key_Return)
    assert cell(desk, 0, "title") == "Letterheads A4"


def test_tab_goes_right_and_enter_back_to_where_the_tabs_began(bare: JobSheet) -> None:
    write("1")
    press(KEY.Key_Tab)
    write("Cards")
    press(KEY.Key_Tab)
    assert here(bare) == (0, "sheets") and not writing(bare)
    write("500")
    press(KEY.Key_Return)
    assert here(bare) == (1, "job")
    assert [cell(bare, 0, k) for k in ("job", "title", "sheets")] == ["1", "Cards", "500"]


def test_shift_tab_goes_left_and_tab_at_the_end_of_a_row_to_the_next(desk: JobSheet) -> None:
    go(desk, 0, "title")
    press(KEY.Key_Backtab, SHIFT)
    assert here(desk) == (0, "job")
    desk.table.go(0, desk.table._model.columnCount() - 1)
    press(KEY.Key_Tab)
    assert here(desk) == (1, "job")


def test_the_ends_of_the_sheet_and_f6_let_the_keys_go(desk: JobSheet) -> None:
    desk.table.go(desk.table._model.rowCount() - 1, desk.table._model.columnCount() - 1)
    press(KEY.Key_Tab)
    assert QApplication.focusWidget() is not desk.table
    for held in (Qt.KeyboardModifier.NoModifier, SHIFT):
        desk.table.setFocus()
        go(desk, 1, "title")
        press(KEY.Key_F6, held)
        assert QApplication.focusWidget() is not desk.table
    desk.table.setFocus()
    desk.table.go(0, 0)
    press(KEY.Key_Backtab, SHIFT)
    assert QApplication.focusWidget() is not desk.table


def test_escape_gives_back(desk: JobSheet) -> None:
    go(desk, 0, "title")
    write("other")
    press(KEY.Key_Escape)
    assert cell(desk, 0, "title") == "Letterheads" and not writing(desk)
    assert desk.sheet.undo_step is None


def test_delete_clears_and_backspace_begins_anew(desk: JobSheet) -> None:
    go(desk, 0, "due")
    press(KEY.Key_Delete)
    assert cell(desk, 0, "due") == ""
    go(desk, 0, "title")
    press(KEY.Key_Backspace)
    assert writing(desk) and QApplication.focusWidget().text() == ""
    write("New")
    press(KEY.Key_Return)
    assert cell(desk, 0, "title") == "New"


def test_ctrl_d_fills_the_selection_from_its_first_row(desk: JobSheet) -> None:
    go(desk, 0, "due")
    press(KEY.Key_Down, SHIFT)
    press(KEY.Key_Down, SHIFT)
    press(KEY.Key_D, CTRL)
    assert [cell(desk, row, "due") for row in range(3)] == ["17:00"] * 3


def test_ctrl_d_in_one_cell_takes_the_cell_above(desk: JobSheet) -> None:
    go(desk, 1, "stock")
    write("silk coated 150")
    press(KEY.Key_Return)
    go(desk, 2, "stock")
    press(KEY.Key_D, CTRL)
    assert cell(desk, 2, "stock") == "Silk coated 150 g/m²"


def test_ctrl_home_and_end_go_to_the_corners(desk: JobSheet) -> None:
    go(desk, 1, "due")
    press(KEY.Key_Home, CTRL)
    assert here(desk) == (0, "job")
    press(KEY.Key_End, CTRL)
    assert here(desk) == (2, desk.table._model.columns[-1].key)
    press(KEY.Key_Home)
    assert here(desk) == (2, "job")
    press(KEY.Key_End, CTRL | SHIFT)
    press(KEY.Key_Home, CTRL | SHIFT)
    assert desk.table.chosen_rows() == [0, 1, 2] and desk.table.chosen_columns() == [0]


def test_shift_extends_and_the_arrows_move(desk: JobSheet) -> None:
    desk.table.go(0, 0)
    for key in (KEY.Key_Down, KEY.Key_Right, KEY.Key_Up, KEY.Key_Down):
        press(key)
    assert here(desk) == (1, "title")
    press(KEY.Key_Right, SHIFT)
    press(KEY.Key_Down, SHIFT)
    assert desk.table.chosen_rows() == [1, 2] and desk.table.chosen_columns() == [1, 2]
    press(KEY.Key_Up, SHIFT)
    assert desk.table.chosen_rows() == [1]
    press(KEY.Key_Right)
    assert desk.table.chosen_columns() == [3] and desk.table.chosen_rows() == [1]


def test_a_block_is_copied_cut_and_pasted_by_keys(desk: JobSheet) -> None:
    go(desk, 0, "title")
    press(KEY.Key_Right, SHIFT)
    press(KEY.Key_Down, SHIFT)
    press(KEY.Key_C, CTRL)
    assert QGuiApplication.clipboard().text() == "Letterheads\t1500\nPrice list\t1000\n"
    press(KEY.Key_X, CTRL)
    assert cell(desk, 0, "title") == cell(desk, 1, "sheets") == ""
    go(desk, 3, "title")
    press(KEY.Key_V, CTRL)
    assert [cell(desk, row, "title") for row in (3, 4)] == ["Letterheads", "Price list"]
    assert desk.table.chosen_rows() == [3, 4] and desk.table.chosen_columns() == [1, 2]
    press(KEY.Key_Z, CTRL)
    assert desk.table._model.rows_on_view == 3
    press(KEY.Key_Z, CTRL)
    assert cell(desk, 0, "title") == "Letterheads"
    press(KEY.Key_Y, CTRL)
    assert cell(desk, 0, "title") == ""


def test_one_cell_is_pasted_into_every_chosen_cell(desk: JobSheet) -> None:
    QGuiApplication.clipboard().setText("18:00")
    go(desk, 0, "due")
    press(KEY.Key_End, CTRL | SHIFT)
    desk.table.select_block((0, 2), (column(desk, "due"), column(desk, "due")))
    press(KEY.Key_V, CTRL)
    assert [cell(desk, row, "due") for row in range(3)] == ["18:00"] * 3
    press(KEY.Key_Z, CTRL)
    assert cell(desk, 0, "due") == "17:00" and desk.sheet.undo_step is None


def test_ten_jobs_come_in_with_one_paste(bare: JobSheet) -> None:
    rows = ["job\tsheets\tstock\tformat\tinks", *(f"{n}\t500\tbond-75\tA4\tblack" for n in range(10))]
    QGuiApplication.clipboard().setText("\r\n".join(rows))
    with_jobs = []
    bare.jobs_changed.connect(lambda code, facts, jobs: with_jobs.append((code, len(jobs))))
    press(KEY.Key_V, CTRL)
    assert with_jobs == [("paste", 10)]
    assert bare.count.text() == "10 jobs"


def test_a_pasted_block_marks_bad_cells_and_keeps_good_ones(bare: JobSheet) -> None:
    QGuiApplication.clipboard().setText("1\tCards\tmany\n2\tTags\t20\n")
    press(KEY.Key_V, CTRL)
    go(bare, 0, "sheets")
    assert bare.reason.text() == "Sheets: found 'many'; write a whole number from 1 to 10000000, digits only"
    index = bare.table.currentIndex()
    for role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole):
        assert index.data(role) == bare.reason.text()
    assert cell(bare, 1, "sheets") == "20"
    assert QApplication.activeModalWidget() is None


def test_f8_goes_from_one_cell_to_mend_to_the_next(bare: JobSheet) -> None:
    QGuiApplication.clipboard().setText("1\tCards\t10\n2\tTags\tx\n")
    press(KEY.Key_V, CTRL)
    bare.table.go(0, 0)
    seen = []
    for _ in range(8):
        press(KEY.Key_F8)
        seen.append(here(bare))
    missing = ["stock", "format", "inks"]
    first = [(0, key) for key in missing]
    second = [(1, key) for key in ("sheets", *missing)]
    assert seen == [*first, *second, first[0]]
    press(KEY.Key_F8, SHIFT)
    assert here(bare) == second[-1]


def test_a_fault_in_a_hidden_column_is_shown(desk: JobSheet) -> None:
    desk.sheet.set_cell(desk.sheet.keys[2], "plate_material", "wood")
    desk.table.go(0, 0)
    press(KEY.Key_F8)
    assert here(desk) == (2, "plate_material")


def test_find_goes_from_hit_to_hit(desk: JobSheet) -> None:
    press(KEY.Key_F, CTRL)
    assert QApplication.focusWidget() is desk.find_bar.line
    write("list")
    press(KEY.Key_Return)
    assert here(desk) == (1, "title")
    desk.find_bar.line.setText("1049")
    press(KEY.Key_Return)
    assert here(desk) == (2, "job")
    desk.find_bar.line.setText("nowhere")
    press(KEY.Key_Return)
    assert desk.find_bar.answer.text() == "Not found" and here(desk) == (2, "job")
    press(KEY.Key_Escape)
    assert not desk.find_bar.isVisible() and QApplication.focusWidget() is desk.table


def test_sorting_by_the_head_rises_falls_and_goes_back_and_the_selection_survives(desk: JobSheet) -> None:
    head = desk.table.horizontalHeader()
    go(desk, 2, "title")
    shown, titles = [], []
    for _ in range(3):
        x = head.sectionViewportPosition(column(desk, "sheets")) + 10
        QTest.mouseClick(head.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(x, head.height() // 2))
        shown.append([cell(desk, row, "sheets") for row in range(3)])
        titles.append(desk.table.model().headerData(column(desk, "sheets"), Qt.Orientation.Horizontal))
        assert desk.table.currentIndex().data() == "Menus"
        assert [i.data() for i in desk.table.selectionModel().selectedIndexes()] == ["Menus"]
    assert shown == [["700", "1000", "1500"], ["1500", "1000", "700"], ["1500", "1000", "700"]]
    assert titles == ["Sheets ↑", "Sheets ↓", "Sheets"]


def test_the_filter_shows_rows_that_hold_the_words(desk: JobSheet) -> None:
    desk.tools.filter.setText("sheetwise")
    assert desk.table._model.rows_on_view == 1
    assert desk.count.text() == "3 jobs, 2 filtered out"
    desk.tools.filter.clear()
    assert desk.table._model.rows_on_view == 3


def test_a_paste_under_a_filter_goes_over_the_rows_on_view(desk: JobSheet) -> None:
    desk.tools.filter.setText("10")
    desk.table._model.order.sort("job", descending=True)
    desk.table._model.show_order()
    QGuiApplication.clipboard().setText("1\n2\n3\n")
    go(desk, 0, "sheets")
    press(KEY.Key_V, CTRL)
    sheets = {desk.sheet.name_of(key): desk.sheet.kept(key, "sheets") for key in desk.sheet.keys}
    assert sheets == {"1049": "1", "1048": "2", "1047": "3"}


def test_rows_are_added_inserted_duplicated_split_and_removed(desk: JobSheet) -> None:
    desk.tools.buttons["add_row"].click()
    assert here(desk) == (3, "job")
    desk.table.go(0, 0)
    press(KEY.Key_Plus, CTRL)
    assert cell(desk, 0, "job") == "" and cell(desk, 1, "job") == "1047"
    press(KEY.Key_Minus, CTRL)
    assert cell(desk, 0, "job") == "1047"
    desk.tools.buttons["duplicate"].click()
    assert cell(desk, 1, "job") == "1047-2" and desk.table.chosen_rows() == [1]
    desk.table.go(0, 0)
    desk.tools.buttons["split"].click()
    assert QApplication.focusWidget() is desk.split_bar.first
    write("400")
    assert desk.split_bar.rest.text() == "the other part: 1100"
    press(KEY.Key_Return)
    assert [cell(desk, row, "sheets") for row in (0, 1)] == ["400", "1100"]
    assert cell(desk, 1, "job") == "1047-3"
    assert not desk.split_bar.isVisible()


def test_a_split_without_sheets_is_not_offered(desk: JobSheet) -> None:
    desk.do("split")
    for text in ("0", "1500", "x", ""):
        desk.split_bar.first.setText(text)
        assert not desk.split_bar.split.isEnabled()
    press(KEY.Key_Return)
    assert desk.sheet.undo_step is None


def test_the_job_that_was_asked_about_is_split_wherever_one_has_gone(desk: JobSheet) -> None:
    desk.table.go(1, 0)
    desk.do("split")
    desk.table.go(2, 0)
    desk.split_bar.split.click()
    assert [cell(desk, row, "job") for row in range(4)] == ["1047", "1048", "1048-2", "1049"]


def test_going_elsewhere_picks_nothing(desk: JobSheet) -> None:
    go(desk, 2, "inks")
    write("mo")
    desk.table.setFocus()
    assert cell(desk, 2, "inks") == "mo"
    assert desk.sheet.problem(desk.sheet.keys[2], "inks") is not None


def test_two_letters_and_enter_pick_an_ink(desk: JobSheet) -> None:
    go(desk, 2, "inks")
    write("mo")
    editor = QApplication.focusWidget()
    assert isinstance(editor, PickEditor) and [pick.text for pick in editor.offered] == ["Moss green"]
    press(KEY.Key_Return)
    assert cell(desk, 2, "inks") == "Moss green" and here(desk) == (3, "inks")


def test_a_plus_goes_on_to_the_second_ink(desk: JobSheet) -> None:
    go(desk, 2, "inks")
    write("har+bri")
    press(KEY.Key_Tab)
    assert cell(desk, 2, "inks") == "Harbour blue + Brick red"
    assert desk.sheet.kept(desk.sheet.keys[2], "inks") == "harbour-blue+brick-red"


def test_the_list_opens_with_everything_and_is_walked_by_arrows(desk: JobSheet) -> None:
    go(desk, 2, "work_style")
    press(KEY.Key_F2)
    press(KEY.Key_Down)
    editor = QApplication.focusWidget()
    assert len(editor.offered) == 4
    press(KEY.Key_Down)
    press(KEY.Key_Down)
    press(KEY.Key_Return)
    assert cell(desk, 2, "work_style") == "sheetwise"


def test_escape_closes_the_list_first_and_then_gives_back(desk: JobSheet) -> None:
    go(desk, 2, "stock")
    write("b")
    press(KEY.Key_Escape)
    assert writing(desk) and QApplication.focusWidget().offered == ()
    press(KEY.Key_Escape)
    assert not writing(desk) and cell(desk, 2, "stock") == "Silk coated 250 g/m²"


def test_what_is_in_no_list_may_be_written(desk: JobSheet) -> None:
    go(desk, 2, "format")
    write("210 x 290")
    press(KEY.Key_Return)
    assert cell(desk, 2, "format") == "210 x 290" and desk.sheet.job_of(desk.sheet.keys[2]) is not None
    go(desk, 2, "inks")
    write("zzz")
    press(KEY.Key_Return)
    assert cell(desk, 2, "inks") == "zzz"


def test_a_press_in_the_list_picks(desk: JobSheet) -> None:
    go(desk, 2, "stock")
    press(KEY.Key_F2)
    press(KEY.Key_Down)
    editor = QApplication.focusWidget()
    listed = editor._list
    place = listed.visualRect(listed.model().index(1, 0)).center()
    QTest.mouseClick(listed.viewport(), Qt.MouseButton.LeftButton, pos=place)
    press(KEY.Key_Return)
    assert cell(desk, 2, "stock") == editor.offered[1].text if editor.offered else "Carbonless 55 g/m²"


def test_almost_everything_in_the_lists_takes_three_keys(desk: JobSheet) -> None:
    """Letters of a name or of one of its words, or its initials, and then Down: at most three in all."""
    slow, count = [], 0
    for made_column in SHEET_COLUMNS:
        picks = picks_for(made_column, desk.sheet.texts)
        for pick in picks:
            count += 1
            if keys_for(pick.text, picks) > 3:
                slow.append(pick.text)
    assert len(slow) <= 0.05 * count, slow


def keys_for(name: str, picks) -> int:
    words = name.casefold().replace("-", " ").split()
    starts = {"".join(word[0] for word in words), name.casefold(), *words}
    best = 99
    for start in starts:
        for letters in range(1, 4):
            found = [pick.text for pick in matches(start[:letters], picks)]
            if name in found:
                best = min(best, min(letters, len(start)) + found.index(name))
    return best


def test_an_empty_sheet_says_what_to_do_next(bare: JobSheet) -> None:
    assert "paste them here" in bare.table.empty_words
    write("1")
    press(KEY.Key_Return)
    assert bare.table.empty_words == ""


def test_everything_can_be_done_without_the_pointer(desk: JobSheet) -> None:
    by_button = set(desk.tools.buttons)
    for group in sheet_commands():
        for command in group:
            assert command.code in desk._acts(), command.code
    assert by_button <= set(desk._acts())


def test_undo_is_named_and_told(desk: JobSheet) -> None:
    go(desk, 0, "sheets")
    write("9")
    press(KEY.Key_Return)
    assert desk.tools.buttons["undo"].accessibleName() == "Undo typing in 1047, Sheets"
    press(KEY.Key_Z, CTRL)
    assert desk.reason.text() == "Undone: typing in 1047, Sheets"


def test_undo_can_be_left_to_the_window(qtbot, desk: JobSheet) -> None:
    desk.own_undo = False
    go(desk, 0, "sheets")
    write("9")
    press(KEY.Key_Return)
    with qtbot.waitSignal(desk.undo_wanted, timeout=1000):
        press(KEY.Key_Z, CTRL)
    assert cell(desk, 0, "sheets") == "9"
    with qtbot.waitSignal(desk.redo_wanted, timeout=1000):
        press(KEY.Key_Y, CTRL)


def test_the_window_hears_of_the_row_and_can_set_it_quietly(qtbot, desk: JobSheet) -> None:
    chosen = []
    desk.row_chosen.connect(chosen.append)
    desk.table.go(2, 0)
    assert chosen == ["1049"]
    desk.show_job(some_jobs()[0].id)
    assert here(desk)[0] == 0 and chosen == ["1049"]
    desk.table.go(3, 0)
    assert chosen == ["1049", None]


def test_drafts_are_given_and_taken_back(qtbot, light: Theme, desk: JobSheet) -> None:
    desk.sheet.add_row({"job": "7", "title": "half"})
    other = made(qtbot, light)
    other.add_drafts(desk.drafts())
    assert other.drafts() == [{"job": "7", "title": "half"}]


def test_whatever_can_be_used_has_a_name(desk: JobSheet) -> None:
    for code in ("find", "split"):
        desk.do(code)
    settle()
    nameless = [
        type(child).__name__
        for child in desk.findChildren(QWidget)
        if child.isVisible()
        and child.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not QAccessible.queryAccessibleInterface(child).text(QAccessible.Text.Name).strip()
    ]
    assert nameless == []
