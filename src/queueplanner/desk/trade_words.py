"""The trade's fixed words in the language of the window: places, states of the press, lay sides, work styles."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.shop.format import FeedEdge
from queueplanner.shop.job import LaySide, WorkStyle
from queueplanner.shop.press import Place, TaskState


def _tr(text: str) -> str:
    return QCoreApplication.translate("trade", text)


def place_text(place: Place) -> str:
    """Where the hands are."""
    return {
        Place.FEEDER: _tr("feeder"),
        Place.DELIVERY: _tr("delivery"),
        Place.UNIT_1: _tr("unit 1"),
        Place.UNIT_2: _tr("unit 2"),
        Place.BLANKET: _tr("blanket"),
        Place.DAMPENING: _tr("dampening"),
        Place.MIXING_TABLE: _tr("mixing table"),
    }[place]


def state_text(state: TaskState) -> str:
    """What the press does during a task."""
    return {
        TaskState.STOPPED: _tr("press stopped"),
        TaskState.TURNING: _tr("drive turning"),
        TaskState.OUTSIDE: _tr("at any time"),
    }[state]


def lay_side_text(side: LaySide) -> str:
    """The side the sheet is pulled to."""
    return {LaySide.OPERATOR: _tr("operator"), LaySide.DRIVE: _tr("drive")}[side]


def feed_edge_text(edge: FeedEdge) -> str:
    """The edge that leads into the press."""
    return {FeedEdge.LONG: _tr("long"), FeedEdge.SHORT: _tr("short")}[edge]


def work_style_text(style: WorkStyle) -> str:
    """How the two sides are printed."""
    return {
        WorkStyle.ONE_SIDE: _tr("one side"),
        WorkStyle.SHEETWISE: _tr("sheetwise"),
        WorkStyle.WORK_AND_TURN: _tr("work-and-turn"),
        WorkStyle.WORK_AND_TUMBLE: _tr("work-and-tumble"),
    }[style]
