"""Writes the number and title of each pass above its bar, in two lines so that neighbours do not collide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.picture import EveningShape, PassShape, Picture
from queueplanner.desk.timeline_words import late_text

#: Room between two labels, px.
_GAP_PX = 9.0
#: Passes nearer to each other than this on the average get no labels, px.
_LABELS_FROM_PX = 12.0


@dataclass(frozen=True, slots=True)
class Label:
    """A label where it stands: `line` 1 is right above the bar, 0 the one above that; it may reach up to `right`."""

    shape: PassShape | EveningShape
    text: str
    left: float
    line: int
    right: float


def paint_labels(canvas: Canvas, picture: Picture, evening_word: str) -> None:
    """All labels in sight."""
    for label in lay_out(canvas, picture, evening_word):
        _paint(canvas, label)


def lay_out(canvas: Canvas, picture: Picture, evening_word: str) -> list[Label]:
    """Which labels are written and where: each in the lower line if it is free, else in the upper, else not at all."""
    shapes: list[PassShape | EveningShape] = [*picture.passes_between(canvas.first, canvas.last)]
    if len(shapes) * _LABELS_FROM_PX > canvas.right - canvas.left:
        return []
    shapes += canvas.in_sight(picture.evenings)
    placed: list[Label] = []
    taken = [canvas.left, canvas.left]
    lines = [line for line in (1, 0) if canvas.rows.labels[line].height]
    for shape in sorted(shapes, key=lambda s: s.start):
        text = str(shape.planned.id) if isinstance(shape, PassShape) else evening_word
        width = canvas.width_of(text, bold=True)
        left = max(canvas.left + 2, canvas.x(shape.start))
        if isinstance(shape, EveningShape):
            left = min(left, canvas.right - width)
        line = next((n for n in lines if left >= taken[n] and left + width <= canvas.right), None)
        if line is not None:
            placed.append(Label(shape, text, left, line, canvas.right))
            taken[line] = left + width + _GAP_PX
    return _with_room(placed)


def _with_room(labels: Sequence[Label]) -> list[Label]:
    """Each label may reach up to the next in its line; in the lower line also up to the next one's leader."""
    roomy = []
    for i, label in enumerate(labels):
        limits = [label.right]
        limits += [other.left - _GAP_PX for other in labels[i + 1 :] if label.line == 1 or other.line == 0]
        roomy.append(Label(label.shape, label.text, label.left, label.line, min(limits)))
    return roomy


def _paint(canvas: Canvas, label: Label) -> None:
    band = canvas.rows.labels[label.line]
    if label.line == 0:
        x = max(label.left, canvas.x(label.shape.start)) - 2
        canvas.line(x, band.top + 4, x, canvas.rows.bar.top, canvas.pen("mark"))
    own_width = canvas.width_of(label.text, bold=True)
    canvas.write(label.text, label.left, label.left + own_width + 1, band, canvas.colour("text"), bold=True)
    if not isinstance(label.shape, PassShape):
        return
    behind = label.left + own_width
    if label.shape.planned.late_seconds:
        late = late_text(canvas.figures, label.shape.planned.late_seconds)
        behind = canvas.write(late, behind + 8, label.right, band, canvas.colour("late"), bold=True) or behind
    canvas.write(label.shape.planned.job.title, behind + 8, label.right, band, canvas.colour("soft"))
