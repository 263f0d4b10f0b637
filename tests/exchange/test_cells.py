"""Cells are read strictly: what is ambiguous is asked, what is absurd is refused, nothing is guessed."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange import cells
from queueplanner.exchange.cells import CellFault
from queueplanner.shop.job import LaySide, WorkStyle

DAY = date(2026, 11, 26)
AMSTERDAM = ZoneInfo("Europe/Amsterdam")


def fault(read: object, *args: object) -> str:
    with pytest.raises(CellFault) as caught:
        read(*args)  # type: ignore[operator]
    return caught.value.wanted


@given(st.decimals(min_value=0, max_value=2000, places=2), st.sampled_from(".,"))
def test_decimal_point_and_comma_read_alike(value: object, mark: str) -> None:
    assert cells.number(str(value).replace(".", mark), 0, 2000) == float(value)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["1,234", "1.234", "12.500", "999,000"])
@pytest.mark.parametrize("read", [cells.number, cells.whole])
def test_a_mark_before_three_digits_is_asked(text: str, read: object) -> None:
    wanted = fault(read, text, 0, 10**9)
    assert text.replace(",", "").replace(".", "") in wanted
    assert "the one that is meant" in wanted


def test_a_nought_before_the_mark_is_no_thousands() -> None:
    assert cells.number("0,102", 0, 1) == 0.102


@pytest.mark.parametrize("text", ["1,234,567", "1.234,5", "1 234", "1'234", "12\u00a0500"])
def test_marks_between_thousands_are_not_taken(text: str) -> None:
    assert "thousands" in fault(cells.number, text, 0, 10**9)


@pytest.mark.parametrize(
    "text", ["nan", "NaN", "inf", "-inf", "1e5", "1e308", "0x10", "1_000", "", "½", "ten", "+5", ".5"]
)
def test_no_number_is_made_of_what_is_none(text: str) -> None:
    fault(cells.number, text, 0, 10**9)
    fault(cells.whole, text, 0, 10**9)


@pytest.mark.parametrize("text", ["-1", "\u22121"])
def test_negative_numbers_are_told_so_with_either_minus(text: str) -> None:
    assert "negative" in fault(cells.number, text, 0, 10)


def test_digits_of_other_scripts_are_told_so() -> None:
    assert "digits 0 to 9" in fault(cells.number, "\u0661\u0662", 0, 100)
    fault(cells.whole, "\u0661\u0662", 0, 100)


@given(st.integers(min_value=-(10**40), max_value=10**40))
def test_whole_numbers_stay_within_their_limits(value: int) -> None:
    if 1 <= value <= 10_000_000:
        assert cells.whole(str(value), 1, 10_000_000) == value
    else:
        assert "1 to 10000000" in fault(cells.whole, str(value), 1, 10_000_000)


def test_a_time_alone_is_on_the_plans_day() -> None:
    assert cells.moment("14:30", DAY, AMSTERDAM).isoformat() == "2026-11-26T14:30:00+01:00"
    assert cells.moment("6:05", DAY, AMSTERDAM).isoformat() == "2026-11-26T06:05:00+01:00"


def test_a_date_and_time_is_local_unless_it_says_otherwise() -> None:
    assert cells.moment("2026-07-01 08:00", DAY, AMSTERDAM).isoformat() == "2026-07-01T08:00:00+02:00"
    assert cells.moment("2026-07-01T08:00:30Z", DAY, AMSTERDAM).isoformat() == "2026-07-01T08:00:30+00:00"


def test_a_skipped_hour_is_refused_and_a_doubled_one_asked() -> None:
    assert "skip" in fault(cells.moment, "2026-03-29 02:30", DAY, AMSTERDAM)
    wanted = fault(cells.moment, "2026-10-25 02:30", DAY, AMSTERDAM)
    assert "2026-10-25 02:30+02:00 or 2026-10-25 02:30+01:00" in wanted
    for answer in ("2026-10-25 02:30+02:00", "2026-10-25 02:30+01:00"):
        assert cells.moment(answer, DAY, AMSTERDAM).utcoffset() == timedelta(hours=int(answer[-4]))


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("2026-02-29 10:00", "no such date"),
        ("2026-13-01 10:00", "no such date"),
        ("0000-01-01 10:00", "no such date"),
        ("9999-12-31 10:00", "year"),
        ("1999-12-31 10:00", "year"),
        ("24:00", "00:00 of the next"),
        ("25:00", "time of day"),
        ("10:60", "time of day"),
        ("2026-11-26 10:00+25:00", "offset"),
        ("26.11.2026 10:00", "2026-11-26 14:30"),
        ("11/26/2026 10:00", "2026-11-26 14:30"),
        ("10", "14:30"),
        ("\u0661\u0660:00", "14:30"),
    ],
)
def test_times_that_are_none_say_what_would_be_one(text: str, word: str) -> None:
    assert word in fault(cells.moment, text, DAY, AMSTERDAM)


def test_words_are_taken_with_any_capitals_and_hyphens() -> None:
    assert cells.choice("Work and Turn", WorkStyle) is WorkStyle.WORK_AND_TURN
    assert cells.choice("ONE-SIDE", WorkStyle) is WorkStyle.ONE_SIDE
    assert cells.yes_no("Yes") is True
    assert "operator, drive" in fault(cells.choice, "left", LaySide)
    assert "yes or no" in fault(cells.yes_no, "1")


def test_strips_are_pairs_of_distances() -> None:
    assert [(s.from_mm, s.to_mm) for s in cells.strips("18-34 190,5–206")] == [(18, 34), (190.5, 206)]
    for text in ("34-18", "18", "18-18", "18-34 x", "a-b", "0-3000"):
        assert "18-34" in fault(cells.strips, text)


def test_lists_have_no_empty_parts() -> None:
    assert cells.joined("black + harbour-blue") == ["black", "harbour-blue"]
    fault(cells.joined, "black+")
