"""What the papers of a day share: the words of moments, stretches, cautions and titles, and the rows of a table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_marks import Face, Piece, beside, rule, stack, words
from queueplanner.desk.paper_size import mm
from queueplanner.makeready.card_lines import Caution
from queueplanner.planning.plan import PlannedPass, Stretch


def tr(text: str) -> str:
    """A text of the papers in the language of the moment."""
    return QCoreApplication.translate("papers", text)


def title_of(planned: PlannedPass) -> str:
    """A pass by its id, and the title of its job if it has one."""
    return f"{planned.id}  {planned.job.title}" if planned.job.title else str(planned.id)


def span(start: int, end: int, figures: Figures) -> str:
    """From when to when; the end with its weekday where that is another day."""
    same = figures.local(start).date() == figures.local(end).date()
    return f"{figures.clock(start)}–{figures.clock(end) if same else figures.day_clock(end)}"


def moment(at: int, day_of: int, figures: Figures) -> str:
    """A time of day; with weekday and date where that is another day than the one of `day_of`."""
    same = figures.local(at).date() == figures.local(day_of).date()
    return figures.clock(at) if same else f"{figures.short_day(at)} {figures.clock(at)}"


def pauses(pieces: Sequence[Stretch], figures: Figures) -> list[str]:
    """Where work stops on the way, from when to when."""
    return [span(stopped, resumed, figures) for (_, stopped), (resumed, _) in pairwise(pieces)]


def made_at(at: datetime, figures: Figures) -> str:
    """The moment a paper is made, on the shop's clock: "Wed 25 Nov 2026 16:04"."""
    second = int(at.timestamp())
    return f"{figures.short_day(second)} {figures.local(second).year} {figures.clock(second)}"


def caution_words(cautions: Iterable[Caution]) -> str:
    """What can hurt in a task, in a few words in brackets; empty for nothing."""
    names = [caution_name(caution) for caution in cautions]
    return f"[{', '.join(names)}]" if names else ""


def caution_name(caution: Caution) -> str:
    """What can hurt, in one word or two; the papers tell the whole caution beside it."""
    return {
        Caution.HANDS: tr("hands"),
        Caution.TURNING: tr("drive"),
        Caution.LOAD: tr("heavy"),
        Caution.SOLVENT: tr("solvent"),
        Caution.CHEMICALS: tr("chemicals"),
    }[caution]


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a table: widths in units, the white between them in mm, and which hold figures."""

    widths: tuple[float, ...]
    gap_mm: float = 2.0
    right: frozenset[int] = frozenset()

    @classmethod
    def of(cls, width: float, shares_mm: Sequence[float], right: Iterable[int] = (), gap_mm: float = 2.0) -> Columns:
        """Columns so many mm wide; those given as 0 share what is left of the width."""
        left = width - sum(mm(share) for share in shares_mm) - mm(gap_mm) * (len(shares_mm) - 1)
        free = sum(share == 0 for share in shares_mm)
        return cls(tuple(mm(s) if s else left / free for s in shares_mm), gap_mm, frozenset(right))

    def row(self, cells: Sequence[str | Piece], face: Face = Face.BODY) -> Piece:
        """A row: texts are set in their column, pieces stand as they are."""
        made = [
            Piece(width, cell.height, cell.marks)
            if isinstance(cell, Piece)
            else words(cell, face, width, right=number in self.right)
            for number, (cell, width) in enumerate(zip(cells, self.widths, strict=True))
        ]
        return beside(made, self.gap_mm)

    def head(self, heads: Sequence[str]) -> Piece:
        """The heads of the columns over a line."""
        row = self.row(heads, Face.STRONG)
        return stack([row, rule(row.width, 0.3, above=0.3, below=0.8)])


def list_of(items: Iterable[tuple[str, str]], width: float, name_mm: float, face: Face = Face.SMALL) -> list[Piece]:
    """Names in bold and what is said of each, in two columns."""
    columns = Columns.of(width, (name_mm, 0))
    return [columns.row([words(name, face, columns.widths[0], strong=len(name)), text], face) for name, text in items]
