"""The timeline in words: what lies under the pointer, and what a pass is, for reading aloud and for the line below."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.figures import Figures
from queueplanner.desk.picture import EveningShape, PassShape, Picture
from queueplanner.desk.wording import task_text
from queueplanner.planning.plan import Holding, UnitSpan


def _tr(text: str) -> str:
    return QCoreApplication.translate("timeline", text)


def late_text(figures: Figures, seconds: int) -> str:
    """`25 min late`."""
    return _tr("{time} late").format(time=figures.hours_minutes(seconds))


def pass_text(figures: Figures, shape: PassShape) -> str:
    """One pass in a sentence."""
    p = shape.planned
    parts = [
        _tr("{place}. {id} {title}").format(place=shape.place, id=p.id, title=p.job.title).strip(),
        _tr("make-ready {start} to {end}, {time}").format(
            start=figures.clock(p.makeready_start),
            end=figures.clock(p.makeready_end),
            time=figures.hours_minutes(p.makeready_seconds),
        ),
    ]
    if p.waits_seconds:
        parts.append(_tr("waits {time}").format(time=figures.hours_minutes(p.waits_seconds)))
    parts.append(_tr("run {start} to {end}").format(start=figures.clock(p.run_start), end=figures.clock(p.run_end)))
    if p.job.due_s is not None:
        parts.append(_tr("due {time}").format(time=figures.day_clock(p.job.due_s)))
    if p.late_seconds:
        parts.append(late_text(figures, p.late_seconds))
    return " · ".join(parts)


def evening_text(figures: Figures, shape: EveningShape) -> str:
    """An evening's wash in a sentence."""
    return _tr("Evening wash {start} to {end}, {time}").format(
        start=figures.clock(shape.start),
        end=figures.clock(shape.end),
        time=figures.hours_minutes(shape.end - shape.start),
    )


def span_text(figures: Figures, span: UnitSpan) -> str:
    """What one unit holds over a stretch of time."""
    when = _tr("{start} to {end}").format(start=figures.clock(span.start), end=figures.clock(span.end))
    words = {Holding.PRINTING: _tr("prints"), Holding.STANDING: _tr("stands"), Holding.CLEAN: _tr("no ink")}
    parts = [_tr("Unit {unit}").format(unit=span.unit)]
    parts.append(f"{span.ink.name} {words[span.holding]}" if span.ink else words[Holding.CLEAN])
    parts.append(_tr("plate {plate}").format(plate=span.plate.id) if span.plate else _tr("no plate"))
    return " · ".join([*parts, when])


def moment_text(figures: Figures, picture: Picture, moment: float, unit: int | None) -> str:
    """What the picture holds at a moment: in a unit's ribbon if one is given, else in the other rows."""
    if unit is not None:
        return next((span_text(figures, s) for s in picture.spans[unit] if s.start <= moment < s.end), "")
    for start, end in picture.plan.closed:
        if start <= moment < end:
            words = _tr("Nobody works from {start} to {end}")
            return words.format(start=figures.day_clock(start), end=figures.day_clock(end))
    for shape in picture.passes_between(moment, moment):
        return _pass_at(figures, shape, moment)
    return next((evening_text(figures, e) for e in picture.evenings if e.start <= moment < e.end), "")


def _pass_at(figures: Figures, shape: PassShape, moment: float) -> str:
    """A pass, with the task that is done at a moment of its make-ready."""
    task = next((bar.task for bar in shape.tasks if bar.start <= moment < bar.end), None)
    if task is None:
        return pass_text(figures, shape)
    return f"{task_text(task)}, {figures.hours_minutes(task.seconds)} · {pass_text(figures, shape)}"
