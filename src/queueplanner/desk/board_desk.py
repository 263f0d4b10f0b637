"""Between the board and what the window shows: the day's model follows the board, and planning's results go into it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from queueplanner.desk.board import Board
from queueplanner.desk.board_commands import AS_RECEIVED, Command, ImportJobs, StartOwnDay, TakePlanned
from queueplanner.desk.board_refusals import Done, Refusal
from queueplanner.desk.board_words import left_out_text, refusal_text
from queueplanner.desk.day_loader import LoadedDay, next_working_day
from queueplanner.desk.day_model import BoardView, DayModel, DayState, Shown
from queueplanner.exchange.figure_sources import FigureSource
from queueplanner.planning.instance import Instance
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Claim, Plan, solution_of
from queueplanner.planning.rewash import with_overrides
from queueplanner.planning.search import Solution
from queueplanner.shop.base import InkId
from queueplanner.shop.material_figures import MaterialFigures


@dataclass(frozen=True, slots=True)
class Found:
    """What planning said of an order it found."""

    claim: Claim
    seconds: float
    stopped: bool


class BoardDesk:
    """Keeps a `DayModel` showing a board. `figures` are what materials are reckoned with, `sources` where from."""

    def __init__(
        self, board: Board, model: DayModel, figures: MaterialFigures, sources: tuple[FigureSource, ...] = ()
    ) -> None:
        self.board, self._model = board, model
        self._figures, self._sources = figures, sources
        self._found: dict[object, Found] = {}
        self._based: tuple[Instance, Plan] | None = None
        self._beside = AS_RECEIVED
        self._rewashed = False
        board.listen(self.follow)

    # What a user does

    def do(self, command: Command) -> bool:
        """Do a command; a refusal is told in the window. Tells whether it was done."""
        return self.answered(self.board.do(command))

    def undo(self) -> bool:
        """Take the last action back."""
        return self.answered(self.board.undo())

    def redo(self) -> bool:
        """Bring back what was taken back last."""
        return self.answered(self.board.redo())

    def show(self, shown: Shown) -> None:
        """Show the order as received, or the named order shown last."""
        self.board.show(AS_RECEIVED if shown is Shown.AS_RECEIVED else self._beside)

    def start_own_day(self) -> bool:
        """Take the demo day out, and put the next working day on the desk."""
        return self.do(StartOwnDay(next_working_day(self.board.shop, self.board.record.clock())))

    def answered(self, answer: Done | Refusal) -> bool:
        """Tell a refusal in the window. Tells whether something was done."""
        if isinstance(answer, Done):
            return True
        self._model.told(refusal_text(answer))
        return False

    # Lists

    def list_command(self, path: Path, day: date | None) -> ImportJobs:
        """A job list as an action, for a day, else for the day on the desk, if that is one's own and not over.

        May run in a thread of its own. Raises BadInput with every problem of the list.
        """
        from queueplanner.exchange.job_csv import read_jobs

        wanted = day or self._day_for_a_list()
        return ImportJobs(path.name, wanted, tuple(read_jobs(path, self.board.shop, wanted)))

    def _day_for_a_list(self) -> date:
        coming = next_working_day(self.board.shop, self.board.record.clock())
        return coming if self.board.is_demo else max(self.board.day, coming)

    # Planning

    @property
    def instance(self) -> Instance | None:
        """What is to be planned; None without jobs."""
        return self.board.instance if self.board.order else None

    @property
    def starts(self) -> Sequence[Solution]:
        """The order on show, which planning begins from beside its own."""
        plan = self.board.plan
        return () if plan is None else (solution_of(plan),)

    def based(self, received: Plan) -> None:
        """The order as received has been given its best units."""
        self._based = (self.board.state.base, received)
        self._model.based(received)

    def planned(self, plan: Plan, rules: OrderRules, *, stopped: bool) -> None:
        """Planning has ended: what it found stands beside the other orders."""
        order, units = solution_of(plan)
        self._found[_key(plan)] = Found(plan.claim, self._model.seconds, stopped)
        self._model.state = DayState.READY
        self._rewashed = False
        self.do(TakePlanned(order, units, rules))
        self.follow(keep_failure=True)

    def rewash(self, washes: dict[tuple[InkId, InkId], int]) -> None:
        """Reckon with these wash counts of the shop's own; whether another order is better is not known then."""
        self._rewashed = bool(self._found)
        self._found.clear()
        self._based = None
        self.board.use_shop(with_overrides(self.board.shop, washes))

    # Following

    def follow(self, *, keep_failure: bool = False) -> None:
        """Show the board as it stands."""
        board = self.board
        if board.shown != AS_RECEIVED:
            self._beside = board.shown
        elif self._beside not in board.orders:
            self._beside = board.orders[-1]
        received, best = self._received(), self._named()
        failure = self._model.failure if keep_failure else left_out_text(board.left_out)
        if board.jobs and (received is None or board.trouble is not None):
            self._model.refused((), failure or str(board.trouble or ""))
            return
        self._model.followed(self._view(received, best, failure))

    def _view(self, received: Plan | None, best: Plan | None, failure: str) -> BoardView:
        board = self.board
        day = None
        if received is not None:
            day = LoadedDay(board.instance, received, self._figures, self._sources)
        found = None if best is None or board.shown == AS_RECEIVED else self._found.get(_key(best))
        state = DayState.READY if board.jobs else DayState.EMPTY
        if found is not None:
            state = DayState.STOPPED if found.stopped else DayState.PLANNED
        return BoardView(
            state=state, jobs=board.jobs, day=day, as_received=received, best=best,
            shown=Shown.AS_RECEIVED if board.shown == AS_RECEIVED else Shown.PLANNED, order_name=board.shown,
            beside=self._beside, rules=board.rules, demo=board.is_demo, date=board.day, outdated=self._rewashed,
            seconds=None if found is None else found.seconds, failure=failure,
        )  # fmt: skip

    def _received(self) -> Plan | None:
        if self._based is not None and self._based[0] is self.board.state.base:
            return self._based[1]
        return self.board.plan_of(AS_RECEIVED)

    def _named(self) -> Plan | None:
        if self._beside == AS_RECEIVED:
            return None
        plan = self.board.plan_of(self._beside)
        found = None if plan is None else self._found.get(_key(plan))
        return plan if plan is None or found is None else plan.claimed(found.claim)


def _key(plan: Plan) -> object:
    order, units = solution_of(plan)
    return order, tuple(sorted(units.items())), plan.totals.objective
