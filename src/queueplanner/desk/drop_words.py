"""What a drop would change, in words: the label beside the pass in the hand, and what is read aloud of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum, auto

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.figures import Figures
from queueplanner.desk.timeline_drag import Drop, Forbidden, Forbids, Lateness, PassDrag


def _tr(text: str) -> str:
    return QCoreApplication.translate("drop", text)


class Tone(Enum):
    """What a line says, so that it gets its sign: a plain line, a job late, a job no longer late, a rule in the way."""

    PLAIN = auto()
    LATE = auto()
    BETTER = auto()
    FORBIDDEN = auto()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the label."""

    text: str
    tone: Tone = Tone.PLAIN


def label_lines(figures: Figures, drag: PassDrag) -> tuple[Line, ...]:
    """The label of a pass in the hand: where it would go, then what that changes."""
    answer = drag.answer()
    if answer is None:
        return (Line(where_text(drag)), Line(_tr("reckoning…")))
    return (Line(where_text(drag)), *answer_lines(figures, answer, stays=drag.place == drag.own))


def label_sentence(figures: Figures, drag: PassDrag) -> str:
    """The label as one sentence."""
    head, *rest = (line.text for line in label_lines(figures, drag))
    return f"{head}: {'; '.join(rest)}" if rest else head


def where_text(drag: PassDrag) -> str:
    """`1052 to place 7 of 20`."""
    if drag.place == drag.own:
        return _tr("{id} stays at place {place} of {all}").format(
            id=drag.pass_id, place=drag.own + 1, all=drag.last + 1
        )
    return _tr("{id} to place {place} of {all}").format(id=drag.pass_id, place=drag.place + 1, all=drag.last + 1)


def answer_lines(figures: Figures, answer: Drop | Forbidden, *, stays: bool = False) -> tuple[Line, ...]:
    """`saves 12 min, 1 wash-up`, `1052 late by 25 min`, or the rule in the way."""
    if isinstance(answer, Forbidden):
        return (Line(_tr("Not here: {rule}").format(rule=rule_text(answer)), Tone.FORBIDDEN),)
    if stays:
        return ()
    worse = [late for late in answer.lateness if late.then > late.now]
    better = [late for late in reversed(answer.lateness) if late.then < late.now]
    return (Line("; ".join(_minutes_and_washes(figures, answer))), *_worse(figures, worse), *_better(figures, better))


def rule_text(rule: Forbidden) -> str:
    """The rule in the way: `1047 is pinned to place 3`."""
    names = rule.passes
    first, last = names[0], names[-1]
    if rule.rule is Forbids.PINNED:
        return _tr("{id} is pinned to place {place}").format(id=first, place=(rule.place or 0) + 1)
    if rule.rule is Forbids.TOGETHER:
        return _tr("{ids} are kept together").format(ids=", ".join(names))
    sentences = {
        Forbids.STARTED: _tr("{a} is on the press and stays first"),
        Forbids.TURN: _tr("{b} runs after {a}"),
        Forbids.SECOND_SIDE: _tr("{b} prints the back of {a}"),
        Forbids.CALENDAR: _tr("no working day would hold it"),
    }
    return sentences[rule.rule].format(a=first, b=last)


def _minutes_and_washes(figures: Figures, drop: Drop) -> Iterator[str]:
    minutes, washes = drop.makeready_seconds, drop.wash_ups
    saved = [*_minutes(figures, -minutes), *_washes(figures, -washes)]
    spent = [*_minutes(figures, minutes), *_washes(figures, washes)]
    if saved:
        yield _tr("saves {what}").format(what=", ".join(saved))
    if spent:
        yield _tr("costs {what}").format(what=", ".join(spent))
    if not saved and not spent:
        yield _tr("same make-ready, same wash-ups")


def _minutes(figures: Figures, seconds: int) -> Iterator[str]:
    if seconds > 0:
        yield minutes_text(figures, seconds)


def _washes(figures: Figures, count: int) -> Iterator[str]:
    if count == 1:
        yield _tr("1 wash-up")
    elif count > 1:
        yield _tr("{count} wash-ups").format(count=figures.count(count))


def minutes_text(figures: Figures, seconds: int) -> str:
    """`12 min`, `1.5 min` or `1 h 05 min`: short times to the tenth, where it is not a whole minute."""
    if seconds < 3600 and seconds % 60:
        return _tr("{minutes} min").format(minutes=figures.minutes(seconds))
    return figures.hours_minutes(seconds)


def _worse(figures: Figures, late: Sequence[Lateness]) -> Iterator[Line]:
    if not late:
        return
    worst = late[0]
    sentence = _tr("{job} late by {by}, {more} more") if worst.now else _tr("{job} late by {by}")
    by, more = figures.hours_minutes(worst.then), figures.hours_minutes(worst.then - worst.now)
    yield Line(_and_others(sentence.format(job=worst.job, by=by, more=more), len(late) - 1, figures), Tone.LATE)


def _better(figures: Figures, late: Sequence[Lateness]) -> Iterator[Line]:
    if not late:
        return
    best = late[0]
    sentence = _tr("{job} less late by {by}") if best.then else _tr("{job} on time")
    text = sentence.format(job=best.job, by=figures.hours_minutes(best.now - best.then))
    yield Line(_and_others(text, len(late) - 1, figures), Tone.BETTER)


def _and_others(text: str, others: int, figures: Figures) -> str:
    if not others:
        return text
    if others == 1:
        return _tr("{text}, and 1 other job").format(text=text)
    return _tr("{text}, and {others} other jobs").format(text=text, others=figures.count(others))
