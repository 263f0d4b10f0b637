"""The day as a table for spreadsheets (RFC 4180): one row a pass, in run order. Columns: docs/exports.md."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from queueplanner.exchange.text_table import minutes
from queueplanner.planning.plan import Plan, PlannedPass

#: Marks with which a spreadsheet begins a formula.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def plan_to_csv(plan: Plan, separator: str = ";") -> str:
    """A plan as CSV, lines ended by CR LF; `separator` is ";" or ",".

    A semicolon is read as columns where the comma is the decimal sign, and where it is not.
    """
    made = io.StringIO()
    writer = csv.writer(made, delimiter=separator, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for place, planned in enumerate(plan.passes, 1):
        writer.writerow([str(place), *(cell(planned, plan.zone) for cell in _CELLS.values())])
    return made.getvalue()


def text_cell(text: str) -> str:
    """Free text in one line; an apostrophe keeps a spreadsheet from taking it for a formula."""
    line = " ".join(text.split())
    return f"'{line}" if line.startswith(_FORMULA) else line


def moment_cell(moment: int, zone: ZoneInfo) -> str:
    """Local time as a job list writes it: "2026-11-26 14:30"; with seconds where there are any, and with its offset
    in an hour that the clocks show twice.
    """
    local = datetime.fromtimestamp(moment, zone)
    text = f"{local:%Y-%m-%d %H:%M}" if local.second == 0 else f"{local:%Y-%m-%d %H:%M:%S}"
    other = local.replace(fold=1 - local.fold).utcoffset()
    return text if other == local.utcoffset() else text + _offset(local.utcoffset() or timedelta())


def _offset(offset: timedelta) -> str:
    total = int(offset.total_seconds() // 60)
    return f"{'-' if total < 0 else '+'}{abs(total) // 60:02}:{abs(total) % 60:02}"


def _ink(planned: PlannedPass, unit: int) -> str:
    inks = [planned.print_pass.separation_of(ink).ink.name for ink, u in planned.unit_of.items() if u == unit]
    return text_cell(inks[0]) if inks else ""


def _due(planned: PlannedPass, zone: ZoneInfo) -> str:
    return "" if planned.job.due_s is None else moment_cell(planned.job.due_s, zone)


Cell = Callable[[PlannedPass, ZoneInfo], str]

_CELLS: Mapping[str, Cell] = {
    "job": lambda p, _: text_cell(p.job.id),
    "title": lambda p, _: text_cell(p.job.title),
    "pass": lambda p, _: text_cell(p.id),
    "side": lambda p, _: str(p.print_pass.side),
    "unit_1": lambda p, _: _ink(p, 1),
    "unit_2": lambda p, _: _ink(p, 2),
    "stock": lambda p, _: text_cell(p.print_pass.stock.name),
    "format": lambda p, _: text_cell(p.print_pass.format.label),
    "sheets": lambda p, _: str(p.print_pass.sheets),
    "running_waste": lambda p, _: str(p.print_pass.running_waste),
    "makeready_waste": lambda p, _: str(p.print_pass.makeready_waste),
    "crew": lambda p, _: str(p.crew),
    "makeready_start": lambda p, zone: moment_cell(p.makeready_start, zone),
    "makeready_end": lambda p, zone: moment_cell(p.makeready_end, zone),
    "makeready_min": lambda p, _: minutes(p.makeready_seconds),
    "run_start": lambda p, zone: moment_cell(p.run_start, zone),
    "run_end": lambda p, zone: moment_cell(p.run_end, zone),
    "run_min": lambda p, _: minutes(sum(end - start for start, end in p.run_pieces)),
    "due": _due,
    "late_min": lambda p, _: minutes(p.late_seconds),
}

#: The columns, in order.
COLUMNS: tuple[str, ...] = ("place", *_CELLS)
