from __future__ import annotations

from itertools import combinations

import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.desk.palette import PALETTES, Palette, contrast, mark_pairs, readable_on, text_pairs

both = pytest.mark.parametrize("palette", PALETTES, ids=lambda p: p.name)
hex_colours = st.integers(0, 0xFFFFFF).map(lambda n: f"#{n:06x}")


def test_contrast_agrees_with_the_ratios_published_with_the_formula() -> None:
    # WCAG 2.2: black on white is 21; #767676 is the lightest grey that reaches 4.5 on white (worked from its formula).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@both
def test_text_reaches_four_and_a_half_to_one_on_every_ground(palette: Palette) -> None:
    assert [(a, b) for a, b in text_pairs(palette) if contrast(a, b) < 4.5] == []


@both
def test_marks_reach_three_to_one_on_every_ground(palette: Palette) -> None:
    assert [(a, b) for a, b in mark_pairs(palette) if contrast(a, b) < 3.0] == []


@both
@pytest.mark.parametrize("kind", ["protan", "deutan", "tritan"])
def test_state_colours_stay_apart_for_colour_blind_eyes(palette: Palette, kind: str) -> None:
    # Machado, Oliveira & Fernandes 2009, severity 1; the bar is CIEDE2000 of 10.
    seen = {
        name: Color(getattr(palette, name)).filter(kind, 1, method="machado")
        for name in ("late", "good", "water", "comb", "bar")
    }
    close = [(a, b) for a, b in combinations(seen, 2) if seen[a].delta_e(seen[b], method="2000") < 10]
    assert close == []


@given(hex_colours)
def test_text_on_any_ink_can_be_read(colour: str) -> None:
    assert contrast(readable_on(colour), colour) >= 4.5


@both
def test_a_two_tone_outline_shows_round_any_ink(palette: Palette) -> None:
    for ink in ("#000000", "#ffffff", "#777777", palette.surface, palette.track):
        assert max(contrast(palette.ring_in, ink), contrast(palette.ring_out, ink)) >= 3.0
