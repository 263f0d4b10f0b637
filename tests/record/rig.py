"""What the record's tests share: a clock that is told the time, records in a folder of their own, short actions."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from queueplanner.record.actions import Action
from queueplanner.record.events import PressEvent
from queueplanner.record.record import Record
from queueplanner.record.row import Body, Row
from queueplanner.shop.job import epoch

START = datetime(2026, 3, 2, 8, tzinfo=UTC)
JOB = Row.job("1047")
OTHER_JOB = Row.job("1053")
#: The ordinary user of most systems, for tests that run as the one whom no permission stops.
NOBODY = 65534


class ToldClock:
    """A clock that stands still until it is told to go on."""

    def __init__(self, now: datetime = START) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def go_on(self, **span: float) -> None:
        self.now += timedelta(**span)


def open_record(folder: Path, clock: ToldClock | None = None, **more: object) -> Record:
    """The record of a folder, made if it is not there."""
    return Record.open(folder / "record.sqlite", clock=clock or ToldClock(), **more)  # type: ignore[arg-type]


def set_row(record: Record, row: Row, body: Body | None, station: str = "desk") -> Action:
    """Give a row another body, at the version it stands at."""
    version = record.get(row).version
    return record.act("change", {}, {row: body}, station=station, expected_versions={row: version})


@contextmanager
def as_ordinary_user(folder: Path) -> Iterator[None]:
    """Do what is inside as a user whom permissions stop; the way to the folder is opened for that user meanwhile."""
    if os.geteuid() != 0:
        yield
        return
    modes = {each: stat.S_IMODE(each.stat().st_mode) for each in (folder, *folder.parents)}
    closed = {each: mode for each, mode in modes.items() if not mode & stat.S_IXOTH}
    for each, mode in closed.items():
        each.chmod(mode | stat.S_IXGRP | stat.S_IXOTH)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        for each, mode in closed.items():
            each.chmod(mode)


def event(number: int, press: str = "small", **body: object) -> PressEvent:
    """The press event of a number, with a body of its own; the same number gives the same event."""
    own_id = str(UUID(int=number))
    return PressEvent(own_id, press, epoch(START) + 60 * number, "sheets", {"count": number, **body}, "press side")


def swap_bytes(path: Path, old: bytes, new: bytes) -> None:
    """Put other bytes in the place of some that stand in a file once, as a failing disk would."""
    content = path.read_bytes()
    assert (content.count(old), len(old)) == (1, len(new))
    path.write_bytes(content.replace(old, new))
