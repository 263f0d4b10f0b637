"""The lines of a settings card about plates and printing pressure, unit by unit."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.makeready.card_lines import HANDS, TURNING, CardLine, Caution, Value, step
from queueplanner.makeready.card_scene import CardScene
from queueplanner.makeready.card_sheet import by_quantity
from queueplanner.makeready.reasons import Reason
from queueplanner.shop.card_profile import CardGroup
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import PressProfile

_PLATES = CardGroup.PLATES
#: Steps of a unit's plate that come with their task: key, task, cautions.
_PLATE_STEPS = (
    ("plate_packing", "change_plate_packing", HANDS),
    ("gum", "gum_plate", (Caution.TURNING, Caution.CHEMICALS)),
)


def plate_lines(s: CardScene) -> Iterator[CardLine]:
    """Plates off and on, unit by unit, what they need, and the printing pressure."""
    yield from _care_of_plates(s)
    for unit in s.units:
        yield from _plates_of_unit(s, unit)
    yield from _pressure(s)


def _care_of_plates(s: CardScene) -> Iterator[CardLine]:
    """What holds for all the plates of this changeover."""
    has, on, off = s.press.card.has, s.came("put_plate_on"), s.came("take_plate_off")
    taken = [(u, plate) for u in off if (plate := s.mounted(u)) is not None]
    handled = [plate for _, plate in taken] + [s.used[u].plate for u in on]
    if has.plate_punch and on:
        yield step(_PLATES, "plate_punch", Reason.of("plates_go_on"), HANDS)
    if has.polyester_ejected_wet and (polyester := _polyester(s, taken)) is not None:
        yield step(_PLATES, "polyester_wet", polyester, TURNING)
    lifts = s.work.why("lift_roller_package")
    if has.roller_package and lifts is not None:
        yield step(_PLATES, "roller_package", lifts, (Caution.HANDS, Caution.LOAD), 2)
    if has.automatic_fallback and any(s.press.changes_automatically(plate) for plate in handled):
        yield step(_PLATES, "automatic_fallback", Reason.of("by_changer"), HANDS)


def _polyester(s: CardScene, taken: list[tuple[int, Plate]]) -> Reason | None:
    """Why a polyester plate has to stay wet: one comes off now, or one prints and will come off later."""
    for _, plate in taken:
        if plate.material is PlateMaterial.POLYESTER:
            return Reason.of("polyester_comes_off_now", plate=plate.id)
    if s.print_pass.plate_material is PlateMaterial.POLYESTER:
        return Reason.of("polyester_comes_off_later")
    return None


def _plates_of_unit(s: CardScene, unit: int) -> Iterator[CardLine]:
    old, off, on = s.mounted(unit), s.work.why("take_plate_off", unit), s.work.why("put_plate_on", unit)
    plate = s.used[unit].plate if unit in s.used else None if off is not None else old
    if (damps := s.work.why("pre_damp_plate", unit)) is not None:
        yield step(_PLATES, "pre_damp", damps, TURNING, unit)
    if off is not None and old is not None:
        way = Reason.of(_way(s.press, old), plate=old.id)
        yield CardLine(_PLATES, "plate_off", way, None, True, off, HANDS, unit)
    if plate is None and old is None:
        return
    why = on or off or Reason.of("plate_stays_put")
    changed = on is not None or off is not None
    yield CardLine(_PLATES, "plate", _plate(plate), _plate(old), changed, why, HANDS, unit)
    if plate is None:
        return
    face = s.press.card.plate_face(unit)
    if face is not None:
        yield _face_line(s, unit, str(face), on)
    if on is not None:
        yield CardLine(_PLATES, "plate_on", Reason.of(_way(s.press, plate)), None, True, on, HANDS, unit)
        if s.press.card.has.register_pins:
            yield step(_PLATES, "register_pins", Reason.of("register_begins"), HANDS, unit)
    for key, task, cautions in _PLATE_STEPS:
        if (why_step := s.work.why(task, unit)) is not None:
            yield step(_PLATES, key, why_step, cautions, unit)


def _face_line(s: CardScene, unit: int, face: str, on: Reason | None) -> CardLine:
    value = Reason.of("face", face=face)
    before = value if s.mounted(unit) is not None else None
    return CardLine(_PLATES, "plate_face", value, before, on is not None, Reason.of("by_unit", unit=unit), HANDS, unit)


def _plate(plate: Plate | None) -> Value:
    if plate is None:
        return Reason.of("no_plate")
    return Reason.of(
        "plate",
        plate=plate.id,
        material=str(plate.material),
        length=plate.length_mm,
        thickness=plate.thickness_um,
    )


def _way(press: PressProfile, plate: Plate) -> str:
    return "automatic" if press.changes_automatically(plate) else "by_hand"


def _pressure(s: CardScene) -> Iterator[CardLine]:
    scale = s.press.card.printing_pressure
    quantity = None if scale is None else s.sheet.quantity(scale.by)
    if scale is None or quantity is None:
        return
    old = s.sheet_before.quantity(scale.by)
    now = Reason.of("mark", mark=scale.mark(quantity), unit=scale.unit)
    was = None if old is None else Reason.of("mark", mark=scale.mark(old), unit=scale.unit)
    for unit in s.units:
        why = s.work.why("set_printing_pressure", unit)
        left = Reason.of("left_as_set") if now != was else by_quantity(scale.by, s.sheet)
        sets = why if now != was else None
        yield CardLine(_PLATES, "printing_pressure", now, was, sets is not None, sets or left, HANDS, unit)
