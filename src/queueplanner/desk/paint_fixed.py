"""Paints what a person has fixed of the order: a pin with its word below a pinned pass, a bracket below passes kept
together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.picture import PassShape, Picture
from queueplanner.planning.order_rules import OrderRules

#: How wide a pin is, px; pins nearer to each other than that are left out.
_PIN_PX = 12.0


@dataclass(frozen=True, slots=True)
class Group:
    """A run of neighbouring passes that are kept together."""

    first: PassShape
    last: PassShape


def groups_of(picture: Picture, rules: OrderRules) -> Iterator[Group]:
    """The passes kept together as they stand in the picture."""
    place = {shape.planned.id: at for at, shape in enumerate(picture.passes)}
    for group in rules.together:
        places = sorted(place[p] for p in group if p in place)
        if len(places) > 1:
            yield Group(picture.passes[places[0]], picture.passes[places[-1]])


def paint_fixed(canvas: Canvas, picture: Picture, rules: OrderRules, words: tuple[str, str]) -> None:
    """All pins and groups in sight; `words` are those for a pin and a group."""
    row = canvas.rows.fixed
    if row is None:
        return
    groups = [g for g in groups_of(picture, rules) if canvas.sees(g.first.start, g.last.end)]
    brackets = [canvas.x(group.first.start) for group in groups]
    pinned = [s for s in picture.passes_between(canvas.first, canvas.last) if s.planned.id in rules.places]
    taken: list[tuple[float, float]] = []
    for shape, following in zip_longest(pinned, pinned[1:]):
        left = _pin_left(canvas, shape)
        limits = [x for x in brackets if x > left] + (
            [canvas.right] if following is None else [canvas.x(following.start)]
        )
        if not taken or left > taken[-1][0] + canvas.theme.size(_PIN_PX):
            taken.append((left, _paint_pin(canvas, left, min(limits), words[0])))
    for group in groups:
        _paint_group(canvas, group, words[1], taken)


def paint_pin_sign(painter: QPainter, box: QRectF, pen: QPen) -> None:
    """A pin: a round head on a shaft that ends in a point."""
    painter.setPen(pen)
    painter.setBrush(pen.color())
    x, head = box.center().x(), box.width() * 0.33
    painter.drawEllipse(QPointF(x, box.top() + head), head, head)
    painter.drawLine(QPointF(x, box.top() + 2 * head), QPointF(x, box.bottom()))
    painter.drawLine(QPointF(x - head * 1.4, box.top() + 2 * head), QPointF(x + head * 1.4, box.top() + 2 * head))


def paint_group_sign(painter: QPainter, box: QRectF, pen: QPen) -> None:
    """A bracket open to the passes above it."""
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPolyline(QPolygonF([box.topLeft(), box.bottomLeft(), box.bottomRight(), box.topRight()]))


def _pin_left(canvas: Canvas, shape: PassShape) -> float:
    return max(canvas.left + 2, canvas.x(shape.start) + 3)


def _paint_pin(canvas: Canvas, left: float, limit: float, word: str) -> float:
    """The pin below where its pass begins, and its word if it ends before a limit; gives where they end."""
    row = canvas.rows.fixed
    assert row is not None
    width = canvas.theme.size(_PIN_PX)
    paint_pin_sign(canvas.painter, QRectF(left, row.top + 4, width, row.height - 10), canvas.pen("text", 1.6))
    return canvas.write(word, left + width + 4, limit - 4, row, canvas.colour("text")) or left + width


def _paint_group(canvas: Canvas, group: Group, word: str, taken: Sequence[tuple[float, float]]) -> None:
    row = canvas.rows.fixed
    assert row is not None
    left, right = canvas.x(group.first.start) + 1, canvas.x(group.last.end) - 2
    box = QRectF(left, row.top + 1, max(4.0, right - left), row.height - 4)
    paint_group_sign(canvas.painter, box, canvas.pen("text", 1.6))
    left, right, width = max(canvas.left, left) + 6, min(canvas.right, right) - 6, canvas.width_of(word)
    for start in ((left + right - width) / 2, right - width, left):
        free = all(start + width + 6 < a or start - 6 > b for a, b in taken)
        if free and left <= start and start + width <= right:
            canvas.write(word, start, right + 2, row, canvas.colour("text"))
            return
