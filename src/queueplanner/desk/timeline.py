"""The timeline of the press's day: a widget that paints a plan, zooms, pans, and selects passes by pointer and keys."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QScrollBar, QSizePolicy, QWidget
from typing_extensions import override

from queueplanner.desk.day_model import Pick
from queueplanner.desk.figures import Figures
from queueplanner.desk.paint_timeline import TimelineWords, paint_due_line, paint_timeline
from queueplanner.desk.picture import EveningShape, PassShape, make_picture
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline_rows import least_height
from queueplanner.desk.timeline_words import evening_text, moment_text, pass_text
from queueplanner.desk.viewport import Viewport
from queueplanner.planning.plan import Plan

_ZOOM_STEP = 1.25
_DRAG_FROM_PX = 6
#: A step that is longer than any plan.
_ALL = 1_000_000


class Timeline(QWidget):
    """Paints one plan. `picked` is emitted when a pass or evening is chosen, `opened` on Enter or a double click,
    `stepped` when the arrow keys ask for the next one, `pointed` with a sentence about what lies under the pointer.
    """

    picked = Signal(object)
    opened = Signal()
    stepped = Signal(int)
    pointed = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._view: Viewport | None = None
        self._figures: Figures | None = None
        self._pick: Pick | None = None
        self._hover: Pick | None = None
        self._press_at: QPointF | None = None
        self._dragged_from: float | None = None
        self._layer: QPixmap | None = None
        self._words = TimelineWords.translated()
        self._bar = QScrollBar(Qt.Orientation.Horizontal, self)
        self._bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._bar.valueChanged.connect(self._scroll_to)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.tr("Timeline of the day"))
        self._bar.setAccessibleName(self.tr("Scroll the timeline"))
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Paint in another palette or text size."""
        self._theme = theme
        units = len(self._view.picture.units) if self._view else 2
        self.setMinimumHeight(least_height(theme, units) + self._bar_height())
        self._look(self._view)

    def set_plan(self, plan: Plan | None) -> None:
        """Show a plan; the zoom and the place in time stay when the plan begins at the same moment."""
        before, self._view, self._figures = self._view, None, None
        if plan is not None:
            self._figures = Figures(plan.zone)
            self._view = Viewport(make_picture(plan), self._theme, 0, self.width(), self.height())
            if before is not None and before.picture.start == plan.start:
                self._view = Viewport(
                    self._view.picture, self._theme, 0, self.width(), self.height(), before.wish, before.offset
                )
        self.set_theme(self._theme)

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
        return QSize(self._theme.size(900), self.minimumHeight() + self._theme.size(24))

    def zoom(self, factor: float, at: float | None = None) -> None:
        """Zoom about a place on the widget (x, px), else about what is selected, else about the middle."""
        if self._view is not None:
            picked = self._view.column_of(self._pick)
            if at is None and picked is not None:
                at = picked.center().x()
            self._look(self._view.zoomed(factor, at))

    def zoom_in(self) -> None:
        """One step closer."""
        self.zoom(_ZOOM_STEP)

    def zoom_out(self) -> None:
        """One step away."""
        self.zoom(1 / _ZOOM_STEP)

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
            sized = Viewport(
                view.picture, self._theme, self._name_width(), self.width(), height, view.wish, view.offset
            )
            self._view = sized.scrolled(sized.offset)
            self._place_bar(self._view)
        else:
            self._view = None
            self._bar.hide()
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

    def _scroll_to(self, offset: float) -> None:
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

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.update()

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._press_at, self._dragged_from = event.position(), None

    @override
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._view is None:
            return
        if self._press_at is None:
            self._set_hover(self._view.pick_at(event.position()))
            self.pointed.emit(self.words_at(event.position()))
            return
        moved = event.position().x() - self._press_at.x()
        if self._dragged_from is None and abs(moved) > _DRAG_FROM_PX:
            self._dragged_from = self._view.offset
        if self._dragged_from is not None:
            self._look(self._view.scrolled(self._dragged_from - moved))

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pressed, self._press_at = self._press_at, None
        if pressed is None or self._view is None or self._dragged_from is not None:
            return
        pick = self._view.pick_at(event.position())
        if pick is not None and pick == self._view.pick_at(pressed):
            self.picked.emit(pick)

    @override
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self._view is not None and self._view.pick_at(event.position()) is not None:
            self.opened.emit()

    @override
    def leaveEvent(self, event: QEvent) -> None:
        self._set_hover(None)
        self.pointed.emit("")

    def _set_hover(self, pick: Pick | None) -> None:
        if pick != self._hover:
            self._hover = pick
            self.setCursor(Qt.CursorShape.PointingHandCursor if pick else Qt.CursorShape.ArrowCursor)
            self.update()

    @override
    def wheelEvent(self, event: QWheelEvent) -> None:
        delta = event.angleDelta()
        if self._view is None:
            event.ignore()
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom(_ZOOM_STEP ** (delta.y() / 120), event.position().x())
        elif self._view.overhang:
            self._scroll_to(self._view.offset - (delta.x() or delta.y()))
        else:
            event.ignore()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        keys = Qt.Key
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        acts = {
            keys.Key_Left: lambda: self._pan(-1) if shift else self.stepped.emit(-1),
            keys.Key_Right: lambda: self._pan(1) if shift else self.stepped.emit(1),
            keys.Key_Home: lambda: self.stepped.emit(-_ALL),
            keys.Key_End: lambda: self.stepped.emit(_ALL),
            keys.Key_Plus: self.zoom_in,
            keys.Key_Equal: self.zoom_in,
            keys.Key_Minus: self.zoom_out,
            keys.Key_0: self.whole_day,
            keys.Key_Return: self.opened.emit,
            keys.Key_Enter: self.opened.emit,
        }
        act = acts.get(Qt.Key(event.key()))
        if act is None:
            super().keyPressEvent(event)
        else:
            act()

    def _pan(self, way: int) -> None:
        if self._view is not None:
            self._scroll_to(self._view.offset + way * self._view.chart_width / 4)
