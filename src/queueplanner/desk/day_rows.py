"""The rows of the desk's two tables, without a window: the day's jobs, and its passes in run order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan, PlannedPass
from queueplanner.shop.base import InkId, JobId, PassId
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import Job, LaySide, PrintPass, WorkStyle, epoch


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job. Moments are epoch seconds; `places` its passes' positions in the run order, from 1; `pass_ids` all of
    its passes; `start` is when its first make-ready begins, `end` when its last run ends. None and () are unplanned.
    """

    job_id: JobId
    title: str
    sheets: int
    stock: str
    format: str
    inks: tuple[Ink, ...]
    due: int | None
    work_style: WorkStyle
    paper_at: int | None
    pass_ids: tuple[PassId, ...]
    places: tuple[int, ...] = ()
    start: int | None = None
    end: int | None = None
    late_seconds: int | None = None


@dataclass(frozen=True, slots=True)
class Fixed:
    """What a person has fixed of a pass: pinned to its place, kept with others, after others, not before a moment."""

    pinned: bool = False
    together: tuple[PassId, ...] = ()
    after: tuple[PassId, ...] = ()
    not_before: int | None = None

    def __bool__(self) -> bool:
        return bool(self.pinned or self.together or self.after or self.not_before is not None)


NOTHING_FIXED = Fixed()


@dataclass(frozen=True, slots=True)
class PassRow:
    """One pass in its place. `inks` are in the order of the units they print in, with the unit; moments epoch s.

    `fixed` is what a person has fixed of it.
    """

    place: int
    pass_id: PassId
    title: str
    makeready_start: int
    makeready_seconds: int
    run_start: int
    run_end: int
    sheets: int
    inks: tuple[tuple[int, Ink], ...]
    stock: str
    format: str
    lay_side: LaySide
    due: int | None
    late_seconds: int
    washes: int
    fixed: Fixed = NOTHING_FIXED


def job_rows(jobs: Sequence[Job], plan: Plan | None) -> tuple[JobRow, ...]:
    """The jobs as listed, with their places when there is a plan."""
    placed: dict[JobId, list[tuple[int, PlannedPass]]] = {}
    for place, planned in enumerate(plan.passes if plan else (), 1):
        placed.setdefault(planned.job.id, []).append((place, planned))
    return tuple(_job_row(job, placed.get(job.id, [])) for job in jobs)


def pass_rows(plan: Plan | None, rules: OrderRules | None = None) -> tuple[PassRow, ...]:
    """The passes in run order, with what `rules` fix of each."""
    passes = plan.passes if plan else ()
    return tuple(_pass_row(place, p, fixed_of(p.id, rules or OrderRules())) for place, p in enumerate(passes, 1))


def fixed_of(pass_id: PassId, rules: OrderRules) -> Fixed:
    """What rules fix of a pass."""
    others = (sorted(group - {pass_id}) for group in rules.together if pass_id in group)
    return Fixed(
        pinned=pass_id in rules.places,
        together=tuple(p for group in others for p in group),
        after=tuple(earlier for earlier, later in rules.turns if later == pass_id),
        not_before=rules.not_before.get(pass_id),
    )


def inks_of(passes: Sequence[PrintPass]) -> tuple[Ink, ...]:
    """Every ink of some passes once, in the order met."""
    found: dict[InkId, Ink] = {}
    for print_pass in passes:
        for separation in print_pass.separations:
            found.setdefault(separation.ink.id, separation.ink)
    return tuple(found.values())


def inks_by_unit(planned: PlannedPass) -> tuple[tuple[int, Ink], ...]:
    """The inks of a pass with the unit each prints in, unit 1 first."""
    pairs = [(planned.unit_of[s.ink.id], s.ink) for s in planned.print_pass.separations]
    return tuple(sorted(pairs, key=lambda pair: pair[0]))


def _job_row(job: Job, placed: list[tuple[int, PlannedPass]]) -> JobRow:
    first = job.passes[0]
    waits = [epoch(p.earliest) for p in job.passes if p.earliest is not None]
    return JobRow(
        job_id=job.id,
        title=job.title,
        sheets=first.sheets,
        stock=first.stock.name,
        format=first.format.label,
        inks=inks_of(job.passes),
        due=job.due_s,
        work_style=job.work_style,
        paper_at=min(waits, default=None),
        pass_ids=tuple(p.id for p in job.passes),
        places=tuple(place for place, _ in placed),
        start=min((p.makeready_start for _, p in placed), default=None),
        end=max((p.run_end for _, p in placed), default=None),
        late_seconds=sum(p.late_seconds for _, p in placed) if placed else None,
    )


def _pass_row(place: int, planned: PlannedPass, fixed: Fixed) -> PassRow:
    return PassRow(
        place=place,
        pass_id=planned.id,
        title=planned.job.title,
        makeready_start=planned.makeready_start,
        makeready_seconds=planned.makeready_seconds,
        run_start=planned.run_start,
        run_end=planned.run_end,
        sheets=planned.print_pass.sheets,
        inks=inks_by_unit(planned),
        stock=planned.print_pass.stock.name,
        format=planned.print_pass.format.label,
        lay_side=planned.print_pass.lay_side,
        due=planned.job.due_s,
        late_seconds=planned.late_seconds,
        washes=sum(task.task == "wash_rollers" for task in planned.tasks),
        fixed=fixed,
    )
