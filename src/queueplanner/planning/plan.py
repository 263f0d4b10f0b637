"""The plan: a day's passes in order with every task, time and total. All screens, papers and files read this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from zoneinfo import ZoneInfo

from queueplanner.makeready.reasons import Reason
from queueplanner.shop.base import InkId, PassId
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import Job, PrintPass
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import Place, TaskState

Stretch = tuple[int, int]
"""A stretch of clock time: start and end, epoch seconds, half-open."""


@dataclass(frozen=True, slots=True)
class PlannedTask:
    """One task of a changeover or evening.

    `task` is its key; `unit` 1 or 2 where it belongs to one. `person` and `start` (seconds of work from the
    changeover's beginning) say who does it when; both are None for a task moved into the run before
    (`external`). `washes` counts those of a wash block. `after` are the positions, in the changeover's tasks,
    of those that must be finished first.
    """

    task: str
    unit: int | None
    place: Place
    state: TaskState
    seconds: int
    why: Reason
    after: frozenset[int]
    washes: int = 0
    external: bool = False
    person: int | None = None
    start: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedPass:
    """One pass in its place: its changeover, its times (epoch seconds) and what it costs.

    `makeready_pieces` and `run_pieces` leave out breaks and closed time. `late_seconds` stands on the last
    run of a job. `waits_seconds` is clock time between the end of make-ready and the start of the run. `started` marks
    the pass that was on the press when the plan began: its tasks lie behind it, its times are those of what is left.
    """

    print_pass: PrintPass
    job: Job
    unit_of: Mapping[InkId, int]
    tasks: tuple[PlannedTask, ...]
    crew: int
    makeready_seconds: int
    makeready_start: int
    makeready_end: int
    run_start: int
    run_end: int
    makeready_pieces: tuple[Stretch, ...]
    run_pieces: tuple[Stretch, ...]
    waits_seconds: int
    late_seconds: int
    warnings: tuple[Reason, ...] = ()
    started: bool = False

    @property
    def id(self) -> PassId:
        """The pass's id."""
        return self.print_pass.id


@dataclass(frozen=True, slots=True)
class Evening:
    """The wash before a night: after which working day, when, and its tasks (there may be none)."""

    day: int
    start: int
    end: int
    seconds: int
    crew: int
    tasks: tuple[PlannedTask, ...]


class Holding(StrEnum):
    """What a unit does while an ink stands on it."""

    PRINTING = "printing"
    STANDING = "standing"
    CLEAN = "clean"


@dataclass(frozen=True, slots=True)
class UnitSpan:
    """What one unit holds over a stretch of time: an ink (printing or standing) or none (clean); and its plate."""

    unit: int
    start: int
    end: int
    holding: Holding
    ink: Ink | None
    plate: Plate | None
    pass_id: PassId | None


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums of a plan. `objective` is the weighted sum that planning makes small; `feeder_resets` counts the
    changeovers in which the feeder is set to another format, lay side or caliper; `plate_swaps` the plates put on;
    `reversed_pairs` the pairs of passes that the known order has the other way round.
    """

    makeready_seconds: int
    run_seconds: int
    waiting_seconds: int
    wash_ups: int
    washes: int
    plate_swaps: int
    feeder_resets: int
    waste_sheets: int
    late_passes: int
    late_seconds: int
    weighted_late_seconds: int
    objective: int
    end: int
    reversed_pairs: int = 0


class ClaimKind(StrEnum):
    """How much is known about how good a plan is; never more than is true."""

    PROVEN_BEST = "proven best"
    WITHIN = "within"
    BEST_FOUND = "best found"
    GIVEN = "given order"


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim about a plan; `percent` (from the best possible) stands with WITHIN only."""

    kind: ClaimKind
    percent: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan on one press."""

    press_name: str
    zone: ZoneInfo
    start: int
    passes: tuple[PlannedPass, ...]
    evenings: tuple[Evening, ...]
    spans: tuple[UnitSpan, ...]
    closed: tuple[Stretch, ...]
    totals: Totals
    claim: Claim
    notes: tuple[Reason, ...] = ()

    @property
    def order(self) -> tuple[PassId, ...]:
        """Pass ids in run order."""
        return tuple(p.id for p in self.passes)

    def claimed(self, claim: Claim) -> Plan:
        """The same plan with another claim."""
        return replace(self, claim=claim)


def solution_of(plan: Plan) -> tuple[tuple[PassId, ...], dict[PassId, tuple[int, ...]]]:
    """The order of a plan, and by pass the unit of each separation."""
    units = {p.id: tuple(p.unit_of[s.ink.id] for s in p.print_pass.separations) for p in plan.passes}
    return plan.order, units
