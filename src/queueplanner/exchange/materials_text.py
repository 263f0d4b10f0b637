"""The materials of a day for the terminal: by stock, by ink, by pass, lifting, and where the figures come from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from queueplanner.exchange.figure_sources import FigureSource
from queueplanner.exchange.material_wording import LIFTING_LIMITS, RULES, lifting_inputs_text
from queueplanner.exchange.text_table import day_name, fitted, wrapped
from queueplanner.makeready.materials import DayMaterials, PassMaterials
from queueplanner.planning.plan import Plan
from queueplanner.shop.shop import Shop


def materials_text(plan: Plan, materials: DayMaterials, shop: Shop, sources: Sequence[FigureSource]) -> str:
    """All that a plan uses, in lines of at most 100 columns."""
    lines = [f"Materials of {day_name(plan.start, plan.zone)} · {plan.press_name}"]
    lines += ["", *_stock_lines(materials, shop), "", *_ink_lines(materials, shop)]
    lines += ["", f"Wash solvent         {materials.solvent_ml:8,.0f} ml, evenings included"]
    lines.append(f"Dampening additive   {materials.additive_ml:8,.0f} ml")
    lines += ["", *_pass_lines(materials), "", *_lifting_lines(materials)]
    lines += ["", "Where the figures come from"]
    for item in sources:
        first = f"  {fitted(item.name, 46)} {fitted(item.value, 16, right=True)}  "
        lines += wrapped(item.source, first, " " * len(first))
    for rule in RULES:
        lines += wrapped(rule, "  ", "  ")
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _stock_lines(materials: DayMaterials, shop: Shop) -> Iterator[str]:
    yield f"{fitted('Paper from the store', 44)} {'sheets':>8} {'kg':>9}"
    for stock, sheets in materials.sheets.items():
        yield f"  {fitted(shop.stocks[stock].name, 42)} {sheets:8,} {materials.paper_kg[stock]:9,.1f}"


def _ink_lines(materials: DayMaterials, shop: Shop) -> Iterator[str]:
    yield f"{fitted('Ink on the sheets', 44)} {'g':>8}"
    for ink, grams in materials.ink_g.items():
        yield f"  {fitted(shop.inks[ink].name, 42)} {grams:8,.0f}"


def _pass_lines(materials: DayMaterials) -> Iterator[str]:
    heads = ("sheets", "reams", "kg", "piles", "1st mm", "1st kg", "a lift", "lifts", "ink g", "wash ml", "damp l")
    yield fitted("Pass", 10) + "".join(f"{head:>8}" for head in heads)
    for item in materials.passes:
        yield fitted(item.print_pass.id, 10) + "".join(f"{cell:>8}" for cell in _pass_cells(item))
    yield "  (1st: the first feed pile; a lift: sheets at the recommended limit; damp: solution used and mixed)"


def _pass_cells(item: PassMaterials) -> tuple[str, ...]:
    paper, pile, hint, damp = item.paper, item.paper.feed_piles[0], item.lifting, item.dampening
    return (
        f"{paper.sheets:,}",
        f"{paper.reams:.1f}",
        f"{paper.kg:.1f}",
        str(len(paper.feed_piles)),
        f"{pile.height_mm:.0f}",
        f"{pile.kg:.1f}",
        f"{hint.sheets_at_most:,}",
        "–" if hint.lifts is None else str(hint.lifts),
        f"{sum(need.grams for need in item.inks):.0f}",
        f"{item.solvent_ml:.0f}",
        "–" if damp is None else f"{damp.run_l + damp.fresh_l:.1f}",
    )


def _lifting_lines(materials: DayMaterials) -> Iterator[str]:
    if not materials.passes:
        return
    hint = materials.passes[0].lifting
    yield f"Lifting by hand: recommended limit {hint.limit_kg:.1f} kg"
    yield from wrapped(lifting_inputs_text(hint), "  ", "  ")
    yield from wrapped(LIFTING_LIMITS, "  ", "  ")
