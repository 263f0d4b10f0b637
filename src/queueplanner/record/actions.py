"""Actions of users: what each changed, by whom and when, and whether it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from queueplanner.record.canonical import body_of_text, canonical
from queueplanner.record.row import Body, Row, Table
from queueplanner.record.tables import ActionRow


class Standing(StrEnum):
    """Whether an action stands.

    UNDONE can be redone. BURIED can neither be undone nor redone any more: the station went on after its undo, or gave
    the undo up. FIXED is outside undo: an undo or redo itself, or an action that changed no row.
    """

    STANDS = "stands"
    UNDONE = "undone"
    BURIED = "buried"
    FIXED = "fixed"


@dataclass(frozen=True, slots=True)
class Change:
    """One row before and after an action: bodies (None: not there) and versions.

    `stood` and `stands` are the actions that the content before and after comes from (None: never written).
    """

    row: Row
    before: Body | None
    after: Body | None
    version_before: int
    version: int
    stood: int | None
    stands: int | None


@dataclass(frozen=True, slots=True)
class Action:
    """One action: its number, name (a code, not a sentence), facts, station, role, epoch seconds, changes.

    `undoes` or `redoes` is the number of the action taken back or brought back.
    """

    id: int
    name: str
    facts: Body
    station: str
    role: str
    moment: int
    changes: tuple[Change, ...]
    undoes: int | None
    redoes: int | None
    standing: Standing

    @property
    def versions(self) -> Mapping[Row, int]:
        """The version of each changed row after the action."""
        return {c.row: c.version for c in self.changes}


def changes_text(changes: tuple[Change, ...]) -> str:
    """Changes as they are kept in the action's row."""
    return canonical(
        [
            {
                "table": c.row.table,
                "key": list(c.row.key),
                "before": c.before,
                "after": c.after,
                "version_before": c.version_before,
                "version": c.version,
                "stood": c.stood,
                "stands": c.stands,
            }
            for c in changes
        ]
    )


def action_of(row: ActionRow) -> Action:
    """The action of a row of the table. Raises ValueError if the row is not what was written."""
    if not row.is_sound:
        raise ValueError("its content does not fit its checksum")
    kept = body_of_text(f'{{"changes":{row.changes}}}') or {}
    changes = tuple(
        Change(
            row=Row(Table(c["table"]), tuple(c["key"])),
            **{name: value for name, value in c.items() if name not in ("table", "key")},
        )
        for c in kept["changes"]
    )
    return Action(
        row.id,
        row.name,
        body_of_text(row.facts) or {},
        row.station,
        row.role,
        row.moment,
        changes,
        row.undoes,
        row.redoes,
        Standing(row.standing),
    )
