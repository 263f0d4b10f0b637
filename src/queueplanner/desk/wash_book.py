"""The shop's washes on the desk, without a window: the table, the shop's own figures in it, and where they are kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from queueplanner.shop.errors import BadInput, Problem

if TYPE_CHECKING:
    # Only named here: the window is painted before these, and all they bring along, are loaded.
    from queueplanner.exchange.wash_words import WashCell
    from queueplanner.shop.base import InkId
    from queueplanner.shop.shop import Shop



@dataclass(frozen=True, slots=True)
class WashStep:
    """One change, to be undone: the pair, and the shop's own figure before and after it (None: as reckoned)."""

    pair: tuple[InkId, InkId]
    before: int | None
    after: int | None


@dataclass(slots=True, weakref_slot=True, eq=False)
class WashBook:
    """Reads the shop of a folder, or the demo shop, and keeps the shop's own wash counts.

    With a folder they stand in its press file; without one they hold until the program ends. `problems` is what is
    wrong with the shop's files, or with the last attempt to write. Listeners are called after each change of a count.
    """

    folder: Path | None = None
    shop: Shop | None = None
    problems: tuple[Problem, ...] = ()
    steps: list[WashStep] = field(default_factory=list)
    _session: dict[tuple[InkId, InkId], int] | None = None
    _cells: dict[tuple[InkId, InkId], WashCell] = field(default_factory=dict)
    _listeners: list[Callable[[], None]] = field(default_factory=list)

    def listen(self, listener: Callable[[], None]) -> None:
        """Have a function called after each change."""
        self._listeners.append(listener)

    def read(self) -> None:
        """Read the shop's files anew; without a folder the counts of this session stay."""
        from queueplanner.exchange.shop_files import load_shop

        try:
            self.take(load_shop(self.folder))
        except BadInput as error:
            self.shop, self._cells, self.problems = None, {}, tuple(error.problems)

    def take(self, shop: Shop) -> None:
        """Show the washes of a shop that has been read; the counts of this session are laid over it."""
        from queueplanner.exchange.wash_words import wash_cells
        from queueplanner.planning.rewash import with_overrides

        self.shop = shop if self._session is None else with_overrides(shop, self._session)
        self._cells, self.problems = wash_cells(self.shop), ()

    @property
    def overrides(self) -> dict[tuple[InkId, InkId], int]:
        """The shop's own counts by (old ink, new ink)."""
        return {} if self.shop is None else self.shop.press.overrides

    @property
    def session(self) -> dict[tuple[InkId, InkId], int] | None:
        """The counts that only this session knows; None when there are none of its own."""
        return self._session

    def cell(self, pair: tuple[InkId, InkId]) -> WashCell | None:
        """From one ink to another; None for an ink to itself."""
        return self._cells.get(pair)

    def fix(self, pair: tuple[InkId, InkId], washes: int | None) -> bool:
        """Set a pair's washes (1 to 4), or give it back to the reckoning (None); tells whether that was done."""
        before = self.overrides.get(pair)
        if self.shop is None or pair not in self._cells or washes == before:
            return False
        if not self._put(pair, washes):
            return False
        self.steps.append(WashStep(pair, before, washes))
        self._tell()
        return True

    def undo(self) -> WashStep | None:
        """Take the last change back; gives it, or None when there is none or it could not be written."""
        if not self.steps or not self._put(self.steps[-1].pair, self.steps[-1].before):
            return None
        step = self.steps.pop()
        self._tell()
        return step

    def _put(self, pair: tuple[InkId, InkId], washes: int | None) -> bool:
        from queueplanner.planning.rewash import with_overrides

        assert self.shop is not None
        wanted = {key: count for key, count in self.overrides.items() if key != pair}
        if washes is not None:
            wanted[pair] = washes
        if self.folder is not None and not self._written(self.folder, pair, washes):
            return False
        if self.folder is None:
            self._session = wanted
        self.take(with_overrides(self.shop, wanted))
        return True

    def _written(self, folder: Path, pair: tuple[InkId, InkId], washes: int | None) -> bool:
        from queueplanner.exchange.wash_override_file import set_override

        try:
            set_override(folder, pair, washes)
        except BadInput as error:
            self.problems = tuple(error.problems)
            return False
        return True

    def _tell(self) -> None:
        for listener in tuple(self._listeners):
            listener()
