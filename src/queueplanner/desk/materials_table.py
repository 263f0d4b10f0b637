"""The columns of the materials of the day, pass by pass."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.figures import Figures
from queueplanner.desk.table_cells import Column
from queueplanner.makeready.materials import PassMaterials


def _tr(text: str) -> str:
    return QCoreApplication.translate("materials", text)


def material_columns(figures: Figures) -> list[Column[PassMaterials]]:
    """Paper and its piles, how it may be lifted, ink, solvent, dampening solution."""

    def number(value: float, decimals: int = 1) -> str:
        return figures.locale.toString(value, "f", decimals)

    def damp(row: PassMaterials) -> float:
        return 0.0 if row.dampening is None else row.dampening.run_l + row.dampening.fresh_l

    def count(head: str, value: object) -> Column[PassMaterials]:
        return Column(head, lambda r: figures.count(value(r)), value, figure=True)  # type: ignore[operator,arg-type]

    return [
        Column(_tr("Pass"), lambda r: str(r.print_pass.id), lambda r: str(r.print_pass.id)),
        Column(_tr("Stock"), lambda r: r.print_pass.stock.name, lambda r: r.print_pass.stock.name.casefold()),
        count(_tr("Sheets"), lambda r: r.paper.sheets),
        count(_tr("of it waste"), lambda r: r.paper.sheets - r.paper.good),
        Column(_tr("Reams"), lambda r: number(r.paper.reams), lambda r: r.paper.reams, figure=True),
        Column(_tr("Paper, kg"), lambda r: number(r.paper.kg), lambda r: r.paper.kg, figure=True),
        count(_tr("Feed piles"), lambda r: len(r.paper.feed_piles)),
        Column(
            _tr("First pile, mm"), lambda r: number(r.paper.feed_piles[0].height_mm, 0),
            lambda r: r.paper.feed_piles[0].height_mm, figure=True,
        ),
        Column(
            _tr("First pile, kg"), lambda r: number(r.paper.feed_piles[0].kg), lambda r: r.paper.feed_piles[0].kg,
            figure=True,
        ),
        count(_tr("Sheets a lift, at most"), lambda r: r.lifting.sheets_at_most),
        Column(
            _tr("Lifts, first pile"), lambda r: "–" if r.lifting.lifts is None else figures.count(r.lifting.lifts),
            lambda r: r.lifting.lifts, figure=True,
        ),
        Column(_tr("Ream, kg"), lambda r: number(r.lifting.ream_kg), lambda r: r.lifting.ream_kg, figure=True),
        Column(
            _tr("Lifting index of a ream"), lambda r: number(r.lifting.ream_index, 2),
            lambda r: r.lifting.ream_index, figure=True,
        ),
        Column(
            _tr("Inks, g"), lambda r: ", ".join(f"{n.ink.name} {number(n.grams, 0)}" for n in r.inks),
            lambda r: sum(n.grams for n in r.inks),
            inks=lambda r: [(n.ink, f"{n.ink.name} {number(n.grams, 0)}") for n in r.inks],
        ),
        Column(_tr("Wash solvent, ml"), lambda r: number(r.solvent_ml, 0), lambda r: r.solvent_ml, figure=True),
        Column(
            _tr("Dampening, l"), lambda r: "–" if r.dampening is None else number(damp(r)), damp, figure=True,
        ),
    ]
