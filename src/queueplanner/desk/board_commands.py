"""What a user can do to the board, as things: each has a name (a code), and the facts its sentence is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, ClassVar

from queueplanner.planning.instance import UnitChoice
from queueplanner.planning.order_rules import OrderRules
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart

Facts = dict[str, Any]

#: The name of the order in which the jobs came. It is never stored and never changed: it follows the jobs.
AS_RECEIVED = "as received"
#: The name of the order that a person makes, and that of a planned one, unless told otherwise.
MINE, PLANNED = "mine", "planned"


@dataclass(frozen=True, slots=True)
class Command:
    """One action. `name` is its code in the record."""

    name: ClassVar[str] = ""

    @property
    def facts(self) -> Facts:
        """What its sentence is made of, as plain data."""
        return {}


# The order on show


@dataclass(frozen=True, slots=True)
class MovePass(Command):
    """Move a pass to a place of the order on show, counted from 0 as the order stands afterwards.

    Pinned passes stay in their places, the others make room. With `units` it is printed in other units there.
    """

    pass_id: PassId
    place: int
    units: UnitChoice | None = None
    name: ClassVar[str] = "move_pass"

    @property
    def facts(self) -> Facts:
        """The pass, and its place counted from 1."""
        return {"pass": self.pass_id, "place": self.place + 1}


@dataclass(frozen=True, slots=True)
class Pin(Command):
    """Pin a pass to a place, counted from 0; it is moved there. None: to the place where it stands."""

    pass_id: PassId
    place: int | None = None
    name: ClassVar[str] = "pin"

    @property
    def facts(self) -> Facts:
        """The pass, and its place counted from 1 where it is told."""
        return {"pass": self.pass_id} | ({} if self.place is None else {"place": self.place + 1})


@dataclass(frozen=True, slots=True)
class Unpin(Command):
    """Let a pass go from its place."""

    pass_id: PassId
    name: ClassVar[str] = "unpin"

    @property
    def facts(self) -> Facts:
        """The pass."""
        return {"pass": self.pass_id}


@dataclass(frozen=True, slots=True)
class KeepTogether(Command):
    """Keep some passes side by side; groups that share a pass become one."""

    passes: tuple[PassId, ...]
    name: ClassVar[str] = "keep_together"

    @property
    def facts(self) -> Facts:
        """The passes."""
        return {"passes": list(self.passes)}


@dataclass(frozen=True, slots=True)
class PartPasses(Command):
    """Give up every group that holds one of these passes."""

    passes: tuple[PassId, ...]
    name: ClassVar[str] = "part_passes"

    @property
    def facts(self) -> Facts:
        """The passes."""
        return {"passes": list(self.passes)}


@dataclass(frozen=True, slots=True)
class RunAfter(Command):
    """Have one pass run before another, though not side by side with it."""

    earlier: PassId
    later: PassId
    name: ClassVar[str] = "run_after"

    @property
    def facts(self) -> Facts:
        """Both passes."""
        return {"earlier": self.earlier, "later": self.later}


@dataclass(frozen=True, slots=True)
class RunFreely(Command):
    """Give up that one pass runs before another."""

    earlier: PassId
    later: PassId
    name: ClassVar[str] = "run_freely"

    @property
    def facts(self) -> Facts:
        """Both passes."""
        return {"earlier": self.earlier, "later": self.later}


@dataclass(frozen=True, slots=True)
class NotBefore(Command):
    """Begin a pass's changeover no sooner than a moment (aware of its zone); None: whenever its turn comes."""

    pass_id: PassId
    moment: datetime | None
    name: ClassVar[str] = "not_before"

    @property
    def facts(self) -> Facts:
        """The pass, and the moment where there is one."""
        return {"pass": self.pass_id, "moment": None if self.moment is None else self.moment.isoformat()}


# The jobs


@dataclass(frozen=True, slots=True)
class EditJobs(Command):
    """Put changed jobs in the place of those with the same ids, add some, take some off the board.

    Added jobs take the places of removed ones in the list, one by one; the rest come last.
    """

    changed: tuple[Job, ...] = ()
    added: tuple[Job, ...] = ()
    removed: tuple[JobId, ...] = ()
    name: ClassVar[str] = "edit_jobs"

    @property
    def facts(self) -> Facts:
        """The ids of the jobs, by what happens to them."""
        return {
            "changed": [job.id for job in self.changed],
            "added": [job.id for job in self.added],
            "removed": list(self.removed),
        }


@dataclass(frozen=True, slots=True)
class ImportJobs(Command):
    """Take a job list in for a day, which comes on the desk.

    Jobs with the same ids are changed, others added. Jobs that came from a list of that name before and stand in it no
    more, and those of the demo day, leave the board.
    """

    source: str
    day: date
    jobs: tuple[Job, ...]
    name: ClassVar[str] = "import_jobs"

    @property
    def facts(self) -> Facts:
        """The list's name, and how many jobs it has."""
        return {"source": self.source, "count": len(self.jobs)}


@dataclass(frozen=True, slots=True)
class PutDemo(Command):
    """Put the demo shop and its day into the record."""

    day: date
    jobs: tuple[Job, ...]
    shop: Shop
    name: ClassVar[str] = "put_demo"

    @property
    def facts(self) -> Facts:
        """How many jobs the demo day has."""
        return {"count": len(self.jobs)}


@dataclass(frozen=True, slots=True)
class StartOwnDay(Command):
    """Take the demo day out of the record, if it is on the desk, and put an own one on it."""

    day: date
    name: ClassVar[str] = "start_own_day"


@dataclass(frozen=True, slots=True)
class ToTomorrow(Command):
    """Move a job to the next working day's board."""

    job: JobId
    name: ClassVar[str] = "to_tomorrow"

    @property
    def facts(self) -> Facts:
        """The job."""
        return {"job": self.job}


@dataclass(frozen=True, slots=True)
class SetStart(Command):
    """Tell from what state the press starts, and when (None: as a careful evening leaves it; with the first shift)."""

    start: PressStart | None
    starts_at: datetime | None = None
    name: ClassVar[str] = "set_start"


# The orders


@dataclass(frozen=True, slots=True)
class NewOrder(Command):
    """Make a named order out of another (None: the one on show), with its rules."""

    order: str
    source: str | None = None
    name: ClassVar[str] = "new_order"

    @property
    def facts(self) -> Facts:
        """The new order."""
        return {"order": self.order}


@dataclass(frozen=True, slots=True)
class RenameOrder(Command):
    """Give an order another name."""

    order: str
    new: str
    name: ClassVar[str] = "rename_order"

    @property
    def facts(self) -> Facts:
        """The order's names before and after."""
        return {"order": self.new, "before": self.order}


@dataclass(frozen=True, slots=True)
class DropOrder(Command):
    """Take an order away."""

    order: str
    name: ClassVar[str] = "drop_order"

    @property
    def facts(self) -> Facts:
        """The order."""
        return {"order": self.order}


@dataclass(frozen=True, slots=True)
class TakePlanned(Command):
    """Keep what planning has found as a new order beside the others.

    `rules` are those it was planned under; None: those of the order on show. `called` is the new order's name, to
    which a number is given if there is one so called.
    """

    order: tuple[PassId, ...]
    units: Mapping[PassId, UnitChoice] = field(default_factory=dict)
    rules: OrderRules | None = None
    called: str = PLANNED
    name: ClassVar[str] = "take_planned"


@dataclass(frozen=True, slots=True)
class Release(Command):
    """Hand an order (None: the one on show) to the press, under the next number of its day."""

    order: str | None = None
    by: str = "desk"
    name: ClassVar[str] = "release"
