"""A job as the cells of its row in a job list: what `job_row` and `job_passes` read back as the same job.

What a list fills in by itself is left empty. Of a two-sided job whose passes differ in what a list says only once
(sheets, stock, format, waste, overprint, earliest start), the first pass's figure is written.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from queueplanner.exchange.job_passes import usual_back_lay_side, usual_makeready_waste, usual_running_waste
from queueplanner.exchange.job_row import DEFAULT_COVERAGE_PERCENT, DEFAULT_THICKNESS_UM
from queueplanner.exchange.local_time import LocalTimeError, local_moment
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.job import Job, LaySide, PrintPass, Strip
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.press import PressProfile
from queueplanner.shop.shop import Shop

#: A mark before exactly three digits is asked about when read; one more nought says that it is a decimal mark.
_AMBIGUOUS = re.compile(r"[1-9]\d{0,2}\.\d{3}")


def cells_of_job(job: Job, shop: Shop, day: date) -> dict[str, str]:
    """The cells of a job by column, for a list that is read for a day; columns that may stay empty are left out."""
    first = job.passes[0]
    cells = {
        "job": job.id,
        "title": job.title,
        "sheets": str(first.sheets),
        "due": moment_cell(job.due, day, shop.calendar.zone),
        "weight": "" if job.weight == 1 else str(job.weight),
        "stock": first.stock.id,
        "format": format_cell(first.format, shop),
        "feed_edge": "" if first.feed_edge is FeedEdge.LONG else str(first.feed_edge),
        "work_style": str(job.work_style) if job.work_style.two_sided else "",
        **_side_cells(first, first.id, ""),
        **_plate_cells(first, shop.press),
        "lay_side": "" if first.lay_side is LaySide(shop.press.default_lay_side) else str(first.lay_side),
        "strips": strips_cell(first.strips),
        "overprint": "" if first.overprint else "no",
        "units_free": "yes" if first.units_free else "",
        "earliest": moment_cell(first.earliest, day, shop.calendar.zone),
        **_waste_cells(job, shop.press),
        "own_tasks": "+".join(job.passes[-1].own_tasks),
    }
    if len(job.passes) > 1:
        cells |= _back_cells(job)
    return {column: text for column, text in cells.items() if text}


def number_cell(value: float) -> str:
    """A number in plain digits that a list reads as the same number, and never asks about."""
    text = plain(value)
    return f"{text}0" if _AMBIGUOUS.fullmatch(text) else text


def plain(value: float) -> str:
    """A number in plain digits, none too many: `210`, `0.15`."""
    text = format(Decimal(repr(value)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def moment_cell(moment: datetime | None, day: date, zone: ZoneInfo) -> str:
    """A moment on the shop's clock: the time alone on the list's own day; an offset where the clocks show it twice."""
    if moment is None:
        return ""
    local = moment.astimezone(zone)
    text = f"{local:%H:%M:%S}" if local.second else f"{local:%H:%M}"
    try:
        local_moment(local.replace(tzinfo=None, fold=0), zone)
    except LocalTimeError:
        text += local.isoformat()[-6:]
    return text if local.date() == day else f"{local:%Y-%m-%d} {text}"


def format_cell(sheet: Format, shop: Shop) -> str:
    """A format by its name where the shop knows it by that, else by its size in mm."""
    if sheet.name is not None and shop.format_named(sheet.name) == sheet:
        return sheet.name
    return f"{plain(sheet.short_mm)} x {plain(sheet.long_mm)}"


def strips_cell(strips: Sequence[Strip]) -> str:
    """Image-free strips, mm from the operator's edge."""
    return " ".join(f"{plain(strip.from_mm)}-{plain(strip.to_mm)}" for strip in strips)


def _side_cells(side: PrintPass, named_after: str, back: str) -> dict[str, str]:
    """Inks, and plates and coverages that are not what an empty cell stands for."""
    inks = [separation.ink.id for separation in side.separations]
    plates = [separation.plate.id for separation in side.separations]
    coverages = [separation.coverage_percent for separation in side.separations]
    usual_plates = [f"{named_after}/{ink}" for ink in inks]
    return {
        f"inks{back}": "+".join(inks),
        f"plates{back}": "" if plates == usual_plates else "+".join(plates),
        f"coverage{back}": ""
        if set(coverages) == {DEFAULT_COVERAGE_PERCENT}
        else "+".join(map(number_cell, coverages)),
    }


def _plate_cells(side: PrintPass, press: PressProfile) -> dict[str, str]:
    plate = side.separations[0].plate
    usual = plate.length_mm == press.automatic_plate_length_mm
    thickness = plate.thickness_um == DEFAULT_THICKNESS_UM[plate.material]
    return {
        "plate_material": "" if plate.material is PlateMaterial.METAL else str(plate.material),
        "plate_length_mm": "" if usual else number_cell(plate.length_mm),
        "plate_thickness_mm": "" if thickness else number_cell(plate.thickness_um / 1000),
    }


def _waste_cells(job: Job, press: PressProfile) -> dict[str, str]:
    """Waste where it is not the press's usual of every pass."""
    first = job.passes[0]
    usual = all(p.makeready_waste == usual_makeready_waste(press, len(p.separations)) for p in job.passes)
    running = first.running_waste == usual_running_waste(press, first.sheets)
    return {
        "makeready_waste": "" if usual else str(first.makeready_waste),
        "running_waste": "" if running else str(first.running_waste),
    }


def _back_cells(job: Job) -> dict[str, str]:
    first, second = job.passes
    style = job.work_style
    lay_side = second.lay_side is usual_back_lay_side(style, first.lay_side)
    strips = second.strips == (first.strips if style.same_plates else ())
    drying = second.drying_s == max(separation.ink.drying_seconds for separation in first.separations)
    return {
        **({} if style.same_plates else _side_cells(second, second.id, "_back")),
        "lay_side_back": "" if lay_side else str(second.lay_side),
        "strips_back": "" if strips else strips_cell(second.strips),
        "drying_h": "" if drying else number_cell(round(second.drying_s / 3600, 6)),
    }
