"""The passes of a job-list entry: one, or two for a two-sided job, with what the list left open filled in."""

from __future__ import annotations

from queueplanner.exchange.job_row import JobEntry, Side
from queueplanner.shop.base import PassId, PlateId, exact
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, Strip, WorkStyle
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import PressProfile


def job_of_entry(entry: JobEntry, press: PressProfile) -> Job:
    """The job of an entry. A two-sided job's passes are named after it: job/1 and job/2."""
    if entry.work_style.two_sided:
        first, second = PassId(f"{entry.job}/1"), PassId(f"{entry.job}/2")
        passes = [_pass(entry, press, first, None), _pass(entry, press, second, first)]
    else:
        passes = [_pass(entry, press, PassId(entry.job), None)]
    return Job(
        id=entry.job,
        title=entry.title,
        due=entry.due,
        weight=entry.weight,
        work_style=entry.work_style,
        passes=tuple(passes),
    )


def usual_back_lay_side(style: WorkStyle, front: LaySide) -> LaySide:
    """The side the second side's sheet is pulled to when nothing else is said (common practice, no source)."""
    return front.other if style.lay_side_changes else front


def usual_makeready_waste(press: PressProfile, inks: int) -> int:
    """Sheets a pass of one or two inks loses in make-ready when a list says nothing else."""
    return press.waste.makeready_one_ink if inks == 1 else press.waste.makeready_two_inks


def usual_running_waste(press: PressProfile, sheets: int) -> int:
    """Sheets lost in a run when a list says nothing else: the press's percentage of the good ones, rounded up."""
    return int(-(-sheets * exact(press.waste.running_percent) // 100))


def _pass(entry: JobEntry, press: PressProfile, pass_id: PassId, first_side: PassId | None) -> PrintPass:
    """One pass; the second side when it has a first."""
    is_back = first_side is not None
    is_last = is_back or not entry.work_style.two_sided
    separations = _separations(entry, pass_id, first_side)
    return PrintPass(
        id=pass_id,
        job=entry.job,
        side=2 if is_back else 1,
        sheets=entry.sheets,
        running_waste=_running_waste(entry, press),
        makeready_waste=_makeready_waste(entry, press, len(separations)),
        format=entry.format,
        feed_edge=entry.feed_edge,
        stock=entry.stock,
        lay_side=_back_lay_side(entry) if is_back else entry.lay_side,
        strips=_back_strips(entry) if is_back else entry.strips,
        separations=separations,
        overprint=entry.overprint,
        units_free=entry.units_free,
        earliest=entry.earliest,
        first_side=first_side,
        drying_s=_drying(entry) if is_back else 0,
        own_tasks=entry.own_tasks if is_last else (),
    )


def _separations(entry: JobEntry, pass_id: PassId, first_side: PassId | None) -> tuple[Separation, ...]:
    """Inks and plates of a side. A nameless plate is called pass/ink, a shared one after the first side."""
    shared = first_side is not None and entry.work_style.same_plates
    side = entry.front if first_side is None or shared else _back(entry)
    named_after = first_side if shared else pass_id
    plates = side.plates or tuple(f"{named_after}/{ink.id}" for ink in side.inks)
    return tuple(
        Separation(
            ink=ink,
            plate=Plate(
                id=PlateId(plate),
                material=entry.plate_material,
                length_mm=entry.plate_length_mm,
                thickness_um=entry.plate_thickness_um,
            ),
            coverage_percent=coverage,
        )
        for ink, plate, coverage in zip(side.inks, plates, side.coverage, strict=True)
    )


def _back(entry: JobEntry) -> Side:
    assert entry.back is not None, "a sheetwise entry has a back"
    return entry.back


def _back_lay_side(entry: JobEntry) -> LaySide:
    if entry.lay_side_back is not None:
        return entry.lay_side_back
    return usual_back_lay_side(entry.work_style, entry.lay_side)


def _back_strips(entry: JobEntry) -> tuple[Strip, ...]:
    if entry.strips_back is not None:
        return entry.strips_back
    return entry.strips if entry.work_style.same_plates else ()


def _drying(entry: JobEntry) -> int:
    """Seconds the first side rests: as given, else the longest drying time of its inks."""
    if entry.drying_s is not None:
        return entry.drying_s
    return max(ink.drying_seconds for ink in entry.front.inks)


def _makeready_waste(entry: JobEntry, press: PressProfile, inks: int) -> int:
    return usual_makeready_waste(press, inks) if entry.makeready_waste is None else entry.makeready_waste


def _running_waste(entry: JobEntry, press: PressProfile) -> int:
    return usual_running_waste(press, entry.sheets) if entry.running_waste is None else entry.running_waste
