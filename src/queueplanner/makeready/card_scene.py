"""What the lines of a settings card look at: the press, the pass, what stood before, and the work between."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from queueplanner.makeready.card_lines import CardBefore, Work
from queueplanner.makeready.card_values import Sheet
from queueplanner.shop.job import PrintPass, Separation
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import PressProfile


@dataclass(frozen=True, slots=True)
class CardScene:
    """Everything a line of the card may depend on. `used` are the separations by unit."""

    press: PressProfile
    print_pass: PrintPass
    used: Mapping[int, Separation]
    before: CardBefore
    sheet: Sheet
    sheet_before: Sheet
    work: Work

    @property
    def units(self) -> range:
        """The press's units."""
        return range(1, len(self.before.state.units) + 1)

    def mounted(self, unit: int) -> Plate | None:
        """The plate a unit held before."""
        return self.before.state.unit(unit).plate

    def came(self, task: str) -> list[int]:
        """The units in which a task comes."""
        return [u for u in self.units if self.work.why(task, u) is not None]
