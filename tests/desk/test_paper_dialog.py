"""The dialog for paper: parts and size chosen, saved or printed, told what was done; the same bar as the window."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, QSettings, Qt
from PySide6.QtGui import QFontMetricsF, QKeySequence
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QFileDialog, QPushButton

from queueplanner.desk import paper_print
from queueplanner.desk.commands import Act, commands
from queueplanner.desk.day_model import DayState
from queueplanner.desk.paper_day import DayPaper, PaperPart, day_pages
from queueplanner.desk.paper_dialog import PaperDialog
from queueplanner.desk.paper_print import make_printer, print_on
from queueplanner.desk.paper_size import PaperSize
from queueplanner.desk.theme import LEAST_CAPITAL_PX, Theme
from tests.desk.paper_days import paper_of
from tests.desk.windows import settle, window_in


def page_count(path: Path) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", path.read_bytes()))


def day() -> DayPaper:
    return paper_of("one job")


@pytest.fixture
def settings(tmp_path) -> QSettings:
    return QSettings(str(tmp_path / "desk.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def dialog(qtbot, light: Theme, settings: QSettings) -> PaperDialog:
    made = PaperDialog(day, light, settings)
    qtbot.addWidget(made)
    made.prefer_printing(False)
    made.show()
    settle()
    return made


def test_what_is_chosen_is_saved_and_told(dialog: PaperDialog, tmp_path: Path) -> None:
    dialog.parts[PaperPart.CARDS].setChecked(False)
    dialog.sizes[PaperSize.LETTER].click()
    path = tmp_path / "day.pdf"
    assert dialog.save(path)
    wanted = day_pages(day(), PaperSize.LETTER, (PaperPart.RUN_SHEET, PaperPart.PULL_LIST))
    assert page_count(path) == len(wanted)
    assert dialog.told.text() == f"Saved: day.pdf, {len(wanted)} pages"


def test_a_file_that_cannot_be_written_is_told_and_the_dialog_stays(dialog: PaperDialog, tmp_path: Path) -> None:
    assert not dialog.save(tmp_path / "none" / "day.pdf")
    assert dialog.told.text().startswith("Not saved: ")
    assert dialog.isVisible()


def test_the_file_offered_carries_the_day_and_a_name_without_ending_gets_one(
    dialog: PaperDialog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    offered = []

    def choose(parent, title, name, kinds):
        offered.append(name)
        return str(tmp_path / "tomorrow"), kinds

    monkeypatch.setattr(QFileDialog, "getSaveFileName", choose)
    QTest.mouseClick(dialog.save_button, Qt.MouseButton.LeftButton)
    assert offered == ["run-sheet-2026-11-26.pdf"]
    assert page_count(tmp_path / "tomorrow.pdf") > 0


def test_with_no_part_chosen_nothing_can_be_made(dialog: PaperDialog) -> None:
    for box in dialog.parts.values():
        box.setChecked(False)
    assert not dialog.save_button.isEnabled()
    assert not dialog.print_button.isEnabled()


def test_choices_are_kept(dialog: PaperDialog, light: Theme, settings: QSettings, tmp_path: Path, qtbot) -> None:
    dialog.parts[PaperPart.CARDS].setChecked(False)
    dialog.sizes[PaperSize.LETTER].click()
    dialog.save(tmp_path / "day.pdf")
    again = PaperDialog(day, light, settings)
    qtbot.addWidget(again)
    assert again.size_chosen is PaperSize.LETTER
    assert again.parts_chosen == (PaperPart.RUN_SHEET, PaperPart.PULL_LIST)


@pytest.mark.parametrize(
    ("system", "size"),
    [
        (QLocale.MeasurementSystem.MetricSystem, PaperSize.A4),
        (QLocale.MeasurementSystem.ImperialUSSystem, PaperSize.LETTER),
    ],
)
def test_the_first_size_is_the_countrys(qtbot, light: Theme, monkeypatch, system, size) -> None:
    monkeypatch.setattr(QLocale, "measurementSystem", lambda _: system)
    made = PaperDialog(day, light)
    qtbot.addWidget(made)
    assert made.size_chosen is size


def test_printing_draws_every_page_on_the_printer(dialog: PaperDialog, tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "printed.pdf"

    def choose(printer: QPrinter, count: int, parent) -> bool:
        printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        printer.setOutputFileName(str(path))
        return True

    monkeypatch.setattr(paper_print, "ask_printer", choose)
    dialog.sizes[PaperSize.A4].click()
    QTest.mouseClick(dialog.print_button, Qt.MouseButton.LeftButton)
    assert page_count(path) == len(day_pages(day(), PaperSize.A4))
    assert dialog.told.text().startswith("Sent to the printer: ")


def test_nothing_is_printed_when_the_printers_dialog_is_left(dialog: PaperDialog, monkeypatch) -> None:
    monkeypatch.setattr(paper_print, "ask_printer", lambda *_: False)
    QTest.mouseClick(dialog.print_button, Qt.MouseButton.LeftButton)
    assert dialog.told.text() == ""


def test_only_the_pages_asked_for_are_printed(qtbot, light: Theme, tmp_path: Path) -> None:
    pages = day_pages(day(), PaperSize.A4)
    printer = make_printer(PaperSize.A4, "Papers")
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "two.pdf"))
    printer.setPrintRange(QPrinter.PrintRange.PageRange)
    printer.setFromTo(2, 3)
    assert print_on(printer, pages, PaperSize.A4) == 2
    assert page_count(tmp_path / "two.pdf") == 2


def test_targets_names_and_letters_are_large_enough(dialog: PaperDialog) -> None:
    for button in dialog.findChildren(QAbstractButton):
        assert min(button.width(), button.height()) >= 24
        assert QFontMetricsF(button.font()).capHeight() >= LEAST_CAPITAL_PX
        assert button.text()


@pytest.mark.parametrize("printing", [False, True])
def test_enter_stands_for_what_the_command_said(dialog: PaperDialog, printing: bool) -> None:
    dialog.prefer_printing(printing)
    preferred = [b for b in dialog.findChildren(QPushButton) if b.isDefault()]
    assert preferred == [dialog.print_button if printing else dialog.save_button]


# In the window


@pytest.mark.parametrize(("act", "keys"), [(Act.SAVE_PAPERS, "Ctrl+Shift+S"), (Act.PRINT, "Ctrl+Shift+P")])
def test_the_window_opens_it_by_menu_and_keys_on_the_plan_on_show(qtbot, light: Theme, act: Act, keys: str) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    action = window.actions_of[act]
    assert action.shortcut() == QKeySequence(keys)
    action.trigger()
    opened = window.findChildren(PaperDialog)
    assert len(opened) == 1
    assert opened[0].save_button.isEnabled()
    assert opened[0].print_button.isDefault() == (act is Act.PRINT)
    opened[0].close()


def test_papers_are_those_of_the_plan_on_show(qtbot, light: Theme, tmp_path: Path) -> None:
    window = window_in(DayState.PLANNED)
    qtbot.addWidget(window)
    dialog = window.show_papers()
    dialog.sizes[PaperSize.A4].click()
    dialog.save(tmp_path / "day.pdf")
    assert window.model.plan is not None
    assert f"{page_count(tmp_path / 'day.pdf')} pages" in dialog.told.text()
    assert page_count(tmp_path / "day.pdf") >= len(window.model.plan.passes) + 2
    dialog.close()


@pytest.mark.parametrize("state", [DayState.EMPTY, DayState.PLANNING, DayState.ERROR], ids=str)
def test_without_a_plan_that_stands_there_is_nothing_to_print(qtbot, light: Theme, state: DayState) -> None:
    window = window_in(state)
    qtbot.addWidget(window)
    assert not window.actions_of[Act.PRINT].isEnabled()
    assert not window.actions_of[Act.SAVE_PAPERS].isEnabled()


def test_no_two_commands_share_a_key_or_a_menus_letter() -> None:
    keys = [key for command in commands() for key in command.keys]
    assert len(set(keys)) == len(keys)
    for menu in {command.menu for command in commands()}:
        letters = [re.search("&(.)", c.text).group(1).casefold() for c in commands() if c.menu is menu]
        assert len(set(letters)) == len(letters), (menu, letters)
