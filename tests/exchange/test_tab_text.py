"""Blocks of cells as tab-separated text."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.exchange.tab_text import block_of_text, text_of_block

CELLS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12) | st.sampled_from(
    ["", '"', '""', "\t", "a\nb", "a\r\nb", '5" ruler', ' "x" ']
)
BLOCKS = st.lists(st.lists(CELLS, min_size=1, max_size=5), min_size=1, max_size=5)


@settings(max_examples=1000, derandomize=True, deadline=None)
@given(BLOCKS)
def test_a_block_comes_back_as_it_was(block) -> None:
    assert block_of_text(text_of_block(block)) == block


def test_what_spreadsheets_write_is_read() -> None:
    assert block_of_text("a\tb\r\nc\t\r\n") == [["a", "b"], ["c", ""]]
    assert block_of_text("one\ttwo") == [["one", "two"]]
    assert block_of_text('"two\nlines"\t"say ""hi"""\n') == [["two\nlines", 'say "hi"']]
    assert block_of_text("") == []


def test_a_quotation_mark_that_closes_nothing_is_text() -> None:
    assert block_of_text('5" ruler\t"open\nnext') == [['5" ruler', '"open'], ["next"]]
    assert block_of_text('"half" of it\tb') == [['"half" of it', "b"]]
