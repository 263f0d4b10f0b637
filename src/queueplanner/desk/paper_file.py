"""The papers of a plan as one PDF, made without a window."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_day import DayPaper, PaperPart, day_pages
from queueplanner.desk.paper_pdf import pdf_bytes, start_fonts
from queueplanner.desk.paper_size import PaperSize
from queueplanner.desk.paper_words import tr
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.shop.material_figures import MaterialFigures


def paper_file(
    plan: Plan,
    instance: Instance,
    figures: MaterialFigures,
    made: datetime,
    *,
    letter: bool = False,
    only: Collection[str] = (),
) -> bytes:
    """A PDF of the wanted parts ("run-sheet", "cards", "pull-list"; all when none is named), on A4 or US Letter.

    `made` is the aware moment it is made at. Raises ValueError for a part that is none.
    """
    parts = [PaperPart(name) for name in only] or list(PaperPart)
    size = PaperSize.LETTER if letter else PaperSize.A4
    running = start_fonts()
    pages = day_pages(DayPaper.of(plan, instance, figures, made), size, parts)
    data = pdf_bytes(pages, size, document_title(plan))
    del running  # the fonts are needed up to here
    return data


def document_title(plan: Plan) -> str:
    """What the document is called: press and day."""
    return tr("{press}, {day}").format(press=plan.press_name, day=Figures(plan.zone).long_day(plan.start))
