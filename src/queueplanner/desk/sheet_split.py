"""Splitting a job: two quantities, a docket with a new suffix, and the same plates for both parts."""

from __future__ import annotations

import re
from collections.abc import Mapping, Set

from queueplanner.exchange.job_row import LONGEST_ID
from queueplanner.exchange.near import folded
from queueplanner.shop.job import Job, PrintPass

_SUFFIX = re.compile(r"-(\d{1,4})$", re.ASCII)


def free_id(job_id: str, taken: Set[str]) -> str:
    """The next docket of a family that nobody has: `1047`, `1047-2`, `1047-3`. `taken` are folded ids."""
    match = _SUFFIX.search(job_id)
    stem, number = (job_id[: match.start()], int(match.group(1))) if match else (job_id, 1)
    while True:
        number += 1
        suffix = f"-{number}"
        made = stem[: LONGEST_ID - len(suffix)] + suffix
        if folded(made) not in taken:
            return made


def split_cells(
    cells: Mapping[str, str], job: Job | None, first_sheets: int, new_id: str
) -> tuple[dict[str, str], dict[str, str]]:
    """The cells of both parts of a row; `job` is what the row makes, if it makes one.

    Sheets lost in the run are parted like the good ones, where the row gives them. Raises ValueError when the row has
    no plain number of sheets, or a part would have none.
    """
    sheets = cells.get("sheets", "")
    total = int(sheets) if sheets.isdecimal() and sheets.isascii() else 0
    if not 0 < first_sheets < total:
        raise ValueError(f"{total} sheets cannot be parted at {first_sheets}")
    first = dict(cells) | {"sheets": str(first_sheets)}
    second = dict(cells) | {"sheets": str(total - first_sheets), "job": new_id} | _plates_of(job)
    waste = cells.get("running_waste", "")
    if waste.isdecimal() and waste.isascii():
        kept = -(-int(waste) * first_sheets // total)
        first["running_waste"], second["running_waste"] = str(kept), str(int(waste) - kept)
    return first, second


def _plates_of(job: Job | None) -> dict[str, str]:
    """The plates of a job by name, so that another job prints from the same ones."""
    if job is None:
        return {}
    named = {"plates": _names(job.passes[0])}
    if len(job.passes) > 1 and not job.work_style.same_plates:
        named["plates_back"] = _names(job.passes[1])
    return {column: names for column, names in named.items() if names}


def _names(side: PrintPass) -> str:
    """The plates of a pass as a cell, or nothing where a name holds the sign that joins them."""
    names = [separation.plate.id for separation in side.separations]
    return "" if any("+" in name for name in names) else "+".join(names)
