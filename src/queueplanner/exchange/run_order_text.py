"""A plan for the terminal: the run order, what each changeover takes and why, evenings, totals, the claim."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from queueplanner.exchange.text_table import (
    clock,
    counted,
    day_name,
    duration,
    fitted,
    minutes,
    wrapped,
)
from queueplanner.exchange.wording import claim_in_words, sentence, task_name
from queueplanner.planning.plan import Evening, Plan, PlannedPass, PlannedTask

CAUTION = (
    "Hands near rollers and cylinders, solvents, heavy piles: do every task as your local codes, the safety data "
    "sheets and the press's own manual require."
)

_NAME_COLUMNS = 44


def run_order_text(plan: Plan) -> str:
    """Everything about a plan, in lines of at most 100 columns."""
    parts = [
        run_order_lines(plan),
        ["", "Changeovers, minutes and reasons"],
        _changeover_lines(plan),
        total_lines(plan),
    ]
    return "\n".join(line.rstrip() for part in parts for line in part) + "\n"


def run_order_lines(plan: Plan) -> list[str]:
    """The table of passes: when each is made ready and run, in which units, and how late its job is."""
    lines = [f"{plan.press_name} · {plan.zone.key}", _head()]
    day = ""
    for number, planned in enumerate(plan.passes, 1):
        today = day_name(planned.makeready_start, plan.zone)
        if today != day:
            day = today
            lines.append(day)
        lines.append(_pass_line(number, planned, plan))
    return lines


def total_lines(plan: Plan) -> list[str]:
    """The sums of a plan and what is claimed of it."""
    totals = plan.totals
    late = (
        "none late"
        if not totals.late_passes
        else (f"{counted(totals.late_passes, 'pass', 'passes')} late, {duration(totals.late_seconds)} in all")
    )
    lines = [
        "",
        f"Make-ready   {duration(totals.makeready_seconds)}, of it {duration(sum(e.seconds for e in plan.evenings))} "
        "in the evening",
        f"Running      {duration(totals.run_seconds)}; waiting {duration(totals.waiting_seconds)}",
        f"Work         {counted(totals.wash_ups, 'wash-up', 'wash-ups')} "
        f"({counted(totals.washes, 'wash', 'washes')}), {counted(totals.plate_swaps, 'plate', 'plates')} put on, "
        f"feeder set anew {counted(totals.feeder_resets, 'time', 'times')}",
        f"Waste        {counted(totals.waste_sheets, 'sheet', 'sheets')}",
        f"Due times    {late}",
        f"Last run     ends {day_name(totals.end, plan.zone)}, {clock(totals.end, plan.zone)}",
    ]
    for note in plan.notes:
        lines += wrapped(sentence(note), "Note         ", " " * 13)
    lines += ["", claim_in_words(plan.claim), *wrapped(CAUTION, "", "")]
    return lines


def _head() -> str:
    return " ".join(
        (
            fitted("", 2),
            fitted("pass", 9),
            fitted("title", 22),
            fitted("ready", 5),
            fitted("min", 5, right=True),
            fitted("run", 5),
            fitted("to", 6),
            fitted("unit 1", 13),
            fitted("unit 2", 13),
            fitted("late", 11, right=True),
        )
    )


def _pass_line(number: int, planned: PlannedPass, plan: Plan) -> str:
    inks = {unit: planned.print_pass.separation_of(ink).ink.name for ink, unit in planned.unit_of.items()}
    return " ".join(
        (
            fitted(str(number), 2, right=True),
            fitted(planned.id, 9),
            fitted(planned.job.title, 22),
            clock(planned.makeready_start, plan.zone)[:5],
            fitted(minutes(planned.makeready_seconds), 5, right=True),
            clock(planned.run_start, plan.zone)[:5],
            fitted(_end(planned, plan), 6),
            fitted(inks.get(1, "·"), 13),
            fitted(inks.get(2, "·"), 13),
            fitted(duration(planned.late_seconds) if planned.late_seconds else "", 11, right=True),
        )
    )


def _end(planned: PlannedPass, plan: Plan) -> str:
    """When the run ends; a plus sign where that is on another date than it was made ready."""
    dates = {datetime.fromtimestamp(m, plan.zone).date() for m in (planned.makeready_start, planned.run_end)}
    return clock(planned.run_end, plan.zone)[:5] + ("+" if len(dates) > 1 else "")


def _changeover_lines(plan: Plan) -> Iterator[str]:
    evenings = list(plan.evenings)
    for number, planned in enumerate(plan.passes, 1):
        while evenings and evenings[0].start <= planned.makeready_start:
            yield from _evening_lines(evenings.pop(0), plan)
        yield ""
        yield _changeover_head(number, planned, plan)
        yield from _task_lines(planned.tasks)
        for warning in planned.warnings:
            yield from wrapped(sentence(warning), "    note: ", " " * 10)
    for evening in evenings:
        yield from _evening_lines(evening, plan)


def _changeover_head(number: int, planned: PlannedPass, plan: Plan) -> str:
    crew = "" if planned.crew == 1 else f", {planned.crew} people"
    head = (
        f"{number}. {planned.id}: {clock(planned.makeready_start, plan.zone)} to "
        f"{clock(planned.makeready_end, plan.zone)}, {minutes(planned.makeready_seconds)} min{crew}"
    )
    if planned.waits_seconds:
        head += f"; then it waits {duration(planned.waits_seconds)}"
    return head


def _evening_lines(evening: Evening, plan: Plan) -> Iterator[str]:
    yield ""
    when = f"{day_name(evening.start, plan.zone)}, {clock(evening.start, plan.zone)}"
    if not evening.tasks:
        yield f"Evening of {when}: nothing to wash"
        return
    yield f"Evening of {when} to {clock(evening.end, plan.zone)}, {minutes(evening.seconds)} min"
    yield from _task_lines(evening.tasks)


def _task_lines(tasks: tuple[PlannedTask, ...]) -> Iterator[str]:
    for task in tasks:
        name = fitted(task_name(task.task, task.unit, task.washes), _NAME_COLUMNS)
        first = f"    {fitted(minutes(task.seconds), 5, right=True)}  {name} "
        why = sentence(task.why) + ("; done while the pass before runs" if task.external else "")
        yield from wrapped(why, first, " " * (4 + 5 + 2 + _NAME_COLUMNS + 1))
