"""The job list: a CSV file, one row a job, taken in whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

from queueplanner.exchange.csv_table import Table, read_table
from queueplanner.exchange.job_passes import job_of_entry
from queueplanner.exchange.job_row import read_entry
from queueplanner.exchange.near import folded, shown
from queueplanner.makeready.fit import refusals
from queueplanner.shop.errors import BadInput
from queueplanner.shop.job import Job, PrintPass
from queueplanner.shop.plate import Plate
from queueplanner.shop.shop import Shop

#: Every column of a job list, in the documentation's order; docs/job-list.md says what each means.
COLUMNS = (
    "job",
    "title",
    "sheets",
    "due",
    "weight",
    "stock",
    "format",
    "feed_edge",
    "work_style",
    "inks",
    "plates",
    "coverage",
    "inks_back",
    "plates_back",
    "coverage_back",
    "plate_material",
    "plate_length_mm",
    "plate_thickness_mm",
    "lay_side",
    "lay_side_back",
    "strips",
    "strips_back",
    "overprint",
    "units_free",
    "earliest",
    "drying_h",
    "makeready_waste",
    "running_waste",
    "own_tasks",
)
REQUIRED = ("job", "sheets", "stock", "format", "inks")


def read_jobs(path: Path, shop: Shop, day: date) -> list[Job]:
    """The jobs of a list, in its order, for a plan that begins on a day of the shop's calendar.

    Raises BadInput with every problem of the file: row (its line in the file), column, what was found and
    what would be right. Nothing is taken from a file with a problem.
    """
    table = read_table(path, COLUMNS, REQUIRED)
    jobs: dict[int, Job] = {}
    for row in table.rows:
        entry = read_entry(row, table, shop, day)
        if entry is not None:
            jobs[row.number] = job_of_entry(entry, shop.press)
    check_ids(table, jobs)
    check_plates(table, jobs)
    check_press(table, jobs, shop)
    if not table.rows and not table.problems:
        table.note(None, None, "a header without rows", "give at least one job")
    if table.problems:
        raise BadInput(sorted(table.problems, key=lambda p: (p.row or 0, _position(p.column))))
    return list(jobs.values())


def _position(column: str | None) -> int:
    return COLUMNS.index(column) if column in COLUMNS else -1


def check_ids(table: Table, jobs: dict[int, Job]) -> None:
    """Job ids and pass ids that are the same, or would look the same; of two such jobs the first stays."""
    seen: dict[str, tuple[int, str]] = {}
    for row in table.rows:
        text = row.cells.get("job", "")
        if text and folded(text) in seen:
            earlier, name = seen[folded(text)]
            alike = "" if name == text else f" as {shown(name)}, which differs only in capitals or Unicode form"
            table.note(
                row.number,
                "job",
                shown(text),
                f"row {earlier} has this job already{alike}: give each its own",
            )
            jobs.pop(row.number, None)
        elif text:
            seen[folded(text)] = (row.number, text)
    passes: dict[str, tuple[int, str]] = {}
    for number, job in jobs.items():
        for print_pass in job.passes:
            earlier, other = passes.setdefault(folded(print_pass.id), (number, job.id))
            if earlier != number and folded(other) != folded(job.id):
                found = f"{shown(job.id)}, whose pass {print_pass.id} is also one of job {other} (row {earlier})"
                table.note(number, "job", found, "give the job another id")


def check_plates(table: Table, jobs: Mapping[int, Job]) -> None:
    """One plate is one thing, however many jobs print from it."""
    seen: dict[str, tuple[int, Plate]] = {}
    for number, print_pass in _passes(jobs):
        for separation in print_pass.separations:
            plate = separation.plate
            earlier, other = seen.setdefault(folded(plate.id), (number, plate))
            column = _column("plates", print_pass, jobs[number])
            if other.id != plate.id:
                wanted = f"row {earlier} writes {shown(other.id)}: write it alike, or give each its own name"
                table.note(number, column, shown(plate.id), wanted)
            for name in ("material", "length_mm", "thickness_um"):
                if getattr(other, name) != getattr(plate, name):
                    where = "plate_thickness_mm" if name == "thickness_um" else f"plate_{name}"
                    found = f"plate {plate.id} with {_figure(plate, name)}"
                    wanted = f"row {earlier} gives it {_figure(other, name)}: one plate is one thing"
                    table.note(number, where, found, wanted)


def _figure(plate: Plate, name: str) -> str:
    if name == "material":
        return str(plate.material)
    return f"{plate.length_mm:g} mm" if name == "length_mm" else f"{plate.thickness_um / 1000:g} mm"


def check_press(table: Table, jobs: Mapping[int, Job], shop: Shop) -> None:
    """What the press cannot run."""
    for number, print_pass in _passes(jobs):
        for refused in refusals(shop.press, print_pass):
            column = _column(refused.field.removesuffix("_back"), print_pass, jobs[number])
            table.note(number, column, refused.found, refused.wanted)


def _column(front: str, print_pass: PrintPass, job: Job) -> str:
    """The column a second side's figure stands in: its own, unless both sides share the front's."""
    shared = job.work_style.same_plates and front in ("inks", "plates", "coverage")
    back = f"{front}_back"
    return back if print_pass.side == 2 and back in COLUMNS and not shared else front


def _passes(jobs: Mapping[int, Job]) -> Iterable[tuple[int, PrintPass]]:
    return ((number, print_pass) for number, job in jobs.items() for print_pass in job.passes)
