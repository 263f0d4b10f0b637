"""Backups of a record in a file: made while it is in use, checked, thinned out, and put back."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

from queueplanner.record.checking import first_fault_of_content, first_fault_of_structure, schema_of
from queueplanner.record.connection import WAIT_S, Database, set_safely
from queueplanner.record.errors import Damaged, NoBackup, RecordError
from queueplanner.record.faults import told_plainly
from queueplanner.record.files import COMPANIONS, make_folder, make_private, replace, sync
from queueplanner.record.places import place_of
from queueplanner.record.schema import OWN_SCHEMA, Schema

Clock = Callable[[], datetime]
"""Tells the moment, aware of its zone."""

_NAME = re.compile(r"^backup-(\d{6,})-(\d{8}T\d{6}Z)\.sqlite$")
_MOMENT = "%Y%m%dT%H%M%SZ"
#: A part this much older than the newest one was left by a process that died, seconds.
_LEFT_BEHIND_S = 3600


@dataclass(frozen=True, slots=True)
class Keep:
    """How many backups stay: the newest of so many hours, days and weeks. The very newest always stays."""

    hourly: int = 24
    daily: int = 30
    weekly: int = 26


KEEP = Keep()


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup: its file, its number (they rise; the order does not hang on any clock), the moment of its name."""

    path: Path
    number: int
    moment: datetime


class Backups:
    """The backups of one record, in a folder of their own."""

    def __init__(
        self, record: Path, folder: Path, clock: Clock, keep: Keep = KEEP, schema: Schema = OWN_SCHEMA
    ) -> None:
        self.record, self.folder, self.clock, self.keep, self.schema = record, folder, clock, keep, schema

    def all(self) -> list[Backup]:
        """Every backup there is, newest first. Files of other names are passed over."""
        if not self.folder.is_dir():
            return []
        found = (_backup_of(path) for path in self.folder.iterdir())
        return sorted((b for b in found if b is not None), key=lambda b: b.number, reverse=True)

    def make(self) -> Path:
        """Copy the record as it stands, check the copy, put it in place, thin out the older ones.

        Raises CannotWrite, Busy, or Damaged if the copy of a record turns out damaged; then nothing is kept or removed.
        """
        made = self._copy()
        for backup in _surplus(self.all(), self.keep):
            backup.path.unlink(missing_ok=True)
        return made

    def make_if_due(self, every_s: int = 3600) -> Path | None:
        """`make`, unless by the clock so many seconds have not passed since the newest one, forward or backward."""
        newest = next(iter(self.all()), None)
        if newest is not None and abs((self.clock() - newest.moment).total_seconds()) < every_s:
            return None
        return self.make()

    def newest_good(self) -> Path | None:
        """The newest backup that is whole and of a schema this program knows; None if there is none."""
        return next((b.path for b in self.all() if fault_of(b.path, self.schema) is None), None)

    def _copy(self) -> Path:
        with told_plainly(str(self.folder), WAIT_S):
            make_folder(self.folder)
            number = max((b.number for b in self.all()), default=0) + 1
            name = f"backup-{number:06d}-{self.clock().astimezone(UTC):{_MOMENT}}.sqlite"
            part = self.folder / f"{name}.{os.getpid()}.part"
            part.unlink(missing_ok=True)
            try:
                copy_in_use(self.record, part)
                self._sweep(part)
                if (fault := fault_of(part, self.schema)) is not None:
                    raise Damaged(str(self.record), fault, self.newest_good())
                replace(part, self.folder / name)
            finally:
                part.unlink(missing_ok=True)
        return self.folder / name

    def _sweep(self, part: Path) -> None:
        """Remove parts that processes which died have left."""
        now = part.stat().st_mtime
        for other in self.folder.glob("backup-*.part*"):
            if other.stat().st_mtime < now - _LEFT_BEHIND_S:
                other.unlink(missing_ok=True)


