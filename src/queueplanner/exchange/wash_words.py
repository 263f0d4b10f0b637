"""The washes of a shop in words: inks from light to dark, the reason of every pair, the table for the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from queueplanner.exchange.near import folded, shown, suggestion
from queueplanner.exchange.text_table import fitted, width, wrapped
from queueplanner.exchange.wording import sentence
from queueplanner.makeready.inking import residue_model, wash_reason, wash_warnings
from queueplanner.makeready.reasons import Reason
from queueplanner.makeready.residue import WashCount, WashRule, wash_count, wash_table
from queueplanner.shop.base import InkId
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import PressProfile
from queueplanner.shop.shop import Shop

#: The mark of each rule beside the number, and what it means.
MARKS: Mapping[WashRule, str] = {
    WashRule.COLOUR: "",
    WashRule.OVERRIDE: "o",
    WashRule.METALLIC_OR_FLUORESCENT: "m",
    WashRule.FAMILY: "f",
}
RULES: Mapping[WashRule, str] = {
    WashRule.COLOUR: "reckoned from colour",
    WashRule.OVERRIDE: "set by the shop",
    WashRule.METALLIC_OR_FLUORESCENT: "metallic or fluorescent: nothing is predicted, 2 out of caution",
    WashRule.FAMILY: "two ink families: at least 2",
}
#: Said of a pair that even the most washes leave beyond its tolerance.
BEYOND = "even so many leave it beyond the tolerance: look before printing"


@dataclass(frozen=True, slots=True)
class WashCell:
    """From one ink to another: the washes that count, and those that would without the shop's own figure."""

    old: Ink
    new: Ink
    count: WashCount
    reckoned: WashCount

    @property
    def fixed(self) -> bool:
        """Whether the shop has set the number itself."""
        return self.count.rule is WashRule.OVERRIDE


def light_to_dark(inks: Iterable[Ink]) -> tuple[Ink, ...]:
    """Inks by falling L*; at one lightness by name."""
    return tuple(sorted(inks, key=lambda ink: (-ink.colour.L, ink.name)))


def wash_cells(shop: Shop) -> dict[tuple[InkId, InkId], WashCell]:
    """Every ordered pair of different inks of a shop, by (old id, new id)."""
    model, inks = residue_model(shop.press), shop.inks
    counts = wash_table(inks.values(), model, shop.press.overrides)
    return {
        (old, new): WashCell(inks[old], inks[new], count, wash_count(inks[old], inks[new], model, {}))
        for (old, new), count in counts.items()
    }


def cell_sentences(cell: WashCell) -> tuple[str, ...]:
    """Why so many: the reason of the number; what is reckoned where the shop has set it, or the rule; warnings."""
    said = [sentence(wash_reason(cell.old, cell.new, cell.count))]
    if cell.fixed:
        said.append(f"reckoned without that: {sentence(wash_reason(cell.old, cell.new, cell.reckoned))}")
    shown_count = cell.reckoned if cell.fixed else cell.count
    if shown_count.rule is WashRule.FAMILY:
        said.append(f"by colour alone: {_by_colour(shown_count)}")
    if not cell.fixed:
        said += [sentence(warning) for warning in wash_warnings(cell.old, cell.new, cell.count)]
    return tuple(said)


def _by_colour(count: WashCount) -> str:
    """A family's pair reckoned from colour: as many washes as it takes to come within the tolerance."""
    tolerance = count.tolerance or 0.0
    after = [f"{value:.1f} after {n}" for n, value in enumerate(count.differences, 1)]
    return f"ΔE00 {', '.join(after)}; tolerance {tolerance:g}"


def assumption(press: PressProfile) -> str:
    """The standing sentence about the two constants every reckoned number rests on."""
    said = sentence(Reason.of("residue_assumed", share=press.residue_c0, left=press.residue_r))
    return f"{said[:1].upper()}{said[1:]} (c0 = {press.residue_c0:g}, r = {press.residue_r:g})."


def ink_called(text: str, inks: Mapping[InkId, Ink], option: str) -> Ink:
    """The ink of an id or a name, capitals aside. Raises BadInput with the near ones."""
    names = {folded(ink.name): ink for ink in inks.values()} | {folded(ink.id): ink for ink in inks.values()}
    found = names.get(folded(text))
    if found is None:
        raise BadInput([Problem(option, None, None, f"no ink {shown(text)}", suggestion(text, inks, "ink"))])
    return found


def pair_text(shop: Shop, old: Ink, new: Ink) -> str:
    """One pair and the way back, with reasons, for the terminal."""
    if old.id == new.id:
        return f"{old.name} to itself: no wash while it is fresh; one when it has grown stale.\n"
    cells = wash_cells(shop)
    lines: list[str] = []
    for cell in (cells[old.id, new.id], cells[new.id, old.id]):
        lines.append(f"{cell.old.name} to {cell.new.name}: {washes_text(cell.count.washes)}, {RULES[cell.count.rule]}")
        for said in cell_sentences(cell):
            lines += wrapped(said, "    ", "    ")
        lines.append("")
    return "\n".join([*lines, *wrapped(assumption(shop.press), "", "")]) + "\n"


def washes_text(count: int) -> str:
    """How many, with the noun: `1 wash`, `3 washes`."""
    return "1 wash" if count == 1 else f"{count} washes"


def wash_table_text(shop: Shop) -> str:
    """The whole table for the terminal: rows the ink that comes out, columns the one that goes in."""
    inks, cells = light_to_dark(shop.inks.values()), wash_cells(shop)
    name_columns = min(22, max(width(ink.name) for ink in inks))
    lines = [f"{shop.press.name}: washes from the ink of a row to the ink of a column, light to dark", ""]
    lines.append(" " * (4 + name_columns) + "".join(f"{n:>3} " for n in range(1, len(inks) + 1)))
    for number, old in enumerate(inks, 1):
        row = "".join(_terminal_cell(cells.get((old.id, new.id))) for new in inks)
        lines.append(f"{number:>3} {fitted(old.name, name_columns)}{row}")
    lines += ["", *_marks_told(cells.values()), *wrapped(assumption(shop.press), "", ""), ""]
    lines.append("Why a pair takes so many: queueplanner washes --from INK --to INK")
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _terminal_cell(cell: WashCell | None) -> str:
    if cell is None:
        return "  · "
    mark = MARKS[cell.count.rule] or ("!" if cell.count.beyond_tolerance else "")
    return f"{cell.count.washes:>3}{mark:1}"


def _marks_told(cells: Iterable[WashCell]) -> Iterator[str]:
    seen: Sequence[WashCell] = list(cells)
    for rule, mark in MARKS.items():
        if mark and any(cell.count.rule is rule for cell in seen):
            yield f"{mark}  {RULES[rule]}"
    if any(cell.count.beyond_tolerance and not MARKS[cell.count.rule] for cell in seen):
        yield f"!  {BEYOND}"
    yield ""
