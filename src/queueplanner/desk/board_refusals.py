"""What the board answers: a command done, or refused with the rule named and nothing changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from queueplanner.desk.board_commands import Facts
from queueplanner.shop.base import PassId


class Why(StrEnum):
    """Why a command was refused."""

    PIN = "another pass is pinned there"
    TOGETHER = "passes are kept together"
    TURN = "one pass runs after another"
    FIRST_SIDE = "a second side comes after its first"
    CONTRADICTION = "the rules contradict each other"
    NO_PLAN = "no working day holds it"
    NOT_PRINTABLE = "the press cannot run it"
    NO_SUCH_PASS = "no such pass"
    NO_SUCH_JOB = "no such job"
    NO_SUCH_ORDER = "no such order"
    DAY_TAKEN = "the day has jobs of its own"
    NAME_TAKEN = "the name is taken"
    NAME_WRONG = "not a name"
    ORDER_FIXED = "the order as received follows the jobs"
    OTHER_PASSES = "the jobs have changed meanwhile"
    CHANGED_MEANWHILE = "somebody else has changed it meanwhile"
    NOT_WRITTEN = "the record cannot be written"
    NOTHING_LEFT = "nothing to undo or redo"


@dataclass(frozen=True, slots=True)
class Done:
    """A command that was done: its name, and the number of its action in the record (None: nothing had to change)."""

    name: str
    action: int | None = None


@dataclass(frozen=True, slots=True)
class Refusal:
    """A command that was refused; nothing has changed. `passes` are those concerned, `facts` what the sentence needs.

    `error` is the error met, where it was one of the planner or the record.
    """

    why: Why
    passes: tuple[PassId, ...] = ()
    facts: Facts = field(default_factory=dict)
    error: Exception | None = None


class NotAllowed(Exception):
    """Raised while a command is worked out; the board gives its refusal back."""

    def __init__(
        self, why: Why, passes: Sequence[PassId] = (), error: Exception | None = None, **facts: object
    ) -> None:
        self.refusal = Refusal(why, tuple(passes), facts, error)
        super().__init__(str(why))
