"""The job sheet's words: heads, what a column holds, what was done, and the words for choices."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.job_sheet_model import Step
from queueplanner.desk.sheet_columns import COLUMN_OF, SHEET_COLUMNS, Kind
from queueplanner.desk.sheet_units import LengthUnit, ThicknessUnit, Units
from queueplanner.desk.trade_words import feed_edge_text, lay_side_text, work_style_text
from queueplanner.exchange.near import shown
from queueplanner.shop.errors import Problem
from queueplanner.shop.format import FeedEdge
from queueplanner.shop.job import LaySide, WorkStyle
from queueplanner.shop.plate import PlateMaterial


def _tr(text: str) -> str:
    return QCoreApplication.translate("sheet", text)


def head_text(key: str, units: Units) -> str:
    """A column's head, with the unit of its figures."""
    return _heads()[key].format(length=units.length.value, thickness=units.thickness.value)


def name_text(key: str) -> str:
    """A column's name without a unit."""
    return _heads()[key].partition(", {")[0].partition(", %")[0]


def _heads() -> dict[str, str]:
    return {
        "job": _tr("Job"),
        "title": _tr("Title"),
        "sheets": _tr("Sheets"),
        "due": _tr("Due"),
        "weight": _tr("Weight"),
        "stock": _tr("Stock"),
        "format": _tr("Format"),
        "feed_edge": _tr("Feed edge"),
        "work_style": _tr("Work style"),
        "inks": _tr("Inks"),
        "plates": _tr("Plates"),
        "coverage": _tr("Coverage, %"),
        "inks_back": _tr("Inks, second side"),
        "plates_back": _tr("Plates, second side"),
        "coverage_back": _tr("Coverage, second side, %"),
        "plate_material": _tr("Plate material"),
        "plate_length_mm": _tr("Plate length, {length}"),
        "plate_thickness_mm": _tr("Plate thickness, {thickness}"),
        "lay_side": _tr("Lay side"),
        "lay_side_back": _tr("Lay side, second side"),
        "strips": _tr("Image-free strips, {length}"),
        "strips_back": _tr("Strips, second side, {length}"),
        "overprint": _tr("Overprint"),
        "units_free": _tr("Units free"),
        "earliest": _tr("Not before"),
        "drying_h": _tr("Drying, h"),
        "makeready_waste": _tr("Make-ready waste, sheets"),
        "running_waste": _tr("Running waste, sheets"),
        "own_tasks": _tr("Own tasks"),
    }


def hint_text(key: str) -> str:
    """What a column holds, and what an empty cell of it stands for."""
    return {
        "job": _tr("The job's docket. Every job needs one of its own."),
        "title": _tr("Any words, so that people know the job."),
        "sheets": _tr("Good sheets wanted. A two-sided job counts a sheet once."),
        "due": _tr("When the job has to be finished: 17:00, or with its date. Empty: never late."),
        "weight": _tr("How much lateness of this job counts, 0 to 1000. Empty: 1."),
        "stock": _tr("The paper or board, from the shop's list."),
        "format": _tr("A name such as A4 or SRA3, or a size such as 210 x 297."),
        "feed_edge": _tr("The edge that leads into the press. Empty: the long one."),
        "work_style": _tr("How the two sides are printed. Empty: one side."),
        "inks": _tr("One or two inks from the shop's list, with a plus between them."),
        "plates": _tr("The name of each ink's plate. Empty: plates of this job's own."),
        "coverage": _tr("How much of the sheet each ink covers. Empty: 20 each."),
        "inks_back": _tr("Inks of the second side of a sheetwise job."),
        "plates_back": _tr("Plates of the second side of a sheetwise job. Empty: plates of its own."),
        "coverage_back": _tr("Coverage of the second side of a sheetwise job. Empty: 20 each."),
        "plate_material": _tr("What the plates are made of. Empty: metal."),
        "plate_length_mm": _tr("Around the cylinder. Empty: the length the press changes by itself."),
        "plate_thickness_mm": _tr("Empty: the usual thickness of the material."),
        "lay_side": _tr("The side the sheet is pulled to. Empty: the press's usual side."),
        "lay_side_back": _tr("The same for the second side. Empty: as the work style has it."),
        "strips": _tr("Strips without image along the travel, from the operator's edge: 18-34 190-206. Empty: none."),
        "strips_back": _tr("The same for the second side. Empty: as the work style has it."),
        "overprint": _tr("Do the two inks print on one another? Empty: yes."),
        "units_free": _tr("May the inks change units? Empty: no."),
        "earliest": _tr("Before this time no changeover of the job begins. Empty: no limit."),
        "drying_h": _tr("Hours between the two sides. Empty: the longest drying time of the first side's inks."),
        "makeready_waste": _tr("Sheets lost in make-ready, of each pass. Empty: the press's usual number."),
        "running_waste": _tr("Sheets lost in the run, of each pass. Empty: the press's usual share."),
        "own_tasks": _tr("Tasks of the press's own that the job asks for. Empty: none."),
    }[key]


