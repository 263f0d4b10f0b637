"""The settings that follow from the sheet: stock, feeder, delivery, speed. One row a setting."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from queueplanner.makeready.card_lines import HANDS, NO_CAUTION, TURNING, CardLine, Cautions, Value, Work, cautions_of
from queueplanner.makeready.card_values import (
    Sheet,
    air_value,
    arrival_value,
    delivery_stop_value,
    detector_range_value,
    fans_value,
    fingers_value,
    format_value,
    front_joggers_value,
    grain_value,
    gripper_value,
    joggers_value,
    lay_side_value,
    pile_height_value,
    powder_value,
    pulleys_value,
    rear_blowers_value,
    rear_stop_value,
    side_stops_value,
    speed_value,
    stock_value,
)
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.card_profile import CardGroup, CardProfile
from queueplanner.shop.scale import Quantity

Goes = Callable[[CardProfile], Quantity | None]
Basis = Callable[[CardProfile, Sheet], Reason]
#: Quantities whose changes call for no task of the changeover.
_UNWATCHED = (Quantity.GRAMMAGE, Quantity.COVERAGE)


def by_quantity(by: Quantity | None, sheet: Sheet) -> Reason:
    """That a value follows from a quantity of the sheet."""
    quantity = None if by is None else sheet.quantity(by)
    return Reason.of("by_quantity", by=str(by), value=0.0 if quantity is None else quantity)


def _by(by: Quantity) -> Basis:
    return lambda _, sheet: by_quantity(by, sheet)


def _said(code: str) -> Basis:
    return lambda *_: Reason.of(code)


def _by_speed_and_caliper(_: CardProfile, sheet: Sheet) -> Reason:
    speed, caliper = sheet.settings.speed_sph, sheet.settings.caliper_um
    return Reason.of("by_speed_and_caliper", speed=float(speed or 0), caliper=caliper or 0)


@dataclass(frozen=True, slots=True)
class SheetSetting:
    """A row of the card: which tasks set it, its value, what that follows from.

    A row without tasks counts as changed when its value differs; so does one that goes by a quantity (`goes`, where
    the press's profile says which) that no task watches. `cautions` stand for the tasks' own.
    """

    group: CardGroup
    key: str
    tasks: tuple[str, ...]
    value: Callable[[CardProfile, Sheet], Value | None]
    basis: Basis
    cautions: Cautions = NO_CAUTION
    goes: Goes | None = None

    def line(self, card: CardProfile, now: Sheet, before: Sheet, work: Work) -> CardLine | None:
        """The card's line; None when the press lacks the setting."""
        value = self.value(card, now)
        if value is None:
            return None
        old = self.value(card, before)
        tasks = () if self.goes is not None and self.goes(card) in _UNWATCHED else self.tasks
        sets = work.first_why(tasks)
        # A step too small for its task is left as it is, and said to be.
        why = sets or Reason.of("left_as_set") if tasks and old != value else self.basis(card, now)
        changed = old != value and (sets is not None or not tasks)
        return CardLine(self.group, self.key, value, old, changed, why, self.cautions or cautions_of(self.tasks))


def _scaled(
    group: CardGroup,
    key: str,
    tasks: tuple[str, ...],
    value: Callable[[CardProfile, Sheet], Value | None],
    goes: Goes,
    cautions: Cautions = NO_CAUTION,
) -> SheetSetting:
    """A row whose quantity the profile chooses."""
    return SheetSetting(group, key, tasks, value, lambda c, sheet: by_quantity(goes(c), sheet), cautions, goes)


_CALIPER, _LENGTH, _WIDTH = _by(Quantity.CALIPER), _by(Quantity.LENGTH), _by(Quantity.WIDTH)
_G = CardGroup
_FEEDER, _DELIVERY, _LOOKS = ("feeder_to_format",), ("delivery_to_format",), ("feeder_to_caliper",)
_DETECTOR, _GRIPPER = ("set_double_sheet_detector",), ("set_gripper_fans_powder",)

STOCK_SETTINGS = (
    SheetSetting(_G.STOCK, "stock", (), stock_value, _said("by_job")),
    SheetSetting(_G.STOCK, "grain", (), grain_value, _said("by_grain")),
)
FEEDER_SETTINGS = (
    SheetSetting(_G.FEEDER, "format", _FEEDER, format_value, _said("by_job")),
    SheetSetting(_G.FEEDER, "side_stops", _FEEDER, side_stops_value, _WIDTH),
    SheetSetting(_G.FEEDER, "rear_stop", _FEEDER, rear_stop_value, _LENGTH),
    SheetSetting(_G.FEEDER, "rear_blowers", _FEEDER, rear_blowers_value, _LENGTH),
    SheetSetting(_G.FEEDER, "lay_side", ("change_lay_side",), lay_side_value, _said("by_job")),
    _scaled(_G.FEEDER, "pile_height", _LOOKS, pile_height_value, lambda c: c.pile_height.by if c.pile_height else None),
    SheetSetting(_G.FEEDER, "separator_fingers", _LOOKS, fingers_value, _CALIPER),
    SheetSetting(_G.FEEDER, "air", _LOOKS, air_value, _CALIPER, TURNING),
    _scaled(
        _G.FEEDER,
        "detector_range",
        _DETECTOR,
        detector_range_value,
        lambda c: c.detector.ranges.by if c.detector else None,
    ),
)
DELIVERY_SETTINGS = (
    SheetSetting(_G.DELIVERY, "delivery_rear_stop", _DELIVERY, delivery_stop_value, _LENGTH),
    SheetSetting(_G.DELIVERY, "delivery_joggers", ("delivery_to_format", "change_lay_side"), joggers_value, _WIDTH),
    SheetSetting(
        _G.DELIVERY, "front_joggers", ("delivery_to_format", "set_gripper_fans_powder"), front_joggers_value, _CALIPER
    ),
    SheetSetting(_G.DELIVERY, "guide_pulleys", ("move_guide_pulleys",), pulleys_value, _said("by_strips")),
    SheetSetting(_G.DELIVERY, "gripper_opening", _GRIPPER, gripper_value, _by_speed_and_caliper),
    _scaled(_G.DELIVERY, "fans", _GRIPPER, fans_value, lambda c: c.fans.levels.by if c.fans else None),
    _scaled(_G.DELIVERY, "powder", (), powder_value, lambda c: c.powder.by if c.powder else None, TURNING),
    SheetSetting(_G.DELIVERY, "sheet_arrival", ("retime_sheet_arrival",), arrival_value, _CALIPER),
)
RUN_SETTINGS = (SheetSetting(_G.RUN, "speed", (), speed_value, _said("by_stock_and_coverage"), TURNING),)


def own_scale_lines(card: CardProfile, group: CardGroup, now: Sheet, before: Sheet) -> Iterator[CardLine]:
    """The scales that only this press has, in one part of the card."""
    for own in card.scales:
        if own.group is not group:
            continue
        quantity, old = now.quantity(own.scale.by), before.quantity(own.scale.by)
        if quantity is None:
            continue
        mark = Reason.of("mark", mark=own.scale.mark(quantity), unit=own.scale.unit)
        was = None if old is None else Reason.of("mark", mark=own.scale.mark(old), unit=own.scale.unit)
        why = Reason.of("own_scale", name=own.name, by=str(own.scale.by), value=quantity)
        yield CardLine(group, "own_scale", mark, was, mark != was, why, HANDS)
