"""The lines of a settings card about the dampening solution."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.makeready.card_lines import CardLine, Caution, Value
from queueplanner.makeready.card_scene import CardScene
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.card_profile import CardGroup
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.press import PressProfile

_DAMPENING = CardGroup.DAMPENING
_CHEMICALS = (Caution.CHEMICALS,)


def dampening_lines(s: CardScene) -> Iterator[CardLine]:
    """The mix for the plates, and how the solution is watched."""
    d = s.press.card.dampening
    if d is None:
        return
    material, why = s.print_pass.plate_material, s.work.why("change_dampening")
    shown = why or Reason.of("solution_stays")
    now, was = mix(s.press, material), mix(s.press, s.before.state.solution)
    if now is not None:
        yield CardLine(_DAMPENING, "mix", now, was, why is not None, shown, _CHEMICALS)
    watched = [("ph", Reason.of("ph", least=d.ph.least, most=d.ph.most))]
    if d.hardness_dh is not None:
        watched.append(("hardness", Reason.of("hardness", least=d.hardness_dh.least, most=d.hardness_dh.most)))
    if d.conductivity_rise_us is not None:
        rise = Reason.of("rise", rise=d.conductivity_rise_us, hours=d.check_every_h or 0.0)
        watched.append(("conductivity", rise))
    for key, value in watched:
        yield CardLine(_DAMPENING, key, value, value, why is not None, Reason.of("every_batch"), _CHEMICALS)


def mix(press: PressProfile, material: PlateMaterial | None) -> Value | None:
    """How a tray of solution is mixed for a plate material; None where the profile or the state does not say."""
    d = press.card.dampening
    if d is None or material is None or material not in d.additive_percent:
        return None
    percent = d.additive_percent[material]
    millilitres = percent / 100 * d.tray_l * 1000
    return Reason.of("mix", material=str(material), percent=percent, litres=d.tray_l, millilitres=millilitres)
