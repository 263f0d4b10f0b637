"""Job sheets for tests."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from queueplanner.desk.job_sheet_model import JobSheetModel
from queueplanner.exchange.csv_table import Table, take_cells
from queueplanner.exchange.job_passes import job_of_entry
from queueplanner.exchange.job_row import read_entry
from queueplanner.shop.base import JobId
from queueplanner.shop.job import Job
from tests.exchange.job_lists import DAY, PLAIN, demo_shop


def job(**cells: str) -> Job:
    """A job of a plain row that differs in some cells."""
    table = Table("cells")
    take_cells(table, 1, (PLAIN | cells).items())
    entry = read_entry(table.rows[0], table, demo_shop(), DAY)
    assert entry is not None, table.problems
    return job_of_entry(entry, demo_shop().press)


def some_jobs() -> list[Job]:
    """Three jobs, one of them two-sided."""
    return [
        job(job="1047", title="Letterheads", sheets="1500", due="17:00", inks="harbour-blue+warm-grey"),
        job(
            job="1048", title="Price list", sheets="1000", work_style="sheetwise", inks="black", inks_back="moss-green"
        ),
        job(job="1049", title="Menus", sheets="700", stock="silk-250", format="SRA3", inks="brick-red"),
    ]


class Listener:
    """Writes down what a sheet tells."""

    def __init__(self) -> None:
        self.told: list[tuple[str, Mapping, dict[JobId, Job | None]]] = []

    def __call__(self, code: str, facts: Mapping, jobs: Mapping[JobId, Job | None]) -> None:
        self.told.append((code, facts, dict(jobs)))

    @property
    def last(self) -> tuple[str, Mapping, dict[JobId, Job | None]]:
        return self.told[-1]


def sheet(jobs: Iterable[Job] | None = None, listener: Listener | None = None, **more) -> JobSheetModel:
    """A sheet of the demo shop."""
    chosen = some_jobs() if jobs is None else jobs
    return JobSheetModel(demo_shop(), chosen, DAY, listener or Listener(), **more)


def key_of(model: JobSheetModel, job_id: str) -> int:
    """The key of a job's row."""
    return next(key for key in model.keys if model.name_of(key) == job_id)
