"""Whether a record is what was written: the database's own check, and the checksums of its rows and events."""

from __future__ import annotations

from sqlalchemy import inspect, select, text
from sqlalchemy.orm import Session

from queueplanner.record.connection import Database
from queueplanner.record.events import first_broken
from queueplanner.record.tables import SCHEMA_TABLE, SEALED, MetaRow, Sealed

#: The row of `meta` that tells which version of the program made or last migrated the record.
PROGRAM = "program"


def first_fault_of_structure(database: Database) -> str | None:
    """What SQLite's own check of the file says first; None if it is sound, or on a server, which checks itself."""
    if not database.is_sqlite:
        return None
    with database.reading() as session:
        found = session.scalar(text("PRAGMA integrity_check(1)"))
        if found != "ok":
            return f"the database's own check says: {found}"
        pointless = session.execute(text("PRAGMA foreign_key_check")).first()
        return None if pointless is None else f"{pointless[0]}: a row points at one that is not there"


def first_fault_of_content(database: Database) -> str | None:
    """The first row that does not fit its checksum, or the first break in the chain of events; None if all hold."""
    with database.reading() as session:
        for model in SEALED:
            fault = _first_unsealed(session, model)
            if fault is not None:
                return fault
        broken = first_broken(session, str(database.place))
        return None if broken is None else str(broken)


def schema_of(database: Database) -> tuple[str | None, str]:
    """The record's schema (None: there are no tables at all) and the version of the program that made it so.

    The schema is empty for a database that is no record.
    """
    with database.reading() as session:
        tables = set(inspect(session.connection()).get_table_names())
        if not tables:
            return None, ""
        if not {MetaRow.__tablename__, SCHEMA_TABLE.name} <= tables:
            return "", ""
        program = session.scalar(select(MetaRow.value).where(MetaRow.name == PROGRAM))
        return session.scalar(select(SCHEMA_TABLE.c.version_num)) or "", program or ""


def _first_unsealed(session: Session, model: type[Sealed]) -> str | None:
    for row in session.execute(select(model).execution_options(yield_per=1000)).scalars():
        if not row.is_sound:
            return f"{row.label}: its content does not fit its checksum"
    return None
