"""A painter that knows the time: places moments on the widget, and writes text only where it fits."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from queueplanner.desk.figures import Figures
from queueplanner.desk.theme import TextRole, Theme
from queueplanner.desk.time_scale import TimeScale
from queueplanner.desk.timeline_rows import Band, Rows


class _Stretch(Protocol):
    """Anything that begins and ends."""

    @property
    def start(self) -> int:
        """Epoch seconds."""
        ...

    @property
    def end(self) -> int:
        """Epoch seconds."""
        ...


Timed = TypeVar("Timed", bound=_Stretch)


@dataclass(slots=True)
class Canvas:
    """What every part of the timeline is painted with.

    `offset` px of the picture are scrolled away to the left; the chart lies between `left` and `right` of the widget
    and shows the time from `first` to `last`.
    """

    painter: QPainter
    theme: Theme
    scale: TimeScale
    rows: Rows
    figures: Figures
    offset: float
    right: float
    left: float = field(init=False)
    first: float = field(init=False)
    last: float = field(init=False)
    _colours: dict[str, QColor] = field(default_factory=dict)
    _widths: dict[tuple[str, bool], float] = field(default_factory=dict)
    _fonts: dict[bool, QFont] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.left = float(self.rows.left)
        self.first = self.scale.moment(self.offset)
        self.last = self.scale.moment(self.offset + self.right - self.left)
        self._fonts = {bold: self.theme.font(TextRole.STRONG if bold else TextRole.BODY) for bold in (False, True)}

    def x(self, moment: float) -> float:
        """Where a moment stands on the widget."""
        return self.left + self.scale.x(moment) - self.offset

    def xs(self, moments: NDArray[np.float64]) -> NDArray[np.float64]:
        """`x` of many moments of the picture."""
        return self.left - self.offset + self.scale.xs(moments)

    def sees(self, start: float, end: float) -> bool:
        """Whether a stretch of time is in sight."""
        return end >= self.first and start <= self.last

    def in_sight(self, stretches: Sequence[Timed]) -> Sequence[Timed]:
        """Those in sight of some stretches that follow each other in time."""
        first = bisect_left(stretches, self.first, key=lambda s: s.end)
        last = bisect_right(stretches, self.last, key=lambda s: s.start)
        return stretches[first:last]

    def colour(self, token: str) -> QColor:
        """A colour of the palette."""
        if token not in self._colours:
            self._colours[token] = self.theme.colour(token)
        return self._colours[token]

    def fill_boxes(self, boxes: Sequence[QRectF], colour: QColor) -> None:
        """Fill very many boxes with sharp edges: smoothing them takes longer than anybody looks."""
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self.painter.setPen(Qt.PenStyle.NoPen)
        self.painter.setBrush(colour)
        self.painter.drawRects(boxes)
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def box(self, start: float, end: float, band: Band, least: float = 1.0) -> QRectF:
        """The rectangle of a stretch of time in a band."""
        a, b = self.x(start), self.x(end)
        return QRectF(a, band.top, max(least, b - a), band.height)

    def width_of(self, text: str, *, bold: bool = False) -> float:
        """How wide a text is, px."""
        key = (text, bold)
        if key not in self._widths:
            self._widths[key] = QFontMetricsF(self._fonts[bold]).horizontalAdvance(text)
        return self._widths[key]

    def write(
        self, text: str, left: float, right: float, band: Band, colour: QColor, *, bold: bool = False
    ) -> float | None:
        """Write a text from `left` on if it fits before `right`; gives the x behind it, or None if it did not fit."""
        width = self.width_of(text, bold=bold)
        if not text or left + width > right:
            return None
        self.painter.setFont(self._fonts[bold])
        self.painter.setPen(colour)
        place = QRectF(left, band.top, width + 2, band.height)
        self.painter.drawText(place, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
        return left + width

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: QPen) -> None:
        """A straight line."""
        self.painter.setPen(pen)
        self.painter.drawLine(QPointF(x1, y1), QPointF(x2, y2))

    def pen(self, token: str, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
        """A pen in a colour of the palette."""
        return QPen(self.colour(token), width, style)
