"""The day on the desk, without a window: its jobs, its plan, what it saves, and how far planning has come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from enum import Enum, StrEnum, auto
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # Only named here: the window is painted before these, and all they bring along, are loaded.
    from queueplanner.desk.day_loader import LoadedDay
    from queueplanner.desk.day_rows import JobRow, PassRow
    from queueplanner.planning.order_rules import OrderRules
    from queueplanner.planning.plan import Plan, Totals
    from queueplanner.shop.base import PassId
    from queueplanner.shop.errors import Problem
    from queueplanner.shop.job import Job


class DayState(StrEnum):
    """What the desk is doing. READY: jobs are there, nothing has been planned; ERROR: the list was not taken."""

    EMPTY = "empty"
    LOADING = "loading"
    READY = "ready"
    PLANNING = "planning"
    PLANNED = "planned"
    STOPPED = "stopped"
    ERROR = "error"


class Shown(StrEnum):
    """Which order the desk shows."""

    PLANNED = "planned"
    AS_RECEIVED = "as received"


class Change(Enum):
    """What a listener is told has changed."""

    STATE = auto()
    PLAN = auto()
    PROGRESS = auto()
    PICK = auto()


@dataclass(frozen=True, slots=True)
class Pick:
    """What is selected: a pass by its id, or the evening after a working day."""

    pass_id: PassId | None = None
    evening: int | None = None


@dataclass(frozen=True, slots=True)
class Saving:
    """One total of the shown plan beside the same of 'as received'; `saved` is negative when it is worse."""

    planned: int
    as_received: int | None

    @property
    def saved(self) -> int | None:
        """How much less than as received; None when there is nothing to compare with."""
        return None if self.as_received is None else self.as_received - self.planned

    @property
    def percent(self) -> float | None:
        """The saving as a percentage of as received; None when nothing was there to save."""
        return None if not self.as_received else 100 * (self.as_received - self.planned) / self.as_received


@dataclass(frozen=True, slots=True)
class BoardView:
    """What a board puts on show: its jobs, the plan of the order as received, and that of the named order `beside` it.

    `order_name` is the order on show, `rules` what a person has fixed of it; `seconds` how long it was planned, where
    it was; `failure` a sentence about what is not in the plan.
    """

    state: DayState
    jobs: tuple[Job, ...]
    day: LoadedDay | None
    as_received: Plan | None
    best: Plan | None
    shown: Shown
    order_name: str
    beside: str
    rules: OrderRules
    demo: bool
    date: date
    outdated: bool = False
    seconds: float | None = None
    failure: str = ""


#: The totals that stand above the timeline, by field of `Totals`.
SHOWN_TOTALS = (
    "makeready_seconds",
    "wash_ups",
    "plate_swaps",
    "feeder_resets",
    "waste_sheets",
    "late_passes",
    "end",
)


@dataclass(slots=True, weakref_slot=True, eq=False)
class DayModel:
    """Everything the window shows of a day. It calls its listeners after each change and knows no widget.

    `seconds` is how long planning has run, `stopping` whether it has been asked to stop; `failure` one sentence when
    something went wrong that is no fault of the list; `problems` everything that is wrong with a list. `day` is what
    the plans were reckoned with; `outdated` says that washes were changed since the best order was planned. `board` is
    what the record's board puts on show, None while there is no record.
    """

    state: DayState = DayState.EMPTY
    source: Path | None = None
    jobs: tuple[Job, ...] = ()
    as_received: Plan | None = None
    best: Plan | None = None
    shown: Shown = Shown.PLANNED
    pick: Pick | None = None
    seconds: float = 0.0
    stopping: bool = False
    problems: tuple[Problem, ...] = ()
    failure: str = ""
    day: LoadedDay | None = None
    outdated: bool = False
    board: BoardView | None = None
    _listeners: list[Callable[[Change], None]] = field(default_factory=list)

    def listen(self, listener: Callable[[Change], None]) -> None:
        """Have a function called after each change."""
        self._listeners.append(listener)

    @property
    def plan(self) -> Plan | None:
        """The plan on show: the best one so far, else the order as received."""
        if self.shown is Shown.AS_RECEIVED or self.best is None:
            return self.as_received
        return self.best

    @property
    def shows_planned(self) -> bool:
        """Whether the plan on show is a planned one."""
        return self.best is not None and self.shown is Shown.PLANNED

    @property
    def job_rows(self) -> tuple[JobRow, ...]:
        """The jobs as listed, with their places in the plan on show."""
        from queueplanner.desk.day_rows import job_rows

        return job_rows(self.jobs, self.plan)

    @property
    def pass_rows(self) -> tuple[PassRow, ...]:
        """The passes of the plan on show in run order."""
        from queueplanner.desk.day_rows import pass_rows

        return pass_rows(self.plan, None if self.board is None else self.board.rules)

    @property
    def savings(self) -> dict[str, Saving]:
        """The totals on show, each beside as received; empty without a plan."""
        plan = self.plan
        if plan is None:
            return {}
        base = self.as_received.totals if self.as_received and self.shows_planned else None
        return {name: _saving(name, plan.totals, base) for name in SHOWN_TOTALS}

    def picks(self) -> tuple[Pick, ...]:
        """All that can be selected, in the order of time: passes, and evenings that have something to do."""
        plan = self.plan
        if plan is None:
            return ()
        timed = [(p.makeready_start, Pick(pass_id=p.id)) for p in plan.passes]
        timed += [(e.start, Pick(evening=e.day)) for e in plan.evenings if e.tasks]
        return tuple(pick for _, pick in sorted(timed, key=lambda pair: pair[0]))

    def opening_started(self) -> None:
        """The record is being opened."""
        self.state, self.source, self.problems, self.failure = DayState.LOADING, None, (), ""
        self._tell(Change.STATE)

    def load_started(self, source: Path) -> None:
        """A list is being read."""
        self.state, self.source, self.problems, self.failure = DayState.LOADING, source, (), ""
        self._tell(Change.STATE)

    def loaded(self, jobs: tuple[Job, ...], as_received: Plan, day: LoadedDay | None = None) -> None:
        """The list has been taken in."""
        self.state, self.jobs, self.as_received = DayState.READY, jobs, as_received
        self.day, self.outdated = day, False
        self.best, self.pick, self.shown, self.seconds = None, None, Shown.PLANNED, 0.0
        self._tell(Change.STATE, Change.PLAN, Change.PICK)

    def followed(self, view: BoardView) -> None:
        """The record's board has changed, or another of its orders is on show."""
        self.board, self.jobs, self.day = view, view.jobs, view.day
        self.as_received, self.best, self.shown, self.outdated = view.as_received, view.best, view.shown, view.outdated
        self.problems, self.failure = (), view.failure
        if self.state is not DayState.PLANNING:
            self.state = view.state
            self.seconds = self.seconds if view.seconds is None else view.seconds
        if self.pick is not None and self.pick not in self.picks():
            self.pick = None
        self._tell(Change.STATE, Change.PLAN, Change.PICK)

    def told(self, failure: str) -> None:
        """Something could not be done; all stays as it is."""
        self.failure = failure
        self._tell(Change.STATE)

    def refused(self, problems: tuple[Problem, ...], failure: str = "") -> None:
        """The list could not be taken in; nothing of the day before is kept on show."""
        self.state, self.problems, self.failure = DayState.ERROR, problems, failure
        self.jobs, self.as_received, self.best, self.pick = (), None, None, None
        self.day, self.outdated = None, False
        self._tell(Change.STATE, Change.PLAN, Change.PICK)

    def planning_started(self) -> None:
        """Planning begins; the best plan so far stays on show."""
        self.state, self.seconds, self.failure, self.shown = DayState.PLANNING, 0.0, "", Shown.PLANNED
        self.stopping = False
        self._tell(Change.STATE, Change.PLAN)

    def based(self, as_received: Plan) -> None:
        """The order as received has been given its best units: what savings are reckoned against."""
        self.as_received = as_received
        self._tell(Change.PLAN, Change.PICK)

    def rewashed(self, day: LoadedDay, as_received: Plan, best: Plan | None) -> None:
        """Washes have been changed: the same orders reckoned anew; whether another order is better is not known."""
        self.day, self.as_received, self.best, self.outdated = day, as_received, best, best is not None
        self._tell(Change.STATE, Change.PLAN, Change.PICK)

    def progressed(self, seconds: float, plan: Plan | None) -> None:
        """Planning has run so long and may have found a better plan."""
        self.seconds = seconds
        if plan is not None:
            self._take(plan)
        self._tell(Change.PROGRESS)

    def stop_asked(self) -> None:
        """Planning has been asked to stop and soon will."""
        self.stopping = True
        self._tell(Change.PROGRESS)

    def planned(self, plan: Plan, *, stopped: bool) -> None:
        """Planning has ended, by itself or because it was stopped."""
        self.state = DayState.STOPPED if stopped else DayState.PLANNED
        self.outdated = False
        self._take(plan)
        self._tell(Change.STATE)

    def planning_failed(self, failure: str) -> None:
        """Planning ended without a plan; the jobs and the best plan so far stay."""
        self.state, self.failure = (DayState.PLANNED if self.best else DayState.READY), failure
        self._tell(Change.STATE)

    def show(self, shown: Shown) -> None:
        """Show the planned order or the order as received."""
        if shown is not self.shown:
            self.shown = shown
            self._tell(Change.PLAN, Change.PICK)

    def select(self, pick: Pick | None) -> None:
        """Select a pass or an evening, or nothing."""
        if pick != self.pick:
            self.pick = pick
            self._tell(Change.PICK)

    def select_job(self, row: JobRow) -> None:
        """Select a job's first pass."""
        self.select(Pick(pass_id=row.pass_ids[0]))

    def step(self, by: int) -> None:
        """Select the next pass or evening (+1), the one before (-1), and so on; stops at both ends."""
        picks = self.picks()
        if not picks:
            return
        if self.pick not in picks:
            self.select(picks[0 if by > 0 else -1])
            return
        self.select(picks[min(len(picks) - 1, max(0, picks.index(self.pick) + by))])

    def _take(self, plan: Plan) -> None:
        """Keep a plan unless the one there is better: planning a day again never makes it worse."""
        if self.best is not None and self.best.totals.objective < plan.totals.objective:
            return
        self.best = plan
        if self.pick is not None and self.pick not in self.picks():
            self.pick = None
        self._tell(Change.PLAN, Change.PICK)

    def _tell(self, *changes: Change) -> None:
        for change in changes:
            for listener in tuple(self._listeners):
                listener(change)


def _saving(name: str, totals: Totals, base: Totals | None) -> Saving:
    return Saving(getattr(totals, name), None if base is None else getattr(base, name))
