"""The table of words of settings cards: names, instructions, values, reasons and cautions.

Cautions are reminders. What must be done is laid down by local codes, by the safety data sheet of the product and by
the manual of the press; nothing here takes their place. What settings are for is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from queueplanner.makeready.card_lines import Caution
from queueplanner.shop.card_profile import CardGroup

Facts = Mapping[str, Any]
Template = str | Callable[[Facts], str]

GROUPS: Mapping[CardGroup, str] = {
    CardGroup.STOCK: "Stock",
    CardGroup.FEEDER: "Feeder",
    CardGroup.DELIVERY: "Delivery",
    CardGroup.PLATES: "Plates and pressure",
    CardGroup.INK: "Ink",
    CardGroup.DAMPENING: "Dampening solution",
    CardGroup.RUN: "Run",
}

CAUTIONS: Mapping[Caution, str] = {
    Caution.HANDS: (
        "Hands inside the guards: first stop the press and lock it out as your local codes and its own manual require."
    ),
    Caution.TURNING: (
        "The drive runs: guards closed, hands, cloths and sleeves away from every nip, as the press's own manual says."
    ),
    Caution.LOAD: "Heavy: use lifting gear or a second person, and follow your local rules for lifting.",
    Caution.SOLVENT: (
        "Solvent: its safety data sheet first; gloves, eyes covered, fresh air, no flame, cloths away by local codes."
    ),
    Caution.CHEMICALS: "Chemicals: their safety data sheets first; gloves and eye protection as these require.",
}


@dataclass(frozen=True, slots=True)
class LineWords:
    """A line's name, and what to do in one short line."""

    name: str
    do: str


LINES: Mapping[str, LineWords] = {
    # stock
    "stock": LineWords("Stock", "Compare the wrapper with the docket"),
    "grain": LineWords("Grain", "Check which way the grain runs"),
    "sheets": LineWords("Sheets", "Count out the sheets, waste included"),
    "pile": LineWords("Feed pile", "Build it square, edges flush"),
    "air_stock": LineWords("Airing", "Air the stock and knock it up square before it is piled"),
    "turn_pile": LineWords("Second side", "Turn the pile as the work style says; mark gripper edge and lay"),
    # feeder
    "format": LineWords("Sheet", "Measure one sheet before anything is set to it"),
    "side_stops": LineWords("Side stops", "Let them touch the pile; they must not curl the sheet"),
    "rear_stop": LineWords("Rear stop", "Set it to the sheet's rear edge"),
    "rear_blowers": LineWords("Rear blowers", "Set them to the sheet's rear edge"),
    "lay_side": LineWords("Lay side", "Pull the sheet to this side; put the other guide out of use"),
    "pile_height": LineWords("Pile height", "Raise the pile to this mark on the thin-to-thick scale"),
    "separator_fingers": LineWords(
        "Separator fingers", "Reach into the pile if thin, keep off its front edge if thick"
    ),
    "air": LineWords("Air", "Set side and rear blast and suction; the top sheet lies against the fingers"),
    "detector_range": LineWords("Double-sheet detector", "Switch to this range"),
    "positioning_sheets": LineWords("Positioning sheets", "Feed them before the detector is set"),
    "detector_procedure": LineWords(
        "Detector setting", "Turn down until the lamp lights, up until it goes out, then on for the paper's tolerance"
    ),
    # delivery
    "delivery_rear_stop": LineWords("Delivery rear stop", "Set it to the sheet's length; take it out for small sheets"),
    "delivery_joggers": LineWords("Delivery joggers", "Jog towards the lay side, just touching the sheet"),
    "front_joggers": LineWords("Front joggers", "Switch them as shown"),
    "guide_pulleys": LineWords("Guide pulleys", "Centre each in an image-free strip"),
    "pulley_covers": LineWords("Pulley covers", "Look at the ink-repellent covers; renew worn ones"),
    "gripper_opening": LineWords("Gripper opening", "Set it for stock and speed; too early scratches fresh print"),
    "fans": LineWords("Fans", "Set them one by one until the sheet lies down flat"),
    "powder": LineWords("Powder", "Give the least that keeps the sheets apart"),
    "sheet_arrival": LineWords("Sheet arrival", "Time it for this class of stock"),
    "sheet_arrival_check": LineWords("Arrival check", "Watch for early or late stops; if they are frequent, retime"),
    # plates and pressure
    "plate_punch": LineWords("Plate punching", "Punch every plate on centre with the shop's own punch"),
    "polyester_wet": LineWords("Polyester plate", "Keep it wet: it must still be wet when it is ejected"),
    "roller_package": LineWords("Roller package", "Lift it out before the plate comes off, put it back after"),
    "automatic_fallback": LineWords("Changer fails", "Take the plate off by hand, rear edge first"),
    "plate_off": LineWords("Plate off", "Take this plate off"),
    "plate": LineWords("Plate", "Compare the plate's number with the docket"),
    "plate_face": LineWords("Image side", "Hold the plate this way round before it goes in"),
    "plate_on": LineWords("Plate on", "Put the plate on this way"),
    "register_pins": LineWords("Register pins", "Lay the punched edge exactly on the pins"),
    "plate_packing": LineWords("Packing", "Change the packing for the new thickness; measure it"),
    "pre_damp": LineWords("Damping", "Damp the polyester plate before it prints or comes off"),
    "gum": LineWords("Gumming", "Gum the metal plate that stays on the idle unit"),
    "printing_pressure": LineWords("Printing pressure", "Set it to the caliper, the idle unit too"),
    # ink
    "unit_on": LineWords("Throw-on", "Throw form rollers, dampening and impression on or off"),
    "ink": LineWords("Ink", "Compare the tin with the docket"),
    "wash_rollers": LineWords("Roller wash", "Wash until the next ink comes clean"),
    "fountain_side_plates": LineWords("Fountain side plates", "Fit both, tighten evenly by hand, then fill"),
    "spread_ink": LineWords("Fountain", "Spread the ink along the whole fountain"),
    "ink_keys": LineWords("Coverage", "Open the keys where the plate prints; start low"),
    "idle_oil": LineWords("Idle unit", "Oil its rollers with resin-free oil"),
    "tack_order": LineWords("Tack", "Print the higher tack first"),
    "reducing_oil": LineWords("Reducing oil", "Measure it sparingly, work it in on the table, then fill"),
    "wash_blankets": LineWords("Blankets", "Wash them and let them dry"),
    # dampening
    "mix": LineWords("Mix", "Measure additive and water by volume; never by eye"),
    "ph": LineWords("pH", "Read it; outside the window, mix anew"),
    "hardness": LineWords("Water hardness", "Read the tap water now and then"),
    "conductivity": LineWords("Conductivity", "Write down the fresh batch's reading; renew on this rise"),
    # run
    "speed": LineWords("Speed", "Begin slowly; go up to this when the paper runs"),
    "paper_run": LineWords("Paper run", "Check it once more after all settings"),
    # what only this press has
    "own_scale": LineWords("", "Set it to this mark"),
    "own_step": LineWords("", ""),
}


