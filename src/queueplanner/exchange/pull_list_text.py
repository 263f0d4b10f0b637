"""The pull list for the terminal: paper, plates and inks in the order they are needed, each with its hour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from queueplanner.exchange.text_table import counted, day_name, fitted, wrapped
from queueplanner.planning.plan import Plan
from queueplanner.planning.pull_list import PullList
from queueplanner.shop.base import PassId
from queueplanner.shop.calendar import WEEKDAYS

#: What the list leaves to the reader.
NOTE = (
    "By: the beginning of the changeover that needs it, or of the run before if the pile is loaded while that runs. "
    "Ink is what goes on the sheets; what stays in the fountain is not in it. Heavy paper: use lifting gear or a "
    "second person, and follow your local rules for lifting."
)


def pull_list_text(plan: Plan, pulled: PullList) -> str:
    """What has to be fetched and made for a plan, in lines of at most 100 columns."""
    lines = [f"Pull list of {day_name(plan.start, plan.zone)} · {plan.press_name}"]
    lines += ["", *_paper_lines(pulled, plan.zone), "", *_plate_lines(pulled, plan.zone)]
    lines += ["", *_ink_lines(pulled, plan.zone), "", f"Dampening additive   {pulled.additive_ml:8,.0f} ml"]
    lines += [f"Wash solvent         {pulled.solvent_ml:8,.0f} ml, evenings included", "", *wrapped(NOTE, "", "")]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def hour_text(moment: int, zone: ZoneInfo) -> str:
    """A weekday and a time of day: "Thu 07:05"."""
    local = datetime.fromtimestamp(moment, zone)
    return f"{WEEKDAYS[local.weekday()][:3].capitalize()} {local:%H:%M}"


def _paper_lines(pulled: PullList, zone: ZoneInfo) -> Iterator[str]:
    yield f"{fitted('By', 10)}{fitted('Paper', 32)} {fitted('format', 14)} {'sheets':>9} {'reams':>7} {'kg':>9}  passes"
    for item in pulled.papers:
        first = (
            f"{hour_text(item.ready_by, zone):<10}{fitted(item.stock.name, 32)} {fitted(item.format.label, 14)} "
            f"{item.sheets:9,} {item.reams:7,.1f} {item.kg:9,.1f}  "
        )
        yield from wrapped(_ids(item.passes), first, " " * len(first))
    yield f"{fitted('', 10)}{fitted('all paper', 47)} {pulled.sheets:9,} {pulled.reams:7,.1f} {pulled.kg:9,.1f}"


def _plate_lines(pulled: PullList, zone: ZoneInfo) -> Iterator[str]:
    yield f"{fitted('By', 10)}{fitted('Plate', 32)} {fitted('material, mm', 22)} {fitted('ink', 22)} unit"
    for item in pulled.plates:
        size = f"{item.plate.material} {item.plate.length_mm:g} × {item.plate.thickness_um / 1000:g}"
        yield (
            f"{hour_text(item.ready_by, zone):<10}{fitted(item.plate.id, 32)} {fitted(size, 22)} "
            f"{fitted(item.ink.name, 22)} {item.unit}"
        )
    yield f"{fitted('', 10)}{counted(len(pulled.plates), 'plate', 'plates')}"


def _ink_lines(pulled: PullList, zone: ZoneInfo) -> Iterator[str]:
    yield f"{fitted('By', 10)}{fitted('Ink', 32)} {'g':>8}  passes"
    for item in pulled.inks:
        first = f"{hour_text(item.ready_by, zone):<10}{fitted(item.ink.name, 32)} {item.grams:8,.0f}  "
        more = " (on the press)" if item.on_press else ""
        yield from wrapped(_ids(item.passes) + more, first, " " * len(first))
    yield f"{fitted('', 10)}{fitted('all inks', 32)} {pulled.ink_grams:8,.0f}"


def _ids(passes: Iterable[PassId]) -> str:
    return " ".join(passes)
