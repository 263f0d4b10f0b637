"""Blocks of cells as tab-separated text, as spreadsheets put them on a clipboard.

Cells are separated by tabs and rows end with a line end. A cell that holds a tab, a quotation mark or a line end
stands in quotation marks, its own doubled (the quoting of RFC 4180).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_QUOTED = re.compile(r'"((?:[^"]|"")*+)"(?=[\t\r\n]|\Z)')
_BARE = re.compile(r"[^\t\r\n]*")
_LINE_END = re.compile(r"\r\n|\r|\n")
_NEEDS_QUOTES = re.compile(r'[\t\r\n"]')


def text_of_block(rows: Sequence[Sequence[str]]) -> str:
    """A block of cells as text; `block_of_text` gives the same block back."""
    return "".join("\t".join(map(_written, row)) + "\n" for row in rows)


def block_of_text(text: str) -> list[list[str]]:
    """The cells of a text, row by row; rows may differ in length. An empty text has none.

    A quotation mark that opens no properly closed cell is text: spreadsheets write such cells as they are.
    """
    rows: list[list[str]] = []
    position = 0
    while position < len(text):
        row: list[str] = []
        more = True
        while more:
            cell, position = _cell(text, position)
            row.append(cell)
            more = text.startswith("\t", position)
            position += more
        rows.append(row)
        if match := _LINE_END.match(text, position):
            position = match.end()
    return rows


def _cell(text: str, position: int) -> tuple[str, int]:
    """The cell at a position, and where it ends."""
    if match := _QUOTED.match(text, position):
        return match.group(1).replace('""', '"'), match.end()
    match = _BARE.match(text, position)
    assert match is not None, "a bare cell may be empty"
    return match.group(), match.end()


def _written(cell: str) -> str:
    if _NEEDS_QUOTES.search(cell):
        doubled = cell.replace('"', '""')
        return f'"{doubled}"'
    return cell
