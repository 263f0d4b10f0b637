"""Sheet sizes, basis weights, calipers and plate lengths against the standards and worked examples."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from queueplanner.shop.base import PlateId, StockId
from queueplanner.shop.format import NAMED_FORMATS, Format, parse_format
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import PressProfile
from queueplanner.shop.stock import (
    BASIC_SIZES_IN,
    Coating,
    Grain,
    Stock,
    gsm_of_pounds,
    m_weight,
    pounds_of_gsm,
)
from tests.published import figures, rows

law = settings(derandomize=True, deadline=None, max_examples=100)
SIZES = rows("iso216_217_sizes.csv")
EXAMPLES = rows("paper_worked_examples.csv")
sides = st.integers(10, 2000).map(float)


def sheet(short: float, long: float) -> Format:
    return Format(short_mm=short, long_mm=long)


def named(text: str) -> Format:
    found = parse_format(text)
    assert found is not None
    return found


def stock(**changes: Any) -> Stock:
    facts: dict[str, Any] = {
        "id": StockId("s"),
        "name": "offset 80",
        "grammage_gsm": 80,
        "caliper_um": 100,
        "coating": Coating.UNCOATED,
        "grain": Grain.LONG,
        "speed_sph": 8000,
    }
    return Stock(**(facts | changes))


def plate(length_mm: float = 505, thickness_um: int = 150) -> Plate:
    return Plate(
        id=PlateId("p"), material=PlateMaterial.METAL, length_mm=length_mm, thickness_um=thickness_um
    )


def pile_sheets(height_mm: float, caliper_um: int) -> int:
    # No fact of the press itself enters, so a bare profile will do.
    profile: Any = PressProfile
    sheets: int = profile.model_construct().pile_sheets(height_mm, caliper_um)
    return sheets


# --- formats ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row["name"])
def test_a_named_size_is_the_standards(row: dict[str, str]) -> None:
    size = named(row["name"])
    assert (size.short_mm, size.long_mm) == figures(row, "short_mm", "long_mm")
    assert size.area_m2 == pytest.approx(float(row["area_m2"]), abs=5e-7)
    assert size.label == row["name"]


def test_every_standard_size_is_known_and_no_other_series() -> None:
    standard = {row["name"].casefold() for row in SIZES}
    assert len(standard) == 32
    assert set(NAMED_FORMATS) - standard == {"letter", "legal", "ledger", "half letter"}


@pytest.mark.parametrize(
    "row", [r for r in SIZES if r["name"].rstrip("0123456789") in ("A", "B")], ids=lambda r: r["name"]
)
def test_the_next_size_is_half_the_long_side_rounded_down_by_the_short(row: dict[str, str]) -> None:
    series, number = row["name"][0], int(row["name"][1:])
    following = NAMED_FORMATS.get(f"{series}{number + 1}".casefold())
    if number == 10:
        assert following is None
    else:
        assert following is not None
        short, long = figures(row, "short_mm", "long_mm")
        assert (following.short_mm, following.long_mm) == (long // 2, short)


@pytest.mark.parametrize(
    ("text", "short", "long"),
    [
        ("Letter", 215.9, 279.4),
        ("legal", 215.9, 355.6),
        ("LEDGER", 279.4, 431.8),
        ("half  letter", 139.7, 215.9),
        ("210 x 297", 210, 297),
        ("297×210 mm", 210, 297),
        ("8.5 x 11 in", 215.9, 279.4),
        ("8,5 * 11″", 215.9, 279.4),
        ('11 x 8.5"', 215.9, 279.4),
        ("25 x 38 inch", 635, 965.2),
        ("320.5 x 450", 320.5, 450),
    ],
)
def test_a_size_as_people_write_it_is_understood(text: str, short: float, long: float) -> None:
    size = named(text)
    assert (size.short_mm, size.long_mm) == (short, long)


@pytest.mark.parametrize(
    "text", ["", "A11", "RA5", "C5", "210", "0 x 297", "210 x 297 cm", "210 x 2970", "-1 x 5"]
)
def test_what_is_no_size_is_not_guessed(text: str) -> None:
    assert parse_format(text) is None


@given(sides, sides)
@law
def test_a_size_in_inches_is_the_same_size_in_mm(one: float, other: float) -> None:
    in_mm = named(f"{one} x {other}")
    in_inches = parse_format(f"{one / 25.4:.6f} x {other / 25.4:.6f} in")
    assert in_inches is not None
    assert in_inches.short_mm == pytest.approx(in_mm.short_mm, abs=0.001)
    assert in_inches.long_mm == pytest.approx(in_mm.long_mm, abs=0.001)


def test_the_short_side_comes_first() -> None:
    with pytest.raises(ValidationError, match="short side"):
        Format(short_mm=297, long_mm=210)


@pytest.mark.parametrize(
    ("other", "differs", "outgrows"),
    [
        (sheet(210, 297), False, False),
        (sheet(210.9, 297.9), False, False),
        (sheet(209.1, 296.1), False, False),
        (sheet(211, 297), True, True),
        (sheet(210, 298), True, True),
        (sheet(209, 297), True, False),
        (sheet(205, 298), True, True),
        (sheet(148, 210), True, False),
    ],
)
def test_a_format_differs_or_grows_by_a_whole_millimetre_on_either_side(
    other: Format, differs: bool, outgrows: bool
) -> None:
    assert other.differs_from(named("A4")) is differs
    assert named("A4").differs_from(other) is differs
    assert other.outgrows(named("A4")) is outgrows


def test_a_difference_of_one_millimetre_in_decimals_is_one_millimetre() -> None:
    assert 256.9 - 255.9 < 1  # in binary
    assert sheet(256.9, 300).differs_from(sheet(255.9, 300))
    assert sheet(256.9, 300).outgrows(sheet(255.9, 300))


# --- stocks -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("us_basis_weight_factors.csv"), ids=lambda row: row["grade"])
def test_a_pound_of_basis_weight_is_the_published_grammage(row: dict[str, str]) -> None:
    basic = figures(row, "basic_short_in", "basic_long_in")
    basic_size = (basic[0], basic[1])
    assert BASIC_SIZES_IN.get(row["grade"], basic_size) == basic_size
    assert gsm_of_pounds(1, basic_size) == pytest.approx(float(row["gsm_per_lb"]), abs=6e-6)
    if row["published_gsm_per_lb"]:
        assert gsm_of_pounds(1, basic_size) == pytest.approx(float(row["published_gsm_per_lb"]), abs=6e-4)


def test_every_grade_of_the_program_is_checked() -> None:
    assert set(BASIC_SIZES_IN) <= {row["grade"] for row in rows("us_basis_weight_factors.csv")}


@given(st.floats(1, 1000), st.sampled_from(sorted(BASIC_SIZES_IN)))
@law
def test_pounds_come_back_from_grammage(pounds: float, grade: str) -> None:
    basic = BASIC_SIZES_IN[grade]
    assert pounds_of_gsm(gsm_of_pounds(pounds, basic), basic) == pytest.approx(pounds, rel=1e-12)


def test_grammage_of_book_paper_in_pounds_as_published() -> None:
    assert pounds_of_gsm(103.6, BASIC_SIZES_IN["book"]) == pytest.approx(69.993, abs=0.0005)


@pytest.mark.parametrize(
    "row", [r for r in EXAMPLES if r["kind"] == "gsm"], ids=lambda r: f"{r['pounds']} lb {r['published']}"
)
def test_worked_examples_of_grammage(row: dict[str, str]) -> None:
    pounds, short, long, exact, published = figures(
        row, "pounds", "basic_short_in", "basic_long_in", "exact", "published"
    )
    grammage = gsm_of_pounds(pounds, (short, long))
    assert grammage == pytest.approx(exact, abs=1e-6)
    decimals = 0 if published == int(published) else 1
    assert round(grammage, decimals) == published


@pytest.mark.parametrize(
    "row", [r for r in EXAMPLES if r["kind"] == "M-weight"], ids=lambda r: r["published"]
)
def test_worked_examples_of_the_weight_of_a_thousand_sheets(row: dict[str, str]) -> None:
    pounds, short, long = figures(row, "pounds", "basic_short_in", "basic_long_in")
    wide, high, exact, published = figures(row, "sheet_short_in", "sheet_long_in", "exact", "published")
    thousand = m_weight(pounds, (short, long), (wide, high))
    assert thousand == pytest.approx(exact, abs=1e-6)
    assert thousand == pytest.approx(published, abs=0.005)


def test_the_basic_size_itself_weighs_twice_its_basis_weight_a_thousand() -> None:
    assert m_weight(70, (25, 38), (25, 38)) == 140


def test_an_a4_sheet_of_80_grams_weighs_five_grams_nearly() -> None:
    # A4 is a sixteenth of a square metre but for rounding of the sides.
    assert named("A4").area_m2 * stock().grammage_gsm == pytest.approx(4.9896, abs=1e-9)


def test_bulk_is_caliper_over_grammage() -> None:
    assert stock(grammage_gsm=75.2, caliper_um=97).bulk == pytest.approx(1.29, abs=0.001)


@pytest.mark.parametrize(
    ("height_mm", "caliper_um", "sheets"),
    [
        (25.4, 100, 254),
        (25.4, 127, 200),  # 5 mil, 1000/5 sheets an inch
        (25.4, 254, 100),  # 10 mil
        (400, 100, 4000),
        (399.99, 100, 3999),
        (0.3, 100, 3),  # exact in decimals: the nearest binary numbers would give 2
        (0.09, 100, 0),
    ],
)
def test_a_pile_holds_its_height_over_the_caliper(height_mm: float, caliper_um: int, sheets: int) -> None:
    assert pile_sheets(height_mm, caliper_um) == sheets


@pytest.mark.parametrize("mil", [2.0, 3.8, 4.0, 9.5, 12.0])
def test_an_inch_holds_a_thousand_sheets_over_the_caliper_in_mil(mil: float) -> None:
    """A caliper in whole µm is within half a µm of one in mil; paper itself keeps it to 5 per cent."""
    exact, half_a_micrometre = 1000 / mil, 0.5 / (mil * 25.4)
    assert abs(pile_sheets(25.4, round(mil * 25.4)) - exact) <= 1 + exact * half_a_micrometre


# --- plates -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length_mm", "inches", "same"), [(505, 19.875, True), (254, 10, True), (508, 20, True), (505, 20, False)]
)
def test_a_plate_length_in_mm_agrees_with_the_same_in_inches(
    length_mm: float, inches: float, same: bool
) -> None:
    assert plate(length_mm).has_length(inches * 25.4) is same


def test_plate_lengths_agree_up_to_two_tenths_of_a_millimetre() -> None:
    assert plate(505).has_length(505.2)
    assert plate(505).has_length(504.8)
    assert not plate(505).has_length(505.21)


@pytest.mark.parametrize(
    ("one_um", "other_um", "other_packing"),
    [
        (150, 152, False),  # 0.15 mm and 0.006 in
        (200, 203, False),  # 0.2 mm and 0.008 in
        (130, 150, False),
        (129, 150, True),
        (102, 152, True),  # 0.004 in and 0.006 in
    ],
)
def test_another_packing_is_wanted_beyond_two_hundredths_of_a_millimetre(
    one_um: int, other_um: int, other_packing: bool
) -> None:
    one, other = plate(thickness_um=one_um), plate(thickness_um=other_um)
    assert one.wants_other_packing_than(other) is other_packing
    assert other.wants_other_packing_than(one) is other_packing