def _number(value: float) -> str:
    return f"{round(value, 1) + 0:g}"


def _pulleys(facts: Facts) -> str:
    centred = facts["origin"] == "centre"
    places = [("+" if centred and p > 0 else "") + _number(p) for p in facts["positions"]]
    origin = "the centre, drive side +" if centred else "the sheet's operator edge"
    left = facts["left"]
    spare = f"; lift {left} clear of the sheet" if left else ""
    return f"{', '.join(places)} mm from {origin}{spare}"


def _sheets(facts: Facts) -> str:
    return f"{facts['all']} = {facts['good']} good + {facts['running']} running + {facts['makeready']} make-ready"


def _piles(facts: Facts) -> str:
    first = "1 pile" if facts["piles"] == 1 else f"{facts['piles']} piles, the first"
    return f"{first} {_number(facts['height'])} mm, {_number(facts['kg'])} kg"


def _mark(facts: Facts) -> str:
    return f"mark {facts['mark']:g}" if facts["unit"] == "mark" else f"{facts['mark']:g} {facts['unit']}"


def _rise(facts: Facts) -> str:
    often = f"; read every {facts['hours']:g} h" if facts["hours"] else ""
    return f"up by {facts['rise']} µS/cm{often}"


def _format(facts: Facts) -> str:
    width, length = _number(facts["width"]), _number(facts["length"])
    return f"{facts['format']}, {facts['edge']} edge first: {width} mm wide, {length} mm long"


