"""What has to happen to the plate of one unit: off, on, repack, or stay."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.state import PressState
from queueplanner.shop.job import Separation
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import PressProfile

_NOTHING = Reason("plate_untouched")


@dataclass(frozen=True, slots=True)
class PlateWork:
    """The plate work of one unit: what comes off, what goes on, how, and what is mounted after it."""

    after: Plate | None
    off: Plate | None = None
    off_automatic: bool = False
    why_off: Reason = _NOTHING
    on: Plate | None = None
    on_automatic: bool = False
    why_on: Reason = _NOTHING

    @property
    def packing(self) -> bool:
        """Whether the new plate's thickness wants other packing than the one that comes off."""
        return self.on is not None and self.off is not None and self.on.wants_other_packing_than(self.off)


def plate_work(press: PressProfile, state: PressState, unit: int, used: Mapping[int, Separation]) -> PlateWork:
    """The plate work of a unit before a pass that uses the given units."""
    mounted = state.unit(unit).plate
    wanted = used[unit].plate if unit in used else None
    why_off = None if mounted is None else _why_off(press, unit, mounted, used)
    goes_on = wanted is not None and (mounted is None or mounted.id != wanted.id)
    return PlateWork(
        after=wanted or (mounted if why_off is None else None),
        off=mounted if why_off is not None else None,
        off_automatic=mounted is not None and press.changes_automatically(mounted),
        why_off=why_off or _NOTHING,
        on=wanted if goes_on else None,
        on_automatic=wanted is not None and press.changes_automatically(wanted),
        why_on=_why_on(press, wanted) if goes_on and wanted is not None else _NOTHING,
    )


def _why_off(press: PressProfile, unit: int, mounted: Plate, used: Mapping[int, Separation]) -> Reason | None:
    """Why a mounted plate has to come off its unit, if it has to."""
    if unit in used and used[unit].plate.id != mounted.id:
        return Reason.of("plate_replaced", old=mounted.id, new=used[unit].plate.id)
    for other, separation in used.items():
        if other != unit and separation.plate.id == mounted.id:
            return Reason.of("plate_moves", plate=mounted.id, unit=other)
    if unit not in used and not press.idle_throw_off:
        return Reason.of("plate_off_idle", plate=mounted.id)
    return None


def _why_on(press: PressProfile, plate: Plate) -> Reason:
    way = "automatic" if press.changes_automatically(plate) else "by_hand"
    return Reason.of(f"plate_on_{way}", plate=plate.id, material=str(plate.material), length=plate.length_mm)
