"""The difference between two plans' totals in a few words."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.exchange.text_table import counted, duration
from queueplanner.planning.plan import Totals


def difference_words(now: Totals, other: Totals) -> str:
    """What another plan needs more or less than the one of now: "12 min more make-ready, 1 wash-up less"."""
    return ", ".join(_parts(now, other)) or "no minute more or less"


def _parts(now: Totals, other: Totals) -> Iterator[str]:
    makeready = other.makeready_seconds - now.makeready_seconds
    if makeready:
        yield f"{duration(abs(makeready))} {_more(makeready)} make-ready"
    washes = other.wash_ups - now.wash_ups
    if washes:
        yield f"{counted(abs(washes), 'wash-up', 'wash-ups')} {_more(washes)}"
    late = other.late_seconds - now.late_seconds
    if late:
        yield f"{duration(abs(late))} {_more(late)} lateness"
    ends = other.end - now.end
    if ends and not (makeready or washes or late):
        yield f"it ends {duration(abs(ends))} {'later' if ends > 0 else 'sooner'}"


def _more(amount: int) -> str:
    return "more" if amount > 0 else "less"
