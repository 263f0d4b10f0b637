"""Drives a `DayModel` through its long work: reading a list, planning it, stopping; at most one piece at a time."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from queueplanner.desk.day_loader import LoadedDay
from queueplanner.desk.day_model import DayModel, DayState, Shown
from queueplanner.desk.planning_worker import EarnestPlanner, Planner, PlanningWork, Work, is_expected
from queueplanner.desk.problem_panel import failure_text
from queueplanner.shop.errors import BadInput, NoPlan, Problem, Refused

if TYPE_CHECKING:
    from queueplanner.desk.board_commands import Command
    from queueplanner.desk.board_desk import BoardDesk
    from queueplanner.desk.record_opening import Opened
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.order_rules import OrderRules
    from queueplanner.planning.plan import Plan
    from queueplanner.planning.progress import Progress
    from queueplanner.shop.base import InkId

#: How long planning may search, seconds.
PLANNING_SECONDS = 30.0
#: Better plans and the time used are taken up this often, ms.
BEAT_MS = 200
#: How long closing waits for work to stop, ms.
_PATIENCE_MS = 500

Load = Callable[[Path, date | None], LoadedDay]


class DayWork(QObject):
    """`load` reads a list, `planner` plans it; `seconds` is how long planning may search. `idle`: work has ended.

    Once a record is open, `desk` is its board, lists are read into it, and what planning finds stands in it. `backup`
    is one that can be put in the place of a record that was found damaged.
    """

    idle = Signal()

    def __init__(
        self, model: DayModel, load: Load, planner: Planner | None = None, seconds: float = PLANNING_SECONDS
    ) -> None:
        super().__init__()
        self._model, self._load, self.seconds = model, load, seconds
        self._planner = planner or EarnestPlanner()
        self.desk: BoardDesk | None = None
        self.backup: Path | None = None
        self._work: Work | None = None
        self._after_opening: Callable[[], None] | None = None
        self._rules: OrderRules | None = None
        self._instance: Instance | None = None
        self._washes: Mapping[tuple[InkId, InkId], int] | None = None
        self._day: date | None = None
        self._better: Plan | None = None
        self._began = 0.0
        self._then_plan = False
        self._beat = QTimer(self)
        self._beat.setInterval(BEAT_MS)
        self._beat.timeout.connect(self._take_up)

    @property
    def busy(self) -> bool:
        """Whether something is being read or planned."""
        return self._work is not None

    def open_record(self, open_it: Callable[[], Opened], then: Callable[[], None] | None = None) -> None:
        """Open the record, whose board then is on the desk; do something more once it is."""
        if self.busy:
            return
        self._after_opening = then
        self._model.opening_started()
        work = Work(open_it, self)
        work.done.connect(self._record_opened)
        work.failed.connect(self._record_not_opened)
        self._start(work)

    def do(self, command: Command) -> bool:
        """Do a command of the board; a refusal is told in the window. Tells whether it was done."""
        return self.desk is not None and self.desk.do(command)

    def show(self, shown: Shown) -> None:
        """Show the planned order or the order as received."""
        if self.desk is None:
            self._model.show(shown)
        else:
            self.desk.show(shown)

    def open(self, path: Path, day: date | None, *, then_plan: bool = False) -> None:
        """Read a list for a day (None: the next working day), and plan it at once if asked."""
        if self.busy:
            return
        self._day, self._then_plan = day, then_plan
        self._model.load_started(path)
        desk = self.desk
        work = Work((lambda: self._load(path, day)) if desk is None else (lambda: desk.list_command(path, day)), self)
        work.done.connect(self._opened if desk is None else self._list_read)
        work.failed.connect(self._not_opened)
        self._start(work)

    def open_again(self) -> None:
        """Read the same list once more."""
        if self._model.source is not None:
            self.open(self._model.source, self._day)

    def plan(self) -> None:
        """Plan the day that is open."""
        desk = self.desk
        instance = self._instance if desk is None else desk.instance
        if self.busy or instance is None:
            return
        self._better, self._began = None, time.monotonic()
        self._model.planning_started()
        if desk is None:
            work = PlanningWork(instance, self.seconds, self._planner, self)
        else:
            self._rules, free = instance.rules, desk.board.state.base
            work = PlanningWork(instance, self.seconds, self._planner, self, received=free, also=desk.starts)
        work.based.connect(self._based)
        work.progressed.connect(self._progressed)
        work.done.connect(self._planned)
        work.failed.connect(self._not_planned)
        self._start(work)
        self._beat.start()

    def rewash(self, washes: Mapping[tuple[InkId, InkId], int], *, keep: bool) -> None:
        """Reckon the day that is open with these wash counts of the shop's own; `keep` them for lists read later, too.

        Does nothing while something is read or planned.
        """
        self._washes = dict(washes) if keep else None
        if self.desk is not None and not self.busy:
            self.desk.rewash(dict(washes))
            return
        if self.busy or self._model.day is None:
            return
        day, received, best = self._model.day, self._model.as_received, self._model.best
        assert received is not None
        self._model.rewashed(*self._reckoned(day, received, best, washes))

    def _reckoned(
        self, day: LoadedDay, received: Plan, best: Plan | None, washes: Mapping[tuple[InkId, InkId], int]
    ) -> tuple[LoadedDay, Plan, Plan | None]:
        """The day and its plans with other washes; a plan that no longer keeps a hard rule falls away."""
        from queueplanner.planning.rewash import evaluated_again, rewashed

        self._instance = rewashed(day.instance, washes)
        with suppress(NoPlan):
            received = evaluated_again(self._instance, received)
        try:
            best = None if best is None else evaluated_again(self._instance, best)
        except NoPlan:
            best = None
        return replace(day, instance=self._instance, as_received=received), received, best

    def stop(self) -> None:
        """Stop planning and keep the best order so far."""
        if isinstance(self._work, PlanningWork):
            self._work.stop()
            self._model.stop_asked()

    def close_record(self) -> None:
        """Close the record, if one is open; nothing of it is on the desk any more."""
        if self.desk is not None:
            self.desk.board.record.close()
        self.desk = None

    def close(self) -> bool:
        """Stop whatever runs; gives whether it has ended. If not, `idle` will tell when it does."""
        self.stop()
        return self._work is None or self._work.wait(_PATIENCE_MS)

    def _start(self, work: Work) -> None:
        self._work = work
        work.finished.connect(work.deleteLater)
        work.finished.connect(self.idle)
        work.start()

    def _end(self) -> Work | None:
        work, self._work = self._work, None
        self._beat.stop()
        return work

    def _opened(self, loaded: LoadedDay) -> None:
        self._end()
        self._instance = loaded.instance
        if self._washes is not None:
            loaded, _, _ = self._reckoned(loaded, loaded.as_received, None, self._washes)
        self._model.loaded(loaded.instance.jobs, loaded.as_received, loaded)
        if self._then_plan:
            self.plan()

    def _record_opened(self, opened: Opened) -> None:
        from queueplanner.desk.board_desk import BoardDesk

        self._end()
        self.backup = None
        self.desk = BoardDesk(opened.board, self._model, opened.figures, opened.sources)
        self.desk.follow()
        if self._after_opening is not None:
            self._after_opening()

    def _record_not_opened(self, error: Exception) -> None:
        from queueplanner.desk.record_words import record_text

        self._end()
        self.backup = getattr(error, "newest_good_backup", None)
        if isinstance(error, BadInput):
            self._model.refused(error.problems)
        else:
            self._model.refused((), record_text(error) or _sentence_of(error))

    def _list_read(self, command: Command) -> None:
        self._end()
        assert self.desk is not None
        taken_in = self.desk.do(command)
        self.desk.follow(keep_failure=True)
        if taken_in and self._then_plan:
            self.plan()

    def _not_opened(self, error: Exception) -> None:
        self._end()
        self._instance = None
        if isinstance(error, BadInput):
            self._model.refused(error.problems)
        elif isinstance(error, Refused):
            self._model.refused((_problem_of(error, self._model.source),))
        else:
            self._model.refused((), _sentence_of(error))

    def _based(self, as_received: Plan) -> None:
        self._began = time.monotonic()
        if self.desk is None:
            self._model.based(as_received)
        else:
            self.desk.based(as_received)

    def _progressed(self, progress: Progress) -> None:
        if progress.plan is not None:
            self._better = progress.plan

    def _take_up(self) -> None:
        if self._model.state is DayState.PLANNING:
            better, self._better = self._better, None
            self._model.progressed(time.monotonic() - self._began, better)

    def _planned(self, plan: Plan) -> None:
        work = self._end()
        stopped = isinstance(work, PlanningWork) and work.stop_wanted
        self._model.seconds = time.monotonic() - self._began
        if self.desk is None:
            self._model.planned(plan, stopped=stopped)
        else:
            assert self._rules is not None
            self.desk.planned(plan, self._rules, stopped=stopped)

    def _not_planned(self, error: Exception) -> None:
        self._end()
        self._model.planning_failed(_sentence_of(error))


def _problem_of(error: Refused, source: Path | None) -> Problem:
    name = "" if source is None else source.name
    return Problem(name, None, error.field, f"{error.pass_id}: {error.found}", error.wanted)


def _sentence_of(error: Exception) -> str:
    return str(error) if is_expected(error) else failure_text(type(error).__name__)
