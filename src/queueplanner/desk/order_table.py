"""The columns of the run order: the plan as a table, the timeline's twin."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.day_rows import Fixed, PassRow
from queueplanner.desk.figures import Figures
from queueplanner.desk.table_cells import Column
from queueplanner.desk.trade_words import lay_side_text

#: Where the column stands that tells what a person has fixed.
FIXED_COLUMN = 2


def _tr(text: str) -> str:
    return QCoreApplication.translate("order", text)


def order_columns(figures: Figures) -> list[Column[PassRow]]:
    """Everything the timeline shows of a pass."""

    def late(row: PassRow) -> str:
        if row.late_seconds:
            return figures.whole_minutes(row.late_seconds)
        return "" if row.due is None else _tr("on time")

    def fixed(row: PassRow) -> str:
        return "  ".join(fixed_texts(row.fixed, figures))

    unit = _tr("{unit}: {ink}")
    return [
        Column(_tr("Place"), lambda r: str(r.place), lambda r: r.place, figure=True),
        Column(_tr("Pass"), lambda r: str(r.pass_id), lambda r: str(r.pass_id)),
        Column(_tr("Fixed"), fixed, lambda r: fixed(r) or None),
        Column(_tr("Title"), lambda r: r.title, lambda r: r.title.casefold()),
        Column(
            _tr("Make-ready"), lambda r: figures.day_clock(r.makeready_start), lambda r: r.makeready_start,
            figure=True,
        ),
        Column(
            _tr("for, min"), lambda r: figures.minutes(r.makeready_seconds), lambda r: r.makeready_seconds,
            figure=True,
        ),
        Column(_tr("Run from"), lambda r: figures.day_clock(r.run_start), lambda r: r.run_start, figure=True),
        Column(_tr("Run to"), lambda r: figures.day_clock(r.run_end), lambda r: r.run_end, figure=True),
        Column(
            _tr("Due"), lambda r: "" if r.due is None else figures.day_clock(r.due), lambda r: r.due, figure=True
        ),
        Column(_tr("Late, min"), late, lambda r: r.late_seconds, figure=True, alarm=lambda r: r.late_seconds > 0),
        Column(
            _tr("Unit and ink"),
            lambda r: ", ".join(unit.format(unit=u, ink=i.name) for u, i in r.inks),
            lambda r: tuple(i.name for _, i in r.inks),
            inks=lambda r: [(i, unit.format(unit=u, ink=i.name)) for u, i in r.inks],
        ),
        Column(_tr("Washes"), lambda r: figures.count(r.washes), lambda r: r.washes, figure=True),
        Column(_tr("Sheets"), lambda r: figures.count(r.sheets), lambda r: r.sheets, figure=True),
        Column(_tr("Stock"), lambda r: r.stock, lambda r: r.stock.casefold()),
        Column(_tr("Format"), lambda r: r.format, lambda r: r.format),
        Column(_tr("Lay side"), lambda r: lay_side_text(r.lay_side), lambda r: str(r.lay_side)),
    ]


def fixed_texts(fixed: Fixed, figures: Figures) -> list[str]:
    """What a person has fixed of a pass: each a mark and a word."""
    texts = [_tr("◆ pinned")] if fixed.pinned else []
    if fixed.together:
        texts.append(_tr("‖ with {passes}").format(passes=", ".join(fixed.together)))
    if fixed.after:
        texts.append(_tr("› after {passes}").format(passes=", ".join(fixed.after)))
    if fixed.not_before is not None:
        texts.append(_tr("○ not before {moment}").format(moment=figures.day_clock(fixed.not_before)))
    return texts
