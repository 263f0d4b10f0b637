"""Small pieces every panel is built of: labels by their look, lines, cleared layouts."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QLayout, QSizePolicy, QWidget


def make_label(text: str, look: str = "", *, wrap: bool = False, right: bool = False) -> QLabel:
    """A label of plain text; `look` names its style, `wrap` lets it break lines, `right` sets figures to the right."""
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setProperty("look", look)
    label.setWordWrap(wrap)
    if wrap:
        label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
    across = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    label.setAlignment(across | (Qt.AlignmentFlag.AlignTop if wrap else Qt.AlignmentFlag.AlignVCenter))
    return label


def set_look(widget: QWidget, look: str) -> None:
    """Give a widget another style."""
    if widget.property("look") != look:
        widget.setProperty("look", look)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


def make_line() -> QFrame:
    """A hair line across."""
    line = QFrame()
    line.setProperty("look", "line")
    return line


def clear_layout(layout: QLayout) -> None:
    """Take everything out of a layout and delete it."""
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.setParent(None)
            widget.deleteLater()
        elif (inner := item.layout()) is not None:
            clear_layout(inner)