def copy_in_use(source: Path, target: Path) -> None:
    """A copy of a record as it stands at one moment, while others may use it; `target` must not be there yet.

    Raises the errors of sqlite3 and OSError as they come.
    """
    make_private(target)
    address = f"file:{quote(str(source))}?mode=rw"
    copied = sqlite3.connect(target)
    try:
        original = sqlite3.connect(address, uri=True, timeout=WAIT_S)
        try:
            set_safely(original, str(source), WAIT_S)
            original.backup(copied)
        finally:
            original.close()
    finally:
        copied.close()


def fault_of(backup: Path, schema: Schema = OWN_SCHEMA) -> str | None:
    """What is wrong with a backup; None if it is whole. One of an older schema is checked as far as tables go."""
    if not backup.is_file() or not backup.stat().st_size:
        return "missing or empty"
    database = Database(place_of(backup))
    try:
        fault = first_fault_of_structure(database)
        if fault is not None:
            return fault
        found, _ = schema_of(database)
        if found not in schema.known:
            return "not a record, or one of a newer schema"
        return first_fault_of_content(database) if found == schema.head else None
    except RecordError as error:
        return error.what if isinstance(error, Damaged) else str(error)
    finally:
        database.close()


def restore(backup: Path, target: Path, clock: Clock, schema: Schema = OWN_SCHEMA) -> Path | None:
    """Put a backup in a record's place; what was there is kept beside it, and its path is returned (None: nothing was).

    No station may have the record open. Raises NoBackup if the backup is not whole, CannotWrite. If it is broken off,
    the old record is still there, or opening finishes the work.
    """
    if (fault := fault_of(backup, schema)) is not None:
        raise NoBackup(backup, fault)
    with told_plainly(str(target), WAIT_S):
        make_folder(target.parent)
        aside = _keep_aside(target, clock)
        part = target.with_name(f".{target.name}.{os.getpid()}.part")
        part.unlink(missing_ok=True)
        make_private(part)
        shutil.copyfile(backup, part)
        replace(part, _ready(target))
        finish_restore(target)
    return aside


def finish_restore(target: Path) -> None:
    """Bring a restore that was broken off to its end; without one, do nothing.

    A journal of the old record must not outlive it: it would be played into the new one.
    """
    ready = _ready(target)
    if not ready.exists():
        return
    for companion in COMPANIONS:
        target.with_name(target.name + companion).unlink(missing_ok=True)
    sync(target.parent)
    replace(ready, target)


def _ready(target: Path) -> Path:
    return target.with_name(f".{target.name}.restored")


def _keep_aside(target: Path, clock: Clock) -> Path | None:
    if not target.exists():
        return None
    stem = f"{target.stem}-before-{clock().astimezone(UTC):{_MOMENT}}"
    names = (target.with_name(f"{stem}{extra}{target.suffix}") for extra in _numbers())
    aside = next(name for name in names if not name.exists())
    make_private(aside)
    shutil.copyfile(target, aside)
    sync(aside)
    for companion in COMPANIONS:
        beside = target.with_name(target.name + companion)
        if beside.exists():
            shutil.copyfile(beside, aside.with_name(aside.name + companion))
    return aside


def _numbers() -> Iterator[str]:
    yield ""
    number = 2
    while True:
        yield f"-{number}"
        number += 1


def _backup_of(path: Path) -> Backup | None:
    match = _NAME.match(path.name)
    if match is None:
        return None
    try:
        moment = datetime.strptime(match.group(2), _MOMENT).replace(tzinfo=UTC)
    except ValueError:
        return None
    return Backup(path, int(match.group(1)), moment)


def _surplus(backups: list[Backup], keep: Keep) -> list[Backup]:
    """Those, of backups newest first, that are not the newest of an hour, day or week to be kept."""
    kept = set(backups[:1])
    spans: tuple[tuple[int, Callable[[datetime], object]], ...] = (
        (keep.hourly, lambda m: (m.date(), m.hour)),
        (keep.daily, lambda m: m.date()),
        (keep.weekly, lambda m: m.isocalendar()[:2]),
    )
    for most, span_of in spans:
        newest: dict[object, Backup] = {}
        for backup in backups:
            newest.setdefault(span_of(backup.moment), backup)
        kept |= set(list(newest.values())[:most])
    return [b for b in backups if b not in kept]
