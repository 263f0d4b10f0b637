"""Connections to the record: settings that keep commits safe, set and read back on every one, and transactions.

A SQLite file is kept with a rollback journal. Write-ahead logging is not used: SQLite before 3.51.3 can lose commits
when a log is reset at the wrong moment (sqlite.org/wal.html), and a log cannot be shared over a network drive.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, select
from sqlalchemy.orm import Session

from queueplanner.record.errors import CannotWrite, Damaged, Hindrance, UnsafeConnection
from queueplanner.record.faults import told_plainly
from queueplanner.record.places import RecordPlace
from queueplanner.record.tables import MetaRow

#: How long a connection waits for another that writes, seconds.
WAIT_S = 5.0

#: The row of `meta` that writers lock.
LOCK = "lock"

#: Settings of every SQLite connection, and what each must read back as.
SETTINGS: tuple[tuple[str, str | int, str | int], ...] = (
    ("journal_mode", "TRUNCATE", "truncate"),
    ("synchronous", "EXTRA", 3),
    ("foreign_keys", "ON", 1),
)


class Database:
    """A place, and the connections to it."""

    def __init__(self, place: RecordPlace, wait_s: float = WAIT_S, *, foreign_keys: bool = True) -> None:
        self.place, self.wait_s = place, wait_s
        #: The newest good backup, to be named when damage is met.
        self.backup_to_offer: Callable[[], Path | None] = lambda: None
        self.is_sqlite = place.path is not None
        self.engine = self._sqlite_engine(foreign_keys) if self.is_sqlite else self._server_engine()

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """One transaction that only looks: all in it is of one moment."""
        with self._transaction(
            {"begin": "BEGIN"} if self.is_sqlite else {"isolation_level": "REPEATABLE READ"}
        ) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """One transaction that may write, alone from its first word on: all of it or, after an error, nothing."""
        with self._transaction({"begin": "BEGIN IMMEDIATE"}) as session:
            # The first word takes the lock on SQLite; on a server this row is the lock: writers come one by one, so
            # that numbers of actions and events rise without a gap in the order in which others see them.
            session.execute(select(MetaRow.value).where(MetaRow.name == LOCK).with_for_update())
            yield session

    @contextmanager
    def creating(self) -> Iterator[Session]:
        """A transaction in a database that has no tables yet."""
        with self._transaction({"begin": "BEGIN IMMEDIATE"}) as session:
            yield session

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()

    @contextmanager
    def _transaction(self, options: Mapping[str, Any]) -> Iterator[Session]:
        engine = self.engine.execution_options(**options)
        try:
            with (
                told_plainly(str(self.place), self.wait_s),
                Session(engine, expire_on_commit=False) as session,
                session.begin(),
            ):
                yield session
        except CannotWrite as error:
            if error.reason in (Hindrance.WRITE_ERROR, Hindrance.FILE_REPLACED, Hindrance.SERVER_AWAY):
                # What such a connection believes of the file cannot be trusted; the next one looks afresh.
                self.engine.dispose()
            raise
        except Damaged as error:
            if error.newest_good_backup is not None:
                raise
            raise Damaged(error.place, error.what, self.backup_to_offer()) from error

    def _sqlite_engine(self, foreign_keys: bool) -> Engine:
        engine = create_engine(self.place.url, connect_args={"timeout": self.wait_s})

        @event.listens_for(engine, "connect")
        def prepare(connection: sqlite3.Connection, _: Any) -> None:
            connection.isolation_level = None  # transactions begin where `begin` below says, not by guess
            try:
                set_safely(connection, str(self.place), self.wait_s, foreign_keys=foreign_keys)
            except BaseException:
                connection.close()
                raise

        @event.listens_for(engine, "begin")
        def begin(connection: Connection) -> None:
            connection.exec_driver_sql(connection.get_execution_options().get("begin", "BEGIN"))

        return engine

    def _server_engine(self) -> Engine:
        options = {"connect_timeout": str(int(self.wait_s)), "options": f"-c lock_timeout={int(self.wait_s * 1000)}"}
        return create_engine(self.place.url, connect_args=options, isolation_level="READ COMMITTED", pool_pre_ping=True)


def set_safely(connection: sqlite3.Connection, place: str, wait_s: float, *, foreign_keys: bool = True) -> None:
    """Set what keeps commits safe and read it back. Raises UnsafeConnection if a setting did not take."""
    wait_ms = int(wait_s * 1000)
    for name, value, wanted in (("busy_timeout", wait_ms, wait_ms), *SETTINGS):
        if name == "foreign_keys" and not foreign_keys:
            value, wanted = "OFF", 0
        connection.execute(f"PRAGMA {name} = {value}").fetchall()
        found = connection.execute(f"PRAGMA {name}").fetchone()
        if found is None or found[0] != wanted:
            raise UnsafeConnection(place, name, wanted, None if found is None else found[0])
