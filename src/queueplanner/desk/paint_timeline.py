"""Paints the whole timeline from back to front."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.day_model import Pick
from queueplanner.desk.figures import Figures
from queueplanner.desk.paint_fixed import paint_fixed
from queueplanner.desk.paint_flags import paint_flags
from queueplanner.desk.paint_hours import paint_closed, paint_row_names, paint_ruler
from queueplanner.desk.paint_labels import paint_labels
from queueplanner.desk.paint_passes import paint_passes
from queueplanner.desk.paint_ribbons import paint_ribbon, paint_track
from queueplanner.desk.paint_sheets import paint_sheets
from queueplanner.desk.paint_tasks import paint_tasks
from queueplanner.desk.picture import PassShape
from queueplanner.desk.timeline_rows import Band, Rows
from queueplanner.desk.viewport import Viewport


def _tr(text: str) -> str:
    return QCoreApplication.translate("timeline", text)


@dataclass(frozen=True, slots=True)
class TimelineWords:
    """The words written on the timeline."""

    due: str
    passes: str
    unit: str
    format: str
    stock: str
    evening: str
    tasks: str
    fixed: str
    pinned: str
    together: str
    now: str

    @classmethod
    def translated(cls) -> TimelineWords:
        """The words in the language of the moment."""
        return cls(
            due=_tr("Due"),
            passes=_tr("Passes"),
            unit=_tr("Unit {unit}"),
            format=_tr("Format"),
            stock=_tr("Stock"),
            evening=_tr("Evening wash"),
            tasks=_tr("Tasks"),
            fixed=_tr("Fixed"),
            pinned=_tr("pinned"),
            together=_tr("together"),
            now=_tr("now {time}"),
        )

    def row_names(self, units: Iterable[int]) -> list[str]:
        """The name of every row that can be there."""
        units_named = (self.unit.format(unit=u) for u in units)
        return [self.due, self.passes, self.format, self.stock, *units_named, self.tasks, self.fixed]

    def named_bands(self, rows: Rows) -> list[tuple[Band, str]]:
        """The rows there are, with their names."""
        named = [(rows.due, self.due), (rows.bar, self.passes), (rows.format, self.format), (rows.stock, self.stock)]
        named += [(u.ribbon, self.unit.format(unit=u.unit)) for u in rows.units]
        named += [(band, self.tasks) for band in rows.tasks[:1]]
        named += [] if rows.fixed is None else [(rows.fixed, self.fixed)]
        return named


def paint_timeline(painter: QPainter, view: Viewport, figures: Figures, words: TimelineWords) -> None:
    """Paint everything but what is selected or pointed at."""
    canvas = Canvas(painter, view.theme, view.scale, view.rows, figures, view.offset, view.left + view.chart_width)
    picture = view.picture
    paint_row_names(canvas, words.named_bands(view.rows))
    painter.setClipRect(QRectF(view.left - 2, 0, view.width - view.left + 2, view.rows.bottom))
    for unit_rows in view.rows.units:
        paint_track(canvas, unit_rows)
    paint_closed(canvas, view.closed)
    paint_ruler(canvas)
    paint_flags(canvas, picture)
    paint_passes(canvas, picture)
    paint_labels(canvas, picture, words.evening)
    paint_tasks(canvas, picture)
    paint_fixed(canvas, picture, view.rules, (words.pinned, words.together))
    for unit_rows in view.rows.units:
        paint_ribbon(canvas, picture, unit_rows)
    paint_sheets(canvas, picture)


def paint_due_line(painter: QPainter, view: Viewport, pick: Pick | None) -> None:
    """The selected pass's due time carried down to its bar, and how far a late one runs over it."""
    shape = view.picture.shape_of(pick)
    if not isinstance(shape, PassShape) or shape.planned.job.due_s is None:
        return
    x, bar, right = view.x(shape.planned.job.due_s), view.rows.bar, view.left + view.chart_width
    if shape.planned.late_seconds:
        end = min(right, view.x(shape.end))
        painter.setPen(QPen(view.theme.colour("late"), 3))
        painter.drawLine(QPointF(max(view.left, x), bar.top), QPointF(end, bar.top))
    if view.left <= x <= right:
        painter.setPen(QPen(view.theme.colour("text"), 2, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(x, bar.top), QPointF(x, bar.bottom))
