"""Long work in a thread of its own: reading a day, and planning it with progress and a stop."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, QThread, Signal
from typing_extensions import override

if TYPE_CHECKING:
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.plan import Plan
    from queueplanner.planning.progress import CancelToken, OnProgress
    from queueplanner.planning.search import Solution


class Planner(Protocol):
    """What plans a day: the planner itself, or a stand-in in tests."""

    def base(self, instance: Instance) -> Plan:
        """The order as received, with the best units for it: what savings are reckoned against."""
        ...

    def plan(
        self,
        instance: Instance,
        seconds: float,
        on_better: OnProgress,
        cancel: CancelToken,
        also: Sequence[Solution] = (),
    ) -> Plan:
        """The best plan found within so many seconds, no worse than any of `also`."""
        ...


class EarnestPlanner:
    """The planner itself, imported only when it is used: its libraries take a while to get ready."""

    def base(self, instance: Instance) -> Plan:
        """The order as received, with the best units for it."""
        from queueplanner.planning.planner import best_units
        from queueplanner.planning.rules import as_received

        return best_units(instance, as_received(instance))

    def plan(
        self,
        instance: Instance,
        seconds: float,
        on_better: OnProgress,
        cancel: CancelToken,
        also: Sequence[Solution] = (),
    ) -> Plan:
        """The best plan found within so many seconds, no worse than any of `also`."""
        from queueplanner.planning.planner import plan_day

        return plan_day(instance, seconds, on_better=on_better, cancel=cancel, also=also)


class Work(QThread):
    """One piece of work. `done` carries its result, `failed` the error it ended with, both to the window's thread."""

    done = Signal(object)
    failed = Signal(object)

    def __init__(self, work: Callable[[], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._work = work

    @override
    def run(self) -> None:
        try:
            result = self._work()
        except Exception as error:  # noqa: BLE001 - the window says what went wrong, whatever it is
            if not is_expected(error):
                traceback.print_exception(error)
            self.failed.emit(error)
        else:
            self.done.emit(result)


class PlanningWork(Work):
    """Planning one day. `based` carries the order as received once it has its best units, `progressed` each sign of
    life with the better plan it brings, if any. `received` is the day without rules of order, if it has any; `also` are
    orders to begin from.
    """

    based = Signal(object)
    progressed = Signal(object)

    def __init__(
        self,
        instance: Instance,
        seconds: float,
        planner: Planner,
        parent: QObject | None = None,
        *,
        received: Instance | None = None,
        also: Sequence[Solution] = (),
    ) -> None:
        from queueplanner.planning.progress import CancelToken

        super().__init__(self._plan, parent)
        self._instance, self._seconds, self._planner = instance, seconds, planner
        self._received, self._also = received or instance, also
        self._cancel = CancelToken()

    @property
    def stop_wanted(self) -> bool:
        """Whether a stop has been asked for."""
        return self._cancel.cancelled

    def stop(self) -> None:
        """Ask planning to stop and keep the best it has."""
        self._cancel.cancel()

    def _plan(self) -> Plan:
        self.based.emit(self._planner.base(self._received))
        return self._planner.plan(self._instance, self._seconds, self.progressed.emit, self._cancel, self._also)


def is_expected(error: Exception) -> bool:
    """Whether an error is one of the program's own, with a sentence for the user."""
    from queueplanner.shop.errors import QueueplannerError

    return isinstance(error, QueueplannerError)
