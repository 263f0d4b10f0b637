"""Why a pass stands where it does, and which due times cost most, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from queueplanner.exchange.difference_words import difference_words
from queueplanner.exchange.text_table import duration, wrapped
from queueplanner.planning.explain import DueReason, PlaceReason
from queueplanner.planning.plan import Plan, Totals


def place_text(plan: Plan, reason: PlaceReason, swaps: Sequence[tuple[str, Totals | None]]) -> str:
    """What a pass's place is worth against its best other one, and what changing places with each neighbour would do.

    `swaps` holds each neighbour's id and the totals were the two to change places, None where a rule forbids it.
    """
    return "\n".join(_place_lines(plan, reason, swaps)) + "\n"


def _place_lines(plan: Plan, reason: PlaceReason, swaps: Sequence[tuple[str, Totals | None]]) -> Iterator[str]:
    stands = "first" if reason.place == 0 else f"behind {plan.order[reason.place - 1]}"
    yield f"{reason.pass_id} stands {stands}, place {reason.place + 1} of {len(plan.order)}."
    other = reason.best_other
    if other is None:
        yield "The rules leave it no other place."
    else:
        where = "first" if other.follows is None else f"behind {other.follows}"
        worse = difference_words(reason.now, other.totals)
        yield from wrapped(f"Its best other place is {where} (place {other.place + 1}): {worse}.", "", "  ")
    for neighbour, totals in swaps:
        if totals is None:
            yield f"It cannot change places with {neighbour}: a rule forbids it."
        else:
            words = difference_words(reason.now, totals)
            yield from wrapped(f"Were it and {neighbour} to change places: {words}.", "", "  ")


def due_text(reasons: Sequence[DueReason]) -> str:
    """The due times that cost most, were each a day later."""
    if not reasons:
        return "No due time was found to cost anything: a day later would save nothing.\n"
    lines = ["Due times that cost most, were each a day later"]
    for reason in reasons:
        late = f", {duration(reason.saved_late_seconds)} less late" if reason.saved_late_seconds > 0 else ""
        amount = reason.saved_makeready_seconds
        makeready = f"{duration(abs(amount))} {'less' if amount >= 0 else 'more'} make-ready"
        lines += wrapped(f"job {reason.job}: {makeready}{late}", "  ", "    ")
    return "\n".join(lines) + "\n"
