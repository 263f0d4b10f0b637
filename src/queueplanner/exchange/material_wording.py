"""The words of materials: the lifting hint with its inputs and limits. Weights and volumes read as figures."""

from __future__ import annotations

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
    return (
        f"Hands {p.reach_cm:g} cm out, from {p.from_height_cm:g} to {p.to_height_cm:g} cm high, turned "
        f"{p.turn_deg:g}°, {p.lifts_per_min:g} lifts a minute for {p.hours:g} h, hold {p.coupling}."
    )
