"""The columns of the table of the day's jobs."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.day_rows import JobRow
from queueplanner.desk.figures import Figures
from queueplanner.desk.table_cells import Column
from queueplanner.desk.trade_words import work_style_text


def _tr(text: str) -> str:
    return QCoreApplication.translate("jobs", text)


def job_columns(figures: Figures) -> list[Column[JobRow]]:
    """Place in the run order and what the job is called, then when, then with what it is printed."""

    def moment(value: int | None) -> str:
        return "" if value is None else figures.day_clock(value)

    def late(row: JobRow) -> str:
        if row.late_seconds is None:
            return ""
        return figures.whole_minutes(row.late_seconds) if row.late_seconds else _tr("on time")

    return [
        Column(
            _tr("Place"), lambda r: ", ".join(map(str, r.places)), lambda r: r.places or None, figure=True
        ),
        Column(_tr("Job"), lambda r: str(r.job_id), lambda r: str(r.job_id)),
        Column(_tr("Title"), lambda r: r.title, lambda r: r.title.casefold()),
        Column(_tr("Due"), lambda r: moment(r.due), lambda r: r.due, figure=True),
        Column(_tr("Starts"), lambda r: moment(r.start), lambda r: r.start, figure=True),
        Column(_tr("Ends"), lambda r: moment(r.end), lambda r: r.end, figure=True),
        Column(
            _tr("Late, min"), late, lambda r: r.late_seconds, figure=True, alarm=lambda r: bool(r.late_seconds)
        ),
        Column(_tr("Sheets"), lambda r: figures.count(r.sheets), lambda r: r.sheets, figure=True),
        Column(
            _tr("Inks"),
            lambda r: ", ".join(ink.name for ink in r.inks),
            lambda r: tuple(ink.name for ink in r.inks),
            inks=lambda r: [(ink, ink.name) for ink in r.inks],
        ),
        Column(_tr("Stock"), lambda r: r.stock, lambda r: r.stock.casefold()),
        Column(_tr("Format"), lambda r: r.format, lambda r: r.format),
        Column(_tr("Work style"), lambda r: work_style_text(r.work_style), lambda r: str(r.work_style)),
        Column(_tr("Paper from"), lambda r: moment(r.paper_at), lambda r: r.paper_at, figure=True),
    ]
