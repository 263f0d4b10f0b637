"""The lines of a settings card about the ink of each unit, its fountain, and the order of tack."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.makeready.card_lines import HANDS, TURNING, CardLine, Caution, step
from queueplanner.makeready.card_scene import CardScene
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.card_profile import CardGroup

_INK = CardGroup.INK
_WASH = (Caution.TURNING, Caution.SOLVENT)


def ink_lines(s: CardScene) -> Iterator[CardLine]:
    """The ink of each unit, its fountain, and the order of tack."""
    for unit in s.units:
        if unit in s.used or s.press.idle_throw_off:
            yield _unit_on(s, unit)
        yield from _ink_of_unit(s, unit)
    yield from _tack(s)
    blankets = s.work.why("wash_blankets")
    if blankets is not None:
        yield step(_INK, "wash_blankets", blankets, _WASH)


def _unit_on(s: CardScene, unit: int) -> CardLine:
    """Whether a unit prints, or its form rollers, dampening and impression are thrown off."""
    now, printed = Reason.of("on" if unit in s.used else "off"), s.before.state.printed
    was = Reason.of("on" if unit in printed else "off") if printed else None
    why = Reason.of("unit_prints" if unit in s.used else "unit_idle")
    return CardLine(_INK, "unit_on", now, was, now != was, why, HANDS, unit)


def _ink_of_unit(s: CardScene, unit: int) -> Iterator[CardLine]:
    has, old = s.press.card.has, s.before.state.unit(unit).ink
    fills, empties = s.work.why("fill_fountain", unit), s.work.why("empty_fountain", unit)
    was = Reason.of("no_ink") if old is None else Reason.of("ink", ink=old.name)
    now = Reason.of("no_ink")
    if unit in s.used:
        now = Reason.of("ink", ink=s.used[unit].ink.name)
    elif old is not None and empties is None:
        now = Reason.of("ink_idle", ink=old.name)
    why = fills or empties or Reason.of("ink_stays" if unit in s.used else "unit_idle")
    changed = fills is not None or empties is not None
    if unit in s.used or old is not None:
        yield CardLine(_INK, "ink", now, was, changed, why, HANDS, unit)
    if (washes := s.work.why("wash_rollers", unit)) is not None:
        yield step(_INK, "wash_rollers", washes, _WASH, unit)
    if fills is not None and has.fountain_side_plates:
        yield step(_INK, "fountain_side_plates", fills, HANDS, unit)
    if fills is not None:
        yield step(_INK, "spread_ink", fills, HANDS, unit)
    if unit in s.used:
        yield _coverage_line(s, unit)
    elif has.idle_unit_oiled and (oils := s.work.why("oil_rollers", unit)) is not None:
        yield step(_INK, "idle_oil", oils, TURNING, unit)


def _coverage_line(s: CardScene, unit: int) -> CardLine:
    now = Reason.of("percent", percent=s.used[unit].coverage_percent)
    old, passed = s.before.state.unit(unit).ink, s.before.print_pass
    shares = [] if passed is None or old is None else [p for p in passed.separations if p.ink.id == old.id]
    was = Reason.of("percent", percent=shares[0].coverage_percent) if shares else None
    fresh = s.work.first_why(("put_plate_on", "fill_fountain"), unit) is not None
    why = Reason.of("by_coverage_of_plate")
    return CardLine(_INK, "ink_keys", now, was, fresh or now != was, why, TURNING, unit)


def _tack(s: CardScene) -> Iterator[CardLine]:
    if len(s.used) < 2 or not (s.print_pass.overprint or s.press.common_blanket):
        return
    first, second = s.used[1].ink, s.used[2].ink
    why = Reason.of("tack_falls")
    if first.tack is None or second.tack is None or first.tack.instrument != second.tack.instrument:
        yield CardLine(_INK, "tack_order", Reason.of("tack_unknown"), None, False, why)
    else:
        order = Reason.of("tack", first=first.tack.value, second=second.tack.value)
        yield CardLine(_INK, "tack_order", order, None, False, why)
    oil, reduces = s.press.card.reducing_oil, s.work.why("reduce_tack")
    if oil is not None and reduces is not None:
        share = Reason.of("oil_share", first=oil.first_percent, most=oil.most_percent)
        yield CardLine(_INK, "reducing_oil", share, None, True, reduces, (Caution.CHEMICALS,), 2)
