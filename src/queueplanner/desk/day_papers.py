"""Settings cards, materials and papers of the plan on show, reckoned when they are first looked at."""

from __future__ import annotations

from datetime import datetime

from queueplanner.desk.day_model import DayModel, Pick
from queueplanner.desk.paper_day import DayPaper
from queueplanner.makeready.card_lines import SettingsCard
from queueplanner.makeready.materials import DayMaterials
from queueplanner.planning.cards import plan_cards, plan_materials
from queueplanner.planning.plan import Plan


class DayPapers:
    """Follows a `DayModel`; keeps what it has reckoned for the last plan it was asked about."""

    def __init__(self, model: DayModel) -> None:
        self._model = model
        self._cards: tuple[Plan | None, tuple[SettingsCard, ...]] = (None, ())
        self._materials: tuple[Plan | None, DayMaterials | None] = (None, None)

    def card(self, pick: Pick | None) -> SettingsCard | None:
        """The card of the selected pass; None for an evening or nothing."""
        if pick is None or pick.pass_id is None:
            return None
        return next((card for card in self._all_cards() if card.print_pass.id == pick.pass_id), None)

    def materials(self) -> DayMaterials | None:
        """What the plan on show uses; None without one."""
        plan, day = self._model.plan, self._model.day
        if plan is None or day is None or day.figures is None:
            return None
        if self._materials[0] is not plan:
            self._materials = (plan, plan_materials(plan, day.instance.shop.press, day.figures))
        return self._materials[1]

    def on_paper(self, made: datetime) -> DayPaper | None:
        """What is printed of the plan on show; None without one. `made` is the aware moment it is made at."""
        plan, day, materials = self._model.plan, self._model.day, self.materials()
        if plan is None or day is None or materials is None:
            return None
        return DayPaper.reckoned(plan, self._all_cards(), materials, day.instance.state, made)

    def _all_cards(self) -> tuple[SettingsCard, ...]:
        plan, day = self._model.plan, self._model.day
        if plan is None or day is None:
            return ()
        if self._cards[0] is not plan:
            self._cards = (plan, plan_cards(plan, day.instance.shop.press, day.instance.state))
        return self._cards[1]
