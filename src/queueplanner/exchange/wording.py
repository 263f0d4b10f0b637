"""The words of plans: names of tasks, the caution that goes with them, and the sentences of reasons.

Cautions are reminders. What must be done is laid down by local codes, by the safety data sheet of the product and by
the manual of the press; nothing here takes their place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from queueplanner.makeready.card_lines import CAUTIONS_OF_STATE, Caution
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Claim, ClaimKind, PlannedTask

_HANDS = (
    "Hands near rollers, cylinders and grippers: stop the press and lock it out as your local codes and the "
    "press's own manual require."
)
_TURNING = (
    "The drive runs: keep hands, cloths, sleeves and hair away from every nip, guards closed; the press's own "
    "manual says how it is done."
)
_LOAD = "A heavy load: use the lifting gear and follow your local rules for lifting."
_SOLVENT = (
    "Solvent: read its safety data sheet first; gloves, eye protection, fresh air, no flame; used cloths into "
    "the closed bin as your local codes require."
)
_CHEMICALS = "Chemicals: read the safety data sheet first; gloves and eye protection as it requires."


@dataclass(frozen=True, slots=True)
class TaskWords:
    """A task's name, short and imperative, and its caution where hands, solvents or loads are involved."""

    name: str
    caution: str | None = None


TASKS: Mapping[str, TaskWords] = {
    "take_off_delivery_pile": TaskWords("Take off the delivery pile", _LOAD),
    "load_pile": TaskWords("Load the pile", _LOAD),
    "turn_pile": TaskWords("Turn the pile over", _LOAD),
    "feeder_to_format": TaskWords("Set the feeder to the format", _HANDS),
    "change_lay_side": TaskWords("Change the lay side", _HANDS),
    "feeder_to_caliper": TaskWords("Set the feeder to the caliper", _HANDS),
    "set_double_sheet_detector": TaskWords("Set the double-sheet detector", _TURNING),
    "set_printing_pressure": TaskWords("Set the printing pressure", _HANDS),
    "delivery_to_format": TaskWords("Set the delivery to the format", _HANDS),
    "move_guide_pulleys": TaskWords("Move the guide pulleys", _HANDS),
    "set_gripper_fans_powder": TaskWords("Set gripper opening, fans and powder", _TURNING),
    "retime_sheet_arrival": TaskWords("Retime the sheet arrival", _TURNING),
    "take_plate_off": TaskWords("Take the plate off", _HANDS),
    "lift_roller_package": TaskWords("Lift the roller package out and back", f"{_HANDS} {_LOAD}"),
    "put_plate_on": TaskWords("Put the plate on", _HANDS),
    "change_plate_packing": TaskWords("Change the plate packing", _HANDS),
    "pre_damp_plate": TaskWords("Damp the polyester plate", _TURNING),
    "gum_plate": TaskWords("Gum the plate", f"{_TURNING} {_CHEMICALS}"),
    "empty_fountain": TaskWords("Empty the ink fountain", _HANDS),
    "wash_rollers": TaskWords("Wash the rollers", f"{_TURNING} {_SOLVENT}"),
    "oil_rollers": TaskWords("Oil the rollers", _TURNING),
    "fill_fountain": TaskWords("Fill the fountain and ink up", _TURNING),
    "reduce_tack": TaskWords("Reduce the tack of the ink for unit 2", _CHEMICALS),
    "wash_blankets": TaskWords("Wash the blankets", f"{_TURNING} {_SOLVENT}"),
    "change_dampening": TaskWords("Change the dampening solution, check pH", f"{_HANDS} {_CHEMICALS}"),
    "register_and_colour": TaskWords("Register and colour to the OK sheet", _TURNING),
    "check_first_sheets": TaskWords("Check the first sheets", _TURNING),
}
_CAUTIONS: Mapping[Caution, str] = {
    Caution.HANDS: _HANDS,
    Caution.TURNING: _TURNING,
    Caution.LOAD: _LOAD,
    Caution.SOLVENT: _SOLVENT,
    Caution.CHEMICALS: _CHEMICALS,
}
#: A shop's own task: what it takes is the shop's to say.
_OWN = TaskWords("", "A task of the shop's own: its own instructions and the press's manual say how it is done.")

