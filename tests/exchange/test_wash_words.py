"""The wash table and every pair's reason, for the window and the terminal."""

from __future__ import annotations

import re

import pytest

from queueplanner.exchange.wash_words import (
    RULES,
    assumption,
    cell_sentences,
    ink_called,
    light_to_dark,
    pair_text,
    wash_cells,
    wash_table_text,
)
from queueplanner.makeready.residue import WashRule
from queueplanner.planning.rewash import with_overrides
from queueplanner.shop.base import InkId
from queueplanner.shop.errors import BadInput
from tests.exchange.job_lists import demo_shop

BLACK, YELLOW, SAND, SILVER, NAVY = (InkId(n) for n in ("black", "yellow", "sand", "silver", "office-navy"))


def test_inks_stand_from_light_to_dark() -> None:
    lightness = [ink.colour.L for ink in light_to_dark(demo_shop().inks.values())]
    assert lightness == sorted(lightness, reverse=True)


def test_every_ordered_pair_has_a_cell_and_no_ink_has_one_to_itself() -> None:
    cells, count = wash_cells(demo_shop()), len(demo_shop().inks)
    assert len(cells) == count * (count - 1)
    assert all(old != new for old, new in cells)


def test_a_reckoned_pair_is_told_in_words_and_numbers() -> None:
    (said,) = cell_sentences(wash_cells(demo_shop())[BLACK, SAND])
    assert re.fullmatch(r"2 washes: after one, Black in Sand reads ΔE00 \d\.\d, after two \d\.\d; tolerance 1\.5", said)


def test_a_pair_of_the_shops_own_tells_both_numbers() -> None:
    shop = with_overrides(demo_shop(), {(BLACK, YELLOW): 4})
    cell = wash_cells(shop)[BLACK, YELLOW]
    assert (cell.count.washes, cell.count.rule, cell.reckoned.washes) == (4, WashRule.OVERRIDE, 2)
    own, reckoned = cell_sentences(cell)
    assert "fixed by the shop" in own
    assert reckoned.startswith("reckoned without that: 2 washes")


def test_two_families_tell_what_colour_alone_would_say() -> None:
    cells = wash_cells(demo_shop())
    cell = next(c for c in cells.values() if c.count.rule is WashRule.FAMILY)
    assert NAVY in (cell.old.id, cell.new.id)
    assert "ink families" in cell_sentences(cell)[0]
    assert "by colour alone" in cell_sentences(cell)[1]


def test_nothing_is_predicted_of_a_metallic_ink() -> None:
    (said,) = cell_sentences(wash_cells(demo_shop())[BLACK, SILVER])
    assert "nothing is predicted" in said


def test_the_constants_are_told_as_assumptions() -> None:
    said = assumption(demo_shop().press)
    assert "assumption" in said
    assert "c0 = 0.5" in said
    assert "r = 0.1" in said


def test_the_terminals_table_holds_every_count_and_fits() -> None:
    shop = with_overrides(demo_shop(), {(BLACK, YELLOW): 4})
    lines, cells, inks = wash_table_text(shop).splitlines(), wash_cells(shop), light_to_dark(shop.inks.values())
    rows = [line for line in lines if re.match(r"\s*\d+ [^\W\d]", line)]
    for line, old in zip(rows, inks, strict=True):
        counts = [cells[old.id, new.id].count.washes for new in inks if new.id != old.id]
        assert [int(n) for n in re.findall(r"(?<= )\d(?=[omf!]| |$)", line[26:])] == counts
    assert "4o" in rows[[ink.id for ink in inks].index(BLACK)]
    assert any(RULES[WashRule.OVERRIDE] in line for line in lines)
    assert max(map(len, lines)) <= 120


def test_a_pair_is_told_both_ways() -> None:
    shop = demo_shop()
    text = pair_text(shop, shop.inks[BLACK], shop.inks[SAND])
    assert "Black to Sand: 2 washes" in text
    assert "Sand to Black: 1 wash" in text
    assert "to itself" in pair_text(shop, shop.inks[BLACK], shop.inks[BLACK])


def test_an_ink_is_found_by_id_or_name_and_else_the_near_ones_are_told() -> None:
    inks = demo_shop().inks
    assert ink_called("OFFICE-NAVY", inks, "--to").id == NAVY
    assert ink_called("harbour blue", inks, "--to").name == "Harbour blue"
    with pytest.raises(BadInput) as caught:
        ink_called("blak", inks, "--from")
    assert "did you mean black" in caught.value.problems[0].wanted
