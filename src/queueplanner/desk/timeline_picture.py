"""The timeline of the day as a picture: a widget that paints a plan, zooms, moves along and marks a selection."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleEvent, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QScrollBar, QSizePolicy, QWidget
from typing_extensions import override

from queueplanner.desk.carrying import Carrier
from queueplanner.desk.day_model import Pick
from queueplanner.desk.drop_words import label_lines
from queueplanner.desk.figures import Figures
from queueplanner.desk.paint_drop import paint_drop
from queueplanner.desk.paint_now import paint_now
from queueplanner.desk.paint_timeline import TimelineWords, paint_due_line, paint_timeline
from queueplanner.desk.picture import EveningShape, PassShape, make_picture
from queueplanner.desk.theme import Theme
from queueplanner.desk.time_scale import closed_between
from queueplanner.desk.timeline_rows import least_height
from queueplanner.desk.timeline_words import evening_text, moment_text, pass_text
from queueplanner.desk.viewport import FARTHEST_SECONDS, Viewport
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan, Stretch

if TYPE_CHECKING:
    # Only named here: the window is painted before the planner, and all it brings along, is loaded.
    from queueplanner.planning.instance import Instance

#: How much one step of zoom magnifies.
ZOOM_STEP = 1.25
#: How often the line of the moment is moved on, ms.
_NOW_MS = 5000


class TimelinePicture(QWidget):
    """Paints one plan, and what its `carrier` holds above it; knows nothing of pointer and keys."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: Viewport | None = None
        self._figures: Figures | None = None
        self._pick: Pick | None = None
        self._hover: Pick | None = None
        self._layer: QPixmap | None = None
        self._words = TimelineWords.translated()
        self._rules = OrderRules()
        self._split: bool | None = None
        self._open_hours: tuple[Stretch, ...] = ()
        self._now: Callable[[], float] | None = None
        self._make_parts()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Timeline of the day"))
        self.set_theme(theme)

    def _make_parts(self) -> None:
        self._bar = QScrollBar(Qt.Orientation.Horizontal, self)
        self._bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._bar.setAccessibleName(self.tr("Scroll the timeline"))
        self._bar.valueChanged.connect(self.scroll_to)
        self.carrier = Carrier(self)
        self.carrier.changed.connect(self.update)
        self._tick = QTimer(self)
        self._tick.setInterval(_NOW_MS)
        self._tick.timeout.connect(self.update)

    def set_theme(self, theme: Theme) -> None:
        """Paint in another palette or text size."""
        self._theme = theme
        self._look(self._view)

    def set_plan(self, plan: Plan | None) -> None:
        """Show a plan; the zoom and the place in time stay when the plan begins at the same moment."""
        before, self._view, self._figures = self._view, None, None
        self.carrier.set_plan(plan)
        if plan is not None:
            self._figures = Figures(plan.zone)
            self._view = Viewport(
                make_picture(plan), self._theme, 0, self.width(), self.height(), split=self._split, rules=self._rules,
                later=self._later(plan),
            )  # fmt: skip
            if before is not None and before.picture.start == plan.start:
                self._view = replace(self._view, wish=before.wish, offset=before.offset)
        self.set_theme(self._theme)

    def set_instance(self, instance: Instance | None) -> None:
        """The day that drops are reckoned with, and its rules; without one no pass can be dragged.

        Set it before the plan of that day, or after: a pass can be taken up when both fit together.
        """
        self.carrier.set_instance(instance)
        self._open_hours = () if instance is None else tuple((w.start, w.end) for w in instance.clock.windows)
        self.set_rules(OrderRules() if instance is None else instance.rules)

    def set_rules(self, rules: OrderRules) -> None:
        """Mark what a person has fixed of the order: pins, and passes kept together."""
        self._rules = rules
        if self._view is not None:
            self._view = replace(self._view, rules=rules, later=self._later(self._view.picture.plan))
        self.set_theme(self._theme)

    def set_clock(self, now: Callable[[], float] | None) -> None:
        """Tell what time it is (epoch seconds), to draw a line there that moves on; None draws none."""
        self._now = now
        if now is None:
            self._tick.stop()
        else:
            self._tick.start()
        self.update()

    def split_tasks(self, split: bool | None) -> None:
        """Split make-readies into their tasks, or not; None leaves it to the zoom."""
        self._split = split
        if self._view is not None:
            self._view = replace(self._view, split=split)
        self.set_theme(self._theme)

    def _later(self, plan: Plan) -> tuple[Stretch, ...]:
        """The closed hours after a plan's end, for a picture of the whole week."""
        end = max(plan.totals.end, plan.closed[-1][1] if plan.closed else plan.start)
        week = plan.start + FARTHEST_SECONDS
        return closed_between(self._open_hours, end, week) if self._open_hours and end < week else ()

    def _fit_height(self) -> None:
        least = least_height(self._theme, 2) if self._view is None else self._view.least_height
        self.setMinimumHeight(least + self._bar_height())

    def set_pick(self, pick: Pick | None) -> None:
        """Mark what is selected and bring it into sight."""
        self._pick = pick
        if self._view is not None and (shape := self._view.picture.shape_of(pick)) is not None:
            self._look(self._view.showing(shape.start, shape.end))
            self.setAccessibleDescription(self._sentence(shape))
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))
        else:
            self.setAccessibleDescription("")
        self.update()

    @property
    def view(self) -> Viewport | None:
        """What is in sight; None without a plan."""
        return self._view

    @override
    def sizeHint(self) -> QSize:
        return QSize(self._theme.size(900), self.minimumHeight() + self._theme.size(48))

    def zoom(self, factor: float, at: float | None = None) -> None:
        """Zoom about a place on the widget (x, px), else about what is selected, else about the middle."""
        if self._view is not None:
            picked = self._view.column_of(self._pick)
            if at is None and picked is not None:
                at = picked.center().x()
            self._look(self._view.zoomed(factor, at))

    def zoom_in(self) -> None:
        """One step closer."""
        self.zoom(ZOOM_STEP)

    def zoom_out(self) -> None:
        """One step away."""
        self.zoom(1 / ZOOM_STEP)

    def whole_day(self) -> None:
        """All of the plan in sight."""
        self.zoom(0)

    def words_at(self, place: QPointF) -> str:
        """A sentence about what lies at a place."""
        if self._view is None or self._figures is None or place.x() < self._view.left:
            return ""
        view = self._view
        return moment_text(self._figures, view.picture, view.moment(place.x()), view.unit_at(place))

    def _sentence(self, shape: PassShape | EveningShape) -> str:
        assert self._figures is not None
        words = pass_text if isinstance(shape, PassShape) else evening_text
        return words(self._figures, shape)  # type: ignore[arg-type]

    def _bar_height(self) -> int:
        return self._theme.size(14)

    def _name_width(self) -> int:
        metrics = self.fontMetrics()
        return max(metrics.horizontalAdvance(name) for name in self._words.row_names((1, 2))) + self._theme.size(26)

    def _look(self, view: Viewport | None) -> None:
        """Look at a picture so, at the widget's present size."""
        if view is not None:
            height = self.height() - self._bar_height()
            sized = replace(view, theme=self._theme, left=self._name_width(), width=self.width(), height=height)
            self._view = sized.scrolled(sized.offset)
            self._place_bar(self._view)
        else:
            self._view = None
            self._bar.hide()
        self._fit_height()
        self._layer = None
        self.update()

    def _place_bar(self, view: Viewport) -> None:
        height = self._bar_height()
        self._bar.blockSignals(True)
        self._bar.setGeometry(view.left, self.height() - height, int(view.chart_width), height)
        self._bar.setPageStep(int(view.chart_width))
        self._bar.setSingleStep(60)
        self._bar.setRange(0, view.overhang)
        self._bar.setValue(round(view.offset))
        self._bar.setVisible(view.overhang > 0)
        self._bar.blockSignals(False)

    def scroll_to(self, offset: float) -> None:
        """Move along so that so many px of the picture lie to the left, kept within it."""
        if self._view is not None:
            self._look(self._view.scrolled(offset))

    def _make_layer(self, view: Viewport, figures: Figures, ratio: float) -> QPixmap:
        """Everything but the selection, drawn once and kept until something moves."""
        layer = QPixmap(self.size() * ratio)
        layer.setDevicePixelRatio(ratio)
        layer.fill(Qt.GlobalColor.transparent)
        painter = QPainter(layer)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_timeline(painter, view, figures, self._words)
        painter.end()
        return layer

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._theme.colour("surface"))
        if self._view is not None and self._figures is not None:
            ratio = painter.device().devicePixelRatioF()
            if self._layer is None or self._layer.devicePixelRatio() != ratio:
                self._layer = self._make_layer(self._view, self._figures, ratio)
            self._paint_columns(painter, self._view)
            if self._now is not None:
                paint_now(painter, self._view, self._figures, self._now(), self._words.now)
            if self.carrier.drag is not None:
                paint_drop(painter, self._view, self.carrier.drag, label_lines(self._figures, self.carrier.drag))
        if self.hasFocus():
            painter.setPen(QPen(self._theme.colour("focus"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        painter.end()

    def _paint_columns(self, painter: QPainter, view: Viewport) -> None:
        """The selected pass tinted behind everything and ringed before it; the one under the pointer ringed."""
        assert self._layer is not None
        picked, hovered = view.column_of(self._pick), view.column_of(self._hover)
        if picked is not None:
            painter.fillRect(picked, self._theme.colour("picked"))
        painter.drawPixmap(0, 0, self._layer)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if hovered is not None and self._hover != self._pick:
            painter.setPen(QPen(self._theme.colour("mark"), 1))
            painter.drawRoundedRect(hovered, 3, 3)
        if picked is not None:
            paint_due_line(painter, view, self._pick)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._theme.colour("focus" if self.hasFocus() else "text"), 2))
            painter.drawRoundedRect(picked, 3, 3)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        self._look(self._view)
