"""The sheet on its way through the press, and the value each setting has for it.

A function here gives a setting's value, None when the press lacks the setting or the sheet's fact is unknown. The same
function reads the sheet of this pass and that of the pass before.
"""

from __future__ import annotations

from dataclasses import dataclass

from queueplanner.makeready.card_lines import CardBefore, Value
from queueplanner.makeready.pulleys import PulleyPlaces, place_pulleys
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import Settings
from queueplanner.shop.card_profile import CardProfile, PositionOrigin
from queueplanner.shop.format import FeedEdge
from queueplanner.shop.job import PrintPass
from queueplanner.shop.press import PressProfile, arrival_class
from queueplanner.shop.scale import Quantity
from queueplanner.shop.stock import Grain, Stock


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet on its way through the press. None is unknown.

    `width_mm` lies across the travel, `length_mm` along it. `coverage` sums all inks of the pass, per cent.
    """

    settings: Settings
    stock: Stock | None
    coverage: float | None

    @property
    def width_mm(self) -> float | None:
        """The side across the travel: the leading edge."""
        size, edge = self.settings.format, self.settings.feed_edge
        if size is None or edge is None:
            return None
        return size.long_mm if edge is FeedEdge.LONG else size.short_mm

    @property
    def length_mm(self) -> float | None:
        """The side along the travel."""
        size, edge = self.settings.format, self.settings.feed_edge
        if size is None or edge is None:
            return None
        return size.short_mm if edge is FeedEdge.LONG else size.long_mm

    def quantity(self, by: Quantity) -> float | None:
        """What a scale or rule of the press goes by."""
        speed = self.settings.speed_sph
        return {
            Quantity.CALIPER: self.settings.caliper_um,
            Quantity.GRAMMAGE: None if self.stock is None else self.stock.grammage_gsm,
            Quantity.WIDTH: self.width_mm,
            Quantity.LENGTH: self.length_mm,
            Quantity.SPEED: None if speed is None else float(speed),
            Quantity.COVERAGE: self.coverage,
        }[by]


def sheet_of(press: PressProfile, print_pass: PrintPass) -> Sheet:
    """The sheet of a pass."""
    coverage = sum(s.coverage_percent for s in print_pass.separations)
    return Sheet(Settings.of(print_pass, press), print_pass.stock, coverage)


def sheet_before(before: CardBefore, now: PrintPass) -> Sheet:
    """The sheet of the pass before, as far as it is known; the same stock is known by its id."""
    settings, passed = before.state.settings, before.print_pass
    if passed is not None and passed.stock.id == settings.stock:
        return Sheet(settings, passed.stock, sum(s.coverage_percent for s in passed.separations))
    return Sheet(settings, now.stock if now.stock.id == settings.stock else None, None)


def stock_value(_: CardProfile, sheet: Sheet) -> Value | None:
    """The stock, by name where it is known."""
    if sheet.stock is None:
        return None if sheet.settings.stock is None else Reason.of("stock_id", stock=sheet.settings.stock)
    s = sheet.stock
    return Reason.of("stock", stock=s.name, grammage=s.grammage_gsm, caliper=s.caliper_um, coating=str(s.coating))


def grain_value(_: CardProfile, sheet: Sheet) -> Value | None:
    """Which way the grain runs through the press."""
    if sheet.stock is None or sheet.settings.feed_edge is None:
        return None
    across = (sheet.stock.grain is Grain.LONG) == (sheet.settings.feed_edge is FeedEdge.LONG)
    return Reason.of("grain_across" if across else "grain_along")


def format_value(_: CardProfile, sheet: Sheet) -> Value | None:
    """The size, the feed edge, and both sides as they lie in the press."""
    size, edge, width, length = sheet.settings.format, sheet.settings.feed_edge, sheet.width_mm, sheet.length_mm
    if size is None or edge is None or width is None or length is None:
        return None
    return Reason.of("format", format=size.label, edge=str(edge), width=width, length=length)


def side_stops_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """How far apart the side stops stand."""
    width = sheet.width_mm
    if not card.has.side_stops or width is None:
        return None
    if card.position_origin is PositionOrigin.CENTRE:
        return Reason.of("apart_from_centre", width=width, half=width / 2)
    return Reason.of("apart", width=width)


def rear_stop_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The feeder's rear stop."""
    return _length(sheet) if card.has.rear_stop else None


def rear_blowers_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The rear blowers."""
    return _length(sheet) if card.has.rear_blowers else None


def _length(sheet: Sheet) -> Value | None:
    return None if sheet.length_mm is None else Reason.of("length", length=sheet.length_mm)


def lay_side_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The side the sheet is pulled to."""
    side = sheet.settings.lay_side
    return Reason.of("side", side=str(side)) if card.has.lay_side and side is not None else None


