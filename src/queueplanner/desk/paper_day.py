"""The papers of a day: which parts are wanted, and the pages they make."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from queueplanner import __version__
from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_cards import card_sections
from queueplanner.desk.paper_flow import Page, Section, flow
from queueplanner.desk.paper_marks import Face, Piece, rule, stack, words
from queueplanner.desk.paper_pull_list import pull_list_section
from queueplanner.desk.paper_run_sheet import run_sheet
from queueplanner.desk.paper_size import PaperSize
from queueplanner.desk.paper_words import Columns, made_at, tr
from queueplanner.makeready.card_lines import SettingsCard
from queueplanner.makeready.materials import DayMaterials
from queueplanner.makeready.state import PressState
from queueplanner.planning.cards import plan_cards, plan_materials
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.pull_list import PullList, pull_list
from queueplanner.shop.material_figures import MaterialFigures


class PaperPart(StrEnum):
    """What can be printed, in the order it lies in the pile."""

    RUN_SHEET = "run-sheet"
    CARDS = "cards"
    PULL_LIST = "pull-list"


@dataclass(frozen=True, slots=True)
class DayPaper:
    """All that the papers of a plan are made of. `made` is the aware moment they are made at."""

    plan: Plan
    cards: tuple[SettingsCard, ...]
    pulled: PullList
    made: datetime

    @classmethod
    def of(cls, plan: Plan, instance: Instance, figures: MaterialFigures, made: datetime) -> DayPaper:
        """The papers of a plan of a day; `figures` are what materials are reckoned with."""
        press, state = instance.shop.press, instance.state
        cards, materials = plan_cards(plan, press, state), plan_materials(plan, press, figures)
        return cls.reckoned(plan, cards, materials, state, made)

    @classmethod
    def reckoned(
        cls, plan: Plan, cards: tuple[SettingsCard, ...], materials: DayMaterials, start: PressState, made: datetime
    ) -> DayPaper:
        """The papers of a plan whose cards and materials are at hand; `start` is the state it began from."""
        return cls(plan, cards, pull_list(plan, materials, start), made)


def day_pages(
    day: DayPaper, size: PaperSize = PaperSize.A4, parts: Collection[PaperPart] = frozenset(PaperPart)
) -> list[Page]:
    """The pages of the wanted parts, run sheet first; needs a running application, for its fonts."""
    figures = Figures(day.plan.zone)

    def running(section: str, number: int, count: int, width: float) -> tuple[Piece, Piece]:
        return _head(section, day, figures, width), _foot(number, count, day, figures, width)

    return flow(_sections(day, figures, size.printed.width(), parts), size, running)


def _sections(day: DayPaper, figures: Figures, width: float, parts: Collection[PaperPart]) -> Iterator[Section]:
    if PaperPart.RUN_SHEET in parts:
        yield run_sheet(day.plan, figures, width)
    if PaperPart.CARDS in parts:
        yield from card_sections(day.plan, day.cards, figures, width)
    if PaperPart.PULL_LIST in parts:
        yield pull_list_section(day.plan, day.pulled, figures, width)


def _head(section: str, day: DayPaper, figures: Figures, width: float) -> Piece:
    columns = Columns.of(width, (0, 0), right={1})
    where = f"{day.plan.press_name} · {figures.short_day(day.plan.start)} {figures.local(day.plan.start).year}"
    row = columns.row([words(section, Face.STRONG, columns.widths[0]), where], Face.SMALL)
    return stack([row, rule(width, 0.3, above=0.5)])


def _foot(number: int, count: int, day: DayPaper, figures: Figures, width: float) -> Piece:
    columns = Columns.of(width, (0, 40), right={1})
    made = tr("queueplanner {version} · made {time}").format(version=__version__, time=made_at(day.made, figures))
    page = tr("page {n} of {count}").format(n=number, count=count)
    return stack([rule(width, 0.3, below=0.5), columns.row([made, page], Face.SMALL)])
