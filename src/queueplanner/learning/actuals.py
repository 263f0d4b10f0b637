"""What happened: changeovers, runs and wash-ups as they were, beside what was planned for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from queueplanner.learning.figures import LineLike, Parts, parts_of
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import PressProfile


class Trigger(StrEnum):
    """What made a task necessary: that which differs between a pass and the one before."""

    INK = "ink"
    PLATE = "plate"
    STOCK = "stock"
    FORMAT = "format"
    LAY_SIDE = "lay side"
    DAMPENING = "dampening"
    SECOND_SIDE = "second side"
    EVERY_PASS = "every pass"
    OWN_TASK = "own task"


@dataclass(frozen=True, slots=True)
class ActualTask:
    """One task of a changeover that was done: as planned, and the seconds from tick to tick where it was ticked.

    `parts` are the figures of the press file that it is the sum of. An `external` one was done in the run before.
    """

    task: str
    planned_seconds: float
    parts: Parts
    trigger: Trigger
    unit: int | None = None
    ticked_seconds: float | None = None
    external: bool = False


@dataclass(frozen=True, slots=True)
class InkChange:
    """One unit's ink taken out (its id) and the ink filled instead."""

    unit: int
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class ActualChangeover:
    """A changeover that was done.

    `moment` is its beginning in epoch seconds, `crew` one or two persons, `planned_seconds` the make-ready planned
    for that crew and `seconds` what it took, breaks left out. `uncertain` marks a time that was not taken at the
    press when it happened.
    """

    pass_id: str
    press: str
    moment: int
    crew: int
    tasks: tuple[ActualTask, ...]
    planned_seconds: float
    seconds: float
    uncertain: bool = False
    ink_changes: tuple[InkChange, ...] = ()

    @property
    def inside(self) -> tuple[ActualTask, ...]:
        """The tasks that took make-ready time: not those done in the run before."""
        return tuple(task for task in self.tasks if not task.external)

    @property
    def planned_sum(self) -> float:
        """Seconds of the planned tasks one after another, as one person does them."""
        return sum(task.planned_seconds for task in self.inside)

    @property
    def crew_ratio(self) -> float:
        """Planned make-ready over the planned sum: 1 for one person, about 0.6 for two; 1 where nothing is planned."""
        return self.planned_seconds / self.planned_sum if self.planned_sum > 0 else 1.0

    @property
    def excess_seconds(self) -> float:
        """What it took over what was planned; negative where it went quicker."""
        return self.seconds - self.planned_seconds


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop in a run: why, and how many seconds."""

    reason: str
    seconds: float


@dataclass(frozen=True, slots=True)
class ActualRun:
    """A run that was made.

    `sheets` went through in `seconds` (breaks left out, stops counted), `good_sheets` of them are good. `waste_sheets`
    counts make-ready sheets too, which are no part of the run. `reload_seconds` were spent renewing piles and
    are not among the stops. `coverage_class` is the name in the press file.
    """

    pass_id: str
    press: str
    moment: int
    stock: str
    coverage_class: str
    sheets: int
    seconds: float
    planned_seconds: float
    good_sheets: int
    waste_sheets: int = 0
    stops: tuple[Stop, ...] = ()
    reload_seconds: float = 0.0

    @property
    def stop_seconds(self) -> float:
        """Seconds of all its stops."""
        return sum(stop.seconds for stop in self.stops)

    @property
    def running_seconds(self) -> float:
        """Seconds in which sheets went through: without stops and reloading."""
        return self.seconds - self.stop_seconds - self.reload_seconds


@dataclass(frozen=True, slots=True)
class ActualWash:
    """One ink washed out before another: how many roller washes were predicted, how many it needed on the sheet."""

    old: Ink
    new: Ink
    predicted: int
    needed: int
    moment: int = 0


def actual_tasks(
    lines: Sequence[LineLike], press: PressProfile, ticked: Mapping[int, float] | None = None
) -> tuple[ActualTask, ...]:
    """The planned lines of a changeover as tasks done; `ticked` gives seconds by position in `lines`."""
    known = ticked or {}
    return tuple(
        ActualTask(
            task=line.task,
            planned_seconds=float(line.seconds),
            parts=parts_of(line, lines, press),
            trigger=trigger_of(line, lines),
            unit=line.unit,
            ticked_seconds=known.get(i),
            external=line.external,
        )
        for i, line in enumerate(lines)
    )


def work_ahead(
    lines: Sequence[LineLike], press: PressProfile, crew: int, makeready_seconds: float, pass_id: str = ""
) -> ActualChangeover:
    """A planned changeover that is still to be done, for what is expected of it: it has taken no time yet."""
    return ActualChangeover(pass_id, press.id, 0, crew, actual_tasks(lines, press), makeready_seconds, 0.0)


_TRIGGERS: Mapping[str, Trigger] = {
    "take_off_delivery_pile": Trigger.EVERY_PASS,
    "load_pile": Trigger.EVERY_PASS,
    "check_first_sheets": Trigger.EVERY_PASS,
    "turn_pile": Trigger.SECOND_SIDE,
    "feeder_to_format": Trigger.FORMAT,
    "delivery_to_format": Trigger.FORMAT,
    "move_guide_pulleys": Trigger.FORMAT,
    "change_lay_side": Trigger.LAY_SIDE,
    "change_dampening": Trigger.DAMPENING,
    **dict.fromkeys(
        ("feeder_to_caliper", "set_printing_pressure", "set_gripper_fans_powder", "retime_sheet_arrival"), Trigger.STOCK
    ),
    **dict.fromkeys(
        (
            "take_plate_off",
            "lift_roller_package",
            "put_plate_on",
            "change_plate_packing",
            "pre_damp_plate",
            "gum_plate",
        ),
        Trigger.PLATE,
    ),
    **dict.fromkeys(("empty_fountain", "wash_rollers", "oil_rollers", "fill_fountain", "reduce_tack"), Trigger.INK),
}
#: Of tasks that come for several causes, the cause by the code of the reason the changeover gave.
_TRIGGERS_BY_REASON: Mapping[str, Trigger] = {
    "stock": Trigger.STOCK,
    "blankets_plate": Trigger.PLATE,
    "blankets_ink": Trigger.INK,
    "blankets_format": Trigger.FORMAT,
    "register_back": Trigger.SECOND_SIDE,
}


_SHEET_CAUSES = (("feeder_to_format", Trigger.FORMAT), ("change_lay_side", Trigger.LAY_SIDE))
_CAUSES = (("put_plate_on", Trigger.PLATE), ("fill_fountain", Trigger.INK), *_SHEET_CAUSES)


def trigger_of(line: LineLike, beside: Sequence[LineLike]) -> Trigger:
    """What made a task necessary.

    Where several causes would do, one is taken: registering counts to the plate that went on, else to the ink that
    was filled, else to format or lay side; the detector, where the stock is the same, to what was set at the feeder.
    """
    if line.task.startswith("own:"):
        return Trigger.OWN_TASK
    known = _TRIGGERS.get(line.task) or _TRIGGERS_BY_REASON.get(line.why.code)
    if known is not None:
        return known
    came = {other.task for other in beside}
    causes = _SHEET_CAUSES if line.task == "set_double_sheet_detector" else _CAUSES
    return next((trigger for task, trigger in causes if task in came), Trigger.STOCK)


def totalled_only(changeover: ActualChangeover) -> ActualChangeover:
    """The same changeover as if only its total had been logged."""
    return replace(changeover, tasks=tuple(replace(task, ticked_seconds=None) for task in changeover.tasks))
