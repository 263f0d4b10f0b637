"""Reading and writing versioned rows inside a transaction."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from queueplanner.record.canonical import body_of_text, text_of
from queueplanner.record.errors import Damaged
from queueplanner.record.row import KEY_PARTS, NEVER, Body, Row, Stored, Table
from queueplanner.record.tables import VERSIONED, LearnedRow, Versioned


def find(session: Session, row: Row, place: str) -> Versioned | None:
    """The row as the table holds it; None if it was never there. Raises Damaged if it is not what was written."""
    if row.table is Table.LEARNED:
        newest = select(LearnedRow).where(LearnedRow.key == row.key[0]).order_by(LearnedRow.version.desc()).limit(1)
        found: Versioned | None = session.scalars(newest).first()
    else:
        found = session.get(VERSIONED[row.table], row.key)
    return None if found is None else sound(found, place)


def write(session: Session, row: Row, found: Versioned | None, body: Body | None, written_by: int | None) -> Versioned:
    """Put a body into a row, one version on from what was found there; a learned figure's old version stays."""
    model = VERSIONED[row.table]
    target = found
    if target is None or row.table is Table.LEARNED:
        target = model(**dict(zip(KEY_PARTS[row.table], row.key, strict=True)))
        session.add(target)
    target.version = (0 if found is None else found.version) + 1
    target.body, target.written_by = text_of(body), written_by
    target.seal = target.reckoned_seal()
    return target


def stored(found: Versioned | None) -> Stored:
    """Body and version of a row, or that it was never there."""
    return NEVER if found is None else Stored(body_of_text(found.body), found.version)


def all_of(session: Session, table: Table, prefix: Sequence[str], place: str) -> dict[Row, Stored]:
    """Every row of a table that is there now and whose key begins with the prefix, by key."""
    model, parts = VERSIONED[table], KEY_PARTS[table]
    columns = [getattr(model, part) for part in parts]
    query = select(model)
    for column, value in zip(columns, prefix, strict=False):
        query = query.where(column == value)
    if table is Table.LEARNED:
        query = query.order_by(LearnedRow.version)
    # Of a learned figure's versions, which come in order, the last holds.
    found = {address(table, sound(r, place)): stored(r) for r in session.scalars(query)}
    return {row: found[row] for row in sorted(found) if found[row].body is not None}


def history(session: Session, key: str, place: str) -> list[Stored]:
    """Every version of a learned figure, oldest first."""
    query = select(LearnedRow).where(LearnedRow.key == key).order_by(LearnedRow.version)
    return [stored(sound(r, place)) for r in session.scalars(query)]


def address(table: Table, found: Versioned) -> Row:
    """Where a row of a table stands."""
    return Row(table, tuple(getattr(found, part) for part in KEY_PARTS[table]))


def sound(found: Versioned, place: str) -> Versioned:
    """The same row. Raises Damaged if its content does not fit its checksum."""
    if not found.is_sound:
        raise Damaged(place, f"{found.label}: its content does not fit its checksum")
    return found
