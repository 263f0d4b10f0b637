"""The buttons above the job sheet, and its menu of everything."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QLineEdit, QMenu, QPushButton, QWidget

from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.sheet_units import LengthUnit, ThicknessUnit, Units, WeightUnit
from queueplanner.desk.theme import Theme

Kind = TypeVar("Kind", bound=StrEnum)


def _tr(text: str) -> str:
    return QCoreApplication.translate("sheet", text)


@dataclass(frozen=True, slots=True)
class SheetCommand:
    """One thing that can be done to the sheet: its code, words, and the keys that do it."""

    code: str
    text: str
    keys: str = ""


def sheet_commands() -> tuple[tuple[SheetCommand, ...], ...]:
    """Everything the sheet's menu offers, in groups."""
    return (
        (
            SheetCommand("cut", _tr("Cut"), "Ctrl+X"),
            SheetCommand("copy", _tr("Copy"), "Ctrl+C"),
            SheetCommand("paste", _tr("Paste"), "Ctrl+V"),
            SheetCommand("clear", _tr("Clear"), "Del"),
            SheetCommand("fill_down", _tr("Fill down"), "Ctrl+D"),
        ),
        (
            SheetCommand("add_row", _tr("Add a job at the end")),
            SheetCommand("insert", _tr("Insert a row above"), "Ctrl++"),
            SheetCommand("duplicate", _tr("Duplicate")),
            SheetCommand("split", _tr("Split…")),
            SheetCommand("remove", _tr("Remove"), "Ctrl+-"),
        ),
        (
            SheetCommand("sort_rising", _tr("Sort by this column, rising")),
            SheetCommand("sort_falling", _tr("Sort by this column, falling")),
            SheetCommand("sort_none", _tr("As listed")),
            SheetCommand("find", _tr("Find…"), "Ctrl+F"),
            SheetCommand("next_problem", _tr("Next cell to mend"), "F8"),
        ),
        (
            SheetCommand("undo", _tr("Undo"), "Ctrl+Z"),
            SheetCommand("redo", _tr("Redo"), "Ctrl+Y"),
        ),
    )


def sheet_menu(parent: QWidget, do: Callable[[str], None], can: Callable[[str], bool]) -> QMenu:
    """The menu of everything; it opens by the right button and the menu key."""
    menu = QMenu(parent)
    menu.setAccessibleName(_tr("Job sheet"))
    for number, group in enumerate(sheet_commands()):
        if number:
            menu.addSeparator()
        for command in group:
            words = f"{command.text}\t{command.keys}" if command.keys else command.text
            action = menu.addAction(words)
            action.setEnabled(can(command.code))
            action.triggered.connect(lambda _=False, code=command.code: do(code))
    return menu


class SheetTools(FlowBox):
    """`wish` carries the code of a command, `narrowed` the words of the filter, `units_chosen` other units."""

    wish = Signal(str)
    narrowed = Signal(str)
    units_chosen = Signal(object)
    all_columns = Signal(bool)

    def __init__(self, theme: Theme, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(theme, (8, 6), parent)
        self._units = units
        self.filter = QLineEdit()
        self.filter.setPlaceholderText(_tr("Filter rows"))
        self.filter.setAccessibleName(_tr("Filter rows"))
        self.filter.setClearButtonEnabled(True)
        self.filter.textChanged.connect(self.narrowed)
        for button in self.filter.findChildren(QWidget):
            button.setAccessibleName(_tr("Clear the filter"))
        self.buttons: Mapping[str, QPushButton] = {
            code: self._button(text, code)
            for code, text in (
                ("add_row", _tr("Add job")),
                ("duplicate", _tr("Duplicate")),
                ("split", _tr("Split…")),
                ("remove", _tr("Remove")),
                ("undo", _tr("Undo")),
                ("redo", _tr("Redo")),
                ("find", _tr("Find…")),
            )
        }
        self.add(self.filter)
        self.more = self._button(_tr("All columns"), "")
        self.more.setCheckable(True)
        self.more.toggled.connect(self.all_columns)
        self.units = self._button(_tr("Units"), "")
        self.units.setMenu(self._units_menu())
        self.push_right(self.more)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Lay out for another text size."""
        self.filter.setFixedSize(theme.size(190), theme.size(34))
        super().set_theme(theme)

    def _button(self, text: str, code: str) -> QPushButton:
        button = QPushButton(text)
        button.setProperty("look", "plain")
        button.setAccessibleName(text)
        if code:
            button.clicked.connect(lambda: self.wish.emit(code))
        self.add(button)
        return button

    def _units_menu(self) -> QMenu:
        menu = QMenu(self)
        menu.setAccessibleName(_tr("Units"))
        units = self._units
        self._choices(menu, _tr("Lengths in"), LengthUnit, units.length, lambda u, to: replace(u, length=to))
        self._choices(
            menu,
            _tr("Plate thickness and caliper in"),
            ThicknessUnit,
            units.thickness,
            lambda u, to: replace(u, thickness=to),
        )
        self._choices(menu, _tr("Weight of stock in"), WeightUnit, units.weight, lambda u, to: replace(u, weight=to))
        return menu

    def _choices(
        self, menu: QMenu, head: str, kind: Iterable[Kind], now: Kind, changed: Callable[[Units, Kind], Units]
    ) -> None:
        """One choice among some units, as a menu of its own."""
        inner = menu.addMenu(head)
        inner.setAccessibleName(head)
        group = QActionGroup(inner)
        for unit in kind:
            action = QAction(unit.value, group)
            action.setCheckable(True)
            action.setChecked(unit is now)
            action.triggered.connect(lambda _=False, to=unit: self._choose(changed(self._units, to)))
            inner.addAction(action)

    def _choose(self, units: Units) -> None:
        self._units = units
        self.units_chosen.emit(units)
