"""Which of the press file's minutes a task line is made of, and how often."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from queueplanner.makeready.reasons import Reason
from queueplanner.shop.base import seconds_of_minutes
from queueplanner.shop.press import PressProfile, TaskMinutes


@dataclass(frozen=True, slots=True, order=True)
class Figure:
    """One figure of the press file: a task's key and which of its minutes.

    `variant` is a field of `TaskMinutes`: minutes, automatic, each_more or second_unit. A shop's own task has the
    key "own:…" and minutes only.
    """

    task: str
    variant: str = "minutes"


Parts = tuple[tuple[Figure, int], ...]
"""The figures a task line is the sum of, each with how often it is in."""


class LineLike(Protocol):
    """A task of a changeover, as a task line or a planned task has it."""

    @property
    def task(self) -> str:
        """Its key."""

    @property
    def unit(self) -> int | None:
        """1 or 2 where it belongs to one."""

    @property
    def seconds(self) -> int:
        """Planned seconds."""

    @property
    def washes(self) -> int:
        """Washes of a wash block."""

    @property
    def external(self) -> bool:
        """Whether it is done in the run before."""

    @property
    def why(self) -> Reason:
        """Why it comes."""


def parts_of(line: LineLike, beside: Iterable[LineLike], press: PressProfile) -> Parts:
    """The figures one line of a changeover is made of; `beside` are all the lines of that changeover.

    A wash block has a full first wash where the same unit's fountain is emptied. A plate was changed by the press
    when its seconds are those of the automatic change (and not, as well, those of the change by hand).
    """
    usual = Figure(line.task)
    if line.task == "wash_rollers":
        emptied = any(o.task == "empty_fountain" and o.unit == line.unit for o in beside)
        return _counted({usual: int(emptied), Figure(line.task, "each_more"): line.washes - int(emptied)})
    if line.task == "register_and_colour":
        fresh = {o.unit for o in beside if o.task in ("put_plate_on", "fill_fountain")}
        return _counted({usual: 1, Figure(line.task, "second_unit"): int(len(fresh) > 1)})
    minutes = press.tasks.get(line.task)
    if minutes is not None and _is_automatic(line.seconds, minutes):
        return ((Figure(line.task, "automatic"), 1),)
    return ((usual, 1),)


def _is_automatic(seconds: int, minutes: TaskMinutes) -> bool:
    if minutes.automatic is None or seconds == minutes.seconds:
        return False
    return seconds == seconds_of_minutes(minutes.automatic)


def _counted(counts: Mapping[Figure, int]) -> Parts:
    return tuple((figure, count) for figure, count in counts.items() if count)


def figure_seconds(press: PressProfile) -> dict[Figure, float]:
    """Seconds of every figure of a press: its tasks with their variants, and the shop's own tasks."""
    found: dict[Figure, float] = {}
    for key, minutes in press.tasks.items():
        for variant in ("minutes", "automatic", "each_more", "second_unit"):
            value = getattr(minutes, variant)
            if value is not None:
                found[Figure(key, variant)] = 60.0 * value
    return found | {Figure(task.key): 60.0 * task.minutes for task in press.own_tasks}
