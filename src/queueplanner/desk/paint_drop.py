"""Paints a pass in the hand: where it stands now faded, its ghost and a marker at the gap, a label with the figures."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from queueplanner.desk.drop_places import gap_moment
from queueplanner.desk.drop_words import Line, Tone
from queueplanner.desk.paint_passes import SETTING_SHARE
from queueplanner.desk.picture import PassShape
from queueplanner.desk.theme import TextRole
from queueplanner.desk.timeline_drag import Forbidden, PassDrag
from queueplanner.desk.viewport import Viewport

_PAD, _SIGN_PX, _HEAD_PX = 10.0, 14.0, 7.0
#: A ghost is at least so wide, px.
_LEAST_GHOST_PX = 10.0


def paint_drop(painter: QPainter, view: Viewport, drag: PassDrag, lines: Sequence[Line]) -> None:
    """All of it, above the rest of the timeline."""
    shape = view.picture.passes[drag.own]
    refused = isinstance(drag.answer(), Forbidden)
    gap = view.x(gap_moment(view.picture, drag.own, drag.place))
    painter.save()
    painter.setClipRect(QRectF(view.left - 12, 0, view.chart_width + 24, view.rows.bottom))
    _paint_source(painter, view, shape)
    if drag.place != drag.own:
        if not refused:
            _paint_ghost(painter, view, shape, gap)
        _paint_gap(painter, view, gap, refused=refused)
    _paint_label(painter, view, gap, lines, refused=refused)
    painter.restore()


def _paint_source(painter: QPainter, view: Viewport, shape: PassShape) -> None:
    """Where the pass stands: washed out behind a dashed frame."""
    rows = view.rows
    left, right = view.x(shape.start), view.x(shape.end)
    box = QRectF(left, rows.labels[0].top, max(2.0, right - left), rows.bar.bottom - rows.labels[0].top)
    veil = view.theme.colour("surface")
    veil.setAlpha(170)
    painter.fillRect(box, veil)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(view.theme.colour("mark"), 1.5, Qt.PenStyle.DashLine))
    painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 3, 3)


def _paint_ghost(painter: QPainter, view: Viewport, shape: PassShape, gap: float) -> None:
    """The pass's make-ready and run as wide as they are now, seen through, from the gap on."""
    bar, theme, p = view.rows.bar, view.theme, shape.planned
    run = max(_LEAST_GHOST_PX, view.x(p.run_end) - view.x(p.run_start))
    ready = view.x(p.makeready_end) - view.x(p.makeready_start)
    fill = theme.colour("focus")
    fill.setAlpha(70)
    low = QRectF(gap, bar.bottom - bar.height * SETTING_SHARE, ready, bar.height * SETTING_SHARE)
    block = QRectF(gap + ready, bar.top, run, bar.height)
    painter.setPen(QPen(theme.colour("focus"), 2, Qt.PenStyle.DashLine))
    painter.setBrush(fill)
    painter.drawRect(low)
    painter.drawRect(block)
    painter.setFont(theme.font(TextRole.STRONG))
    text = str(shape.planned.id)
    if QFontMetricsF(painter.font()).horizontalAdvance(text) + 6 <= run:
        painter.setPen(theme.colour("text"))
        painter.drawText(block, Qt.AlignmentFlag.AlignCenter, text)


def _paint_gap(painter: QPainter, view: Viewport, x: float, *, refused: bool) -> None:
    """A bar through the rows with heads pointing at it; where the drop is forbidden, a struck-through circle on it."""
    rows = view.rows
    colour = view.theme.colour("late" if refused else "focus")
    top, bottom = rows.labels[0].top, rows.bar.bottom + 2
    painter.setPen(QPen(view.theme.colour("surface"), 6))
    painter.drawLine(QPointF(x, top), QPointF(x, bottom))
    painter.setPen(QPen(colour, 3, Qt.PenStyle.DashLine if refused else Qt.PenStyle.SolidLine))
    painter.drawLine(QPointF(x, top), QPointF(x, bottom))
    if refused:
        paint_refused(painter, QRectF(x - 11, rows.bar.middle - 11, 22, 22), colour, view.theme.colour("surface"))
        return
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    for y, way in ((top, 1.0), (bottom, -1.0)):
        head = [(x - _HEAD_PX, y), (x + _HEAD_PX, y), (x, y + way * _HEAD_PX * 1.2)]
        painter.drawPolygon(QPolygonF([QPointF(a, b) for a, b in head]))


