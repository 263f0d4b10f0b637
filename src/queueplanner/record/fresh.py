"""A fresh record: made in one transaction from the tables themselves, and noted as migrated to their schema."""

from __future__ import annotations

import os
from pathlib import Path
from uuid import uuid4

from sqlalchemy import insert
from sqlalchemy.orm import Session

from queueplanner import __version__
from queueplanner.record.canonical import canonical
from queueplanner.record.checking import PROGRAM
from queueplanner.record.connection import LOCK, Database
from queueplanner.record.events import EVENTS_END, NO_CHECKSUM
from queueplanner.record.faults import told_plainly
from queueplanner.record.files import COMPANIONS, make_folder, make_private, put_if_absent
from queueplanner.record.places import place_of
from queueplanner.record.tables import SCHEMA, SCHEMA_TABLE, Base, MetaRow

#: The row of `meta` that holds the record's own id, a UUID.
RECORD_ID = "record_id"


def make_file(path: Path, wait_s: float) -> None:
    """Make a fresh record in a file, whole or not at all; one that another has made meanwhile stays.

    Raises CannotWrite.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    with told_plainly(str(path), wait_s):
        make_folder(path.parent)
        part.unlink(missing_ok=True)
        try:
            _make_part(part, wait_s)
            put_if_absent(part, path)
        finally:
            for leftover in (part, *(part.with_name(part.name + companion) for companion in COMPANIONS)):
                leftover.unlink(missing_ok=True)


def _make_part(part: Path, wait_s: float) -> None:
    make_private(part)
    database = Database(place_of(part), wait_s)
    try:
        with database.creating() as session:
            make_tables(session)
    finally:
        database.close()


def make_tables(session: Session) -> None:
    """Make every table of the present schema, and the facts of the record."""
    connection = session.connection()
    Base.metadata.create_all(connection)
    SCHEMA_TABLE.create(connection)
    session.execute(insert(SCHEMA_TABLE).values(version_num=SCHEMA))
    facts = {
        RECORD_ID: str(uuid4()),
        PROGRAM: __version__,
        EVENTS_END: canonical([0, NO_CHECKSUM]),
        LOCK: "",
    }
    session.add_all(MetaRow(name=name, value=value) for name, value in facts.items())
    session.flush()
