"""A pass in the user's hand: taken up, held over places, dropped or given up, by pointer or keys alike."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from queueplanner.desk.timeline_drag import Answer, DayTables, Drop, Forbidden, PassDrag, reckon_all
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan
from queueplanner.planning.progress import CancelToken
from queueplanner.shop.base import PassId

if TYPE_CHECKING:
    # Only named here: the window is painted before the planner, and all it brings along, is loaded.
    from queueplanner.planning.instance import Instance, UnitChoice

#: How long a day must have been on show before its tables are built, ms: the first paint comes first.
_PREPARE_MS = 800
#: How often the hand looks for figures that have come, ms: once a frame.
_LOOK_MS = 16


class Carrier(QObject):
    """Holds at most one pass of the plan on show.

    `changed` is emitted when the label would read differently, `dropped` with the pass and its new place (from 0);
    `units` are then the ones its figures were reckoned with, None where it fell before there were any.
    Figures are reckoned by a thread that knows nothing of the window: the hand looks for them once a frame.
    """

    changed = Signal()
    dropped = Signal(object, int)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.units: UnitChoice | None = None
        self._instance: Instance | None = None
        self._plan: Plan | None = None
        self._tables = DayTables()
        self._cancel = CancelToken()
        self._shown: Answer | None = None
        self.drag: PassDrag | None = None
        self.by_keys = False
        self._look = QTimer(self)
        self._look.setInterval(_LOOK_MS)
        self._look.timeout.connect(self._look_for_figures)
        self._prepare = QTimer(self)
        self._prepare.setSingleShot(True)
        self._prepare.setInterval(_PREPARE_MS)
        self._prepare.timeout.connect(self._build_tables)

    @property
    def rules(self) -> OrderRules | None:
        """The rules drops are held to; None without a day."""
        return None if self._instance is None else self._instance.rules

    def set_instance(self, instance: Instance | None) -> None:
        """The day drops are reckoned with; without one nothing can be taken up."""
        self.give_up()
        self._instance = instance
        if instance is None:
            self._prepare.stop()
        else:
            self._prepare.start()

    def set_plan(self, plan: Plan | None) -> None:
        """The plan on show; what is held is given up when another comes."""
        if plan is not self._plan:
            self.give_up()
            self._plan = plan

    def can_take(self, pass_id: PassId | None) -> bool:
        """Whether a pass can be taken up: it is in the plan, and the plan is one of the day."""
        if self._instance is None or self._plan is None or pass_id is None or len(self._plan.passes) < 2:
            return False
        passes = self._instance.passes
        return (
            pass_id in passes and len(self._plan.passes) == len(passes) and all(p in passes for p in self._plan.order)
        )

    def take(self, pass_id: PassId, *, by_keys: bool) -> bool:
        """Take a pass up; gives whether it could be."""
        if not self.can_take(pass_id):
            return False
        self.give_up()
        assert self._instance is not None
        assert self._plan is not None
        self.drag, self.by_keys = PassDrag(self._instance, self._plan, pass_id), by_keys
        self._shown, self._cancel = self.drag.answer(), CancelToken()
        work = threading.Thread(
            target=reckon_all, args=(self.drag, self._tables, self._cancel), name="drops", daemon=True
        )
        work.start()
        self._look.start()
        self.changed.emit()
        return True

    def go_to(self, place: int) -> None:
        """Hold the pass over a place."""
        if self.drag is not None and place != self.drag.place:
            self.drag.go_to(place)
            self._shown = self.drag.answer()
            self.changed.emit()

    def drop(self) -> bool:
        """Let the pass fall where it is; gives whether it may. Where a rule forbids it, it stays in the hand."""
        if self.drag is None or isinstance(self.drag.answer(), Forbidden):
            return False
        pass_id, place, moved = self.drag.pass_id, self.drag.place, self.drag.place != self.drag.own
        answer = self.drag.answer()
        self.units = answer.units if isinstance(answer, Drop) else None
        self.give_up()
        if moved:
            self.dropped.emit(pass_id, place)
        return True

    def give_up(self) -> None:
        """Put the pass back where it was."""
        self._cancel.cancel()
        self._look.stop()
        if self.drag is not None:
            self.drag = None
            self.changed.emit()

    def _look_for_figures(self) -> None:
        if self.drag is None:
            return
        answer = self.drag.answer()
        if answer is not self._shown:
            self._shown = answer
            self.changed.emit()

    def _build_tables(self) -> None:
        """Build the day's tables before they are wanted."""
        instance = self._instance
        if instance is not None:
            threading.Thread(target=self._tables.prepare, args=(instance,), name="tables", daemon=True).start()
