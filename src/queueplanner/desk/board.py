"""The board: one day of one press as a document that lives in the record. It knows no window.

Every action of a user is a command (`board_commands`). `do` works it out, writes it into the record in one
transaction, and tells the listeners; what cannot be done is refused with the rule named, and nothing changes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta

from queueplanner.desk.board_commands import AS_RECEIVED, Command, Facts, Release
from queueplanner.desk.board_edits import Desk, Edit, edited
from queueplanner.desk.board_reading import BoardReading
from queueplanner.desk.board_refusals import Done, NotAllowed, Refusal, Why
from queueplanner.desk.board_releases import Differences, differences, release_body
from queueplanner.desk.board_state import BoardState, changes_between, ids_of, rules_of, units_of
from queueplanner.desk.day_loader import first_shift
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan
from queueplanner.record.actions import Action
from queueplanner.record.errors import Conflict, RecordError
from queueplanner.record.record import Record
from queueplanner.record.releases import Release as Released
from queueplanner.record.row import Row, Table
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart


class Board:
    """The day on the desk. Not to be used from several threads at once.

    `station` is whose undo it is; `record` stays open until its owner closes it.
    """

    def __init__(self, reading: BoardReading, state: BoardState, shown: str) -> None:
        self.record, self.station = reading.record, reading.station
        self._reading, self._state, self._shown = reading, state, shown
        self._listeners: list[Callable[[], None]] = []
        self._plans: dict[str, tuple[Instance, object, Plan | NoPlan]] = {}
        self._next: tuple[Action | None, Action | None] = (None, None)
        self._note_next()

    @classmethod
    def open(
        cls,
        record: Record,
        *,
        day: date | None = None,
        shop: Shop | None = None,
        usual_start: PressStart | None = None,
        station: str = "desk",
    ) -> Board:
        """The board of a day; None: where the station left off, else the next working day.

        `shop` None: the shop of the record, else the demo shop. Raises RecordError, and BadInput for a shop without
        shifts.
        """
        reading = BoardReading(record, station, shop, usual_start)
        found = day or reading.day_to_open()
        state = reading.board_of(found)
        return cls(reading, state, reading.order_to_show(state))

    # What stands

    @property
    def state(self) -> BoardState:
        """Everything on the board as it stands."""
        return self._state

    @property
    def shop(self) -> Shop:
        """The shop whose press this is."""
        return self._state.shop

    @property
    def press(self) -> str:
        """The press's id."""
        return self._state.day.press

    @property
    def day(self) -> date:
        """The day on the desk."""
        return self._state.day.day

    @property
    def is_demo(self) -> bool:
        """Whether it is the program's own example."""
        return self._state.day.demo

    @property
    def jobs(self) -> tuple[Job, ...]:
        """The jobs of the day in the order in which they came."""
        return self._state.listed

    @property
    def left_out(self) -> Mapping[JobId, str]:
        """Jobs that cannot be planned, with the reason."""
        return self._state.left_out

    @property
    def orders(self) -> tuple[str, ...]:
        """The names of all orders, that of the order as received first."""
        return self._state.names()

    @property
    def shown(self) -> str:
        """The name of the order on show."""
        return self._shown

    @property
    def order(self) -> tuple[PassId, ...]:
        """The passes of the order on show, in turn."""
        return ids_of(self._state.order(self._shown))

    @property
    def rules(self) -> OrderRules:
        """What a person has fixed of the order on show."""
        return rules_of(self._state.order(self._shown))

    @property
    def instance(self) -> Instance:
        """What the planner plans: the day under the rules of the order on show."""
        return self._instance_of(self._shown)

    @property
    def plan(self) -> Plan | None:
        """The plan of the order on show; None when there is nothing to plan or no working day holds it."""
        return self.plan_of(self._shown)

    def plan_of(self, name: str) -> Plan | None:
        """The plan of a named order, by the one evaluator. Raises KeyError for an order that is not there."""
        found = self._reckoned(self._state, name)
        return None if isinstance(found, NoPlan) else found

    @property
    def trouble(self) -> NoPlan | None:
        """Why the order on show has no plan."""
        found = self._reckoned(self._state, self._shown)
        return found if isinstance(found, NoPlan) else None

    @property
    def releases(self) -> list[Released]:
        """What has been released of this day, oldest first. Raises RecordError."""
        return self.record.releases(self.press, self.day)

    def changed_since_release(self, name: str | None = None) -> Differences | None:
        """What is other in an order (None: the one on show) than in the last release; None if there is none."""
        released = self.releases
        return differences(released[-1], self._state, name or self._shown) if released else None

    # What is done

    def do(self, command: Command) -> Done | Refusal:
        """Do a command: one transaction in the record, or nothing and the reason why."""
        try:
            if isinstance(command, Release):
                return self._release(command)
            edit = edited(command, self._desk())
            self._check_clock(edit)
            return self._write(command, edit)
        except NotAllowed as refused:
            return refused.refusal
        except RecordError as error:
            return self._not_written(error)

    def undo(self) -> Done | Refusal:
        """Take back the station's last action, of whatever day: that day comes on the desk."""
        return self._turn_back(self.record.undo)

    def redo(self) -> Done | Refusal:
        """Bring back what was taken back last."""
        return self._turn_back(self.record.redo)

    def undo_text(self) -> str:
        """What undo would do, in words: "undo move of 1047"; empty when there is nothing to take back."""
        from queueplanner.desk.board_words import undo_text

        action = self._next[0]
        return "" if action is None else undo_text(action.name, action.facts)

    def redo_text(self) -> str:
        """What redo would do, in words; empty when there is nothing to bring back."""
        from queueplanner.desk.board_words import redo_text

        action = self._next[1]
        return "" if action is None else redo_text(action.name, action.facts)

    def listen(self, callback: Callable[[], None]) -> None:
        """Have a function called after each change of what stands or is on show."""
        self._listeners.append(callback)

    # What is on show, which is no action

    def show(self, name: str) -> None:
        """Show another order. Raises KeyError if there is none of that name."""
        self._state.order(name)
        if name != self._shown:
            self._shown = name
            self._tell()

    def go_to(self, day: date) -> None:
        """Put another day on the desk. Raises RecordError."""
        if day != self.day:
            self._come_to(day)
            self._tell()

    @property
    def next_day(self) -> date:
        """The next working day."""
        return first_shift(self.shop, self.day + timedelta(days=1)).date()

    @property
    def day_before(self) -> date:
        """The last working day before this one; this one if there is none within a year."""
        days = (self.day - timedelta(days=n) for n in range(1, 366))
        return next((d for d in days if self.shop.calendar.first_shift_start(d) is not None), self.day)

    def takes_demo(self, day: date) -> bool:
        """Whether a day has no jobs of one's own. Raises RecordError."""
        board = self._board_of(day).day
        return board.demo or not board.jobs

    def use_shop(self, shop: Shop) -> None:
        """Reckon with another shop, such as one whose washes were changed in its files; nothing is written."""
        self._reading.shop = shop
        self._come_to(self.day, self._shown)
        self._tell()

    def refresh(self) -> None:
        """Read everything anew, as after somebody else has written. Raises RecordError."""
        self._come_to(self.day, self._shown)
        self._note_next()
        self._tell()

    # Inside

    def _desk(self) -> Desk:
        return Desk(self._state, self._shown, self._board_of, self._elsewhere)

    def _board_of(self, day: date) -> BoardState:
        return self._state if day == self.day else self._reading.board_of(day)

    def _elsewhere(self, jobs: Iterable[JobId]) -> set[JobId]:
        rows = [Row.job(job) for job in jobs if job not in self._state.jobs]
        found = self._reading.look_at(rows) if rows else {}
        return {JobId(row.key[0]) for row, stored in found.items() if stored.body is not None}

    def _instance_of(self, name: str) -> Instance:
        return self._state.base.with_rules(rules_of(self._state.order(name)))

    def _reckoned(self, state: BoardState, name: str) -> Plan | NoPlan | None:
        """The plan of an order, or why there is none; reckoned once for each order of each day."""
        order = state.order(name)
        if not order.passes:
            return None
        known = self._plans.get(name)
        if known is None or known[0] is not state.base or known[1] != order:
            found: Plan | NoPlan
            try:
                instance = state.base.with_rules(rules_of(order))
                found = evaluate(instance, ids_of(order), units_of(order, instance))
            except NoPlan as error:
                found = error
            known = self._plans[name] = (state.base, order, found)
        return known[2]

    def _check_clock(self, edit: Edit) -> None:
        """Raise NotAllowed when the same jobs could be planned before and cannot after."""
        if edit.state.jobs is not self._state.jobs or edit.state is self._state:
            return
        if edit.shown not in edit.state.orders or self.trouble is not None:
            return
        found = self._reckoned(edit.state, edit.shown)
        if isinstance(found, NoPlan):
            raise NotAllowed(Why.NO_PLAN, [PassId(p) for p in found.passes], found)

    def _write(self, command: Command, edit: Edit) -> Done:
        changes = changes_between(edit.before or self._state, edit.state)
        # What the board now holds counts, should the same row be taken away elsewhere.
        changes = dict(edit.outside) | {row: body for row, body in changes.items() if row not in edit.keep}
        action = None
        if changes:
            facts = {**command.facts, **edit.facts, **self._where(edit)}
            versions = self._reading.versions(changes)
            action = self.record.act(command.name, facts, changes, station=self.station, expected_versions=versions)
            self._reading.note(action)
            self._next = (action, None)
        if action is not None or edit.shown != self._shown or edit.state is not self._state:
            if any(row.table is Table.LIST_ITEMS for row in changes):
                self._come_to(edit.state.day.day, edit.shown)
            else:
                self._state, self._shown = edit.state, edit.shown
            self._tell()
        return Done(command.name, None if action is None else action.id)

    def _where(self, edit: Edit) -> Facts:
        """Which day an action concerns, from which one it was done, and which order is then on show."""
        day = edit.state.day
        return {"press": day.press, "day": day.day.isoformat(), "from": self.day.isoformat(), "shown": edit.shown}

    def _release(self, command: Release) -> Done:
        name = command.order or self._shown
        if name not in self._state.names():
            raise NotAllowed(Why.NO_SUCH_ORDER, order=name)
        plan = self._reckoned(self._state, name)
        if not isinstance(plan, Plan):
            passes = [PassId(p) for p in plan.passes] if plan is not None else []
            raise NotAllowed(Why.NO_PLAN, passes, plan)
        row = Row.order(self.press, self.day, name)
        rows = [row, *self._state.models()]
        self.record.release(
            command.name, row, release_body(self._state, name, plan), by=command.by, station=self.station,
            expected_versions=self._reading.versions(rows),
        )  # fmt: skip
        self._tell()
        return Done(command.name, self.releases[-1].action)

    def _turn_back(self, way: Callable[[str], Action | None]) -> Done | Refusal:
        try:
            action = way(self.station)
            if action is None:
                return Refusal(Why.NOTHING_LEFT)
            self._reading.note(action)
            self._follow(action)
            self._note_next()
        except RecordError as error:
            return self._not_written(error)
        self._tell()
        return Done(action.name, action.id)

    def _follow(self, action: Action) -> None:
        """Take in what an undo or redo has changed, with its day on the desk."""
        day = date.fromisoformat(action.facts["from" if action.undoes else "day"])
        taken = self._reading.after(self._state, action) if day == self.day else None
        if taken is None:
            self._come_to(day)
        else:
            self._state = taken
        changed = [c.row.key[2] for c in action.changes if c.row.table is Table.ORDERS and c.after is not None]
        wished = action.facts.get("shown", self._shown) if action.redoes else self._shown
        for name in (*changed, wished, self._shown):
            if name in self._state.names():
                self._shown = name
                return
        self._shown = AS_RECEIVED

    def _come_to(self, day: date, shown: str = AS_RECEIVED) -> None:
        self._state = self._reading.board_of(day)
        self._shown = shown if shown in self._state.names() else AS_RECEIVED

    def _not_written(self, error: RecordError) -> Refusal:
        if not isinstance(error, Conflict):
            return Refusal(Why.NOT_WRITTEN, error=error)
        self.refresh()
        return Refusal(Why.CHANGED_MEANWHILE, error=error)

    def _note_next(self) -> None:
        self._next = (self.record.next_undo(self.station), self.record.next_redo(self.station))

    def _tell(self) -> None:
        for listener in tuple(self._listeners):
            listener()
