"""A pair's washes are written into the press file, and nothing else of that file is touched."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange.shop_files import load_shop
from queueplanner.exchange.wash_override_file import PRESS_FILE, Unreadable, set_override, with_override
from queueplanner.shop.base import InkId
from queueplanner.shop.errors import BadInput

BLACK_YELLOW = (InkId("black"), InkId("yellow"))
BLACK_SAND = (InkId("black"), InkId("sand"))
OWN = """# Ours, since spring.
id = "ours"   # the short name

[[wash_overrides]]
# Measured on two Mondays.
old = "black"
new = "yellow"
washes = 3     # was 2

[waste]
running_percent = 2.5
"""


def overrides(text: str) -> dict[tuple[str, str], int]:
    return {(e["old"], e["new"]): e["washes"] for e in tomllib.loads(text).get("wash_overrides", [])}


def test_a_number_is_changed_where_it_stands() -> None:
    assert with_override(OWN, BLACK_YELLOW, 4) == OWN.replace("washes = 3", "washes = 4")


def test_a_new_pair_follows_the_last_of_the_list() -> None:
    text = with_override(OWN, BLACK_SAND, 1)
    assert overrides(text) == {BLACK_YELLOW: 3, BLACK_SAND: 1}
    assert text.index('new = "sand"') < text.index("[waste]")
    assert [line for line in text.splitlines() if line in OWN.splitlines()] == [
        line for line in text.splitlines() if line not in ('new = "sand"', "washes = 1")
    ]


def test_a_freed_pair_goes_and_its_remarks_stay() -> None:
    text = with_override(OWN, BLACK_YELLOW, None)
    assert overrides(text) == {}
    assert "# Measured on two Mondays." in text
    assert tomllib.loads(text) == {"id": "ours", "waste": {"running_percent": 2.5}}
    assert with_override(text, BLACK_YELLOW, None) == text


def test_setting_and_freeing_a_new_pair_gives_the_file_back() -> None:
    assert with_override(with_override(OWN, BLACK_SAND, 2), BLACK_SAND, None) == OWN


def test_line_ends_and_the_byte_order_mark_stay(tmp_path: Path) -> None:
    data = b"\xef\xbb\xbf" + OWN.replace("\n", "\r\n").encode()
    (tmp_path / PRESS_FILE).write_bytes(data)
    set_override(tmp_path, BLACK_SAND, 2)
    written = (tmp_path / PRESS_FILE).read_bytes()
    assert written.startswith(b"\xef\xbb\xbf")
    assert written.count(b"\r\n") == written.count(b"\n")
    set_override(tmp_path, BLACK_SAND, None)
    assert (tmp_path / PRESS_FILE).read_bytes() == data


@pytest.mark.parametrize("name", ["wash_overrides", '"wash_overrides"', "'wash_overrides'"])
def test_the_lists_name_may_stand_in_quotes(name: str) -> None:
    assert overrides(with_override(OWN.replace("wash_overrides", name), BLACK_YELLOW, 1)) == {BLACK_YELLOW: 1}


@pytest.mark.parametrize(
    "text",
    [
        'wash_overrides = [{ old = "black", new = "yellow", washes = 2 }]\n',
        "wash_overrides = []\n",
        'note = """\n[[wash_overrides]]\nold = "black"\nnew = "yellow"\nwashes = 2\n[x]\n"""\n',
        "this is no TOML",
    ],
    ids=["in one line", "empty", "inside a text", "no TOML"],
)
def test_what_cannot_be_changed_piece_by_piece_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        with_override(text, BLACK_YELLOW, 4)


def test_a_folder_without_a_press_file_gets_one_that_the_program_reads(tmp_path: Path) -> None:
    set_override(tmp_path, BLACK_YELLOW, 4)
    assert load_shop(tmp_path).press.overrides == {BLACK_YELLOW: 4}
    assert [path.name for path in tmp_path.iterdir()] == [PRESS_FILE]
    set_override(tmp_path, BLACK_YELLOW, None)
    assert load_shop(tmp_path).press.overrides == {}


def test_a_folder_that_is_gone_is_told_with_the_file(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        set_override(tmp_path / "gone", BLACK_YELLOW, 2)
    assert PRESS_FILE in caught.value.problems[0].file


def test_a_list_in_the_card_file_would_hide_the_one_written(tmp_path: Path) -> None:
    (tmp_path / "card.toml").write_text('[[wash_overrides]]\nold = "black"\nnew = "sand"\nwashes = 1\n')
    with pytest.raises(BadInput) as caught:
        set_override(tmp_path, BLACK_YELLOW, 2)
    assert "card.toml" in caught.value.problems[0].file
    assert not (tmp_path / PRESS_FILE).exists()


PAIRS = st.tuples(st.sampled_from(["black", "yellow", "sänd", 'a "quoted" ink']), st.sampled_from(["mint", "plum\\x"]))


@given(st.lists(st.tuples(PAIRS, st.one_of(st.none(), st.integers(1, 4))), max_size=12))
def test_any_run_of_changes_leaves_the_last_of_each_pair(changes: list[tuple[tuple[str, str], int | None]]) -> None:
    text, wanted = OWN, {("black", "yellow"): 3}
    for (old, new), washes in changes:
        text = with_override(text, (InkId(old), InkId(new)), washes)
        wanted.pop((old, new), None)
        if washes is not None:
            wanted[old, new] = washes
    assert overrides(text) == wanted
    assert [line for line in OWN.splitlines() if line.startswith("#")] == [
        line for line in text.splitlines() if line.startswith("#")
    ]
