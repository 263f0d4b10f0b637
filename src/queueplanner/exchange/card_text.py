"""A settings card for the terminal: warnings, what changes from old to new, what stays, the cautions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from queueplanner.exchange.card_wording import CardRow, card_rows, caution_letters, why_text
from queueplanner.exchange.text_table import counted, fitted, wrapped
from queueplanner.makeready.card_lines import SettingsCard
from queueplanner.planning.plan import PlannedPass

NOTE = "Reminders only: your local codes, the safety data sheets and the press's own manual come first."
_NAME_COLUMNS = 30


def card_text(card: SettingsCard, planned: PlannedPass, *, changes_only: bool = False) -> str:
    """The card of a planned pass in lines of at most 100 columns; a star marks what this changeover changes."""
    rows = card_rows(card, changes_only=changes_only)
    letters = caution_letters(card, changes_only=True)
    lines = list(_head(card, planned))
    for group, of_group in groupby(rows, key=lambda row: row.group):
        lines += ["", group]
        told = ""
        for row in of_group:
            lines += _row_lines(row, "" if row.why == told else row.reason, letters)
            told = row.why if row.changed else told
    lines += ["", "Cautions"] if letters else [""]
    for caution, letter in letters.items():
        lines += wrapped(caution, f"  {letter}  ", " " * 5)
    return "\n".join([*lines, *wrapped(NOTE, "", "")]) + "\n"


def _head(card: SettingsCard, planned: PlannedPass) -> Iterator[str]:
    inks = ", ".join(
        f"unit {unit}: {planned.print_pass.separation_of(ink).ink.name}" for ink, unit in planned.unit_of.items()
    )
    title = f", {planned.job.title}" if planned.job.title else ""
    yield f"Settings card of pass {planned.id}{title}"
    yield inks
    changed = len(card.changes)
    yield f"{counted(changed, 'line changes', 'lines change')}, {len(card.lines) - changed} stay; * changes now"
    for warning in card.warnings:
        yield from wrapped(why_text(warning), "  !  ", "     ")


def _row_lines(row: CardRow, why: str, letters: dict[str, str]) -> Iterator[str]:
    """A line with its instruction; `why` is empty where it is that of the line above."""
    star = "*" if row.changed else " "
    said = row.value or row.do
    marks = "".join(f" [{letters[c]}]" for c in row.cautions) if row.changed else ""
    yield from wrapped(f"{said}{marks}", f"{star} {fitted(row.name, _NAME_COLUMNS)} ", " " * (_NAME_COLUMNS + 3))
    if row.changed:
        more = " ".join(part for part in (f"{row.do}." if row.value else "", why) if part)
        yield from wrapped(more, " " * (_NAME_COLUMNS + 5), " " * (_NAME_COLUMNS + 5))
