"""How often an ink is washed out: the residue's law, the rules beside it, the figures they have to give."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from queueplanner.makeready.residue import (
    ResidueModel,
    WashCount,
    WashRule,
    difference_after,
    difference_of_share,
    films_overlaid,
    is_predicted,
    k_over_s,
    pigments_mixed,
    reflectance_of_k_over_s,
    wash_count,
    wash_table,
)
from queueplanner.shop.base import InkId
from queueplanner.shop.colour import Lab, ciede2000, lab_of_linear_srgb, lab_of_spectrum, linear_srgb_of_lab
from queueplanner.shop.ink import Ink, InkKind
from tests.published import figures, rows

law = settings(derandomize=True, deadline=None, max_examples=150)
MODEL = ResidueModel()
Triple = tuple[float, float, float]


def ink(name: str, lab: Triple | None = None, kind: InkKind = InkKind.SPOT, **more: Any) -> Ink:
    return Ink(id=InkId(name), name=name, lab=lab, kind=kind, open_time_h=8, drying_time_h=4, **more)


def washes(old: Ink, new: Ink, model: ResidueModel = MODEL) -> int:
    return wash_count(old, new, model, {}).washes


def solid(patch: str) -> Triple:
    row = next(r for r in rows("process_solids.csv") if r["dataset"] == "FOGRA39L" and r["patch"] == patch)
    lightness, a, b = figures(row, "L", "a", "b")
    return lightness, a, b


CYAN = ink("cyan", solid("C"), InkKind.PROCESS)
MAGENTA = ink("magenta", solid("M"), InkKind.PROCESS)
YELLOW = ink("yellow", solid("Y"), InkKind.PROCESS)
BLACK = ink("black", solid("K"), InkKind.PROCESS, tolerance=5.0)
OPAQUE_WHITE = ink("opaque white", (94.0, 0.0, -1.0), InkKind.OPAQUE_WHITE)
PALE_PINK = ink("pale pink", (88.0, 10.0, 5.0))
WARM_YELLOW = ink("warm yellow", (82.0, 15.0, 85.0))

labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
bands = st.floats(0.01, 1)
spectra = st.lists(bands, min_size=36, max_size=36).map(tuple)
hues = st.floats(0, 2 * math.pi)


# --- the figures --------------------------------------------------------------------------------------------


def test_black_before_process_yellow_takes_two_washes_and_says_why() -> None:
    count = wash_count(BLACK, YELLOW, MODEL, {})
    assert (count.washes, count.rule, count.tolerance, count.beyond_tolerance) == (
        2,
        WashRule.COLOUR,
        3.5,
        False,
    )
    assert [round(d, 2) for d in count.differences] == [4.42, 0.44]


def test_process_yellow_before_black_takes_one_wash() -> None:
    count = wash_count(YELLOW, BLACK, MODEL, {})
    assert count.washes == 1
    assert [round(d, 2) for d in count.differences] == [3.03]


def test_black_in_a_warm_yellow_reads_as_the_screen_says() -> None:
    count = wash_count(BLACK, WARM_YELLOW, MODEL, {})
    assert (count.washes, count.tolerance) == (2, 1.5)
    assert [round(d, 1) for d in count.differences] == [4.4, 0.4]


@pytest.mark.parametrize("strong", [CYAN, MAGENTA, YELLOW, BLACK], ids=lambda i: i.name)
def test_strong_inks_take_two_washes_before_a_pale_one_which_takes_one_before_them(strong: Ink) -> None:
    assert washes(strong, PALE_PINK) == 2
    assert washes(PALE_PINK, strong) == 1


@pytest.mark.parametrize("strong", [CYAN, MAGENTA, YELLOW, BLACK], ids=lambda i: i.name)
def test_strong_inks_take_three_or_four_washes_before_opaque_white_which_takes_one_before_them(
    strong: Ink,
) -> None:
    assert washes(strong, OPAQUE_WHITE) in (3, 4)
    assert washes(OPAQUE_WHITE, strong) == 1


def test_differences_are_whole_ten_thousandths_and_the_function_gives_the_same() -> None:
    count = wash_count(BLACK, YELLOW, MODEL, {})
    assert count.differences == tuple(difference_after(BLACK, YELLOW, n, MODEL) for n in (1, 2))
    assert all(d == round(d, 4) for d in count.differences)


def test_a_difference_equal_to_the_tolerance_is_within_it() -> None:
    first = difference_after(BLACK, YELLOW, 1, MODEL)
    exactly = YELLOW.model_copy(update={"tolerance": first})
    below = YELLOW.model_copy(update={"tolerance": first - 0.0001})
    assert (washes(BLACK, exactly), washes(BLACK, below)) == (1, 2)


def test_the_most_washes_are_done_when_none_suffices_and_the_count_says_so() -> None:
    count = wash_count(BLACK, OPAQUE_WHITE.model_copy(update={"tolerance": 0.05}), MODEL, {})
    assert (count.washes, count.beyond_tolerance) == (4, True)
    assert len(count.differences) == 4
    fewer = wash_count(BLACK, OPAQUE_WHITE, ResidueModel(most_washes=2), {})
    assert (fewer.washes, fewer.beyond_tolerance) == (2, True)


# --- the rules beside the colours ---------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [InkKind.METALLIC, InkKind.FLUORESCENT])
def test_a_metallic_or_fluorescent_ink_on_either_side_takes_two_washes_and_nothing_is_predicted(
    kind: InkKind,
) -> None:
    special = ink("special", (70, 0, 10), kind)
    for old, new in ((special, BLACK), (BLACK, special), (special, ink("other", (60, 0, 0), kind))):
        assert not is_predicted(old, new)
        assert wash_count(old, new, MODEL, {}) == WashCount(
            2, WashRule.METALLIC_OR_FLUORESCENT, (), None, False
        )


def test_another_ink_family_takes_at_least_two_washes() -> None:
    soy_black = ink("soy black", solid("K"), InkKind.PROCESS, tolerance=5.0, family="soy")
    count = wash_count(YELLOW, soy_black, MODEL, {})
    assert (count.washes, count.rule) == (2, WashRule.FAMILY)
    assert count.differences == tuple(difference_after(YELLOW, soy_black, n, MODEL) for n in (1, 2))
    assert washes(YELLOW, BLACK) == 1


def test_another_ink_family_changes_nothing_where_the_colours_ask_for_more() -> None:
    soy_white = OPAQUE_WHITE.model_copy(update={"family": "soy"})
    assert wash_count(BLACK, soy_white, MODEL, {}) == wash_count(BLACK, OPAQUE_WHITE, MODEL, {})


@pytest.mark.parametrize("fixed", [1, 2, 3, 4])
def test_the_shops_own_figure_replaces_everything_in_that_direction_only(fixed: int) -> None:
    gold = ink("gold", (70, 0, 40), InkKind.METALLIC, family="soy")
    for old, new in ((BLACK, YELLOW), (gold, YELLOW), (BLACK, gold)):
        overrides = {(old.id, new.id): fixed}
        assert wash_count(old, new, MODEL, overrides) == WashCount(fixed, WashRule.OVERRIDE, (), None, False)
        assert wash_count(new, old, MODEL, overrides) == wash_count(new, old, MODEL, {})


def test_the_table_holds_every_ordered_pair_of_different_inks() -> None:
    inks = [BLACK, YELLOW, OPAQUE_WHITE]
    overrides = {(BLACK.id, OPAQUE_WHITE.id): 1}
    table = wash_table(inks, MODEL, overrides)
    assert table == {
        (old.id, new.id): wash_count(old, new, MODEL, overrides) for old in inks for new in inks if old != new
    }
    assert table[BLACK.id, OPAQUE_WHITE.id].rule is WashRule.OVERRIDE


# --- the reckoning ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row", [r for r in rows("kubelka_munk.csv") if r["kind"] == "K/S of R"], ids=lambda r: r["input"]
)
def test_k_over_s_of_a_reflectance_and_back(row: dict[str, str]) -> None:
    reflectance, ratio = figures(row, "input", "value")
    assert k_over_s(reflectance) == pytest.approx(ratio, abs=1e-12)
    assert reflectance_of_k_over_s(ratio) == pytest.approx(reflectance, abs=1e-12)


@given(bands)
@law
def test_every_reflectance_comes_back_from_its_k_over_s_as_the_textbook_form_has_it(
    reflectance: float,
) -> None:
    ratio = k_over_s(reflectance)
    assert reflectance_of_k_over_s(ratio) == pytest.approx(reflectance, rel=1e-12)
    assert reflectance_of_k_over_s(ratio) == pytest.approx(
        1 + ratio - math.sqrt(ratio**2 + 2 * ratio), abs=1e-6
    )


@pytest.mark.parametrize(
    "row", [r for r in rows("kubelka_munk.csv") if r["kind"] == "R of mix"], ids=lambda r: r["input"]
)
def test_a_dark_grey_mixed_into_a_light_one_gives_the_tabled_reflectance_and_lightness(
    row: dict[str, str],
) -> None:
    share, reflectance, lightness = figures(row, "input", "value", "lightness")
    mixed = pigments_mixed([0.80] * 3, [0.05] * 3, share)
    assert mixed == pytest.approx([reflectance] * 3, abs=6e-7)
    assert abs(lab_of_linear_srgb(mixed).L - lightness) < 0.006


def test_one_per_cent_of_dark_shows_in_light_and_one_per_cent_of_light_does_not_show_in_dark() -> None:
    light, dark = [0.80] * 3, [0.05] * 3
    into_light = ciede2000(lab_of_linear_srgb(light), lab_of_linear_srgb(pigments_mixed(light, dark, 0.01)))
    into_dark = ciede2000(lab_of_linear_srgb(dark), lab_of_linear_srgb(pigments_mixed(dark, light, 0.01)))
    assert into_light > 5
    assert into_dark < 0.5


@pytest.mark.parametrize("row", rows("dilution.csv"), ids=lambda r: f"{r['kind']}, r {r['r']}, {r['value']}")
def test_each_wash_leaves_the_same_share_of_what_was_there(row: dict[str, str]) -> None:
    model = ResidueModel(c0=1, r=float(row["r"]))
    if row["kind"] == "share left":
        assert model.share_after(int(row["washes"])) == pytest.approx(float(row["value"]), rel=1e-12)
    else:
        wanted = float(row["wanted_share"])
        assert next(n for n in range(20) if model.share_after(n) <= wanted) == int(row["value"])


def test_the_emptied_fountain_leaves_c0() -> None:
    assert ResidueModel(c0=0.3, r=0.2).share_after(0) == 0.3
    assert ResidueModel(c0=0.3, r=0.2).share_after(2) == pytest.approx(0.012)


@given(st.tuples(bands, bands, bands), st.tuples(bands, bands, bands), st.floats(0, 1))
@law
def test_the_densities_of_films_add(new: Triple, old: Triple, share: float) -> None:
    for mixed, n, o in zip(films_overlaid(new, old, share), new, old, strict=True):
        assert -math.log10(mixed) == pytest.approx(-math.log10(n) - share * math.log10(o), abs=1e-9)


@pytest.mark.parametrize(
    "bad", [{"c0": 0}, {"c0": 1.1}, {"r": 0}, {"r": 1}, {"most_washes": 1}, {"most_washes": 5}]
)
def test_a_residue_model_beyond_its_bounds_is_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        ResidueModel(**bad)


def test_colours_are_kept_between_one_and_a_hundred_per_cent_reflectance_before_they_mix() -> None:
    # Process cyan reflects less than nothing of red in linear sRGB; black below L* 9 reflects less than 1 %.
    blackest, dark = ink("blackest", (0, 0, 0)), ink("dark", (8.9, 0, 0))
    assert difference_after(blackest, PALE_PINK, 1, MODEL) == difference_after(dark, PALE_PINK, 1, MODEL)
    cut = tuple(max(0.01, v) for v in linear_srgb_of_lab(CYAN.colour))
    share = MODEL.share_after(1)
    black = tuple(linear_srgb_of_lab(BLACK.colour))
    expected = ciede2000(lab_of_linear_srgb(cut), lab_of_linear_srgb(films_overlaid(cut, black, share)))
    assert difference_of_share(BLACK, CYAN, share) == pytest.approx(expected, abs=1e-12)


def test_the_mixture_itself_may_fall_below_one_per_cent() -> None:
    darkest = ink("darkest", (0, 0, 0))
    assert difference_of_share(ink("also dark", (0, 0, 0)), darkest, 0.5) > 1


def test_spectra_decide_only_where_both_inks_have_them() -> None:
    green = tuple(0.05 + 0.7 * math.exp(-(((nm - 530) / 30) ** 2)) for nm in range(380, 731, 10))
    red = tuple(0.04 if nm < 600 else 0.8 for nm in range(380, 731, 10))
    with_green, with_red = ink("green", spectrum=green), ink("red", spectrum=red)
    lab_red = ink("red", with_red.colour)
    lab_green = ink("green", with_green.colour)
    share = MODEL.share_after(1)
    by_spectra = ciede2000(lab_of_spectrum(green), lab_of_spectrum(films_overlaid(green, red, share)))
    assert difference_of_share(with_red, with_green, share) == pytest.approx(by_spectra, abs=1e-12)
    by_colour = difference_of_share(lab_red, lab_green, share)
    assert by_colour != pytest.approx(by_spectra, abs=0.01)
    assert difference_of_share(lab_red, with_green, share) == pytest.approx(by_colour, abs=1e-9)
    assert difference_of_share(with_red, lab_green, share) == pytest.approx(by_colour, abs=1e-9)


def test_spectra_are_kept_within_bounds_too() -> None:
    glowing, plain = ink("glowing", spectrum=(1.4,) * 36), ink("plain", spectrum=(1.0,) * 36)
    hollow, floor = ink("hollow", spectrum=(0.0,) * 36), ink("floor", spectrum=(0.01,) * 36)
    assert difference_after(hollow, glowing, 1, MODEL) == difference_after(floor, plain, 1, MODEL) > 0


def test_an_ink_known_only_by_lightness_is_that_grey() -> None:
    known, grey = ink("known", lightness=40), ink("grey", (40, 0, 0))
    assert washes(known, YELLOW) == washes(grey, YELLOW)
    assert difference_after(known, YELLOW, 1, MODEL) == difference_after(grey, YELLOW, 1, MODEL)


def test_opaque_white_on_either_side_mixes_as_pigment() -> None:
    for old, new in ((OPAQUE_WHITE, CYAN), (CYAN, OPAQUE_WHITE)):
        n, o = (tuple(min(1, max(0.01, v)) for v in linear_srgb_of_lab(i.colour)) for i in (new, old))
        expected = ciede2000(lab_of_linear_srgb(n), lab_of_linear_srgb(pigments_mixed(n, o, 0.05)))
        assert difference_of_share(old, new, 0.05) == pytest.approx(expected, abs=1e-12)


# --- the laws -----------------------------------------------------------------------------------------------


def _unclipped(colour: Triple) -> bool:
    return all(0.01 <= v <= 1 for v in linear_srgb_of_lab(Lab(*colour)))


def _never_more_washes(lighter: Ink, darker: Ink, new: Ink) -> None:
    for n in range(1, 5):
        assert difference_after(lighter, new, n, MODEL) <= difference_after(darker, new, n, MODEL)
    assert washes(lighter, new) <= washes(darker, new)


@given(st.floats(0, 100), st.floats(0, 100), labs)
@law
def test_a_lighter_grey_never_takes_more_washes_than_a_darker_one(
    one: float, other: float, new: Triple
) -> None:
    light, dark = max(one, other), min(one, other)
    _never_more_washes(ink("light", (light, 0, 0)), ink("dark", (dark, 0, 0)), ink("new", new))


@given(st.floats(12, 97), st.floats(12, 97), st.floats(0, 12), hues, labs)
@law
def test_nor_does_a_lighter_near_neutral_than_a_darker_of_the_same_hue(
    one: float, other: float, chroma: float, hue: float, new: Triple
) -> None:
    """Holds up to chroma 12 where no band is cut to the bounds: a cut turns the hue."""
    a, b = chroma * math.cos(hue), chroma * math.sin(hue)
    light, dark = (max(one, other), a, b), (min(one, other), a, b)
    assume(_unclipped(light) and _unclipped(dark))
    _never_more_washes(ink("light", light), ink("dark", dark), ink("new", new))


@given(
    labs, labs, st.floats(0.1, 20), st.floats(0.1, 20), st.sampled_from([InkKind.SPOT, InkKind.OPAQUE_WHITE])
)
@law
def test_a_tighter_tolerance_never_takes_fewer_washes(
    old: Triple, new: Triple, one: float, other: float, kind: InkKind
) -> None:
    tight = ink("tight", new, kind, tolerance=min(one, other))
    loose = ink("loose", new, kind, tolerance=max(one, other))
    assert washes(ink("old", old), tight) >= washes(ink("old", old), loose)


@given(labs, labs, st.floats(0, 0.1), st.floats(0, 0.1))
@law
def test_more_residue_never_reads_closer_up_to_a_tenth_of_transparent_ink(
    old: Triple, new: Triple, one: float, other: float
) -> None:
    less, more = sorted((one, other))
    first, second = ink("old", old), ink("new", new)
    assert difference_of_share(first, second, less) <= difference_of_share(first, second, more) + 1e-9


@given(spectra, spectra, st.floats(0, 0.1), st.floats(0, 0.1))
@law
def test_more_residue_never_reads_closer_by_spectra_either(
    old: tuple[float, ...], new: tuple[float, ...], one: float, other: float
) -> None:
    less, more = sorted((one, other))
    first, second = ink("old", spectrum=old), ink("new", spectrum=new)
    assert difference_of_share(first, second, less) <= difference_of_share(first, second, more) + 1e-9


@given(
    labs,
    st.tuples(st.floats(80, 100), st.floats(-8, 8), st.floats(-8, 8)),
    st.floats(0, 0.05),
    st.floats(0, 0.05),
)
@law
def test_more_residue_in_opaque_white_never_reads_closer_while_it_reads_close(
    old: Triple, white: Triple, one: float, other: float
) -> None:
    """Holds up to ΔE00 10; beyond about 16 CIEDE2000's mean hue may jump and lower the figure."""
    less, more = sorted((one, other))
    first, second = ink("old", old), ink("white", white, InkKind.OPAQUE_WHITE)
    nearer = difference_of_share(first, second, less)
    assume(nearer <= 10)
    assert nearer <= difference_of_share(first, second, more) + 1e-9


@given(labs, labs)
@law
def test_an_ink_without_residue_is_clean(old: Triple, new: Triple) -> None:
    assert difference_of_share(ink("old", old), ink("new", new), 0.0) == pytest.approx(0, abs=1e-9)


@given(st.floats(10, 30), st.floats(70, 93), st.floats(60, 95))
@law
def test_black_before_yellow_takes_more_washes_than_yellow_before_black(
    black_lightness: float, yellow_lightness: float, chroma: float
) -> None:
    black = ink("black", (black_lightness, 0, 0), InkKind.PROCESS, tolerance=5.0)
    yellow = ink("yellow", (yellow_lightness, 0, chroma), tolerance=1.5)
    assert washes(black, yellow) > washes(yellow, black)
