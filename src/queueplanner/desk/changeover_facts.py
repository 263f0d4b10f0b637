"""What the changeover panel shows of a selected pass or evening, without a window."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from queueplanner.desk.day_model import Pick
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Plan, PlannedPass, PlannedTask, UnitSpan
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import LaySide, PrintPass
from queueplanner.shop.stock import Stock


class Item(StrEnum):
    """What can differ between two passes."""

    FORMAT = "format"
    FEED_EDGE = "feed edge"
    LAY_SIDE = "lay side"
    STOCK = "stock"
    CALIPER = "caliper"


Setting = Format | FeedEdge | LaySide | Stock | int
"""The value of a setting; a caliper is in µm."""


@dataclass(frozen=True, slots=True)
class InkChange:
    """What a unit held before and holds in the run; `used` says whether this pass prints with it."""

    unit: int
    before: Ink | None
    after: Ink | None
    used: bool

    @property
    def same(self) -> bool:
        """Whether the ink stays."""
        before = None if self.before is None else self.before.id
        return before == (None if self.after is None else self.after.id)


@dataclass(frozen=True, slots=True)
class SettingChange:
    """One setting of feeder or delivery; None before is the plan's start, where nothing is listed."""

    item: Item
    before: Setting | None
    after: Setting

    @property
    def same(self) -> bool:
        """Whether it stays as it was."""
        return self.before == self.after


@dataclass(frozen=True, slots=True)
class ChangeoverFacts:
    """One changeover or evening. `inside` are its tasks in the order they are begun, `outside` those done in the run
    before; `seconds` is what the crew needs; moments are epoch seconds.
    """

    planned: PlannedPass | None
    evening: int | None
    start: int
    end: int
    seconds: int
    crew: int
    inks: tuple[InkChange, ...]
    settings: tuple[SettingChange, ...]
    inside: tuple[PlannedTask, ...]
    outside: tuple[PlannedTask, ...]
    warnings: tuple[Reason, ...]

    @property
    def two_persons(self) -> bool:
        """Whether two persons share the work, so that a drawing of who does what is worth showing."""
        return len({task.person for task in self.inside if task.person is not None}) > 1


def changeover_facts(plan: Plan, pick: Pick) -> ChangeoverFacts | None:
    """What there is to show of a selection; None when the plan does not hold it."""
    if pick.pass_id is not None:
        place = next((i for i, p in enumerate(plan.passes) if p.id == pick.pass_id), None)
        return None if place is None else _of_pass(plan, place)
    return next((_of_evening(plan, i) for i, e in enumerate(plan.evenings) if e.day == pick.evening), None)


def task_order(tasks: Sequence[PlannedTask]) -> tuple[PlannedTask, ...]:
    """The tasks that take make-ready time in the order they are begun; at one moment the first person's first."""
    inside = [t for t in tasks if not t.external]
    return tuple(sorted(inside, key=lambda t: (t.start or 0, t.person or 0)))


def _of_pass(plan: Plan, place: int) -> ChangeoverFacts:
    planned = plan.passes[place]
    return ChangeoverFacts(
        planned=planned,
        evening=None,
        start=planned.makeready_start,
        end=planned.makeready_end,
        seconds=planned.makeready_seconds,
        crew=planned.crew,
        inks=tuple(_ink_changes(plan, planned.makeready_start, planned.run_start, planned)),
        settings=tuple(_settings(plan.passes[place - 1] if place else None, planned)),
        inside=task_order(planned.tasks),
        outside=tuple(t for t in planned.tasks if t.external),
        warnings=planned.warnings,
    )


def _of_evening(plan: Plan, index: int) -> ChangeoverFacts:
    evening = plan.evenings[index]
    return ChangeoverFacts(
        planned=None,
        evening=evening.day,
        start=evening.start,
        end=evening.end,
        seconds=evening.seconds,
        crew=evening.crew,
        inks=tuple(_ink_changes(plan, evening.start, evening.end, None)),
        settings=(),
        inside=task_order(evening.tasks),
        outside=(),
        warnings=(),
    )


def _ink_changes(plan: Plan, before: int, after: int, planned: PlannedPass | None) -> Iterator[InkChange]:
    used = set(planned.unit_of.values()) if planned else set()
    for unit in sorted({span.unit for span in plan.spans}):
        spans = [s for s in plan.spans if s.unit == unit]
        old = _ink_from(spans, before) if before == plan.start else _ink_until(spans, before)
        new = _ink_until(spans, after) if planned is None else _ink_from(spans, after)
        yield InkChange(unit, old, new, unit in used)


def _ink_from(spans: Sequence[UnitSpan], moment: int) -> Ink | None:
    """The ink a unit holds from a moment on."""
    return next((s.ink for s in spans if s.start <= moment < s.end), None)


def _ink_until(spans: Sequence[UnitSpan], moment: int) -> Ink | None:
    """The ink a unit holds until a moment."""
    return next((s.ink for s in spans if s.start < moment <= s.end), None)


def _settings(before: PlannedPass | None, now: PlannedPass) -> Iterator[SettingChange]:
    old = _set_for(before.print_pass) if before else {}
    for item, text in _set_for(now.print_pass).items():
        yield SettingChange(item, old.get(item), text)


def _set_for(p: PrintPass) -> dict[Item, Setting]:
    """What feeder and delivery are set for in a pass."""
    return {
        Item.FORMAT: p.format,
        Item.FEED_EDGE: p.feed_edge,
        Item.LAY_SIDE: p.lay_side,
        Item.STOCK: p.stock,
        Item.CALIPER: p.stock.caliper_um,
    }