Facts = Mapping[str, Any]
Template = str | Callable[[Facts], str]


def task_words(key: str) -> TaskWords:
    """Name and caution of a task by its key. Raises KeyError for a key that is none."""
    if key.startswith("own:"):
        name = key.removeprefix("own:")
        return TaskWords(f"{name[:1].upper()}{name[1:]}", _OWN.caution)
    return TASKS[key]


def task_cautions(task: PlannedTask) -> tuple[Caution, ...]:
    """What can hurt in a task, one by one; of a shop's own task as much as the state of the press tells."""
    if task.task.startswith("own:"):
        return CAUTIONS_OF_STATE[task.state]
    told = TASKS[task.task].caution or ""
    return tuple(caution for caution, text in _CAUTIONS.items() if text in told)


def task_name(key: str, unit: int | None = None, washes: int = 0) -> str:
    """A task's name, with how often where rollers are washed more than once, and its unit where it has one."""
    name = task_words(key).name
    if washes > 1:
        name += f" {_times(washes)}"
    return name if unit is None or key == "reduce_tack" else f"{name}, unit {unit}"


def sentence(reason: Reason) -> str:
    """What a reason says, as one clause without a full stop. Raises KeyError for a code that has no wording."""
    template = WORDING[reason.code]
    facts = dict(reason.facts)
    return template(facts) if callable(template) else template.format_map(facts)


def claim_in_words(claim: Claim) -> str:
    """What is known about how good a plan is, as a sentence."""
    if claim.kind is ClaimKind.PROVEN_BEST:
        return "Proven: no order of these passes is better."
    if claim.kind is ClaimKind.WITHIN and claim.percent is not None:
        return f"At most {claim.percent:.1f} % from the best possible."
    if claim.kind is ClaimKind.GIVEN:
        return "The order as given; nothing is claimed about better ones."
    return "The best order found; whether a better one exists is not known."


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _washes(count: int) -> str:
    return "1 wash" if count == 1 else f"{count} washes"


_ORDINALS = ("one", "two", "three", "four")


def _wash_colour(facts: Facts) -> str:
    """How the residue reads: "2 washes: after one, black in yellow reads ΔE00 4.4, after two 0.4; tolerance 3.5"."""
    differences = facts.get("differences", ())
    if not differences:
        return f"{_washes(facts['washes'])} from {facts['old']} to {facts['new']}{_done(facts)}"
    later = "".join(f", after {_ORDINALS[i]} {value:.1f}" for i, value in enumerate(differences) if i)
    return (
        f"{_washes(facts['washes'])}: after one, {facts['old']} in {facts['new']} reads ΔE00 {differences[0]:.1f}"
        f"{later}; tolerance {facts['tolerance']:g}{_done(facts)}"
    )


def _wash_family(facts: Facts) -> str:
    return f"{_washes(facts['washes'])}: {facts['old']} and {facts['new']} are of two ink families{_done(facts)}"


def _wash_special(facts: Facts) -> str:
    return (
        f"{_washes(facts['washes'])}: {facts['old']} to {facts['new']}, metallic or fluorescent, where nothing is "
        f"predicted{_done(facts)}"
    )


def _wash_override(facts: Facts) -> str:
    return f"{_washes(facts['washes'])} from {facts['old']} to {facts['new']}, fixed by the shop{_done(facts)}"


def _done(facts: Facts) -> str:
    done = facts.get("done", 0)
    return f"; {done} of them already done" if done else ""


def _units(facts: Facts) -> str:
    return "fresh plate or ink in both units" if facts["units"] > 1 else "fresh plate or ink in one unit"