def pile_height_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The mark on the press's own pile scale."""
    scale = card.pile_height
    quantity = None if scale is None else sheet.quantity(scale.by)
    return None if scale is None or quantity is None else Reason.of("mark", mark=scale.mark(quantity), unit=scale.unit)


def fingers_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """Whether the separator fingers reach into the pile."""
    caliper = sheet.settings.caliper_um
    if card.fingers_clear_over_um is None or caliper is None:
        return None
    return Reason.of("fingers_clear" if caliper > card.fingers_clear_over_um else "fingers_in")


def air_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """How many sheets float on the blast."""
    caliper = sheet.settings.caliper_um
    if card.float_sheets is None or caliper is None:
        return None
    return Reason.of("float", sheets=card.float_sheets, caliper=caliper)


def detector_range_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The range of the double-sheet detector."""
    if card.detector is None:
        return None
    quantity = sheet.quantity(card.detector.ranges.by)
    return None if quantity is None else Reason.of("word", word=card.detector.ranges.setting(quantity))


def delivery_stop_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The delivery's rear stop: the sheet's length, or taken out."""
    least, length = card.delivery_stop_out_under_mm, sheet.length_mm
    if least is None or length is None:
        return None
    return Reason.of("taken_out", length=length) if length < least else Reason.of("length", length=length)


def joggers_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """Where the delivery joggers jog to."""
    side, width = sheet.settings.lay_side, sheet.width_mm
    if not card.has.delivery_joggers or side is None or width is None:
        return None
    return Reason.of("jog", side=str(side), width=width)


def front_joggers_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """Front joggers on or off."""
    rule, caliper, length = card.front_joggers, sheet.settings.caliper_um, sheet.length_mm
    if rule is None or caliper is None or length is None:
        return None
    stiff = rule.off_over_um is not None and caliper > rule.off_over_um
    small = rule.off_under_length_mm is not None and length < rule.off_under_length_mm
    return Reason.of("off" if stiff or small else "on")


def pulley_places(card: CardProfile, sheet: Sheet) -> PulleyPlaces | None:
    """Where the guide pulleys go; None without pulleys, or where width or strips are unknown."""
    strips, width = sheet.settings.strips, sheet.width_mm
    if card.guide_pulleys is None or strips is None or width is None:
        return None
    return place_pulleys(strips, width, card.guide_pulleys)


def pulleys_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """Where the guide pulleys stand."""
    places, width = pulley_places(card, sheet), sheet.width_mm
    if places is None or width is None:
        return None
    if not sheet.settings.strips:
        return Reason.of("pulleys_unnamed", width=width)
    if not places.positions_mm:
        return Reason.of("pulleys_nowhere", width=width)
    centred = card.position_origin is PositionOrigin.CENTRE
    shift = width / 2 if centred else 0.0
    return Reason.of(
        "pulleys",
        positions=tuple(p - shift for p in places.positions_mm),
        origin=str(card.position_origin),
        left=places.left_over,
        width=width,
    )


def gripper_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """When the delivery grippers open."""
    opening = card.gripper_opening
    if opening is None:
        return None
    quantities = [(rule, sheet.quantity(rule.by)) for rule in opening.rules]
    if any(q is None for _, q in quantities) or sheet.settings.caliper_um is None:
        return None
    steps = sum(rule.steps for rule, q in quantities if q is not None and rule.holds(q))
    return Reason.of("opening", position=opening.position(steps))


def fans_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The level of the fans."""
    if card.fans is None:
        return None
    quantity = sheet.quantity(card.fans.levels.by)
    if quantity is None:
        return None
    return Reason.of("fans", level=card.fans.levels.setting(quantity), fans=", ".join(card.fans.names))


def powder_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """How much powder."""
    quantity = None if card.powder is None else sheet.quantity(card.powder.by)
    return None if card.powder is None or quantity is None else Reason.of("word", word=card.powder.setting(quantity))


def arrival_value(card: CardProfile, sheet: Sheet) -> Value | None:
    """The class of caliper for the timing of the sheet."""
    caliper = sheet.settings.caliper_um
    if not card.has.sheet_arrival or caliper is None:
        return None
    return Reason.of("word", word=arrival_class(caliper))


def speed_value(_: CardProfile, sheet: Sheet) -> Value | None:
    """Sheets an hour."""
    speed = sheet.settings.speed_sph
    return None if speed is None else Reason.of("speed", speed=float(speed))
