"""What the papers show of a pass: its times at a glance, inks and plates by unit, the paper, and whether it is late."""

from __future__ import annotations

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_marks import SWATCH_MM, Face, Piece, beside, ink_words, stack, tag, words
from queueplanner.desk.paper_size import mm
from queueplanner.desk.paper_words import Columns, moment, span, tr
from queueplanner.planning.plan import Holding, Plan, PlannedPass
from queueplanner.shop.ink import Ink


def ink_in(planned: PlannedPass, unit: int) -> Ink | None:
    """The ink a pass prints with in a unit."""
    ids = [ink for ink, number in planned.unit_of.items() if number == unit]
    return planned.print_pass.separation_of(ids[0]).ink if ids else None


def standing_in(plan: Plan, planned: PlannedPass, unit: int) -> Ink | None:
    """The ink that stays on an idle unit while a pass runs; None for a clean one."""
    return next(
        (
            held.ink
            for held in plan.spans
            if held.unit == unit and held.holding is Holding.STANDING and held.start <= planned.run_start < held.end
        ),
        None,
    )


def idle_or(ink: Ink | None, width: float, face: Face = Face.BODY) -> Piece:
    """An ink with its swatch, or a word for an idle unit."""
    if ink is None:
        return beside([Piece(mm(SWATCH_MM), 0), words(tr("idle"), face, width - mm(SWATCH_MM + 1.5))], 1.5)
    return ink_words(ink, ink.name, face, width)


def late_tag(planned: PlannedPass, figures: Figures, width: float, face: Face = Face.STRONG) -> Piece | None:
    """The mark of a late job, no wider than told; None in time."""
    if not planned.late_seconds:
        return None
    return tag(tr("LATE {time}").format(time=figures.hours_minutes(planned.late_seconds)), width, face)


def due_text(planned: PlannedPass, figures: Figures) -> str:
    """When the job is due, with the day where that is not the day its run ends."""
    due = planned.job.due_s
    return tr("no due time") if due is None else moment(due, planned.run_end, figures)


def times_row(planned: PlannedPass, figures: Figures, width: float) -> Piece:
    """Make-ready, run and due time, each to be found at a glance under what it is."""
    columns = Columns.of(width, (0, 0, 47))
    people = tr("Make-ready {n} min, {crew} people") if planned.crew > 1 else tr("Make-ready {n} min, one person")
    ready = people.format(n=figures.minutes(planned.makeready_seconds), crew=planned.crew)
    run_seconds = sum(end - start for start, end in planned.run_pieces)
    run = tr("Run {time}").format(time=figures.hours_minutes(run_seconds))
    told = (
        (ready, _day_span(planned.makeready_start, planned.makeready_end, figures)),
        (run, _day_span(planned.run_start, planned.run_end, figures)),
        _due(planned, figures),
    )
    return columns.row(
        [
            stack([words(name, Face.SMALL, wide), words(value, Face.KEY, wide)])
            for (name, value), wide in zip(told, columns.widths, strict=True)
        ]
    )


def work_row(plan: Plan, planned: PlannedPass, figures: Figures, width: float) -> Piece:
    """Inks and plates by unit, and the paper."""
    p, columns = planned.print_pass, Columns.of(width, (0, 0, 0))
    units = [_unit(plan, planned, unit, columns.widths[unit - 1]) for unit in (1, 2)]
    everything = figures.count(p.run_sheets + p.makeready_waste)
    sheets = tr("{good} good sheets, {n} in all").format(good=figures.count(p.sheets), n=everything)
    wide = columns.widths[2]
    paper = [words(f"{p.stock.name}, {p.format.label}", Face.STRONG, wide), words(sheets, Face.BODY, wide)]
    return columns.row([*units, stack(paper)])


def _due(planned: PlannedPass, figures: Figures) -> tuple[str, str]:
    due = planned.job.due_s
    if due is None:
        return tr("No due time"), "–"
    same = figures.local(due).date() == figures.local(planned.run_end).date()
    name = tr("Due") if same else tr("Due {day}").format(day=figures.short_day(due))
    return name, figures.clock(due)


def _day_span(start: int, end: int, figures: Figures) -> str:
    return f"{figures.weekday(start)} {span(start, end, figures)}"


def _unit(plan: Plan, planned: PlannedPass, unit: int, width: float) -> Piece:
    ink = ink_in(planned, unit)
    name = words(tr("Unit {n}").format(n=unit), Face.STRONG, mm(12))
    rows = [beside([name, idle_or(ink, width - mm(13), Face.STRONG)], 1)]
    if ink is not None:
        plate = planned.print_pass.separation_of(ink.id).plate.id
        rows.append(words(tr("plate {id}").format(id=plate), Face.BODY, width))
    elif (standing := standing_in(plan, planned, unit)) is not None:
        rows.append(words(tr("{ink} stays in it").format(ink=standing.name), Face.BODY, width))
    return stack(rows)
