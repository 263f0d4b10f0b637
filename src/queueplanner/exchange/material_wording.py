"""The words of materials: the lifting hint with its inputs and limits, and where every default figure comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from queueplanner.makeready.paper import LiftingHint

#: What the equation does not cover; from NIOSH 94-110, in our own words.
LIFTING_LIMITS = (
    "Reference only, by the revised NIOSH lifting equation (94-110). It covers two-handed lifts of a steady load; "
    "not one-handed lifts, nor kneeling, sitting or carrying, shifting loads, narrow places, slippery floors, or more "
    "than 8 hours. Your local rules for lifting come first."
)


def lifting_text(hint: LiftingHint) -> str:
    """The hint in one sentence: the limit, what it means in sheets, and a ream against it."""
    if hint.lifts is None:
        return "In this posture the equation recommends no lift at all: use lifting gear."
    lifts = "one lift" if hint.lifts == 1 else f"{hint.lifts} lifts"
    return (
        f"Recommended limit {hint.limit_kg:.1f} kg: at most {hint.sheets_at_most} sheets at a time, {lifts} for the "
        f"pile. A ream weighs {hint.ream_kg:.1f} kg, lifting index {hint.ream_index:.2f}."
    )


def lifting_inputs_text(hint: LiftingHint) -> str:
    """The posture the hint holds for."""
    p = hint.posture
    lifts = "1 lift" if p.lifts_per_min == 1 else f"{p.lifts_per_min:g} lifts"
    return (
        f"Hands {p.reach_cm:g} cm out, from {p.from_height_cm:g} to {p.to_height_cm:g} cm high, turned "
        f"{p.turn_deg:g}°, {lifts} a minute for {p.hours:g} h, hold {p.coupling}."
    )


@dataclass(frozen=True, slots=True)
class FigureWords:
    """What a figure is called, its unit, and where the program's own default comes from."""

    name: str
    unit: str
    source: str


_JUDGEMENT = "judgement, no source"
_TEMPLATE = "an air district's permit template, second-hand"

#: The figures materials are reckoned with, by their key in the press file (waste) or the materials table.
FIGURES: Mapping[str, FigureWords] = {
    "waste.makeready_one_ink": FigureWords("Make-ready waste, one ink", "sheets", _JUDGEMENT),
    "waste.makeready_two_inks": FigureWords(
        "Make-ready waste, two inks", "sheets", "American Printer, January 1996, second-hand"
    ),
    "waste.running_percent": FigureWords(
        "Running waste", "%", "American Printer, January 1996, runs of 2,500; second-hand"
    ),
    "materials.ream_sheets": FigureWords("Sheets in a ream", "sheets", "common practice, no source"),
    "materials.laydown_factor.coated": FigureWords(
        "Laydown factor, coated stock", "", "posts in a printers' forum, second-hand"
    ),
    "materials.laydown_factor.uncoated": FigureWords(
        "Laydown factor, uncoated stock", "", "posts in a printers' forum, second-hand"
    ),
    "materials.roller_wash_ml": FigureWords(
        "Solvent for one wash of one unit's rollers", "ml",
        f"{_JUDGEMENT}; {_TEMPLATE}, gives several times as much, made to find the most",
    ),
    "materials.blanket_wash_ml": FigureWords("Solvent for one wash of one blanket", "ml", _JUDGEMENT),
    "materials.dampening_ml_per_m2": FigureWords("Dampening solution used, by sheet area", "ml/m²", _TEMPLATE),
    "card.dampening.tray_l": FigureWords("Dampening solution mixed at a time", "l", _JUDGEMENT),
    "card.dampening.additive_percent.metal": FigureWords(
        "Additive, metal plates", "% by volume", f"{_JUDGEMENT}; the additive's own sheet decides"
    ),
    "card.dampening.additive_percent.polyester": FigureWords(
        "Additive, polyester plates", "% by volume", f"{_JUDGEMENT}; the additive's own sheet decides"
    ),
    "card.dampening.additive_percent.paper": FigureWords(
        "Additive, paper plates", "% by volume", f"{_JUDGEMENT}; the additive's own sheet decides"
    ),
    "materials.lifting.reach_cm": FigureWords("Lifting: hands in front of the ankles", "cm", _JUDGEMENT),
    "materials.lifting.from_height_cm": FigureWords("Lifting: hands at the beginning", "cm", _JUDGEMENT),
    "materials.lifting.to_height_cm": FigureWords("Lifting: hands at the end", "cm", _JUDGEMENT),
    "materials.lifting.turn_deg": FigureWords("Lifting: turn of the trunk", "°", _JUDGEMENT),
    "materials.lifting.lifts_per_min": FigureWords("Lifting: lifts a minute", "", _JUDGEMENT),
    "materials.lifting.hours": FigureWords("Lifting: at a stretch", "h", _JUDGEMENT),
    "materials.lifting.coupling": FigureWords("Lifting: hold", "", f"{_JUDGEMENT}; loose paper has no handles"),
}

#: What is reckoned by a rule and not by a figure of these tables.
RULES: tuple[str, ...] = (
    "Sheet weight is area times grammage (ISO 536); a job list may give its own sheets of waste.",
    "Ink is coverage times laydown times the stock's factor times area times all sheets, make-ready too; what stays in "
    "the fountain is not counted. An ink's own laydown stands with the ink; 1.4 g/m² of solid unless it says another "
    "(judgement, no source).",
)