#: How a value reads: a template, or a function of its facts, for every code a value can have.
VALUES: Mapping[str, Template] = {
    "word": "{word}",
    "on": "on",
    "off": "off",
    "mark": _mark,
    "count": "{count}",
    "percent": "{percent:g} %",
    "stock": "{stock}, {grammage:g} g/m², {caliper} µm, {coating}",
    "stock_id": "{stock}",
    "grain_across": "across the travel, along the cylinders",
    "grain_along": "along the travel, round the cylinders",
    "sheets": _sheets,
    "piles": _piles,
    "format": _format,
    "apart": lambda f: f"{_number(f['width'])} mm apart",
    "apart_from_centre": lambda f: (
        f"{_number(f['width'])} mm apart, {_number(f['half'])} mm to each side of the centre"
    ),
    "length": lambda f: f"{_number(f['length'])} mm",
    "taken_out": lambda f: f"taken out ({_number(f['length'])} mm sheet)",
    "side": "{side}'s side",
    "jog": lambda f: f"to the {f['side']}'s side, {_number(f['width'])} mm",
    "fingers_in": "into the pile",
    "fingers_clear": "clear of the pile's front edge",
    "float": "about {sheets} sheets float",
    "graduations": "{count} graduations more",
    "pulleys": _pulleys,
    "pulleys_unnamed": "no strip named: place them by the OK sheet, clear of print",
    "pulleys_nowhere": "no strip is wide enough: lift them clear of print",
    "opening": "{position}",
    "fans": "{level}: {fans}",
    "speed": "{speed:.0f} sheets an hour",
    "no_plate": "none",
    "plate": "{plate}, {material}, {length:g} mm, {thickness} µm",
    "face": "facing {face}",
    "automatic": "by the changer",
    "by_hand": "by hand",
    "no_ink": "none",
    "ink": "{ink}",
    "ink_idle": "{ink}, standing",
    "tack": "unit 1: {first:g}, unit 2: {second:g}",
    "tack_unknown": "not comparable: measure both on one instrument",
    "oil_share": "{first:g} % of the ink's weight to begin with, {most:g} % at most",
    "mix": "{millilitres:.0f} ml in {litres:g} l ({percent:g} %), {material} plates",
    "ph": "{least:g} to {most:g}",
    "hardness": "{least:g} to {most:g} °dH",
    "rise": _rise,
}

_BY = {
    "caliper_um": "a caliper of {value:g} µm",
    "grammage_gsm": "{value:g} g/m²",
    "width_mm": "a width of {value:g} mm",
    "length_mm": "a length of {value:g} mm",
    "speed_sph": "{value:.0f} sheets an hour",
    "coverage_percent": "a coverage of {value:g} %",
}


def _off_scale(facts: Facts) -> str:
    name = LINES[facts["scale"]].name if facts["scale"] in LINES else facts["scale"]
    return f"{_BY[facts['by']].format_map(facts)} lies beyond the scale of {name.lower()}: feel the way from its end"


#: Why a line reads as it does, or what a card warns of: the codes that only cards have.
WHYS: Mapping[str, Template] = {
    "by_job": "as the docket says",
    "by_grain": "from the stock's grain and the feed edge",
    "by_quantity": lambda f: _BY[f["by"]].format_map(f),
    "by_speed_and_caliper": "{speed:.0f} sheets an hour, caliper {caliper} µm",
    "by_stock_and_coverage": "the stock's speed and the heaviest coverage",
    "by_strips": "from the image-free strips of the docket",
    "by_unit": "the way into unit {unit}",
    "by_coverage_of_plate": "coverage of the plate",
    "by_changer": "the changer handles a plate",
    "left_as_set": "too small a step to set anew: left as it is",
    "to_be_loaded": "the sheets this pass needs",
    "no_two_sheets_cling": "sheets that cling feed double",
    "covers_wear": "worn covers smear fresh print",
    "arrival_shows": "{caliper} µm arrives early or late more easily",
    "plates_go_on": "plates go on",
    "plate_stays_put": "the plate stays as it is",
    "register_begins": "register begins at the punch and the pins",
    "polyester_comes_off_now": "polyester plate {plate} comes off",
    "polyester_comes_off_later": "polyester plates print, and come off later",
    "ink_stays": "the ink stays",
    "unit_prints": "the unit prints",
    "unit_idle": "the unit is idle",
    "tack_falls": "wet prints on wet: the first ink down needs the higher tack",
    "solution_stays": "the solution suits these plates",
    "every_batch": "with every fresh batch",
    "after_all_settings": "every setting moves the paper a little",
    "own_scale": lambda f: _BY[f["by"]].format_map(f),
    "own_step": "a step of this press",
    # warnings
    "off_scale": _off_scale,
    "no_strip_fits": "no image-free strip takes a guide pulley: the widest has {widest:g} mm, it needs {least:g} mm",
    "no_mix": "the press file gives no dampening mix for {material} plates",
}