def paint_refused(painter: QPainter, box: QRectF, colour: QColor, ground: QColor) -> None:
    """A circle struck through."""
    painter.setBrush(ground)
    painter.setPen(QPen(colour, 2.5))
    painter.drawEllipse(box.adjusted(1, 1, -1, -1))
    inset = box.width() * 0.22
    painter.drawLine(QPointF(box.left() + inset, box.bottom() - inset), QPointF(box.right() - inset, box.top() + inset))


def paint_tone(painter: QPainter, box: QRectF, tone: Tone, view: Viewport) -> None:
    """The sign before a line: '!' in a triangle for late, a tick for no longer late, the struck circle for a rule."""
    late, good, ground = (view.theme.colour(token) for token in ("late", "good", "surface"))
    if tone is Tone.FORBIDDEN:
        paint_refused(painter, box, late, ground)
    elif tone is Tone.LATE:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(late)
        painter.drawPolygon(QPolygonF([QPointF(box.center().x(), box.top()), box.bottomRight(), box.bottomLeft()]))
        painter.setPen(QPen(ground, box.height() / 7))
        x, high = box.center().x(), box.height()
        painter.drawLine(QPointF(x, box.top() + high * 0.36), QPointF(x, box.bottom() - high * 0.4))
        painter.drawPoint(QPointF(x, box.bottom() - high * 0.18))
    elif tone is Tone.BETTER:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(good, 2.5))
        tick = [
            (box.left() + 1, box.center().y()),
            (box.center().x() - 1, box.bottom() - 2),
            (box.right(), box.top() + 2),
        ]
        painter.drawPolyline(QPolygonF([QPointF(a, b) for a, b in tick]))


def _paint_label(painter: QPainter, view: Viewport, gap: float, lines: Sequence[Line], *, refused: bool) -> None:
    """A card at the top of the timeline, over the gap, kept within the chart; it covers hours, never bars."""
    theme, rows = view.theme, view.rows
    fonts = [theme.font(TextRole.STRONG if _is_bold(i, line) else TextRole.BODY) for i, line in enumerate(lines)]
    widths = [_width(font, line, theme.size(_SIGN_PX)) for font, line in zip(fonts, lines, strict=True)]
    height = QFontMetricsF(theme.font()).height() + 2
    width = max(widths) + 2 * _PAD
    left = min(max(view.left + 2.0, gap - width / 2), view.left + view.chart_width - width - 2)
    box = QRectF(max(left, view.left + 2.0), 2, width, height * len(lines) + 8)
    painter.setBrush(theme.colour("surface"))
    painter.setPen(QPen(theme.colour("late" if refused else "text"), 2))
    painter.drawRoundedRect(box, 5, 5)
    for i, (line, font) in enumerate(zip(lines, fonts, strict=True)):
        _paint_line(painter, view, QRectF(box.left() + _PAD, box.top() + 4 + i * height, width, height), line, font)
    if box.bottom() < rows.labels[0].top:
        painter.setPen(QPen(theme.colour("late" if refused else "text"), 2))
        painter.drawLine(QPointF(gap, box.bottom()), QPointF(gap, rows.labels[0].top))


def _is_bold(number: int, line: Line) -> bool:
    return number == 0 or line.tone is not Tone.PLAIN


def _width(font: QFont, line: Line, sign: float) -> float:
    return QFontMetricsF(font).horizontalAdvance(line.text) + (0 if line.tone is Tone.PLAIN else sign + 6)


def _paint_line(painter: QPainter, view: Viewport, box: QRectF, line: Line, font: QFont) -> None:
    colour = {Tone.LATE: "late", Tone.FORBIDDEN: "late", Tone.BETTER: "good"}.get(line.tone, "text")
    left, sign = box.left(), view.theme.size(_SIGN_PX)
    if line.tone is not Tone.PLAIN:
        paint_tone(painter, QRectF(left, box.center().y() - sign / 2, sign, sign), line.tone, view)
        left += sign + 6
    painter.setFont(font)
    painter.setPen(view.theme.colour(colour))
    place = QRectF(left, box.top(), box.width(), box.height())
    painter.drawText(place, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, line.text)
