"""What has to happen to the ink of one unit: empty, wash, fill, oil, or nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.residue import ResidueModel, WashCount, WashRule, wash_count
from queueplanner.makeready.state import Residue, UnitState
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import PressProfile


@dataclass(frozen=True, slots=True)
class Inking:
    """The ink work of one unit in a changeover or evening, and the unit as it stands after it.

    `washes` counts the washes of the one block; `first` tells whether the first of them is a full first wash
    (an emptied unit that is washed further has only "each more" minutes).
    """

    after: UnitState
    empties: bool = False
    washes: int = 0
    first: bool = False
    fills: bool = False
    oils: bool = False
    why_out: Reason | None = None
    why_wash: Reason | None = None
    warnings: tuple[Reason, ...] = ()

    def wash_seconds(self, press: PressProfile) -> int:
        """Seconds of the wash block."""
        return press.tasks["wash_rollers"].wash_seconds(self.washes, self.first)


def residue_model(press: PressProfile) -> ResidueModel:
    """The residue constants a press is reckoned with."""
    return ResidueModel(c0=press.residue_c0, r=press.residue_r)


def inking_for(unit: UnitState, wanted: Ink | None, stale: bool, press: PressProfile) -> Inking:
    """The ink work before a pass that wants an ink in the unit, or leaves it idle (None)."""
    if wanted is None:
        return _falling_idle(unit, stale)
    if unit.ink is None:
        return _inked_anew(unit, wanted, press)
    if unit.ink.id != wanted.id:
        return _changed(unit, unit.ink, wanted, press)
    if stale:
        return _renewed(unit, unit.ink)
    return Inking(after=unit)


def evening_inking(unit: UnitState) -> Inking:
    """The ink work of an evening wash on a unit that holds ink: empty, one wash, oil."""
    assert unit.ink is not None
    return _taken_out(unit, unit.ink, "evening")


def _falling_idle(unit: UnitState, stale: bool) -> Inking:
    if unit.ink is None:
        return Inking(after=replace(unit, oiled=True), oils=not unit.oiled)
    if stale:
        return _taken_out(unit, unit.ink, "stale")
    return Inking(after=unit)


def _taken_out(unit: UnitState, ink: Ink, cause: str) -> Inking:
    return Inking(
        after=replace(unit, ink=None, reduced=False, residue=Residue(ink, 1), oiled=True),
        empties=True,
        washes=1,
        first=True,
        oils=True,
        why_out=Reason.of(f"ink_out_{cause}", ink=ink.name, hours=ink.open_time_h),
        why_wash=Reason.of(f"wash_{cause}", ink=ink.name),
    )


def _renewed(unit: UnitState, ink: Ink) -> Inking:
    return Inking(
        after=_holding(unit, ink),
        empties=True,
        washes=1,
        first=True,
        fills=True,
        why_out=Reason.of("ink_out_stale", ink=ink.name, hours=ink.open_time_h),
        why_wash=Reason.of("wash_stale", ink=ink.name),
    )


def _inked_anew(unit: UnitState, wanted: Ink, press: PressProfile) -> Inking:
    residue = unit.residue
    if residue is None or residue.ink.id == wanted.id:
        return Inking(after=_holding(unit, wanted), fills=True)
    count = wash_count(residue.ink, wanted, residue_model(press), press.overrides)
    more = max(0, count.washes - residue.washes)
    return Inking(
        after=_holding(unit, wanted),
        washes=more,
        fills=True,
        why_wash=wash_reason(residue.ink, wanted, count, residue.washes) if more else None,
        warnings=wash_warnings(residue.ink, wanted, count),
    )


def _changed(unit: UnitState, old: Ink, wanted: Ink, press: PressProfile) -> Inking:
    count = wash_count(old, wanted, residue_model(press), press.overrides)
    return Inking(
        after=_holding(unit, wanted),
        empties=True,
        washes=count.washes,
        first=True,
        fills=True,
        why_out=Reason.of("ink_out", ink=old.name, new=wanted.name),
        why_wash=wash_reason(old, wanted, count, 0),
        warnings=wash_warnings(old, wanted, count),
    )


def _holding(unit: UnitState, ink: Ink) -> UnitState:
    return replace(unit, ink=ink, reduced=False, residue=None, oiled=False)


def wash_reason(old: Ink, new: Ink, count: WashCount, done: int = 0) -> Reason:
    """Why an ink is washed out so often before another; `done` of the washes have been done before."""
    code = (
        "wash_"
        + {
            WashRule.COLOUR: "colour",
            WashRule.OVERRIDE: "override",
            WashRule.METALLIC_OR_FLUORESCENT: "special",
            WashRule.FAMILY: "family",
        }[count.rule]
    )
    facts = Reason.of(code, old=old.name, new=new.name, washes=count.washes, done=done)
    if count.differences and count.tolerance is not None:
        seen = (("differences", count.differences), ("tolerance", count.tolerance))
        return replace(facts, facts=facts.facts + seen)
    return facts


def wash_warnings(old: Ink, new: Ink, count: WashCount) -> tuple[Reason, ...]:
    """What is to be looked at: where no number of washes brings the new ink within its tolerance."""
    if not count.beyond_tolerance or count.tolerance is None:
        return ()
    left = count.differences[-1]
    return (
        Reason.of(
            "wash_not_enough",
            old=old.name,
            new=new.name,
            washes=count.washes,
            left=left,
            tolerance=count.tolerance,
        ),
    )
