"""The shop's own wash counts, written into its press file: one pair is changed, and nothing else of the file."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from queueplanner.exchange.near import shown
from queueplanner.exchange.text_file import read_text, write_whole
from queueplanner.exchange.toml_file import read_toml
from queueplanner.shop.base import InkId
from queueplanner.shop.errors import BadInput, Problem

KEY = "wash_overrides"
PRESS_FILE = "press.toml"
#: Is laid over the press file, so that a list of its own would hide the one written here.
_CARD_FILE = "card.toml"
_NEW_FILE = "# The shop's own press: only what differs from the program's press file.\n"

_LINE = re.compile(r"[^\n]*\n|[^\n]+")
_HEADER = re.compile(rf"""^\s*\[\[\s*(?:{KEY}|"{KEY}"|'{KEY}')\s*\]\]""")
_ANY_HEADER = re.compile(r"^\s*\[")
_ASSIGNS = re.compile(r"^\s*[^#\s]")
_COUNT = re.compile(r"""^(\s*(?:washes|"washes"|'washes')\s*=\s*)[^\s#]+""")

Pair = tuple[InkId, InkId]


def set_override(folder: Path, pair: Pair, washes: int | None) -> None:
    """Fix the washes of a pair (old ink, new ink) in the press file of a shop's folder, or free it again (None).

    The file is made when it is missing, and else written whole or not at all. Raises BadInput when it cannot be.
    """
    path = folder / PRESS_FILE
    _refuse_hidden(folder / _CARD_FILE)
    mark = "\ufeff" if path.exists() and path.read_bytes().startswith(b"\xef\xbb\xbf") else ""
    text = read_text(path, "a TOML file") if path.exists() else _NEW_FILE
    try:
        changed = with_override(text, pair, washes)
        if changed != text:
            write_whole(path, mark + changed)
    except Unreadable as error:
        raise BadInput([Problem(str(path), None, KEY, error.found, error.wanted)]) from None
    except OSError as error:
        found = (error.strerror or type(error).__name__).lower()
        raise BadInput([Problem(str(path), None, KEY, found, "let the file and its folder be written to")]) from None


class Unreadable(Exception):
    """The list stands in the file in a way that cannot be changed piece by piece."""

    def __init__(self, found: str, wanted: str) -> None:
        super().__init__(f"{found}; {wanted}")
        self.found, self.wanted = found, wanted


def with_override(text: str, pair: Pair, washes: int | None) -> str:
    """The text of a press file with the washes of a pair fixed, or freed (None); comments and order stay.

    Raises Unreadable when the text is no TOML, or its list is not written as [[wash_overrides]] tables.
    """
    wanted = f"write each pair as a table of its own: [[{KEY}]], old, new, washes"
    try:
        before = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Unreadable(f"no TOML ({error})", "correct the file first") from None
    lines = _LINE.findall(text)
    blocks = [block for at in _headers(lines) if (block := _block(lines, at)) is not None]
    changed = "".join(_changed(lines, blocks, pair, washes))
    try:
        after = tomllib.loads(changed)
    except tomllib.TOMLDecodeError:
        raise Unreadable("a list written in another form", wanted) from None
    if changed != text and after != _expected(before, pair, washes):
        raise Unreadable("a list written in another form", wanted)
    if changed == text and (washes is None) == (pair in _pairs(before)):
        raise Unreadable("a list written in another form", wanted)
    return changed


def _pairs(data: dict[str, Any]) -> set[tuple[Any, Any]]:
    return {(entry.get("old"), entry.get("new")) for entry in data.get(KEY, [])}


@dataclass(frozen=True, slots=True)
class _Block:
    """One table of the list: its header's line, the lines of its keys, and the pair it is about."""

    header: int
    keys: tuple[int, ...]
    pair: tuple[Any, Any]


def _headers(lines: Sequence[str]) -> list[int]:
    return [number for number, line in enumerate(lines) if _HEADER.match(line)]


def _block(lines: Sequence[str], header: int) -> _Block | None:
    end = next((n for n in range(header + 1, len(lines)) if _ANY_HEADER.match(lines[n])), len(lines))
    try:
        entry = tomllib.loads("".join(lines[header:end]))[KEY][0]
    except tomllib.TOMLDecodeError:
        return None
    keys = tuple(n for n in range(header + 1, end) if _ASSIGNS.match(lines[n]))
    return _Block(header, keys, (entry.get("old"), entry.get("new")))


def _changed(lines: Sequence[str], blocks: Sequence[_Block], pair: Pair, washes: int | None) -> list[str]:
    mine = [block for block in blocks if block.pair == pair]
    if washes is None:
        return _without(lines, {n for block in mine for n in (block.header, *block.keys)})
    if not mine:
        return _with_new(lines, blocks, pair, washes)
    rows = {n for block in mine for n in block.keys}
    return [_COUNT.sub(rf"\g<1>{washes}", line) if n in rows else line for n, line in enumerate(lines)]


def _without(lines: Sequence[str], gone: set[int]) -> list[str]:
    """Lines without some; where that brings two empty ones together, one goes too."""
    kept: list[str] = []
    joined = False
    for number, line in enumerate(lines):
        if number in gone:
            joined = True
            continue
        if joined and not line.strip() and (not kept or not kept[-1].strip()):
            continue
        joined = False
        kept.append(line)
    return kept


def _with_new(lines: Sequence[str], blocks: Sequence[_Block], pair: Pair, washes: int) -> list[str]:
    """The list's last table gets a follower; the first one ever goes to the end of the file."""
    end = "\r\n" if any(line.endswith("\r\n") for line in lines) else "\n"
    old, new = (json.dumps(ink, ensure_ascii=False) for ink in pair)
    table = [f"[[{KEY}]]{end}", f"old = {old}{end}", f"new = {new}{end}", f"washes = {washes}{end}"]
    at = max((blocks[-1].header, *blocks[-1].keys)) + 1 if blocks else len(lines)
    above = list(lines[:at])
    if above and not above[-1].endswith("\n"):
        above[-1] += end
    gap = [end] if above and above[-1].strip() else []
    return [*above, *gap, *table, *lines[at:]]


def _expected(before: dict[str, Any], pair: Pair, washes: int | None) -> dict[str, Any]:
    entries = [dict(entry) for entry in before.get(KEY, [])]
    mine = [e for e in entries if (e.get("old"), e.get("new")) == pair]
    if washes is None:
        entries = [e for e in entries if e not in mine]
    elif mine:
        entries = [e | {"washes": washes} if e in mine else e for e in entries]
    else:
        entries.append({"old": pair[0], "new": pair[1], "washes": washes})
    rest = {key: value for key, value in before.items() if key != KEY}
    return rest | {KEY: entries} if entries else rest


def _refuse_hidden(card_file: Path) -> None:
    if card_file.exists() and KEY in (file := read_toml(card_file)).data:
        wanted = f"move the list to {PRESS_FILE}: here it would hide what is kept there"
        raise BadInput([Problem(str(card_file), file.line_of((KEY,)), KEY, shown(KEY), wanted)])
