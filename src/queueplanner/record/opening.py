"""Opening a record: made if it is not there, checked, and brought to the present schema."""

from __future__ import annotations

from queueplanner.record.backups import Backups, finish_restore
from queueplanner.record.checking import first_fault_of_content, first_fault_of_structure, schema_of
from queueplanner.record.connection import Database
from queueplanner.record.errors import Damaged, NewerRecord, NotARecord
from queueplanner.record.faults import told_plainly
from queueplanner.record.fresh import make_file, make_tables
from queueplanner.record.places import RecordPlace
from queueplanner.record.schema import Schema
from queueplanner.record.upgrade import upgrade

#: SQLite takes a file shorter than its smallest page for an empty database, bytes.
SHORTEST = 512


def open_database(place: RecordPlace, backups: Backups | None, schema: Schema, wait_s: float, check: bool) -> Database:
    """A database that is known to be sound and of the present schema.

    `check` goes through every row's checksum too; the structure of a file is always checked. Raises Damaged,
    NotARecord, NewerRecord, NotUpgraded, CannotWrite, Busy, UnsafeConnection.
    """
    if place.path is not None:
        _prepare_file(place, backups, wait_s)
    database = Database(place, wait_s)
    if backups is not None:
        database.backup_to_offer = backups.newest_good
    try:
        _refuse(database, first_fault_of_structure(database))
        _bring_to_present(database, backups, schema)
        if check:
            _refuse(database, first_fault_of_content(database))
    except BaseException:
        database.close()
        raise
    return database


def _prepare_file(place: RecordPlace, backups: Backups | None, wait_s: float) -> None:
    path = place.path
    assert path is not None
    with told_plainly(str(place), wait_s):
        finish_restore(path)
        if not path.exists():
            make_file(path, wait_s)
        elif path.is_file() and path.stat().st_size < SHORTEST:
            what = "the file is empty or cut short"
            raise Damaged(str(place), what, None if backups is None else backups.newest_good())


def _bring_to_present(database: Database, backups: Backups | None, schema: Schema) -> None:
    place = str(database.place)
    found, program = schema_of(database)
    if found is None and not database.is_sqlite:
        with database.creating() as session:
            make_tables(session)
        found, program = schema_of(database)
    if not found:
        raise NotARecord(place)
    if found not in schema.known:
        raise NewerRecord(place, found, schema.head, program)
    if found != schema.head:
        if backups is not None:
            backups.make()
        upgrade(database.place, found, schema, database.wait_s)


def _refuse(database: Database, fault: str | None) -> None:
    if fault is not None:
        raise Damaged(str(database.place), fault, database.backup_to_offer())
