"""When not everything fits: what would help, each relaxation with its effect found by planning the day anew."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from enum import StrEnum
from itertools import combinations

from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan, Totals, solution_of
from queueplanner.planning.planner import plan_day
from queueplanner.planning.progress import CancelToken
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.job import Job

#: How much later a job may be due, and a day may end, in one step.
DUE_STEP_S, OVERTIME_S = 24 * 3600, 3600
#: The most relaxations tried together, and how many of the best single ones are tried in threes.
MOST_TOGETHER, BEST_IN_THREES = 3, 5


class Help(StrEnum):
    """The kinds of relaxation."""

    DUE_LATER = "due a day later"
    START_EARLIER = "no earliest start"
    OVERTIME = "an hour longer"
    SECOND_PERSON = "a second person"


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One thing that could be given: to a job, to a pass, on a working day (counted from 0), else to the whole plan."""

    help: Help
    job: JobId | None = None
    pass_id: PassId | None = None
    day: int | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """What some relaxations together bring: the totals of the best plan found with them."""

    relaxations: tuple[Relaxation, ...]
    totals: Totals


@dataclass(frozen=True, slots=True)
class Relief:
    """What would help a day on which not everything fits.

    `late` are the passes that end their jobs late, with seconds; `longer` are the totals of the best plan found in the
    same time with nothing given, so that no help is credited with what a longer search finds. `single` holds each
    relaxation that makes the weighted lateness less, the best first; `enough` is the smallest set found with which
    nothing that has a weight is late, None where none was found.
    """

    late: tuple[tuple[PassId, int], ...]
    longer: Totals
    single: tuple[Effect, ...] = ()
    enough: Effect | None = None


@dataclass(slots=True)
class _Trial:
    """Plans the day with some relaxations, beginning at the plan known."""

    instance: Instance
    plan: Plan
    seconds: float
    cancel: CancelToken
    told: Callable[[int, int], None]
    done: int = 0
    known: dict[frozenset[Relaxation], Totals | None] = field(default_factory=dict)

    def totals(self, relaxations: Sequence[Relaxation]) -> Totals | None:
        """The totals of the best plan found; None when asked to stop, or no order fits."""
        key = frozenset(relaxations)
        if key not in self.known and not self.cancel.cancelled:
            relaxed = self.instance
            for relaxation in relaxations:
                relaxed = with_relaxation(relaxed, relaxation)
            try:
                found = plan_day(relaxed, self.seconds, cancel=self.cancel, also=[solution_of(self.plan)])
                self.known[key] = found.totals
            except NoPlan:
                self.known[key] = None
            self.done += 1
        return self.known.get(key)


def what_would_help(
    instance: Instance,
    plan: Plan,
    *,
    seconds_each: float = 0.3,
    cancel: CancelToken | None = None,
    on_progress: Callable[[int, int], None] = lambda _done, _of: None,
) -> Relief:
    """What would make a late plan on time, each relaxation's effect sought for so many seconds, never guessed.

    Sets of two and three are tried only while no smaller one is enough. `on_progress` is told how many trials are done
    and how many there are at least. A plan on time needs nothing.
    """
    late = tuple((p.id, p.late_seconds) for p in plan.passes if p.late_seconds > 0)
    if not late:
        return Relief((), plan.totals)
    trial = _Trial(instance, plan, seconds_each, cancel or CancelToken(), on_progress)
    longer = trial.totals([]) or plan.totals
    options = list(relaxations_for(instance, plan))
    single = []
    for option in options:
        totals = trial.totals([option])
        on_progress(trial.done, len(options))
        if totals is not None and totals.weighted_late_seconds < longer.weighted_late_seconds:
            single.append(Effect((option,), totals))
    single.sort(key=lambda effect: (effect.totals.weighted_late_seconds, effect.totals.objective))
    return Relief(late, longer, tuple(single), _smallest(trial, single))


def _smallest(trial: _Trial, single: Sequence[Effect]) -> Effect | None:
    """The smallest set with which nothing is late: one, else two, else three of the best."""
    if single and single[0].totals.weighted_late_seconds == 0:
        on_time = [effect for effect in single if effect.totals.weighted_late_seconds == 0]
        return min(on_time, key=lambda effect: effect.totals.objective)
    options = [effect.relaxations[0] for effect in single]
    for size in range(2, MOST_TOGETHER + 1):
        tried = options if size == 2 else options[:BEST_IN_THREES]
        for together in combinations(tried, size):
            totals = trial.totals(together)
            trial.told(trial.done, trial.done + 1)
            if totals is not None and totals.weighted_late_seconds == 0:
                return Effect(together, totals)
    return None


def relaxations_for(instance: Instance, plan: Plan) -> Iterator[Relaxation]:
    """Everything that could be given: later due times of late jobs, earliest starts, an hour on each day, a person."""
    for planned in plan.passes:
        if planned.late_seconds > 0:
            yield Relaxation(Help.DUE_LATER, job=planned.job.id)
    for planned in plan.passes:
        if instance.earliest_s(planned.id) > instance.start_at:
            yield Relaxation(Help.START_EARLIER, pass_id=planned.id)
    last_late = max(p.run_end for p in plan.passes if p.late_seconds > 0)
    for day, (starts, ends) in enumerate(zip(instance.clock.day_starts, instance.clock.day_ends, strict=True)):
        if starts < last_late and ends > instance.start_at and day + 1 < len(instance.clock.day_starts):
            yield Relaxation(Help.OVERTIME, day=day)
    if any(window.crew == 1 for window in instance.clock.windows):
        yield Relaxation(Help.SECOND_PERSON)


def with_relaxation(instance: Instance, relaxation: Relaxation) -> Instance:
    """The same day with something given."""
    if relaxation.help is Help.DUE_LATER:
        return with_jobs(instance, [_due_later(j) if j.id == relaxation.job else j for j in instance.jobs])
    if relaxation.help is Help.START_EARLIER:
        return _without_earliest(instance, relaxation.pass_id)
    if relaxation.help is Help.OVERTIME:
        assert relaxation.day is not None
        return replace(instance, clock=instance.clock.longer(relaxation.day, OVERTIME_S))
    return replace(instance, clock=instance.clock.with_crew(2))


def with_jobs(instance: Instance, jobs: Sequence[Job]) -> Instance:
    """The same day with its jobs changed, but for their passes' settings and units."""
    return replace(
        instance,
        jobs=tuple(jobs),
        passes={p.id: p for job in jobs for p in job.passes},
        job_of={p.id: job for job in jobs for p in job.passes},
    )


def _due_later(job: Job) -> Job:
    return job.model_copy(update={"due": None if job.due is None else job.due + timedelta(seconds=DUE_STEP_S)})


def _without_earliest(instance: Instance, pass_id: PassId | None) -> Instance:
    def freed(job: Job) -> Job:
        passes = (p.model_copy(update={"earliest": None}) if p.id == pass_id else p for p in job.passes)
        return job.model_copy(update={"passes": tuple(passes)})

    rules = instance.rules
    not_before = {p: at for p, at in rules.not_before.items() if p != pass_id}
    freed_day = with_jobs(instance, [freed(job) for job in instance.jobs])
    return replace(freed_day, rules=replace(rules, not_before=not_before))
