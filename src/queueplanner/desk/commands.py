"""Every command of the planning desk once: its words, keys, and the states in which it can be given."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.day_model import DayState


def _tr(text: str) -> str:
    return QCoreApplication.translate("commands", text)


class Menu(StrEnum):
    """The menus, in order."""

    FILE = "file"
    EDIT = "edit"
    PLAN = "plan"
    VIEW = "view"
    HELP = "help"


class Act(StrEnum):
    """What can be done."""

    OPEN = "open"
    REOPEN = "reopen"
    DEMO = "demo"
    OWN_DAY = "own day"
    QUIT = "quit"
    PLAN = "plan"
    STOP = "stop"
    SHOW_PLANNED = "show planned"
    SHOW_RECEIVED = "show received"
    NEXT = "next"
    PREVIOUS = "previous"
    ZOOM_IN = "zoom in"
    ZOOM_OUT = "zoom out"
    WHOLE_DAY = "whole day"
    LARGER = "larger"
    SMALLER = "smaller"
    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"
    KEY = "key"
    KEYS = "keys"
    CARD = "card"
    MATERIALS = "materials"
    WASHES = "washes"
    SAVE_PAPERS = "save papers"
    PRINT = "print"
    UNDO = "undo"
    REDO = "redo"
    MOVE_UP = "move up"
    MOVE_DOWN = "move down"
    PIN = "pin"
    TOGETHER = "together"
    NOT_BEFORE = "not before"
    TOMORROW = "tomorrow"
    NEXT_DAY = "next day"
    DAY_BEFORE = "day before"


@dataclass(frozen=True, slots=True)
class Command:
    """One command. `when` are the states it can be given in; `group` joins choices of which one is on."""

    act: Act
    menu: Menu
    text: str
    keys: tuple[str, ...] = ()
    when: frozenset[DayState] = frozenset(DayState)
    group: str = ""
    gap_before: bool = False


_WITH_PLAN = frozenset({DayState.READY, DayState.PLANNING, DayState.PLANNED, DayState.STOPPED})
_IDLE = frozenset({DayState.EMPTY, DayState.READY, DayState.PLANNED, DayState.STOPPED, DayState.ERROR})
_CAN_PLAN = frozenset({DayState.READY, DayState.PLANNED, DayState.STOPPED})


def commands() -> tuple[Command, ...]:
    """All commands in the language of the moment, in menu order."""
    return (*_file(), *_edit(), *_plan(), *_view(), *_help())


def _file() -> tuple[Command, ...]:
    return (
        Command(Act.OPEN, Menu.FILE, _tr("&Open job list…"), ("Ctrl+O",), _IDLE),
        Command(Act.REOPEN, Menu.FILE, _tr("&Read the list again"), ("F5",), _IDLE),
        Command(Act.DEMO, Menu.FILE, _tr("Open the &demo day"), (), _IDLE),
        Command(Act.OWN_DAY, Menu.FILE, _tr("Start my o&wn day"), (), _IDLE),
        Command(
            Act.SAVE_PAPERS, Menu.FILE, _tr("&Save run sheet as PDF…"), ("Ctrl+Shift+S",), _CAN_PLAN, gap_before=True
        ),
        Command(Act.PRINT, Menu.FILE, _tr("&Print…"), ("Ctrl+Shift+P",), _CAN_PLAN),
        Command(Act.QUIT, Menu.FILE, _tr("&Quit"), ("Ctrl+Q",), gap_before=True),
    )


def _edit() -> tuple[Command, ...]:
    return (
        Command(Act.UNDO, Menu.EDIT, _tr("&Undo"), ("Ctrl+Z",), _IDLE),
        Command(Act.REDO, Menu.EDIT, _tr("&Redo"), ("Ctrl+Shift+Z", "Ctrl+Y"), _IDLE),
        Command(Act.MOVE_UP, Menu.EDIT, _tr("Move u&p"), ("Alt+Up",), _CAN_PLAN, gap_before=True),
        Command(Act.MOVE_DOWN, Menu.EDIT, _tr("Move &down"), ("Alt+Down",), _CAN_PLAN),
        Command(Act.PIN, Menu.EDIT, _tr("Pin to this p&lace"), ("Ctrl+L",), _CAN_PLAN, "pin", gap_before=True),
        Command(Act.TOGETHER, Menu.EDIT, _tr("&Keep with the next one"), ("Ctrl+J",), _CAN_PLAN, "together"),
        Command(Act.NOT_BEFORE, Menu.EDIT, _tr("&Not before…"), ("Ctrl+B",), _CAN_PLAN),
        Command(Act.TOMORROW, Menu.EDIT, _tr("Move to &tomorrow"), ("Alt+Shift+Down",), _CAN_PLAN, gap_before=True),
    )


def _plan() -> tuple[Command, ...]:
    return (
        Command(Act.PLAN, Menu.PLAN, _tr("&Plan the day"), ("Ctrl+P",), _CAN_PLAN),
        Command(Act.STOP, Menu.PLAN, _tr("&Stop and keep the best"), ("Ctrl+.",), frozenset({DayState.PLANNING})),
        Command(
            Act.SHOW_PLANNED,
            Menu.PLAN,
            _tr("Show the p&lanned order"),
            ("Ctrl+1",),
            _WITH_PLAN,
            "shown",
            gap_before=True,
        ),
        Command(Act.SHOW_RECEIVED, Menu.PLAN, _tr("Show the order as &received"), ("Ctrl+2",), _WITH_PLAN, "shown"),
        Command(Act.NEXT, Menu.PLAN, _tr("&Next pass"), ("Alt+Right",), _WITH_PLAN, gap_before=True),
        Command(Act.PREVIOUS, Menu.PLAN, _tr("Pre&vious pass"), ("Alt+Left",), _WITH_PLAN),
        Command(Act.NEXT_DAY, Menu.PLAN, _tr("Ne&xt working day"), ("Ctrl+PgDown",), _IDLE, gap_before=True),
        Command(Act.DAY_BEFORE, Menu.PLAN, _tr("Working &day before"), ("Ctrl+PgUp",), _IDLE),
    )


def _view() -> tuple[Command, ...]:
    return (
        Command(Act.ZOOM_IN, Menu.VIEW, _tr("Zoom &in"), ("Ctrl++", "Ctrl+="), _WITH_PLAN),
        Command(Act.ZOOM_OUT, Menu.VIEW, _tr("Zoom &out"), ("Ctrl+-",), _WITH_PLAN),
        Command(Act.WHOLE_DAY, Menu.VIEW, _tr("&Whole plan"), ("Ctrl+0",), _WITH_PLAN),
        Command(Act.KEY, Menu.VIEW, _tr("&Key below the timeline"), ("Ctrl+K",), group="key"),
        Command(Act.CARD, Menu.VIEW, _tr("Settings &card of the pass"), ("Ctrl+E",), _WITH_PLAN, gap_before=True),
        Command(Act.MATERIALS, Menu.VIEW, _tr("Ma&terials of the day"), ("Ctrl+M",), _WITH_PLAN),
        Command(Act.WASHES, Menu.VIEW, _tr("Wash ta&ble"), ("Ctrl+T",)),
        Command(Act.LARGER, Menu.VIEW, _tr("L&arger text"), ("Ctrl+Shift+Up",), gap_before=True),
        Command(Act.SMALLER, Menu.VIEW, _tr("S&maller text"), ("Ctrl+Shift+Down",)),
        Command(Act.SYSTEM, Menu.VIEW, _tr("Colours of the &system"), (), group="look", gap_before=True),
        Command(Act.LIGHT, Menu.VIEW, _tr("&Light"), (), group="look"),
        Command(Act.DARK, Menu.VIEW, _tr("&Dark"), (), group="look"),
    )


def _help() -> tuple[Command, ...]:
    return (Command(Act.KEYS, Menu.HELP, _tr("&Keys and pointer"), ("F1",)),)


def menu_titles() -> dict[Menu, str]:
    """The menus' titles."""
    return {
        Menu.FILE: _tr("&File"),
        Menu.EDIT: _tr("&Edit"),
        Menu.PLAN: _tr("&Plan"),
        Menu.VIEW: _tr("&View"),
        Menu.HELP: _tr("&Help"),
    }
