"""What a settings card is made of: its lines, their cautions, and what stood on the press before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import PressState, Settings, UnitState
from queueplanner.shop.base import InkId
from queueplanner.shop.card_profile import CardGroup
from queueplanner.shop.job import PrintPass
from queueplanner.shop.press import TASK_TABLE, PressProfile, TaskState

#: A setting's value: a code of the card's wording and its facts.
Value = Reason


class Caution(StrEnum):
    """What can hurt in a line's work."""

    HANDS = "hands"
    TURNING = "turning"
    LOAD = "load"
    SOLVENT = "solvent"
    CHEMICALS = "chemicals"


Cautions = tuple[Caution, ...]
NO_CAUTION: Cautions = ()
HANDS: Cautions = (Caution.HANDS,)
TURNING: Cautions = (Caution.TURNING,)

#: Work inside the guards and work while the drive runs each carry their caution.
CAUTIONS_OF_STATE: Mapping[TaskState, Cautions] = {
    TaskState.STOPPED: HANDS,
    TaskState.TURNING: TURNING,
    TaskState.OUTSIDE: NO_CAUTION,
}


@dataclass(frozen=True, slots=True)
class CardLine:
    """One line of the card: a setting and its value now, or a step to be done (`now` is None).

    `before` is the value at the pass before, None where unknown or for a step. `changed` tells whether this
    changeover sets it, or does the step; `why` is the reason of the task that does, else what the value follows from.
    `unit` is 1 or 2 where the line belongs to one. `key` is its row in the card's wording; a press's own scales and
    steps have the keys `own scale` and `own step` and their words in the reasons' facts.
    """

    group: CardGroup
    key: str
    now: Value | None
    before: Value | None
    changed: bool
    why: Reason
    cautions: Cautions = NO_CAUTION
    unit: int | None = None


@dataclass(frozen=True, slots=True)
class SettingsCard:
    """Everything the operator sets for a pass, in working order, and what has to be said about it."""

    print_pass: PrintPass
    lines: tuple[CardLine, ...]
    warnings: tuple[Reason, ...]

    @property
    def changes(self) -> tuple[CardLine, ...]:
        """The lines this changeover sets or does."""
        return tuple(line for line in self.lines if line.changed)

    def line(self, key: str, unit: int | None = None) -> CardLine | None:
        """A line by its key, and its unit where it has one; None when the card has no such line."""
        return next((ln for ln in self.lines if ln.key == key and ln.unit == unit), None)


class CardTask(Protocol):
    """A task of the changeover, as the changeover itself or a plan gives it."""

    @property
    def task(self) -> str:
        """Its key."""

    @property
    def unit(self) -> int | None:
        """The unit it belongs to, if to one."""

    @property
    def why(self) -> Reason:
        """Why it comes."""


@dataclass(frozen=True, slots=True)
class CardBefore:
    """What stood on the press before: its state, and the pass it ran if there was one."""

    state: PressState
    print_pass: PrintPass | None = None

    @classmethod
    def unknown(cls, press: PressProfile) -> CardBefore:
        """A press of which nothing is known."""
        return cls(PressState((UnitState(),) * press.units, None, delivery_pile=False, settings=Settings()))

    @classmethod
    def of_pass(cls, press: PressProfile, print_pass: PrintPass, unit_of: Mapping[InkId, int]) -> CardBefore:
        """The press after a pass, as far as that pass alone tells; a unit it did not use counts as empty."""
        used = {unit_of[s.ink.id]: s for s in print_pass.separations}
        units = tuple(
            UnitState(ink=used[u].ink, plate=used[u].plate) if u in used else UnitState(oiled=True)
            for u in range(1, press.units + 1)
        )
        settings = Settings.of(print_pass, press)
        state = PressState(units, print_pass.plate_material, True, settings, frozenset(used))
        return cls(state, print_pass)


@dataclass(frozen=True, slots=True)
class Work:
    """The tasks of a changeover, to be asked for by key and unit."""

    whys: Mapping[tuple[str, int | None], Reason]

    @classmethod
    def of(cls, tasks: Iterable[CardTask]) -> Work:
        """The work of some tasks."""
        return cls({(t.task, t.unit): t.why for t in tasks})

    def why(self, task: str, unit: int | None = None) -> Reason | None:
        """Why a task comes; None when it does not. Asked for without a unit, a task may belong to any."""
        if unit is not None:
            return self.whys.get((task, unit))
        return next((why for (key, _), why in self.whys.items() if key == task), None)

    def first_why(self, tasks: Iterable[str], unit: int | None = None) -> Reason | None:
        """Why the first of some tasks that comes does so; None when none comes."""
        return next((why for task in tasks if (why := self.why(task, unit)) is not None), None)


def cautions_of(tasks: Iterable[str]) -> Cautions:
    """The caution of the tasks' states: hands inside the guards, or a turning drive; the first task that has one."""
    return next((c for task in tasks if (c := CAUTIONS_OF_STATE[TASK_TABLE[task][1]])), NO_CAUTION)


def step(group: CardGroup, key: str, why: Reason, cautions: Cautions = NO_CAUTION, unit: int | None = None) -> CardLine:
    """A line that is no setting but something to be done in this changeover."""
    return CardLine(group, key, None, None, True, why, cautions, unit)
