"""The timeline under the user's hands: selects, zooms, moves along and carries passes, by pointer and by keys alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from queueplanner.desk.day_model import Pick
from queueplanner.desk.drop_places import gap_moment, place_at
from queueplanner.desk.drop_words import label_sentence
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline_picture import ZOOM_STEP, TimelinePicture
from queueplanner.shop.base import PassId

_DRAG_FROM_PX = 6
#: A pass held this near to an end of the chart, px, draws the picture along, so far a frame of so many ms.
_EDGE_PX, _ALONG_PX, _ALONG_MS = 36.0, 14.0, 16
#: A pass held farther off the timeline than this, px, goes back to its place.
_OFF_PX = 24.0
#: A step that is longer than any plan.
_ALL = 1_000_000


class Timeline(TimelinePicture):
    """`picked` is emitted when a pass or evening is chosen, `opened` on Enter or a double click, `stepped` when the
    arrow keys ask for the next one, `pointed` with a sentence about what lies under the pointer.

    With a day to reckon drops with, a pass can be dragged by its bar, or taken up by M and carried by the arrow keys;
    `dropped` then gives the pass and its new place, counted from 0. The plan is left as it is.
    """

    picked = Signal(object)
    opened = Signal()
    stepped = Signal(int)
    pointed = Signal(str)
    dropped = Signal(object, int)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, parent)
        self._press_at: QPointF | None = None
        self._dragged_from: float | None = None
        self._grabbed: PassId | None = None
        self._held_at = QPointF()
        self._along = QTimer(self)
        self._along.setInterval(_ALONG_MS)
        self._along.timeout.connect(self._draw_along)
        self.carrier.changed.connect(self._say_carried)
        self.carrier.dropped.connect(self.dropped)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()

    @override
    def focusOutEvent(self, event: QFocusEvent) -> None:
        if self.carrier.by_keys:
            self.carrier.give_up()
        self.update()

    # By pointer

    @override
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._press_at, self._dragged_from = event.position(), None
            self._grabbed = self._pass_to_grab(event)
            if self.carrier.by_keys:
                self.carrier.give_up()

    def _pass_to_grab(self, event: QMouseEvent) -> PassId | None:
        """The pass whose bar or label is under the pointer, if it can be carried."""
        if self._view is None or event.button() is not Qt.MouseButton.LeftButton:
            return None
        rows = self._view.rows
        if not rows.labels[0].top <= event.position().y() <= rows.bar.bottom:
            return None
        pick = self._view.pick_at(event.position())
        return pick.pass_id if pick is not None and self.carrier.can_take(pick.pass_id) else None

    @override
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._view is None:
            return
        if self._press_at is None:
            self._set_hover(self._view.pick_at(event.position()))
            self.pointed.emit(self.words_at(event.position()))
            return
        moved = event.position().x() - self._press_at.x()
        if self._grabbed is not None:
            self._carry(event.position(), moved)
        elif self._dragged_from is None and abs(moved) > _DRAG_FROM_PX:
            self._dragged_from = self._view.offset
        if self._dragged_from is not None:
            self._look(self._view.scrolled(self._dragged_from - moved))

    def _carry(self, at: QPointF, moved: float) -> None:
        """Take the grabbed pass up once the pointer has left it a little, and hold it where the pointer is."""
        if self.carrier.drag is None and self._grabbed is not None and abs(moved) > _DRAG_FROM_PX:
            self.carrier.take(self._grabbed, by_keys=False)
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
            self._along.start()
        self._held_at = at
        self._hold()

    def _hold(self) -> None:
        """Hold the pass over the place under the pointer; off the timeline it goes back to its own."""
        drag, view = self.carrier.drag, self._view
        if drag is None or view is None:
            return
        off = not -_OFF_PX <= self._held_at.y() <= self.height() + _OFF_PX
        self.carrier.go_to(drag.own if off else place_at(view.picture, drag.own, view.moment(self._held_at.x())))

    def _draw_along(self) -> None:
        """Scroll while a pass is held at an end of the chart."""
        if self.carrier.drag is None or self.carrier.by_keys or self._view is None:
            self._along.stop()
            return
        left, right = self._view.left, self._view.left + self._view.chart_width
        way = (self._held_at.x() > right - _EDGE_PX) - (self._held_at.x() < left + _EDGE_PX)
        if way and self._view.overhang:
            self.scroll_to(self._view.offset + way * _ALONG_PX)
            self._hold()

    @override
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        pressed, self._press_at = self._press_at, None
        grabbed, self._grabbed = self._grabbed, None
        self.setCursor(Qt.CursorShape.ArrowCursor)
        if self.carrier.drag is not None:
            if not self.carrier.drop():
                self.carrier.give_up()
            return
        moved = pressed is None or abs(event.position().x() - pressed.x()) > _DRAG_FROM_PX
        if pressed is None or self._view is None or self._dragged_from is not None or (grabbed and moved):
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
            self.zoom(ZOOM_STEP ** (delta.y() / 120), event.position().x())
        elif self._view.overhang:
            self.scroll_to(self._view.offset - (delta.x() or delta.y()))
        else:
            event.ignore()

    # By keys

    @override
    def event(self, event: QEvent) -> bool:
        """While a pass is in the hand Esc, Enter and the arrows are its own, whatever else they do in the window."""
        asked = event.type() is QEvent.Type.ShortcutOverride and self.carrier.drag is not None
        if asked and isinstance(event, QKeyEvent) and Qt.Key(event.key()) in self._carrying_keys():
            event.accept()
            return True
        return super().event(event)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        carried = self.carrier.drag is not None
        acts = self._carrying_keys() if carried else self._keys(shift=shift)
        act = acts.get(Qt.Key(event.key())) or self._zoom_keys().get(Qt.Key(event.key()))
        if act is None:
            super().keyPressEvent(event)
        else:
            act()

    def _keys(self, *, shift: bool) -> dict[Qt.Key, Callable[[], object]]:
        keys = Qt.Key
        return {
            keys.Key_Left: lambda: self._pan(-0.25) if shift else self.stepped.emit(-1),
            keys.Key_Right: lambda: self._pan(0.25) if shift else self.stepped.emit(1),
            keys.Key_PageUp: lambda: self._pan(-0.9),
            keys.Key_PageDown: lambda: self._pan(0.9),
            keys.Key_Home: lambda: self.stepped.emit(-_ALL),
            keys.Key_End: lambda: self.stepped.emit(_ALL),
            keys.Key_Return: self.opened.emit,
            keys.Key_Enter: self.opened.emit,
            keys.Key_M: self.carry_picked,
            keys.Key_T: self._toggle_tasks,
        }

    def _zoom_keys(self) -> dict[Qt.Key, Callable[[], object]]:
        keys = Qt.Key
        zooming = {keys.Key_Plus: self.zoom_in, keys.Key_Equal: self.zoom_in, keys.Key_Minus: self.zoom_out}
        return {**zooming, keys.Key_0: self.whole_day}

    def _carrying_keys(self) -> dict[Qt.Key, Callable[[], object]]:
        keys = Qt.Key
        return {
            keys.Key_Left: lambda: self._carry_by(-1),
            keys.Key_Right: lambda: self._carry_by(1),
            keys.Key_Home: lambda: self._carry_by(-_ALL),
            keys.Key_End: lambda: self._carry_by(_ALL),
            keys.Key_Return: self._drop_by_key,
            keys.Key_Enter: self._drop_by_key,
            keys.Key_Escape: self._give_up_by_key,
        }

    def carry_picked(self) -> bool:
        """Take the selected pass up, to carry it by the arrow keys; gives whether it could be."""
        pass_id = None if self._pick is None else self._pick.pass_id
        return pass_id is not None and self._press_at is None and self.carrier.take(pass_id, by_keys=True)

    def _carry_by(self, by: int) -> None:
        drag = self.carrier.drag
        if drag is None or self._view is None or not self.carrier.by_keys:
            return
        self.carrier.go_to(min(drag.last, max(0, drag.place + by)))
        gap = gap_moment(self._view.picture, drag.own, drag.place)
        self._look(self._view.showing(gap, gap))

    def _drop_by_key(self) -> None:
        if self.carrier.by_keys and not self.carrier.drop():
            self._say_carried()

    def _give_up_by_key(self) -> None:
        self._grabbed = self._press_at = None
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self.carrier.give_up()

    def _say_carried(self) -> None:
        """Tell what a drop would change in words, too: in the line below and to assistive technology."""
        drag = self.carrier.drag
        said = "" if drag is None or self._figures is None else label_sentence(self._figures, drag)
        self.pointed.emit(said)
        if said:
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, said))

    def _toggle_tasks(self) -> None:
        """Split what is whole, join what is split; then the zoom decides again where it would do the same."""
        if self._view is not None:
            wanted = not self._view.is_split
            by_zoom = replace(self._view, split=None).is_split
            self.split_tasks(None if by_zoom == wanted else wanted)

    def _pan(self, share: float) -> None:
        """Move along by a share of the chart's width."""
        if self._view is not None:
            self.scroll_to(self._view.offset + share * self._view.chart_width)
