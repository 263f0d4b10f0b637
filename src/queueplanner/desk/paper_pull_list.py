"""The pull list on paper: paper, plates and inks to fetch and make, each with the hour it must be there."""

from __future__ import annotations

from collections.abc import Sequence

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_flow import Block, Section, table
from queueplanner.desk.paper_marks import Face, Piece, ink_words, space, stack, tick_box, words
from queueplanner.desk.paper_words import Columns, tr
from queueplanner.planning.plan import Plan
from queueplanner.planning.pull_list import PullList
from queueplanner.shop.plate import Plate, PlateMaterial


def pull_list_section(plan: Plan, pulled: PullList, figures: Figures, width: float) -> Section:
    """The pull list of a plan on pages so wide between the margins, in units."""
    made = _PullSheet(plan, pulled, figures, width)
    return Section(tr("Pull list"), (made.head(), made.papers(), made.plates(), made.inks(), made.rest()))


class _PullSheet:
    """Makes the blocks of one pull list."""

    def __init__(self, plan: Plan, pulled: PullList, figures: Figures, width: float) -> None:
        self.plan, self.pulled, self.figures, self.width = plan, pulled, figures, width

    def head(self) -> Block:
        """What it is, for which day, and how its hours are meant."""
        day = tr("Pull list, {day}").format(day=self.figures.long_day(self.plan.start))
        note = tr(
            "By: the beginning of the changeover that needs it, or of the run before if the pile is loaded while that "
            "runs. Heavy paper: use lifting gear or a second person, and follow your local rules for lifting."
        )
        return Block((words(day, Face.TITLE, self.width), words(note, Face.SMALL, self.width)))

    def papers(self) -> Block:
        """Paper by stock and format."""
        f, columns = self.figures, Columns.of(self.width, (3, 19, 0, 28, 17, 14, 15, 40), right={4, 5, 6})
        heads = ["", tr("By"), tr("Paper"), tr("Format"), tr("Sheets"), tr("Reams"), tr("kg"), tr("Passes")]
        rows = [
            columns.row(
                [
                    tick_box(), self._by(p.ready_by, columns), p.stock.name, p.format.label, f.count(p.sheets),
                    f.locale.toString(p.reams, "f", 1), f.locale.toString(p.kg, "f", 1), "  ".join(p.passes),
                ]
            )
            for p in self.pulled.papers
        ]  # fmt: skip
        total = self.pulled
        sums = [f.count(total.sheets), f.locale.toString(total.reams, "f", 1), f.locale.toString(total.kg, "f", 1)]
        rows.append(columns.row(["", "", tr("All paper"), "", *sums, ""], Face.STRONG))
        return self._table(tr("Paper from the store"), heads, rows, columns)

    def plates(self) -> Block:
        """Plates in the order they go on."""
        columns = Columns.of(self.width, (3, 19, 0, 48, 42, 10))
        heads = ["", tr("By"), tr("Plate, pass"), tr("Material, length × thickness"), tr("Ink"), tr("Unit")]
        rows = []
        for p in self.pulled.plates:
            name = words(p.plate.id, Face.STRONG, columns.widths[2])
            where = " ".join(part for part in (p.pass_id, p.title) if part)
            if p.puts > 1:
                where += tr(" (goes on {n} times)").format(n=p.puts)
            cell = stack([name, words(where, Face.SMALL, columns.widths[2])])
            ink = ink_words(p.ink, p.ink.name, Face.BODY, columns.widths[4])
            by = self._by(p.ready_by, columns)
            rows.append(columns.row([tick_box(), by, cell, self._plate_size(p.plate), ink, str(p.unit)]))
        count = tr("All plates: {n}").format(n=self.figures.count(len(self.pulled.plates)))
        rows.append(columns.row(["", "", count, "", "", ""], Face.STRONG))
        return self._table(tr("Plates to be made"), heads, rows, columns)

    def inks(self) -> Block:
        """Inks with what goes on the sheets."""
        f, columns = self.figures, Columns.of(self.width, (3, 19, 55, 18, 0), right={3})
        heads = ["", tr("By"), tr("Ink"), tr("g"), tr("Passes")]
        rows = []
        for i in self.pulled.inks:
            passes = "  ".join(i.passes) + (tr("  (on the press already)") if i.on_press else "")
            ink = ink_words(i.ink, i.ink.name, Face.STRONG, columns.widths[2])
            by = self._by(i.ready_by, columns)
            rows.append(columns.row([tick_box(), by, ink, f.count(round(i.grams)), passes]))
        grams = f.count(round(self.pulled.ink_grams))
        rows.append(columns.row(["", "", tr("All inks"), grams, ""], Face.STRONG))
        return self._table(tr("Ink on the sheets; what stays in the fountain comes on top"), heads, rows, columns)

    def rest(self) -> Block:
        """Dampening additive and wash solvent."""
        f = self.figures
        told = [
            tr("Dampening additive: {n} ml").format(n=f.count(round(self.pulled.additive_ml))),
            tr("Wash solvent: {n} ml, evenings included").format(n=f.count(round(self.pulled.solvent_ml))),
        ]
        note = tr("Solvent and chemicals: their safety data sheets first; gloves and eye protection as these require.")
        rows = [words(text, Face.STRONG, self.width) for text in told]
        return Block((*rows, words(note, Face.SMALL, self.width)), gap_mm=5)

    def _by(self, moment: int, columns: Columns) -> Piece:
        return words(self.figures.day_clock(moment), Face.STRONG, columns.widths[1])

    def _plate_size(self, plate: Plate) -> str:
        length, thick = self.figures.locale.toString(plate.length_mm, "g", 6), plate.thickness_um
        return f"{_material(plate.material)}, {length} × {self.figures.thickness(thick)}"

    def _table(self, title: str, heads: Sequence[str], rows: Sequence[Piece], columns: Columns) -> Block:
        above = stack([words(title, Face.HEAD, self.width), space(0.5)])
        return table(heads, rows, columns.head, 6, above)


def _material(material: PlateMaterial) -> str:
    return {
        PlateMaterial.METAL: tr("metal"),
        PlateMaterial.POLYESTER: tr("polyester"),
        PlateMaterial.PAPER: tr("paper"),
    }[material]
