"""Sentences about tasks, reasons and claims, as the desk shows them; the table of sentences is exchange's."""

from __future__ import annotations

from queueplanner.exchange.wording import claim_in_words, sentence, task_name, task_words
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Claim, PlannedTask


def task_text(task: PlannedTask) -> str:
    """A task's name, with its unit and the number of washes where it has them."""
    return task_name(task.task, task.unit, task.washes)


def caution_text(task: PlannedTask) -> str:
    """The caution that goes with a task; empty where it has none."""
    return task_words(task.task).caution or ""


def reason_text(reason: Reason) -> str:
    """The sentence of a reason or warning, with a capital and a full stop."""
    text = sentence(reason)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def claim_text(claim: Claim) -> str:
    """How much is known about how good a plan is."""
    return claim_in_words(claim)
