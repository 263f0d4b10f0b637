"""The board's sentences: what undo and redo would do, why a command was refused, how orders are called."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date

from PySide6.QtCore import QCoreApplication

from queueplanner.desk.board_commands import AS_RECEIVED, MINE, PLANNED, Facts
from queueplanner.desk.board_refusals import Refusal, Why
from queueplanner.desk.record_words import record_text
from queueplanner.shop.base import JobId

#: More names than this are counted instead of told.
_MOST_NAMES = 3


def _tr(text: str) -> str:
    return QCoreApplication.translate("board", text)


def order_name(name: str) -> str:
    """The name of an order as it is shown; those the program gives are translated."""
    given = {AS_RECEIVED: _tr("as received"), MINE: _tr("mine"), PLANNED: _tr("planned")}
    found = re.fullmatch(r"(.*?)( \d+)?", name)
    assert found is not None
    own, number = found.groups()
    return f"{given[own]}{number or ''}" if own in given else name


def undo_text(name: str, facts: Facts) -> str:
    """What taking an action back is called: "undo move of 1047"."""
    return _tr("undo {action}").format(action=action_text(name, facts))


def redo_text(name: str, facts: Facts) -> str:
    """What bringing an action back is called."""
    return _tr("redo {action}").format(action=action_text(name, facts))


def action_text(name: str, facts: Facts) -> str:
    """An action as a noun: "move of 1047"."""
    words = _words()
    if name == "edit_jobs":
        return _edit_text(facts)
    if name == "not_before" and facts.get("moment") is None:
        name = "not_before_lifted"
    told = {key: _told(key, value) for key, value in facts.items()}
    return words[name].format(**told) if name in words else name.replace("_", " ")


def _words() -> dict[str, str]:
    return {
        "move_pass": _tr("move of {pass}"),
        "pin": _tr("pin of {pass} to place {place}"),
        "unpin": _tr("unpinning of {pass}"),
        "keep_together": _tr("keeping {passes} together"),
        "part_passes": _tr("parting of {passes}"),
        "run_after": _tr("running {later} after {earlier}"),
        "run_freely": _tr("running {later} freely of {earlier}"),
        "not_before": _tr("earliest start of {pass}"),
        "not_before_lifted": _tr("lifting of the earliest start of {pass}"),
        "import_jobs": _tr("reading of {source}"),
        "put_demo": _tr("the demo day"),
        "start_own_day": _tr("start of an own day"),
        "to_tomorrow": _tr("move of job {job} to {to}"),
        "set_start": _tr("change of how the press starts"),
        "new_order": _tr("new order “{order}”"),
        "rename_order": _tr("renaming of “{before}” to “{order}”"),
        "drop_order": _tr("dropping of order “{order}”"),
        "take_planned": _tr("planned order “{order}”"),
        "release": _tr("release {number}"),
    }


def _edit_text(facts: Facts) -> str:
    groups = {key: facts.get(key, []) for key in ("changed", "added", "removed")}
    used = [key for key, jobs in groups.items() if jobs]
    jobs = names([job for key in used for job in groups[key]], _tr("{count} jobs"))
    if used == ["added"]:
        return _tr("adding of {jobs}").format(jobs=jobs)
    if used == ["removed"]:
        return _tr("removal of {jobs}").format(jobs=jobs)
    return _tr("change of {jobs}").format(jobs=jobs)


def names(of: Sequence[str], counted: str) -> str:
    """A few names in a row, or how many there are."""
    return ", ".join(of) if len(of) <= _MOST_NAMES else counted.format(count=len(of))


def left_out_text(left_out: Mapping[JobId, str]) -> str:
    """Which jobs are not in the plan, and why the first is not; empty when all are."""
    if not left_out:
        return ""
    jobs = names(sorted(left_out), _tr("{count} jobs"))
    reason = left_out[min(left_out)]
    return _tr("Not in the plan: {jobs}. {reason}.").format(jobs=jobs, reason=reason[:1].upper() + reason[1:])


def menu_text(text: str) -> str:
    """An action's name as a menu has it: "&Undo move of 1047"."""
    return "&" + text[:1].upper() + text[1:].replace("&", "&&")


def _told(key: str, value: object) -> str:
    if isinstance(value, list):
        return names(list(map(str, value)), _tr("{count} passes"))
    if key in ("order", "before"):
        return order_name(str(value))
    return f"{date.fromisoformat(str(value)):%d.%m.}" if key == "to" else str(value)


def refusal_text(refusal: Refusal) -> str:
    """Why a command was refused, as a sentence that says what is in the way."""
    passes = names(list(refusal.passes), _tr("{count} passes"))
    first, last = (refusal.passes[0], refusal.passes[-1]) if refusal.passes else ("", "")
    text = _refusals()[refusal.why]
    facts = {key: _told(key, value) for key, value in refusal.facts.items()}
    if "rules" in facts:
        facts["rules"] = "; ".join(refusal.facts["rules"])
    detail = (record_text(refusal.error) or str(refusal.error)) if refusal.error is not None else ""
    blanks = {"jobs": passes, "order": "", "place": ""}
    return text.format(**{**blanks, **facts, "passes": passes, "first": first, "last": last, "detail": detail})


def _refusals() -> dict[Why, str]:
    return {
        Why.PIN: _tr("{first} is pinned to place {place}. Unpin it first."),
        Why.TOGETHER: _tr("{passes} are kept together. Part them first."),
        Why.TURN: _tr("{last} runs after {first}."),
        Why.FIRST_SIDE: _tr("{last} backs up {first}: a second side comes after its first."),
        Why.CONTRADICTION: _tr("That contradicts what is fixed already: {rules}."),
        Why.NO_PLAN: _tr("No working day holds it: {detail}."),
        Why.NOT_PRINTABLE: _tr("The press cannot run it: {detail}."),
        Why.NO_SUCH_PASS: _tr("{passes}: no such pass on this day."),
        Why.NO_SUCH_JOB: _tr("{jobs}: no such job on this day."),
        Why.NO_SUCH_ORDER: _tr("There is no order “{order}”."),
        Why.DAY_TAKEN: _tr("That day has jobs of your own already."),
        Why.NAME_TAKEN: _tr("{jobs}{order} is there already. Give another name."),
        Why.NAME_WRONG: _tr("“{order}” cannot be a name. Write 1 to 200 letters."),
        Why.ORDER_FIXED: _tr("The order as received follows the jobs. Make a new order of it."),
        Why.OTHER_PASSES: _tr("The jobs have changed while planning ran. Plan again."),
        Why.CHANGED_MEANWHILE: _tr("Somebody else has changed it meanwhile. It is shown as it stands now."),
        Why.NOT_WRITTEN: _tr("Nothing was written. {detail}"),
        Why.NOTHING_LEFT: _tr("There is nothing left to take back or bring back."),
    }
