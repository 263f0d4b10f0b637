"""Paints due times as flags on short poles over the passes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPolygonF

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.picture import DueFlag, Picture
from queueplanner.desk.timeline_rows import Band

_NOTCH, _PAD, _BARE = 6.0, 6.0, 9.0
#: Flags nearer than this to the one before are left out unless a job is late, px.
_LEAST_PX = 4.0


@dataclass(frozen=True, slots=True)
class _Flown:
    """A flag as it flies: pole at `x`, `width` px long, to the left or right of it; no text where room is short."""

    flag: DueFlag
    x: float
    text: str
    width: float
    leftward: bool

    @property
    def edges(self) -> tuple[float, float]:
        return (self.x - self.width, self.x) if self.leftward else (self.x, self.x + self.width)


def paint_flags(canvas: Canvas, picture: Picture) -> None:
    """Each due time; a flag with late jobs is filled and marked with a '!'."""
    for flown in _fly(canvas, [f for f in picture.flags if canvas.sees(f.moment, f.moment)]):
        _paint_flag(canvas, flown)


def flag_texts(canvas: Canvas, flag: DueFlag) -> list[str]:
    """What a flag can say, longest first: `! 09:10 ×2`, `! 09:10`."""
    text = canvas.figures.clock(flag.moment)
    short = f"! {text}" if flag.late else text
    return [f"{short} ×{len(flag.jobs)}", short] if len(flag.jobs) > 1 else [short]


def _fly(canvas: Canvas, flags: list[DueFlag]) -> Iterator[_Flown]:
    """Flags fly to the right if the next leaves room, else to the left, else without their text."""
    taken = drawn = -1e9
    least = canvas.width_of("00:00") + 2 * _PAD + _NOTCH
    for i, flag in enumerate(flags):
        x = canvas.x(flag.moment)
        if x - drawn < _LEAST_PX and not flag.late:
            continue
        following = canvas.x(flags[i + 1].moment) if i + 1 < len(flags) else canvas.right + 10
        flown = _Flown(flag, x, "", min(_BARE, max(4.0, following - x - 2)), leftward=False)
        room = (max(taken, canvas.left), following)
        if room[1] - room[0] > least:
            flown = next((f for f in _ways(canvas, flag, x) if room[0] <= f.edges[0] and f.edges[1] <= room[1]), flown)
        drawn, taken = x, flown.edges[1] + 2
        yield flown


def _ways(canvas: Canvas, flag: DueFlag, x: float) -> Iterator[_Flown]:
    """How a flag can fly with a text, the best first."""
    for text in flag_texts(canvas, flag):
        width = canvas.width_of(text, bold=bool(flag.late)) + 2 * _PAD + _NOTCH
        yield _Flown(flag, x, text, width, leftward=False)
        yield _Flown(flag, x, text, width, leftward=True)


def _paint_flag(canvas: Canvas, flown: _Flown) -> None:
    late = bool(flown.flag.late)
    row = canvas.rows.due
    band = Band(row.top + 3, row.height - 9)
    left, right = flown.edges
    free, tip = (left, left + _NOTCH) if flown.leftward else (right, right - _NOTCH)
    tip = tip if flown.text else free
    outline = [(flown.x, band.top), (free, band.top), (tip, band.middle), (free, band.bottom), (flown.x, band.bottom)]
    pen = canvas.pen("late" if late else "mark", 1.5)
    canvas.line(flown.x, band.top, flown.x, row.bottom, pen)
    canvas.painter.setPen(pen)
    canvas.painter.setBrush(canvas.colour("late" if late else "surface"))
    canvas.painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in outline]))
    if not flown.text:
        return
    colour = canvas.colour("surface" if late else "text")
    start = left + _PAD + (_NOTCH if flown.leftward else 0.0)
    canvas.write(flown.text, start, right + _PAD, band, colour, bold=late)
