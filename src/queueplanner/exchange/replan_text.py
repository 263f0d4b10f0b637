"""A queue planned anew for the terminal: what moved, and what each move is worth."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.exchange.difference_words import difference_words
from queueplanner.exchange.text_table import counted, wrapped
from queueplanner.planning.replan import Moved, Replanned


def moved_text(found: Replanned) -> str:
    """What moved against the known order, why, and what the whole is worth against holding on to it."""
    return "\n".join(_lines(found)) + "\n"


def _lines(found: Replanned) -> Iterator[str]:
    now, held = found.plan.totals, found.unchanged.totals
    if found.plan.order == found.unchanged.order:
        yield "The known order holds: nothing moved."
        return
    yield f"{counted(len(found.moved), 'pass', 'passes')} moved."
    for move in found.moved:
        yield from wrapped(_sentence(move, found), "  ", "    ")
    yield from wrapped(f"Held on to, the known order would take {difference_words(now, held)}.", "", "")


def _sentence(move: Moved, found: Replanned) -> str:
    before = "came first" if move.followed is None else f"followed {move.followed}"
    after = "comes first" if move.follows is None else f"follows {move.follows}"
    if move.back is None:
        worth = "a rule forbids its old place"
    else:
        worth = f"put back alone it would take {difference_words(found.plan.totals, move.back)}"
    return f"{move.pass_id} {before} and now {after}; {worth}."
