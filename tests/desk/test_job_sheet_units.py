"""Figures in other units lead back to the figure that is kept."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.desk.sheet_columns import COLUMN_OF
from queueplanner.desk.sheet_text import SheetText
from queueplanner.desk.sheet_units import LengthUnit, ThicknessUnit, Units, WeightUnit, decimal_of
from queueplanner.exchange.job_cells import number_cell
from tests.exchange.job_lists import demo_shop

UNITS = st.builds(
    Units,
    st.sampled_from(LengthUnit),
    st.sampled_from(ThicknessUnit),
    st.sampled_from(WeightUnit),
    st.sampled_from(".,"),
)
INCHES = Units(LengthUnit.INCH, ThicknessUnit.POINT, WeightUnit.BOOK)
GERMAN = Units(decimal_mark=",")


def text(units: Units) -> SheetText:
    return SheetText(demo_shop(), units)


@settings(max_examples=1000, derandomize=True, deadline=None)
@given(UNITS, st.integers(100, 200_000), st.integers(1, 2000))
def test_lengths_and_thicknesses_come_back_to_the_step_they_are_kept_in(units, hundredths, micrometres) -> None:
    turned = text(units)
    for column, kept in (
        ("plate_length_mm", number_cell(hundredths / 100)),
        ("plate_thickness_mm", number_cell(micrometres / 1000)),
        ("drying_h", number_cell(hundredths / 1000)),
    ):
        shown = turned.shown(COLUMN_OF[column], kept)
        assert turned.kept(COLUMN_OF[column], shown) == kept, shown


@settings(max_examples=1000, derandomize=True, deadline=None)
@given(UNITS, st.integers(1, 19_990), st.integers(1, 19_990))
def test_sizes_and_strips_come_back_too(units, first, second) -> None:
    low, high = sorted((first, second))
    turned = text(units)
    size = f"{low / 10:g} x {high / 10:g}"
    back = turned.shop.format_named(turned.kept(COLUMN_OF["format"], turned.shown(COLUMN_OF["format"], size)))
    meant = turned.shop.format_named(size)
    assert not back.differs_from(meant)
    assert abs(back.short_mm - meant.short_mm) < 0.005 and abs(back.long_mm - meant.long_mm) < 0.005
    if low < high:
        strips = f"{low / 10:g}-{high / 10:g}"
        assert turned.kept(COLUMN_OF["strips"], turned.shown(COLUMN_OF["strips"], strips)) == strips


@settings(max_examples=300, derandomize=True, deadline=None)
@given(UNITS, st.integers(200, 10_000))
def test_weights_come_back_to_a_tenth_of_a_gram(units, tenths) -> None:
    shown = units.shown_weight(tenths / 10)
    assert units.gsm_of_weight(decimal_of(shown)) == tenths / 10


def test_known_figures() -> None:
    assert text(INCHES).shown(COLUMN_OF["plate_length_mm"], "504.8250") == "19.875"
    assert text(INCHES).kept(COLUMN_OF["plate_length_mm"], "19 7/8") == "504.83"
    assert text(INCHES).shown(COLUMN_OF["plate_thickness_mm"], "0.13") == "5.12"
    assert text(INCHES).kept(COLUMN_OF["format"], "8.5 x 11") == "215.9 x 279.4"
    assert text(INCHES).shown(COLUMN_OF["format"], "215.9 x 279.4") == "8.5 x 11 in"
    assert text(INCHES).shown(COLUMN_OF["format"], "SRA3") == "SRA3"
    assert Units(weight=WeightUnit.COVER).shown_weight(270.4) == "100"
    assert decimal_of("19 7/8") == Decimal("19.875")
    assert decimal_of("7/0") is None and decimal_of("about 5") is None


def test_a_decimal_comma_is_shown_and_taken_where_it_is_usual() -> None:
    turned = text(GERMAN)
    for column, kept, shown in (
        ("coverage", "8.5+12", "8,5+12"),
        ("drying_h", "2.5", "2,5"),
        ("plate_length_mm", "504.8250", "504,8250"),
        ("strips", "18.5-34", "18,5-34"),
    ):
        assert turned.shown(COLUMN_OF[column], kept) == shown
        assert turned.kept(COLUMN_OF[column], shown) == kept


@pytest.mark.parametrize("units", [Units(), GERMAN])
@pytest.mark.parametrize("typed", ["1,234", "1.234"])
def test_what_could_be_thousands_is_left_to_be_asked(units: Units, typed: str) -> None:
    for column in ("plate_length_mm", "plate_thickness_mm", "drying_h", "coverage"):
        assert text(units).kept(COLUMN_OF[column], typed) == typed
        assert text(units).shown(COLUMN_OF[column], typed) == typed


def test_names_are_kept_as_ids_and_shown_as_names() -> None:
    turned = text(Units())
    inks, stock = COLUMN_OF["inks"], COLUMN_OF["stock"]
    assert turned.kept(inks, "HARBOUR  blue+ black ") == "harbour-blue+black"
    assert turned.shown(inks, "harbour-blue+black") == "Harbour blue + Black"
    assert turned.kept(inks, "harbour-blue+nothing") == "harbour-blue+nothing"
    assert turned.shown(stock, "silk-115") == "Silk coated 115 g/m²"
    assert turned.kept(stock, "silk coated 115 g/m²") == "silk-115"
