"""Plans and comparisons as JSON, by a schema that is published: docs/plan.schema.json, docs/compare.schema.json."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field

from queueplanner.exchange.wording import sentence, task_name
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Evening, Plan, PlannedPass, PlannedTask, Stretch, Totals

VERSION: Literal[1] = 1
SCHEMA_DIALECT = "https://json-schema.org/draft/2020-12/schema"

Count = Annotated[int, Field(ge=0)]
Seconds = Annotated[int, Field(ge=0, description="Whole seconds.")]
Moment = Annotated[
    str,
    Field(
        pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}[+-]\d{2}:\d{2}$",
        description="ISO 8601, local time of the shop with its offset.",
    ),
]
UnitNumber = Annotated[int, Field(ge=1, le=2)]
Position = Annotated[int, Field(ge=0)]


class _Model(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class ReasonOut(_Model):
    """A reason: its sentence, and the code and facts it is made of."""

    why: Annotated[str, Field(description="The sentence.")]
    code: Annotated[str, Field(description="The kind of reason.")]
    facts: Annotated[dict[str, Any], Field(description="What the sentence is made of.")]


class TaskOut(_Model):
    """One task of a changeover or evening."""

    task: Annotated[str, Field(description="Its key; a shop's own task begins with 'own:'.")]
    name: Annotated[str, Field(description="Its name.")]
    unit: Annotated[UnitNumber | None, Field(description="The printing unit it belongs to, if to one.")]
    place: Annotated[str, Field(description="Where the hands are.")]
    state: Annotated[str, Field(description="outside, turning or stopped.")]
    seconds: Seconds
    washes: Annotated[int, Field(ge=0, description="Roller washes in this task.")]
    why: Annotated[str, Field(description="Why it comes.")]
    why_code: Annotated[str, Field(description="The kind of reason.")]
    why_facts: Annotated[dict[str, Any], Field(description="What the reason is made of.")]
    after: Annotated[list[Position], Field(description="Positions, in this list, of the tasks to be finished first.")]
    external: Annotated[bool, Field(description="Done while the press runs the pass before: takes no make-ready time.")]
    person: Annotated[int | None, Field(description="Who does it, 1 or 2; null if external.")]
    start_seconds: Annotated[
        int | None, Field(description="Working seconds from the changeover's beginning; null if external.")
    ]


class StretchOut(_Model):
    """A stretch of time, half-open."""

    start: Moment
    end: Moment


class PassOut(_Model):
    """One pass in its place."""

    id: str
    job: str
    title: str
    side: UnitNumber
    sheets: Annotated[int, Field(gt=0, description="Good sheets.")]
    running_waste: Annotated[int, Field(ge=0, description="Sheets wasted while running, printed besides.")]
    makeready_waste: Annotated[int, Field(ge=0, description="Sheets wasted in make-ready.")]
    stock: str
    format: str
    short_mm: float
    long_mm: float
    feed_edge: str
    lay_side: str
    unit_of: Annotated[dict[str, UnitNumber], Field(description="Ink id to printing unit.")]
    plate_of: Annotated[dict[str, str], Field(description="Ink id to plate id.")]
    crew: Annotated[int, Field(ge=1, description="People at its changeover.")]
    makeready_start: Moment
    makeready_end: Moment
    run_start: Moment
    run_end: Moment
    makeready_seconds: Seconds
    makeready_pieces: Annotated[list[StretchOut], Field(description="Make-ready without breaks and closed time.")]
    run_pieces: Annotated[list[StretchOut], Field(description="The run without breaks and closed time.")]
    waits_seconds: Annotated[
        int, Field(ge=0, description="Clock time from the end of make-ready to the start of the run.")
    ]
    due: Annotated[Moment | None, Field(description="The job's due time.")]
    late_seconds: Annotated[int, Field(ge=0, description="Stands on the last pass of a job; 0 on others.")]
    tasks: list[TaskOut]
    warnings: list[ReasonOut]
    started: Annotated[bool, Field(description="On the press when the plan begins; times are those of what is left.")]


class EveningOut(_Model):
    """The wash before a night; there may be nothing to do."""

    start: Moment
    end: Moment
    seconds: Seconds
    crew: Annotated[int, Field(ge=1)]
    tasks: list[TaskOut]


class TotalsOut(_Model):
    """The sums of a plan."""

    makeready_seconds: Annotated[int, Field(ge=0, description="All make-ready, evenings included.")]
    run_seconds: Seconds
    waiting_seconds: Seconds
    wash_ups: Annotated[int, Field(ge=0, description="Times an ink is taken out of a unit.")]
    washes: Annotated[int, Field(ge=0, description="Single roller washes.")]
    plate_swaps: Annotated[int, Field(ge=0, description="Plates put on.")]
    feeder_resets: Annotated[int, Field(ge=0, description="Changeovers that set the feeder anew.")]
    waste_sheets: Count
    late_passes: Count
    late_seconds: Seconds
    weighted_late_seconds: Annotated[int, Field(ge=0, description="Seconds late times the job's weight.")]
    objective: Annotated[int, Field(ge=0, description="Points; the plan with the fewest is the best.")]
    end: Annotated[Moment, Field(description="End of the last run.")]
    reversed_pairs: Annotated[int, Field(ge=0, description="Pairs of passes the known order has the other way round.")]


ClaimWord = Literal["proven best", "within", "best found", "given order"]


class PlanOut(_Model):
    """A plan of one press, in run order."""

    model_config = ConfigDict(title="Queueplanner plan", frozen=True, extra="forbid")

    version: Literal[1]
    press: str
    time_zone: Annotated[str, Field(description="A zone of the IANA time zone database.")]
    start: Moment
    claim: Annotated[ClaimWord, Field(description="What is known about how good the plan is.")]
    claim_percent: Annotated[
        float | None, Field(description="With 'within': at most so many per cent from the best possible.")
    ]
    totals: TotalsOut
    passes: list[PassOut]
    evenings: list[EveningOut]
    breaks: Annotated[list[StretchOut], Field(description="Breaks and closed time between start and end.")]
    warnings: list[ReasonOut]


class ComparedOut(_Model):
    """One order of a comparison."""

    totals: TotalsOut
    order: Annotated[list[str], Field(description="Pass ids in run order.")]
    claim: ClaimWord
    claim_percent: float | None


class CompareOut(_Model):
    """The same day in four orders, each with the best unit choice found for it."""

    model_config = ConfigDict(title="Queueplanner comparison", frozen=True, extra="forbid")

    version: Literal[1]
    press: str
    time_zone: Annotated[str, Field(description="A zone of the IANA time zone database.")]
    start: Moment
    as_received: ComparedOut
    by_due_time: ComparedOut
    light_to_dark: ComparedOut
    planned: ComparedOut


def plan_to_json(plan: Plan) -> str:
    """A plan as JSON text, by docs/plan.schema.json."""
    return _text(plan_model(plan))


class PressesOut(_Model):
    """The plans of presses that work side by side."""

    model_config = ConfigDict(title="Queueplanner plans of several presses", frozen=True, extra="forbid")

    version: Literal[1]
    presses: Annotated[list[PlanOut], Field(description="One plan a press, in the order the presses were named.")]


def presses_to_json(plans: Sequence[Plan]) -> str:
    """The plans of several presses as JSON text, by docs/presses.schema.json."""
    return _text(PressesOut(version=VERSION, presses=[plan_model(plan) for plan in plans]))


def compare_to_json(plans: Mapping[str, Plan]) -> str:
    """The four plans of a comparison, under their names, as JSON text, by docs/compare.schema.json."""
    first = plans["planned"]
    compared = {name: _compared(plan) for name, plan in plans.items()}
    return _text(
        CompareOut(
            version=VERSION,
            press=first.press_name,
            time_zone=first.zone.key,
            start=moment_text(first.start, first.zone),
            **compared,
        )
    )


def schema_text(model: type[PlanOut] | type[CompareOut] | type[PressesOut]) -> str:
    """The JSON Schema of a file, as it is published."""
    schema = {"$schema": SCHEMA_DIALECT, **model.model_json_schema(mode="serialization")}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def plan_model(plan: Plan) -> PlanOut:
    """A plan in the form of its file."""
    return PlanOut(
        version=VERSION,
        press=plan.press_name,
        time_zone=plan.zone.key,
        start=moment_text(plan.start, plan.zone),
        claim=plan.claim.kind.value,
        claim_percent=plan.claim.percent,
        totals=_totals(plan.totals, plan.zone),
        passes=[_pass(p, plan.zone) for p in plan.passes],
        evenings=[_evening(e, plan.zone) for e in plan.evenings],
        breaks=_stretches(plan.closed, plan.zone),
        warnings=[_reason(note) for note in plan.notes],
    )


def moment_text(moment: int, zone: ZoneInfo) -> str:
    """Epoch seconds as ISO 8601 local time with offset."""
    local = datetime.fromtimestamp(moment, zone)
    offset = local.utcoffset() or timedelta()
    # Zones before standard time had offsets with seconds; ISO 8601 has none.
    return local.replace(tzinfo=None).isoformat() + _offset(offset)


def _offset(offset: timedelta) -> str:
    minutes = round(offset.total_seconds() / 60)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"


def _text(model: BaseModel) -> str:
    return model.model_dump_json(indent=1) + "\n"


def _compared(plan: Plan) -> ComparedOut:
    return ComparedOut(
        totals=_totals(plan.totals, plan.zone),
        order=list(plan.order),
        claim=plan.claim.kind.value,
        claim_percent=plan.claim.percent,
    )


def _totals(totals: Totals, zone: ZoneInfo) -> TotalsOut:
    sums = {name: getattr(totals, name) for name in TotalsOut.model_fields if name != "end"}
    return TotalsOut(**sums, end=moment_text(totals.end, zone))


def _pass(planned: PlannedPass, zone: ZoneInfo) -> PassOut:
    p, job = planned.print_pass, planned.job
    return PassOut(
        id=p.id,
        job=job.id,
        title=job.title,
        side=p.side,
        sheets=p.sheets,
        running_waste=p.running_waste,
        makeready_waste=p.makeready_waste,
        stock=p.stock.id,
        format=p.format.label,
        short_mm=p.format.short_mm,
        long_mm=p.format.long_mm,
        feed_edge=p.feed_edge.value,
        lay_side=p.lay_side.value,
        unit_of={str(ink): unit for ink, unit in planned.unit_of.items()},
        plate_of={str(s.ink.id): str(s.plate.id) for s in p.separations},
        crew=planned.crew,
        makeready_start=moment_text(planned.makeready_start, zone),
        makeready_end=moment_text(planned.makeready_end, zone),
        run_start=moment_text(planned.run_start, zone),
        run_end=moment_text(planned.run_end, zone),
        makeready_seconds=planned.makeready_seconds,
        makeready_pieces=_stretches(planned.makeready_pieces, zone),
        run_pieces=_stretches(planned.run_pieces, zone),
        waits_seconds=planned.waits_seconds,
        due=None if job.due_s is None else moment_text(job.due_s, zone),
        late_seconds=planned.late_seconds,
        started=planned.started,
        tasks=[_task(t) for t in planned.tasks],
        warnings=[_reason(w) for w in planned.warnings],
    )


def _evening(evening: Evening, zone: ZoneInfo) -> EveningOut:
    return EveningOut(
        start=moment_text(evening.start, zone),
        end=moment_text(evening.end, zone),
        seconds=evening.seconds,
        crew=evening.crew,
        tasks=[_task(t) for t in evening.tasks],
    )


def _task(task: PlannedTask) -> TaskOut:
    return TaskOut(
        task=task.task,
        name=task_name(task.task, task.unit, task.washes),
        unit=task.unit,
        place=task.place.value,
        state=task.state.value,
        seconds=task.seconds,
        washes=task.washes,
        why=sentence(task.why),
        why_code=task.why.code,
        why_facts=dict(task.why.facts),
        after=sorted(task.after),
        external=task.external,
        person=task.person,
        start_seconds=task.start,
    )


def _reason(reason: Reason) -> ReasonOut:
    return ReasonOut(why=sentence(reason), code=reason.code, facts=dict(reason.facts))


def _stretches(stretches: Sequence[Stretch], zone: ZoneInfo) -> list[StretchOut]:
    return [StretchOut(start=moment_text(a, zone), end=moment_text(b, zone)) for a, b in stretches]
