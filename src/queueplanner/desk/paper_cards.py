"""Settings cards on paper: one a pass on a page of its own; what changes from old to new, what stays, the cautions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_flow import Block, Section
from queueplanner.desk.paper_marks import Face, Piece, beside, rule, space, stack, tag, tick_box, words
from queueplanner.desk.paper_pass import late_tag, times_row, work_row
from queueplanner.desk.paper_size import mm
from queueplanner.desk.paper_words import Columns, caution_name, caution_words, list_of, title_of, tr
from queueplanner.exchange.card_wording import CardRow, card_rows, why_text
from queueplanner.exchange.card_words import CAUTIONS
from queueplanner.makeready.card_lines import CardLine, SettingsCard
from queueplanner.planning.plan import Plan, PlannedPass

_Row = tuple[CardLine, CardRow]


def card_sections(plan: Plan, cards: tuple[SettingsCard, ...], figures: Figures, width: float) -> Iterator[Section]:
    """A section for every pass, in run order; `cards` are those of the plan."""
    for number, (planned, card) in enumerate(zip(plan.passes, cards, strict=True), 1):
        made = _Card(plan, card, planned, figures, width)
        place = tr("{n} of {count}").format(n=number, count=len(plan.passes))
        name = tr("Settings card {place}: {id}").format(place=place, id=planned.id)
        yield Section(name, (made.head(), *made.groups(), *made.unchanged(), made.cautions()))


class _Card:
    """Makes the blocks of one card."""

    def __init__(self, plan: Plan, card: SettingsCard, planned: PlannedPass, figures: Figures, width: float) -> None:
        self.plan, self.card, self.planned, self.figures, self.width = plan, card, planned, figures, width
        self.rows: list[_Row] = list(zip(card.lines, card_rows(card), strict=True))

    def head(self) -> Block:
        """The pass, its times, inks and paper, and what has to be said first."""
        p, f = self.planned, self.figures
        changed = len(self.card.changes)
        told = tr("{n} lines change, {rest} stay as they are").format(n=changed, rest=len(self.card.lines) - changed)
        rows = [words(title_of(p), Face.TITLE, self.width), space(0.5), times_row(p, f, self.width), space(1)]
        rows.append(work_row(self.plan, p, f, self.width))
        late = late_tag(p, f, self.width)
        rows += [space(1), late] if late is not None else []
        for warning in self.card.warnings:
            text = why_text(warning)
            rows += [space(1), self._warning(f"{text[:1].upper()}{text[1:]}.")]
        return Block((*rows, space(1), words(told, Face.BODY, self.width)))

    def _warning(self, text: str) -> Piece:
        mark = tag("!", self.width)
        return beside([mark, words(text, Face.STRONG, self.width - mark.width - mm(2))], 2)

    def groups(self) -> Iterator[Block]:
        """What changes, group by group."""
        changes = [pair for pair in self.rows if pair[0].changed]
        columns = Columns.of(self.width, (3, 40, 0))
        for group, of_group in groupby(changes, key=lambda pair: pair[1].group):
            head = stack([words(group, Face.STRONG, self.width), rule(self.width, 0.3, below=0.6)])
            again = words(tr("{group}, continued").format(group=group), Face.STRONG, self.width)
            rows = (_change(pair, columns) for pair in of_group)
            yield Block((head, *rows), again=again, gap_mm=1.5, breaks=3)

    def unchanged(self) -> Iterator[Block]:
        """What stays, in one running text."""
        stay = [row for line, row in self.rows if not line.changed]
        if stay:
            text = " · ".join(f"{row.name}: {row.value or row.do}".replace(" ", "\u00a0") for row in stay)
            head = words(tr("Stays as it is"), Face.STRONG, self.width)
            yield Block(
                (stack([head, rule(self.width, 0.3, below=0.8), words(text, Face.SMALL, self.width)]),), gap_mm=3
            )

    def cautions(self) -> Block:
        """The cautions of what changes, and that they are reminders."""
        used = {caution for line in self.card.changes for caution in line.cautions}
        told = [(caution_name(caution), CAUTIONS[caution]) for caution in CAUTIONS if caution in used]
        note = tr("Reminders only: your local codes, the safety data sheets and the press's manual come first.")
        rows = [rule(self.width, 0.3, below=0.8), words(tr("Cautions"), Face.STRONG, self.width)] if told else []
        return Block((*rows, *list_of(told, self.width, 20), words(note, Face.SMALL, self.width)), gap_mm=1.5)


def _change(pair: _Row, columns: Columns) -> Piece:
    """A line to tick: its name; the value, from old to new, and what to do; what can hurt."""
    line, row = pair
    why = row.reason if line.why.code.startswith("wash_") else ""  # how often to wash stands in the reason
    told = "  ".join(part for part in (row.value, row.do, why, caution_words(line.cautions)) if part)
    text = words(told, Face.SMALL, columns.widths[2], strong=len(row.value))
    return stack(
        [columns.row([tick_box(Face.SMALL), words(row.name, Face.SMALL, columns.widths[1]), text]), space(0.5)]
    )