#: A template, or a function of the facts, for every code a reason can have.
WORDING: Mapping[str, Template] = {
    # feeder, delivery and stock
    "pile_in_delivery": "the delivery still holds the pile of the run before",
    "new_pile": "{sheets} sheets of {stock}",
    "backs_up": "it backs up {first}",
    "format": "format from {old} to {new}",
    "format_unknown": "format to {new}; what is set is not known",
    "lay_side": "lay side from {old} to {new}",
    "caliper": "caliper from {old} to {new} µm, {percent} %",
    "caliper_unknown": "caliper {new} µm; what is set is not known",
    "stock": "other stock: {new}",
    "feeder_was_set": "the feeder has been set anew",
    "strips": "other image-free strips",
    "speed": "speed from {old} to {new} sheets an hour",
    "arrival": "{caliper} µm is of another class: very thin, normal, very thick",
    # plates
    "plate_replaced": "plate {old} makes room for {new}",
    "plate_moves": "plate {plate} moves to unit {unit}",
    "plate_off_idle": "the idle unit cannot be thrown off: plate {plate} must not stay",
    "plate_on_automatic": "plate {plate}, {material}, {length:g} mm, by the changer",
    "plate_on_by_hand": "plate {plate}, {material}, {length:g} mm, by hand",
    "plate_untouched": "the plate stays as it is",
    "roller_package": "plate {plate} comes off unit 2 by hand",
    "packing": "thickness from {old} to {new} µm",
    "plate_stays": "metal plate {plate} stays on the idle unit",
    "polyester_prints": "polyester plate {plate} has stood and prints again",
    "polyester_comes_off": "polyester plate {plate} has stood and comes off",
    # ink
    "ink_out": "{ink} makes room for {new}",
    "ink_out_stale": "{ink} stands longer than its open time of {hours:g} h",
    "ink_out_evening": "{ink} would not stay open until the next shift (open time {hours:g} h)",
    "wash_colour": _wash_colour,
    "wash_family": _wash_family,
    "wash_special": _wash_special,
    "wash_override": _wash_override,
    "wash_stale": "{ink} is stale",
    "wash_evening": "{ink} comes out for the night",
    "wash_not_enough": (
        "after {washes} washes {old} in {new} still reads ΔE00 {left:.1f}, "
        "tolerance {tolerance:g}: look before printing"
    ),
    "residue_assumed": (
        "washes are reckoned from colour: {share:.0%} of the old ink stays on emptied rollers, each wash leaves "
        "{left:.0%} of that; both are assumptions until the shop's own wash-ups have been learned"
    ),
    "no_ink_on_rollers": "the unit is idle and holds no ink",
    "ink_goes_in": "{ink} goes in",
    "ink_waits": "{ink} waits {hours:g} h for its run, longer than its open time",
    "tack": "tack of {first} {first_tack:g}, of {second} {second_tack:g}: the first ink down needs the higher",
    "tack_order": (
        "tack of {first} in unit 1 is {first_tack:g}, of {second} in unit 2 {second_tack:g}: the second is reduced"
    ),
    "tack_already_reduced": (
        "tack of {first} in unit 1 is {first_tack:g}, of {second} in unit 2 {second_tack:g}: already reduced"
    ),
    "tack_unknown": "tack of {first} and {second} cannot be compared: measure both on one instrument",
    # blankets, dampening, the OK sheet
    "blankets_plate": "a plate is changed",
    "blankets_ink": "an ink is filled",
    "blankets_format": "the sheet is larger than the one before",
    "solution": "from {old} to {new} plates; mixed, it stands at pH 4.8 to 5.5",
    "register_units": _units,
    "register_sheet": "format or lay side changed",
    "register_back": "it has to fit its first side {first}",
    "always_checked": "always, before the run",
    # a shop's own tasks
    "own_named": "the job asks for {task}",
    "own_fact": "the press file asks for it: {fact}",
    # what a plan wants said
    "units_free_idle": "'units free' has no effect: the inks overprint, or the blanket is common",
    "caliper_drift": "small steps have moved the caliper from {set} to {now} µm since it was last set",
}
