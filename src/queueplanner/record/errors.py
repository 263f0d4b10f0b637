"""What the record can refuse, as types with the facts in fields.

    RecordError
    ├── Conflict           somebody else has changed a row meanwhile; nothing was written
    ├── EventClash         an event's own id is known already, with another content
    ├── CannotWrite        disk full, read-only and the like; nothing was half written
    ├── Busy               somebody else held the record longer than the waiting time
    ├── Damaged            the file, or one row of it, is not what was written
    ├── NotARecord         a sound file, but not one of this program
    ├── NewerRecord        written by a later version of the program
    ├── NotUpgraded        the migration of an older record failed; the record is as it was
    ├── UnsafeConnection   a setting that keeps commits safe did not take
    └── NoBackup           a backup that is asked for is not there or is not sound

No message and no field holds a password: a place with one is shown with the password hidden.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from queueplanner.record.row import Body, Row
from queueplanner.shop.errors import QueueplannerError


class RecordError(QueueplannerError):
    """The root of the record's errors."""


@dataclass(frozen=True, slots=True)
class Clash:
    """One row that is not as it was read.

    `expected` and `found` are versions (0: never there); `theirs` is what stands there now, `ours` what was to be
    written (None: taken away, or only read); `station` and `action` tell who wrote what stands there, where known.
    """

    row: Row
    expected: int
    found: int
    theirs: Body | None
    ours: Body | None
    station: str | None
    action: int | None


class Conflict(RecordError):
    """Rows that somebody else has changed meanwhile. Nothing was written; `clashes` tells both versions of each."""

    def __init__(self, action: str, clashes: Sequence[Clash]) -> None:
        self.action, self.clashes = action, tuple(clashes)
        rows = ", ".join(str(c.row) for c in self.clashes)
        super().__init__(f"{action}: changed meanwhile: {rows}")


class EventClash(RecordError):
    """An event that was handed in before under the same own id, with another content. Nothing was stored."""

    def __init__(self, own_id: str, seq: int) -> None:
        self.own_id, self.seq = own_id, seq
        super().__init__(f"event {own_id} is stored already as number {seq}, with another content")


class Hindrance(StrEnum):
    """Why the record could not be written."""

    DISK_FULL = "disk full"
    READ_ONLY = "read only"
    NO_ACCESS = "no access"
    WRITE_ERROR = "write error"
    FILE_REPLACED = "file replaced"
    SERVER_AWAY = "server away"


class CannotWrite(RecordError):
    """The record cannot be written: `place`, the `reason`, and the system's own word in `detail`.

    What was begun is taken back whole; once the hindrance is gone the same record can be used on. After WRITE_ERROR or
    SERVER_AWAY in the very last step of a commit nobody knows whether it holds: all of it or nothing. Trying again does
    no harm then: an act meets its own version as a Conflict, an event is known by its own id.
    """

    def __init__(self, place: str, reason: Hindrance, detail: str) -> None:
        self.place, self.reason, self.detail = place, reason, detail
        super().__init__(f"{place}: {reason}: {detail}")


class Busy(RecordError):
    """Somebody else held the record for longer than `waited_s` seconds. Nothing was written; trying again may do."""

    def __init__(self, place: str, waited_s: float) -> None:
        self.place, self.waited_s = place, waited_s
        super().__init__(f"{place}: still in use by another after {waited_s:g} s")


class Damaged(RecordError):
    """A record that is not what was written: `place`, `what` failed, and the newest backup that is whole, if any."""

    def __init__(self, place: str, what: str, newest_good_backup: Path | None = None) -> None:
        self.place, self.what, self.newest_good_backup = place, what, newest_good_backup
        super().__init__(f"{place}: damaged: {what}")


class NotARecord(RecordError):
    """A sound database, but not a record of this program; it was left as it is."""

    def __init__(self, place: str) -> None:
        self.place = place
        super().__init__(f"{place}: not a record of this program")


class NewerRecord(RecordError):
    """A record of a schema this program does not know; it was left as it is.

    `found` is the record's schema, `known` the newest this program knows, `program` the version that last wrote it.
    """

    def __init__(self, place: str, found: str, known: str, program: str) -> None:
        self.place, self.found, self.known, self.program = place, found, known, program
        super().__init__(f"{place}: schema {found} of version {program}; this program knows schemas up to {known}")


class NotUpgraded(RecordError):
    """A migration that failed: the schemas it was to go `old` to `new`, and why. The record is as it was."""

    def __init__(self, place: str, old: str, new: str, detail: str) -> None:
        self.place, self.old, self.new, self.detail = place, old, new, detail
        super().__init__(f"{place}: not upgraded from schema {old} to {new}: {detail}")


class UnsafeConnection(RecordError):
    """A connection whose `setting` reads back as `found` where `wanted` was set; it was refused."""

    def __init__(self, place: str, setting: str, wanted: object, found: object) -> None:
        self.place, self.setting, self.wanted, self.found = place, setting, wanted, found
        super().__init__(f"{place}: {setting} is {found}, wanted {wanted}")


class NoBackup(RecordError):
    """A backup that is not there or is not sound: which, and what is wrong with it."""

    def __init__(self, backup: Path, what: str) -> None:
        self.backup, self.what = backup, what
        super().__init__(f"{backup}: {what}")
