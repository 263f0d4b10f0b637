"""The settings card of a pass: everything the operator sets, what it is now, and what it was at the pass before."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from queueplanner.makeready.card_dampening import dampening_lines, mix
from queueplanner.makeready.card_ink import ink_lines
from queueplanner.makeready.card_lines import (
    HANDS,
    TURNING,
    CardBefore,
    CardLine,
    CardTask,
    Caution,
    SettingsCard,
    Work,
    step,
)
from queueplanner.makeready.card_plates import plate_lines
from queueplanner.makeready.card_scene import CardScene
from queueplanner.makeready.card_sheet import (
    DELIVERY_SETTINGS,
    FEEDER_SETTINGS,
    RUN_SETTINGS,
    STOCK_SETTINGS,
    SheetSetting,
    own_scale_lines,
)
from queueplanner.makeready.card_values import Sheet, pulley_places, sheet_before, sheet_of
from queueplanner.makeready.changeover import Moment, changeover
from queueplanner.makeready.paper import paper_need
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.base import InkId
from queueplanner.shop.card_profile import CardGroup, CardProfile
from queueplanner.shop.job import PrintPass
from queueplanner.shop.press import PressProfile, arrival_class

_LOAD = (Caution.LOAD,)


def settings_card(
    press: PressProfile,
    print_pass: PrintPass,
    unit_of: Mapping[InkId, int],
    before: CardBefore | None = None,
    tasks: Iterable[CardTask] | None = None,
) -> SettingsCard:
    """The card of a pass printed with its inks in the given units.

    `before` is what stood on the press; None when nothing is known. `tasks` are those of the changeover as planned,
    so that the card marks as changed what they set; without them the changeover is reckoned here, nothing stale.
    Raises KeyError for an ink without a unit.
    """
    stood = before or CardBefore.unknown(press)
    work = Work.of(_reckoned(press, print_pass, unit_of, stood) if tasks is None else tasks)
    now, old = sheet_of(press, print_pass), sheet_before(stood, print_pass)
    used = {unit_of[s.ink.id]: s for s in print_pass.separations}
    scene = CardScene(press, print_pass, used, stood, now, old, work)
    lines = (*_sheet_lines(scene), *_unit_lines(scene), *_run_lines(scene))
    return SettingsCard(print_pass, lines, tuple(_warnings(press, now, print_pass)))


def _reckoned(
    press: PressProfile, print_pass: PrintPass, unit_of: Mapping[InkId, int], before: CardBefore
) -> Iterable[CardTask]:
    ended = max((unit.last_run_end or 0 for unit in before.state.units), default=0)
    units = tuple(unit_of[s.ink.id] for s in print_pass.separations)
    return changeover(press, before.state, print_pass, units, Moment(ended)).lines


def _sheet_lines(s: CardScene) -> Iterator[CardLine]:
    yield from _settings(s, STOCK_SETTINGS)
    yield from _pile(s)
    yield from _own(s, CardGroup.STOCK)
    yield from _settings(s, FEEDER_SETTINGS)
    yield from _own(s, CardGroup.FEEDER)
    yield from _settings(s, DELIVERY_SETTINGS)
    yield from _own(s, CardGroup.DELIVERY)


def _unit_lines(s: CardScene) -> Iterator[CardLine]:
    yield from plate_lines(s)
    yield from _own(s, CardGroup.PLATES)
    yield from ink_lines(s)
    yield from _own(s, CardGroup.INK)
    yield from dampening_lines(s)
    yield from _own(s, CardGroup.DAMPENING)


def _run_lines(s: CardScene) -> Iterator[CardLine]:
    yield from _settings(s, RUN_SETTINGS)
    yield from _own(s, CardGroup.RUN)
    yield step(CardGroup.RUN, "paper_run", Reason.of("after_all_settings"), TURNING)


def _settings(s: CardScene, settings: Iterable[SheetSetting]) -> Iterator[CardLine]:
    for setting in settings:
        line = setting.line(s.press.card, s.sheet, s.sheet_before, s.work)
        if line is not None:
            yield line
            yield from _STEPS_AFTER.get(setting.key, _nothing)(s)


def _nothing(_: CardScene) -> Iterator[CardLine]:
    return iter(())


def _own(s: CardScene, group: CardGroup) -> Iterator[CardLine]:
    yield from own_scale_lines(s.press.card, group, s.sheet, s.sheet_before)
    for own in s.press.card.steps:
        if own.group is group:
            yield step(group, "own_step", Reason.of("own_step", text=own.text), HANDS)


def _pile(s: CardScene) -> Iterator[CardLine]:
    """The paper of the pass: aired, loaded, and turned when it backs up a first side."""
    need = paper_need(s.press, s.print_pass)
    why = Reason.of("to_be_loaded")
    sheets = Reason.of(
        "sheets", all=need.sheets, good=need.good, running=need.running_waste, makeready=need.makeready_waste
    )
    yield CardLine(CardGroup.STOCK, "sheets", sheets, None, True, why)
    piles = Reason.of(
        "piles", piles=len(need.feed_piles), height=need.feed_piles[0].height_mm, kg=need.feed_piles[0].kg
    )
    yield CardLine(CardGroup.STOCK, "pile", piles, None, True, why, _LOAD)
    if s.press.card.has.stock_aired:
        yield step(CardGroup.STOCK, "air_stock", Reason.of("no_two_sheets_cling"))
    if s.print_pass.first_side is not None:
        backs_up = Reason.of("backs_up", first=s.print_pass.first_side)
        yield step(CardGroup.STOCK, "turn_pile", backs_up, _LOAD)


def _detector(s: CardScene) -> Iterator[CardLine]:
    """How the double-sheet detector is set, when it is."""
    detector, why = s.press.card.detector, s.work.why("set_double_sheet_detector")
    if detector is None or why is None:
        return
    sheets = Reason.of("count", count=detector.positioning_sheets)
    yield CardLine(CardGroup.FEEDER, "positioning_sheets", sheets, None, True, why, TURNING)
    how = Reason.of("graduations", count=detector.graduations_more)
    if detector.procedure is not None:
        how = Reason.of("word", word=detector.procedure)
    yield CardLine(CardGroup.FEEDER, "detector_procedure", how, None, True, why, TURNING)


def _covers(s: CardScene) -> Iterator[CardLine]:
    if s.press.card.has.pulley_covers and s.work.why("move_guide_pulleys") is not None:
        yield step(CardGroup.DELIVERY, "pulley_covers", Reason.of("covers_wear"), HANDS)


def _arrival(s: CardScene) -> Iterator[CardLine]:
    caliper = s.print_pass.stock.caliper_um
    if arrival_class(caliper) != "normal":
        yield step(CardGroup.DELIVERY, "sheet_arrival_check", Reason.of("arrival_shows", caliper=caliper), TURNING)


#: Steps that stand right after the setting they belong to.
_STEPS_AFTER: Mapping[str, Callable[[CardScene], Iterator[CardLine]]] = {
    "detector_range": _detector,
    "guide_pulleys": _covers,
    "sheet_arrival": _arrival,
}


def _warnings(press: PressProfile, sheet: Sheet, print_pass: PrintPass) -> Iterator[Reason]:
    card = press.card
    yield from _off_scale(card, sheet)
    places = pulley_places(card, sheet)
    if places is not None and print_pass.strips and not places.positions_mm and card.guide_pulleys is not None:
        yield Reason.of("no_strip_fits", widest=places.widest_mm, least=card.guide_pulleys.least_strip_mm)
    if card.dampening is not None and mix(press, print_pass.plate_material) is None:
        yield Reason.of("no_mix", material=str(print_pass.plate_material))


def _off_scale(card: CardProfile, sheet: Sheet) -> Iterator[Reason]:
    named = [("pile_height", card.pile_height), ("printing_pressure", card.printing_pressure)]
    for name, scale in (*named, *((own.name, own.scale) for own in card.scales)):
        quantity = None if scale is None else sheet.quantity(scale.by)
        if scale is not None and quantity is not None and not scale.reaches(quantity):
            yield Reason.of("off_scale", scale=name, by=str(scale.by), value=quantity)
