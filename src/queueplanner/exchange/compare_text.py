"""A comparison for the terminal: the same day in four orders, side by side, and what planning saves."""

from __future__ import annotations

from collections.abc import Mapping

from queueplanner.exchange.text_table import counted, day_name, duration, fitted
from queueplanner.exchange.wording import claim_in_words
from queueplanner.planning.plan import Plan

#: What each order is called, in the order they are shown.
ORDER_NAMES = {
    "as_received": "as received",
    "by_due_time": "by due time",
    "light_to_dark": "light to dark",
    "planned": "planned",
}


def compare_text(plans: Mapping[str, Plan]) -> str:
    """The totals of four orders, each with the best unit choice found for it, and the saving of the planned one."""
    planned = plans["planned"]
    lines = [
        f"{planned.press_name} · {day_name(planned.start, planned.zone)} · "
        f"{counted(len(planned.passes), 'pass', 'passes')}",
        "",
        _line("", "make-ready", "wash-ups", "plates", "feeder", "waste", "late", "late by"),
    ]
    lines += [_order_line(name, plans[key]) for key, name in ORDER_NAMES.items()]
    lines += ["", saving(plans["as_received"], planned), claim_in_words(planned.claim)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def saving(before: Plan, after: Plan) -> str:
    """What one order saves against another, as a sentence."""
    old, new = before.totals.makeready_seconds, after.totals.makeready_seconds
    if new >= old:
        more = "" if new == old else f", but {duration(new - old)} more"
        return f"The planned order needs no less make-ready than as received{more}."
    share = (old - new) * 100 / old
    return f"The planned order saves {duration(old - new)} of make-ready against as received: {share:.0f} % less."


def _order_line(name: str, plan: Plan) -> str:
    t = plan.totals
    late_by = duration(t.late_seconds) if t.late_seconds else ""
    return _line(
        name,
        duration(t.makeready_seconds),
        str(t.wash_ups),
        str(t.plate_swaps),
        str(t.feeder_resets),
        f"{t.waste_sheets:,}",
        str(t.late_passes),
        late_by,
    )


def _line(name: str, *figures: str) -> str:
    widths = (13, 9, 7, 7, 8, 6, 14)
    cells = [fitted(figure, columns, right=True) for figure, columns in zip(figures, widths, strict=True)]
    return " ".join([fitted(name, 14), *cells])
