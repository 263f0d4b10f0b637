"""The schema: the tables are what the steps make; older records are brought along, newer ones refused, none harmed."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from pathlib import Path

import pytest
from sqlalchemy import Connection, inspect
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateTable

from queueplanner import __version__
from queueplanner.record.connection import Database
from queueplanner.record.errors import NewerRecord, NotUpgraded
from queueplanner.record.places import place_of
from queueplanner.record.record import Record
from queueplanner.record.schema import OWN_SCHEMA, Schema
from queueplanner.record.tables import SCHEMA, Base
from queueplanner.record.upgrade import configuration
from tests.record.rig import JOB, ToldClock, event, open_record, set_row

HERE = Path(__file__).resolve().parent
LATER = Schema(("0001", "0002"), (*OWN_SCHEMA.steps, HERE / "later_steps"))
FAILING = Schema(("0001", "0002"), (*OWN_SCHEMA.steps, HERE / "failing_steps"))


def shape(connection: Connection) -> Mapping[str, object]:
    """Everything that can be read of the tables: columns, keys, checks, indexes."""
    seen = inspect(connection)
    return {
        table: (
            [(c["name"], str(c["type"]), c["nullable"], c["default"]) for c in seen.get_columns(table)],
            seen.get_pk_constraint(table),
            sorted(
                (f["name"] or "", f["referred_table"], f["constrained_columns"]) for f in seen.get_foreign_keys(table)
            ),
            sorted((u["name"] or "", u["column_names"]) for u in seen.get_unique_constraints(table)),
            sorted((c["name"] or "", c["sqltext"]) for c in seen.get_check_constraints(table)),
            sorted((i["name"] or "", i["column_names"], i["unique"]) for i in seen.get_indexes(table)),
        )
        for table in sorted(seen.get_table_names())
    }


def test_the_tables_are_what_the_steps_make(tmp_path: Path) -> None:
    from alembic import command
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    stepped = Database(place_of(tmp_path / "stepped.sqlite"))
    with stepped.creating() as session:
        command.upgrade(configuration(OWN_SCHEMA, session.connection()), "head")
        assert compare_metadata(MigrationContext.configure(session.connection()), Base.metadata) == []
        by_steps = shape(session.connection())
    stepped.close()
    with open_record(tmp_path) as record, record.database.reading() as session:
        at_once = shape(session.connection())
    assert {t: _sorted_columns(s) for t, s in at_once.items()} == {t: _sorted_columns(s) for t, s in by_steps.items()}
    assert set(at_once) == {*Base.metadata.tables, "alembic_version"}


def _sorted_columns(table: object) -> tuple[object, ...]:
    columns, *rest = table  # type: ignore[misc]
    return (sorted(columns, key=str), *rest)


def test_every_step_is_known_and_the_last_is_that_of_the_tables(tmp_path: Path) -> None:
    from alembic.script import ScriptDirectory

    with open_record(tmp_path) as record, record.database.reading() as session:
        steps = ScriptDirectory.from_config(configuration(OWN_SCHEMA, session.connection()))
    assert tuple(step.revision for step in steps.walk_revisions())[::-1] == OWN_SCHEMA.known
    assert steps.get_current_head() == SCHEMA


def test_the_tables_can_be_made_on_a_server() -> None:
    for table in Base.metadata.sorted_tables:
        assert "CREATE TABLE" in str(CreateTable(table).compile(dialect=postgresql.dialect()))


def filled(folder: Path) -> tuple[object, ...]:
    """Put something into a record; all that can be read of it."""
    with open_record(folder) as record:
        set_row(record, JOB, {"title": "Menu"})
        record.add_events([event(1), event(2)])
        return content(record)


def content(record: Record) -> tuple[object, ...]:
    return record.id, record.changes_since(0), record.events(), record.get(JOB)


def test_an_older_record_is_backed_up_and_brought_along_whole(tmp_path: Path) -> None:
    before = filled(tmp_path)
    with sqlite3.connect(tmp_path / "record.sqlite") as old:
        old.execute("update meta set value = '0.0.9' where name = 'program'")
    old.close()
    with open_record(tmp_path, schema=LATER) as record:
        assert content(record) == before
        assert record.backups is not None
        (backup,) = record.backups.all()
        assert facts_of(tmp_path / "record.sqlite") == ("0002", __version__, True)
        set_row(record, JOB, {"title": "Menu again"})
    assert facts_of(backup.path) == ("0001", "0.0.9", False)
    with Record.open(backup.path, clock=ToldClock()) as kept:
        assert content(kept) == before


def facts_of(path: Path) -> tuple[str, str, bool]:
    """Schema, program, and whether the later table is there."""
    found = sqlite3.connect(path)
    schema = found.execute("select version_num from alembic_version").fetchone()[0]
    program = found.execute("select value from meta where name = 'program'").fetchone()[0]
    proofs = found.execute("select count(*) from sqlite_master where name = 'proofs'").fetchone()[0]
    found.close()
    return schema, program, proofs == 1


def test_a_record_that_is_brought_along_twice_is_brought_along_once(tmp_path: Path) -> None:
    before = filled(tmp_path)
    for _ in range(2):
        with open_record(tmp_path, schema=LATER) as record:
            assert content(record) == before
            assert record.backups is not None
            assert len(record.backups.all()) == 1


def test_a_step_that_fails_leaves_the_record_as_it_was(tmp_path: Path) -> None:
    before = filled(tmp_path)
    with pytest.raises(NotUpgraded) as refused:
        open_record(tmp_path, schema=FAILING)
    assert (refused.value.old, refused.value.new) == ("0001", "0002")
    assert "no_such_table" in refused.value.detail
    assert facts_of(tmp_path / "record.sqlite") == ("0001", __version__, False)
    with open_record(tmp_path) as record:
        assert content(record) == before


def test_a_newer_record_is_refused_and_left_byte_for_byte(tmp_path: Path) -> None:
    filled(tmp_path)
    open_record(tmp_path, schema=LATER).close()
    with sqlite3.connect(tmp_path / "record.sqlite") as later:
        later.execute("update meta set value = '9.1.0' where name = 'program'")
    later.close()
    before = (tmp_path / "record.sqlite").read_bytes()
    with pytest.raises(NewerRecord) as refused:
        open_record(tmp_path)
    assert (refused.value.found, refused.value.known, refused.value.program) == ("0002", "0001", "9.1.0")
    assert (tmp_path / "record.sqlite").read_bytes() == before


@pytest.mark.parametrize("schema", OWN_SCHEMA.known)
def test_a_record_of_every_schema_there_has_been_still_opens_whole(tmp_path: Path, schema: str) -> None:
    sample = sqlite3.connect(tmp_path / "record.sqlite")
    sample.executescript((HERE / "data" / f"record_{schema}.sql").read_text(encoding="utf-8"))
    sample.close()
    with open_record(tmp_path) as record:
        assert record.id == "5f0d4c1e-3b0a-4b5e-9a55-0d6a3e8c2b11"
        assert record.get(JOB).body == {"title": "Menu for the harbour feast"}
        assert [e.event for e in record.events()] == [event(1), event(2)]
        assert (record.undo_name("desk"), record.redo_name("desk")) == ("change", "change")
        assert record.verify_events() is None