def choice_words() -> dict[str, str]:
    """The place's words for choices and heads, by what a job list writes."""
    words = {str(style): work_style_text(style) for style in WorkStyle}
    words |= {str(side): lay_side_text(side) for side in LaySide}
    words |= {str(edge): feed_edge_text(edge) for edge in FeedEdge}
    words |= {
        str(PlateMaterial.METAL): _tr("metal"),
        str(PlateMaterial.POLYESTER): _tr("polyester"),
        str(PlateMaterial.PAPER): _tr("paper"),
        "yes": _tr("yes"),
        "no": _tr("no"),
    }
    return words | {column.key: name_text(column.key) for column in SHEET_COLUMNS}


def problem_text(problem: Problem, units: Units) -> str:
    """What was found in a cell and what would be right; faults of a whole row have no column."""
    words = f"{_tr('found')} {problem.found}; {problem.wanted}"
    if problem.column not in COLUMN_OF:
        return words
    told = _unit_told(COLUMN_OF[problem.column].kind, units)
    return f"{name_text(problem.column)}: {words}{told}"


def missing_text(key: str) -> str:
    """That a cell still needs something."""
    return _tr("{name}: still empty. {hint}").format(name=name_text(key), hint=hint_text(key))


def _unit_told(kind: Kind, units: Units) -> str:
    """The unit of the words, where the cell is shown in another."""
    if kind is Kind.THICKNESS:
        if units.thickness is ThicknessUnit.UM:
            return _tr(" (in mm: 1000 µm)")
        return _tr(" (in mm: 1 pt is 0.0254 mm)")
    if kind in (Kind.LENGTH, Kind.STRIPS) and units.length is LengthUnit.INCH:
        return _tr(" (in mm: 1 in is 25.4 mm)")
    return ""


def step_text(step: Step) -> str:
    """What an edit did, to stand behind "Undo" and "Redo"."""
    facts = step.facts
    job = shown(facts["job"], 30).strip("'") if facts.get("job") else _tr("a new row")
    columns = facts.get("columns", [])
    cell = name_text(columns[0]) if len(columns) == 1 else ""
    many = facts.get("rows", 0) != 1
    if step.code == "set_cell" and cell:
        return _tr("typing in {job}, {cell}").format(job=job, cell=cell)
    plural = {
        "set_block": _tr("typing in {rows} rows"),
        "paste": _tr("pasting {rows} rows"),
        "clear": _tr("clearing {rows} rows"),
        "cut": _tr("cutting {rows} rows"),
        "fill_down": _tr("filling {rows} rows down"),
        "insert": _tr("inserting {rows} rows"),
        "duplicate": _tr("duplicating {rows} jobs"),
        "remove": _tr("removing {rows} rows"),
    }
    single = {
        "set_block": _tr("typing in a row"),
        "set_cells": _tr("a change to {job}"),
        "work_style": _tr("another work style of {job}"),
        "paste": _tr("pasting a row"),
        "clear": _tr("clearing in {job}"),
        "cut": _tr("cutting from {job}"),
        "fill_down": _tr("filling {job} down"),
        "add_row": _tr("adding a row"),
        "insert": _tr("inserting a row"),
        "duplicate": _tr("duplicating {job}"),
        "remove": _tr("removing {job}"),
        "split": _tr("splitting {job}"),
    }
    words = plural.get(step.code) if many else None
    return (words or single.get(step.code, _tr("a change"))).format(job=job, rows=facts.get("rows", 0))
