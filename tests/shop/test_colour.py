"""Colour reckoning against published tables and a second, independent library."""

from __future__ import annotations

import math
from statistics import mean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.shop.colour import (
    BANDS_NM,
    D50_WHITE,
    Lab,
    ciede2000,
    lab_of_linear_srgb,
    lab_of_spectrum,
    lab_of_srgb,
    lab_of_xyz,
    linear_srgb_of_lab,
    srgb_of_lab,
    xyz_of_spectrum,
)
from queueplanner.shop.resources import resource_path
from tests.published import figures, rows

law = settings(derandomize=True, deadline=None, max_examples=100)
labs = st.builds(Lab, st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
channels = st.integers(0, 255)


@pytest.mark.parametrize("row", rows("ciede2000_pairs.csv"), ids=lambda row: f"pair {row['pair']}")
def test_ciede2000_gives_the_published_difference_in_both_directions(row: dict[str, str]) -> None:
    first, second = Lab(*figures(row, "L1", "a1", "b1")), Lab(*figures(row, "L2", "a2", "b2"))
    assert round(ciede2000(first, second), 4) == float(row["dE00"])
    assert round(ciede2000(second, first), 4) == float(row["dE00"])


def test_all_34_published_pairs_are_checked() -> None:
    assert [row["pair"] for row in rows("ciede2000_pairs.csv")] == [str(n) for n in range(1, 35)]


@given(labs, labs)
@law
def test_a_colour_differs_from_itself_by_nothing_and_from_others_the_same_both_ways(
    one: Lab, other: Lab
) -> None:
    assert ciede2000(one, one) == 0
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), abs=1e-9)


def test_process_solids_differ_from_each_other_as_published() -> None:
    solids = {
        row["patch"]: Lab(*figures(row, "L", "a", "b"))
        for row in rows("process_solids.csv")
        if row["dataset"] == "FOGRA39L"
    }
    pairs = rows("fogra39_solid_pair_deltaE.csv")
    assert len(pairs) == 28
    for pair in pairs:
        difference = ciede2000(solids[pair["from"]], solids[pair["to"]])
        assert difference == pytest.approx(float(pair["dE00"]), abs=6e-5), pair


@pytest.mark.parametrize("row", rows("srgb_lab_d50.csv"), ids=lambda row: row["name"])
def test_a_screen_colour_has_the_lab_two_libraries_give(row: dict[str, str]) -> None:
    lab = lab_of_srgb(row["hex"])
    assert lab == pytest.approx(figures(row, "L", "a", "b"), abs=6e-5)
    # The second library takes the four-digit matrix of the standard; that is worth up to 0.021.
    assert lab == pytest.approx(figures(row, "L_second", "a_second", "b_second"), abs=0.03)


@given(channels, channels, channels)
@law
def test_a_screen_colour_survives_the_way_to_lab_and_back(red: int, green: int, blue: int) -> None:
    colour = f"#{red:02x}{green:02x}{blue:02x}"
    assert srgb_of_lab(lab_of_srgb(colour)) == colour


@given(labs)
@law
def test_lab_survives_the_way_to_linear_srgb_and_back_outside_the_gamut_too(lab: Lab) -> None:
    assert lab_of_linear_srgb(linear_srgb_of_lab(lab)) == pytest.approx(lab, abs=1e-9)


def test_linear_srgb_is_not_clipped_but_the_screen_colour_is() -> None:
    process_cyan = Lab(55, -37, -50)
    red, _, _ = linear_srgb_of_lab(process_cyan)
    assert red < 0
    assert srgb_of_lab(process_cyan).startswith("#00")
    assert srgb_of_lab(Lab(100, 0, 50)).startswith("#ff")


def test_an_ink_without_hue_is_a_grey_of_equal_channels() -> None:
    rgb = linear_srgb_of_lab(Lab(50, 0, 0))
    assert rgb == pytest.approx([((50 + 16) / 116) ** 3] * 3, abs=1e-9)


@pytest.mark.parametrize("text", ["", "blue-ish", "#12345", "#gggggg"])
def test_what_is_no_screen_colour_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a valid color"):
        lab_of_srgb(text)


def test_measured_print_has_the_lab_that_its_xyz_gives_under_d50() -> None:
    off = []
    for row in rows("process_solids.csv"):
        xyz = [value / 100 for value in figures(row, "X", "Y", "Z")]
        off.append(math.dist(lab_of_xyz(xyz), figures(row, "L", "a", "b")))
    # The published XYZ has two decimals, which is worth up to 0.32 in the darkest patches.
    assert max(off) < 0.32
    assert mean(off) < 0.1


@pytest.mark.parametrize("row", rows("spectra.csv"), ids=lambda row: row["name"])
def test_a_spectrum_has_the_xyz_and_lab_a_second_library_gives(row: dict[str, str]) -> None:
    spectrum = [float(value) for value in row["reflectances"].split()]
    assert xyz_of_spectrum(spectrum) == pytest.approx(figures(row, "X", "Y", "Z"), abs=2e-6)
    assert lab_of_spectrum(spectrum) == pytest.approx(figures(row, "L", "a", "b"), abs=2e-4)


def test_a_perfect_white_spectrum_is_lab_white_and_close_to_d50() -> None:
    white = [1.0] * 36
    assert lab_of_spectrum(white) == pytest.approx((100, 0, 0), abs=1e-9)
    assert xyz_of_spectrum(white) == pytest.approx(D50_WHITE, abs=0.001)


@given(st.floats(0.01, 1))
@law
def test_a_flat_spectrum_is_a_grey(reflectance: float) -> None:
    lab = lab_of_spectrum([reflectance] * 36)
    assert (lab.a, lab.b) == pytest.approx((0, 0), abs=1e-9)
    assert linear_srgb_of_lab(lab) == pytest.approx([reflectance] * 3, abs=1e-6)


@pytest.mark.parametrize("bands", [0, 31, 35, 37])
def test_a_spectrum_with_missing_or_extra_bands_is_refused(bands: int) -> None:
    with pytest.raises(ValueError, match=f"36 reflectances, not {bands}"):
        xyz_of_spectrum([0.5] * bands)


def test_the_light_is_cie_daylight_of_5003_kelvin() -> None:
    """The illuminant's file against the CIE daylight formula (CIE 15; coefficients from memory)."""
    kelvin = 5000 * 1.4388 / 1.4380
    x = -4.6070e9 / kelvin**3 + 2.9678e6 / kelvin**2 + 0.09911e3 / kelvin + 0.244063
    y = -3 * x * x + 2.87 * x - 0.275
    divisor = 0.0241 + 0.2562 * x - 0.7341 * y
    m1 = round((-1.3515 - 1.7703 * x + 5.9114 * y) / divisor, 3)
    m2 = round((0.03 - 31.4424 * x + 30.0717 * y) / divisor, 3)
    lines = resource_path("colour", "illuminant_d50.csv").read_text(encoding="utf-8").splitlines()
    power = dict(line.split(",") for line in lines if line[0].isdigit())
    assert list(power) == [str(nm) for nm in BANDS_NM]
    for row in rows("daylight_components.csv"):
        s0, s1, s2 = figures(row, "s0", "s1", "s2")
        assert float(power[row["wavelength_nm"]]) == pytest.approx(s0 + m1 * s1 + m2 * s2, abs=0.001)


def test_missing_data_is_named() -> None:
    with pytest.raises(FileNotFoundError, match=r"colour/nowhere\.csv"):
        resource_path("colour", "nowhere.csv")
