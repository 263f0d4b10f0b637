"""How the job sheet looks: signs told twice, nothing cut, units and places, both palettes."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit

from queueplanner.desk.ink_colour import screen_colour
from queueplanner.desk.job_sheet import JobSheet
from queueplanner.desk.sheet_columns import SHEET_COLUMNS
from queueplanner.desk.sheet_units import LengthUnit, ThicknessUnit, Units, WeightUnit
from queueplanner.desk.sheet_words import hint_text, step_text
from queueplanner.desk.theme import LEAST_CAPITAL_PX, Appearance, Theme, apply_theme, make_theme
from tests.desk.pictures import grey, holds_colour, pixels, share_changed
from tests.desk.sheets import job, some_jobs
from tests.desk.test_walk import cut_texts
from tests.desk.windows import seen, settle
from tests.exchange.job_lists import DAY, demo_shop


def made(qtbot, theme: Theme, jobs=None, **more) -> JobSheet:
    widget = JobSheet(demo_shop(), some_jobs() if jobs is None else jobs, DAY, theme, **more)
    qtbot.addWidget(widget)
    widget.resize(1400, 760)
    widget.show()
    settle()
    return widget


def heads(desk: JobSheet) -> list[str]:
    model = desk.table.model()
    return [model.headerData(c, Qt.Orientation.Horizontal) for c in range(model.columnCount())]


def texts(desk: JobSheet, head: str) -> list[str]:
    number = heads(desk).index(head)
    return [desk.table.model().index(row, number).data() for row in range(desk.table.model().rowCount() - 1)]


def test_inks_come_with_their_names_and_colours(qtbot, theme: Theme) -> None:
    desk = made(qtbot, theme)
    desk.resize(2200, 500)
    settle()
    picture = pixels(desk.table)
    for name in ("harbour-blue", "moss-green", "brick-red"):
        assert holds_colour(picture, screen_colour(demo_shop().inks[name]), within=4), name
    assert texts(desk, "Inks") == ["Harbour blue + Warm grey", "Black", "Brick red"]


def test_wrong_and_empty_cells_differ_without_colour(qtbot, theme: Theme) -> None:
    desk = made(qtbot, theme)
    key = desk.sheet.keys[0]
    cell = desk.table.visualRect(desk.table.model().index(0, 2))

    def picture(text: str) -> np.ndarray:
        desk.sheet.set_cell(key, "sheets", text)
        desk.table.go(2, 0)
        settle()
        whole = grey(pixels(desk.table.viewport()))
        return whole[cell.top() : cell.bottom(), cell.left() : cell.right()]

    right, wrong, empty = picture("1500"), picture("15OO"), picture("")
    assert share_changed(right, wrong) > 0.02
    assert share_changed(wrong, empty) > 0.02
    assert holds_colour(pixels(desk.table.viewport()), theme.palette.late) is False
    picture("15OO")
    assert holds_colour(pixels(desk.table.viewport()), theme.palette.late)


def test_figures_stand_to_the_right_with_their_unit_in_the_head(qtbot, light: Theme) -> None:
    desk = made(qtbot, light)
    desk.tools.more.setChecked(True)
    figures = {"Sheets", "Due", "Weight", "Coverage, %", "Coverage, second side, %", "Plate length, mm",
               "Plate thickness, µm", "Not before", "Drying, h", "Make-ready waste, sheets",
               "Running waste, sheets"}  # fmt: skip
    model = desk.table.model()
    for number, head in enumerate(heads(desk)):
        for alignment in (
            model.headerData(number, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole),
            model.index(0, number).data(Qt.ItemDataRole.TextAlignmentRole),
        ):
            assert bool(alignment & Qt.AlignmentFlag.AlignRight) is (head in figures), head
    assert figures <= set(heads(desk))


def test_units_are_a_choice_and_the_jobs_stay(qtbot, light: Theme) -> None:
    desk = made(
        qtbot,
        light,
        [job(plate_length_mm="504.83", plate_thickness_mm="0.13", format="8.5 x 11 in", strips="25.4-50.8")],
    )
    desk.tools.more.setChecked(True)
    before = desk.sheet.jobs
    assert texts(desk, "Plate length, mm") == ["504.83"]
    assert texts(desk, "Format") == ["215.9 x 279.4"]
    desk.set_units(Units(LengthUnit.INCH, ThicknessUnit.POINT, WeightUnit.BOND))
    assert texts(desk, "Plate length, in") == ["19.8752"]
    assert texts(desk, "Plate thickness, pt") == ["5.12"]
    assert texts(desk, "Image-free strips, in") == ["1-2"]
    assert texts(desk, "Format") == ["8.5 x 11 in"]
    desk.table.go(0, heads(desk).index("Stock"))
    assert desk.reason.text() == "Bond 75 g/m²: 19.95 lb bond, 3.8 pt"
    assert desk.sheet.jobs == before and desk.sheet.undo_step is None


def test_the_units_menu_changes_one_choice_at_a_time(qtbot, light: Theme) -> None:
    desk = made(qtbot, light)
    inner = [action.menu() for action in desk.tools.units.menu().actions()]
    inner[0].actions()[1].trigger()
    inner[1].actions()[1].trigger()
    assert (desk.sheet.units.length, desk.sheet.units.thickness) == (LengthUnit.INCH, ThicknessUnit.POINT)
    assert desk.sheet.units.weight is WeightUnit.GSM


@pytest.mark.parametrize(
    ("place", "written", "shown"),
    [
        (QLocale(QLocale.Language.German, QLocale.Country.Germany), "2,5", "2,5"),
        (QLocale(QLocale.Language.French, QLocale.Country.France), "2.5", "2,5"),
        (QLocale(QLocale.Language.English, QLocale.Country.UnitedStates), "2,5", "2.5"),
        (QLocale(QLocale.Language.C), "2.5", "2.5"),
    ],
)
def test_the_decimal_sign_is_the_places(qtbot, light: Theme, place: QLocale, written: str, shown: str) -> None:
    desk = made(qtbot, light, locale=place)
    key = desk.sheet.keys[1]
    desk.sheet.set_cell(key, "drying_h", written)
    assert desk.sheet.shown(key, "drying_h") == shown
    assert desk.sheet.job_of(key).passes[1].drying_s == 9000


def cut(desk: JobSheet) -> list[str]:
    found = cut_texts(desk)
    found += [c.accessibleName() for c in seen(desk) if isinstance(c, (QLineEdit, QComboBox)) and c.height() < 24]
    return found


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_nothing_is_cut_in_any_state(qtbot, qapp, scale: float) -> None:
    theme = make_theme(Appearance.LIGHT, scale)
    apply_theme(qapp, theme)
    desk = made(qtbot, theme)
    for act in (
        lambda: None,
        lambda: desk.sheet.set_cell(desk.sheet.keys[1], "inks_back", "moss-gren"),
        lambda: desk.table.go(1, 8),
        lambda: desk.do("find"),
        lambda: desk.do("split"),
        lambda: desk.sheet.remove(desk.sheet.keys),
    ):
        act()
        desk.resize(1024, 900)
        settle()
        assert cut(desk) == []
    apply_theme(qapp, make_theme(Appearance.LIGHT))


def test_letters_and_targets_are_large_enough(qtbot, light: Theme) -> None:
    desk = made(qtbot, light)
    for code in ("find", "split"):
        desk.do(code)
    settle()
    for child in seen(desk):
        if isinstance(child, (QLabel, QAbstractButton)) and child.text():
            assert QFontMetricsF(child.font()).capHeight() >= LEAST_CAPITAL_PX, child.text()
        if isinstance(child, (QAbstractButton, QLineEdit, QComboBox)) and child.focusPolicy() & Qt.FocusPolicy.TabFocus:
            assert min(child.width(), child.height()) >= 24, child.accessibleName()
    assert desk.table.rowHeight(0) >= 24


def test_another_look_is_taken_on_at_once(qtbot, qapp, light: Theme) -> None:
    desk = made(qtbot, light)
    dark = make_theme(Appearance.DARK, 1.3)
    apply_theme(qapp, dark)
    height = desk.table.rowHeight(0)
    desk.set_theme(dark)
    settle()
    assert desk.table.rowHeight(0) == pytest.approx(1.3 * height, abs=1)
    assert holds_colour(pixels(desk), dark.palette.surface)


def test_every_column_says_what_it_holds() -> None:
    assert all(hint_text(column.key).endswith(".") for column in SHEET_COLUMNS)


def test_every_edit_has_words(qtbot, light: Theme) -> None:
    desk = made(qtbot, light)
    sheet = desk.sheet
    acts = [
        (lambda: sheet.set_cell(sheet.keys[0], "title", "x"), "typing in 1047, Title"),
        (lambda: sheet.clear(sheet.keys, ["due", "title"]), "clearing 3 rows"),
        (lambda: sheet.clear([sheet.keys[0]], ["sheets"], "cut"), "cutting from 1047"),
        (lambda: sheet.fill_down(sheet.keys, ["format"]), "filling 2 rows down"),
        (lambda: sheet.paste("1\n2\n", sheet.keys, ["sheets"]), "pasting 2 rows"),
        (lambda: sheet.add_row({"job": "5"}), "adding a row"),
        (lambda: sheet.insert(sheet.keys[0], 2), "inserting 2 rows"),
        (lambda: sheet.duplicate([sheet.keys[2]]), "duplicating 1047"),
        (lambda: sheet.remove([sheet.keys[2]]), "removing 1047"),
        (lambda: sheet.set_cells(sheet.keys[2], {"title": "y"}), "a change to 1047-2"),
        (lambda: sheet.set_cells(sheet.keys[3], {"lay_side": "drive"}, "work_style"), "another work style of 1048"),
        (lambda: sheet.split(sheet.keys[3], 1, "1048-9"), "splitting 1048"),
    ]  # fmt: skip
    for act, words in acts:
        act()
        assert step_text(sheet.undo_step) == words
