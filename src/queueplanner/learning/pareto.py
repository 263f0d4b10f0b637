"""Where the minutes went: stops by reason, changeovers by what they were for and who did them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate

import numpy as np

from queueplanner.learning.actuals import ActualChangeover, ActualRun, ActualTask, Trigger
from queueplanner.learning.arrays import floats
from queueplanner.learning.shrinkage import common_centre, drawn_in, spread_between


@dataclass(frozen=True, slots=True)
class ParetoRow:
    """One bar: how often, how much, its share of all, and the share of it and the bars before."""

    key: str
    count: int
    amount: float
    share: float
    running_share: float


@dataclass(frozen=True, slots=True)
class CostRow:
    """What one cause cost.

    `changeovers` it was in, by their positions in the list given; seconds planned and spent. `usual_excess` is what
    it costs each time over the plan (seconds), drawn towards that of all causes as far as few cases tell little, so
    that a single bad day makes no habit.
    """

    key: str
    changeovers: tuple[int, ...]
    planned_seconds: float
    actual_seconds: float
    usual_excess: float

    @property
    def excess_seconds(self) -> float:
        """Seconds spent over those planned."""
        return self.actual_seconds - self.planned_seconds


class By(StrEnum):
    """What changeovers are summed by."""

    TRIGGER = "trigger"
    TASK = "task"
    INK_PAIR = "ink pair"
    CREW = "crew"
    PRESS = "press"


Cost = tuple[float, float]
"""Planned and actual seconds."""


def pareto(amounts: Iterable[tuple[str, float]]) -> tuple[ParetoRow, ...]:
    """Amounts of 0 or more summed by key, the largest first (ties by key)."""
    sums: dict[str, list[float]] = defaultdict(list)
    for key, amount in amounts:
        sums[key].append(amount)
    ordered = sorted(((sum(v), key, len(v)) for key, v in sums.items()), key=lambda row: (-row[0], row[1]))
    whole = sum(amount for amount, _, _ in ordered)
    running = accumulate(amount for amount, _, _ in ordered)
    return tuple(
        ParetoRow(key, count, amount, amount / whole if whole else 0.0, until / whole if whole else 0.0)
        for (amount, key, count), until in zip(ordered, running, strict=True)
    )


def stops_by_reason(runs: Iterable[ActualRun]) -> tuple[ParetoRow, ...]:
    """Seconds of stops by their reason."""
    return pareto((stop.reason, stop.seconds) for run in runs for stop in run.stops)


def changeovers_by(changeovers: Iterable[ActualChangeover], by: By) -> tuple[CostRow, ...]:
    """Planned and actual seconds by a cause, the costliest first (ties by key).

    A changeover's seconds are shared out among its tasks in proportion to their ticked seconds, or the planned ones
    where there is no tick, and add up to its total. By ink pair only the ink work counts, of changes from one ink to
    another.
    """
    cases: dict[str, list[tuple[int, Cost]]] = defaultdict(list)
    for position, changeover in enumerate(changeovers):
        for key, cost in _costs(changeover, by).items():
            cases[key].append((position, cost))
    usual = _usual_excesses({key: [spent - due for _, (due, spent) in found] for key, found in cases.items()})
    rows = [
        CostRow(
            key,
            tuple(position for position, _ in found),
            sum(due for _, (due, _) in found),
            sum(spent for _, (_, spent) in found),
            usual[key],
        )
        for key, found in cases.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row.actual_seconds, row.key)))


def shared_out(changeover: ActualChangeover) -> tuple[tuple[ActualTask, Cost], ...]:
    """Each task inside a changeover with its share of the planned and of the actual seconds."""
    tasks = changeover.inside
    due = _shares([task.planned_seconds for task in tasks])
    spent = _shares([task.planned_seconds if task.ticked_seconds is None else task.ticked_seconds for task in tasks])
    return tuple(
        (task, (changeover.planned_seconds * a, changeover.seconds * b))
        for task, a, b in zip(tasks, due, spent, strict=True)
    )


def _shares(seconds: list[float]) -> list[float]:
    whole = sum(seconds)
    return [s / whole if whole > 0 else 1 / len(seconds) for s in seconds]


def _costs(changeover: ActualChangeover, by: By) -> Mapping[str, Cost]:
    """What each cause had of one changeover."""
    whole = (changeover.planned_seconds, changeover.seconds)
    if by is By.CREW:
        return {str(changeover.crew): whole}
    if by is By.PRESS:
        return {changeover.press: whole}
    sums: dict[str, Cost] = {}
    for key, (due, spent) in _keyed(changeover, by):
        before = sums.get(key, (0.0, 0.0))
        sums[key] = (before[0] + due, before[1] + spent)
    return sums


def _keyed(changeover: ActualChangeover, by: By) -> Iterator[tuple[str, Cost]]:
    key = _KEYS[by]
    pairs = {change.unit: f"{change.old} → {change.new}" for change in changeover.ink_changes}
    for task, cost in shared_out(changeover):
        name = key(task, pairs)
        if name is not None:
            yield name, cost


_KEYS: Mapping[By, Callable[[ActualTask, Mapping[int, str]], str | None]] = {
    By.TRIGGER: lambda task, _: str(task.trigger),
    By.TASK: lambda task, _: task.task,
    By.INK_PAIR: lambda task, pairs: pairs.get(task.unit or 0) if task.trigger is Trigger.INK else None,
}


def _usual_excesses(excesses: Mapping[str, list[float]]) -> dict[str, float]:
    """The mean excess of each key, drawn towards the common one; the noise of one case is that within the keys."""
    if not excesses:
        return {}
    means = floats([np.mean(values) for values in excesses.values()])
    within = sum(float(((floats(v) - np.mean(v)) ** 2).sum()) for v in excesses.values())
    freedom = sum(len(v) - 1 for v in excesses.values())
    if within == 0 or freedom == 0:
        return dict(zip(excesses, means.tolist(), strict=True))
    variances = within / freedom / floats([len(v) for v in excesses.values()])
    spread = spread_between(means, variances)
    centre = common_centre(means, variances, spread)
    return dict(zip(excesses, drawn_in(means, variances, centre, spread).tolist(), strict=True))
