"""The record as the rest of the program sees it: read, act, undo, events, releases, looks, backups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Self

from sqlalchemy import func, select

from queueplanner.record import events, releases, rows
from queueplanner.record.acting import Acting, Actor
from queueplanner.record.actions import Action, Standing
from queueplanner.record.backups import KEEP, Backups, Clock, Keep
from queueplanner.record.checking import first_fault_of_content, first_fault_of_structure
from queueplanner.record.connection import WAIT_S, Database
from queueplanner.record.events import Broken, PressEvent, StoredEvent
from queueplanner.record.fresh import RECORD_ID
from queueplanner.record.look import FileLook
from queueplanner.record.opening import open_database
from queueplanner.record.places import default_place, place_of
from queueplanner.record.releases import Release
from queueplanner.record.row import Body, Row, Stored, Table, check_text
from queueplanner.record.schema import OWN_SCHEMA, Schema
from queueplanner.record.tables import ActionRow, EventRow, MetaRow
from queueplanner.shop.job import epoch


class Record:
    """An open record. May be used from several threads; keep it away from the one that paints.

    Whatever a method raises of RecordError, nothing of what was asked has been written (but see CannotWrite), and the
    record can be used on. A method that writes has its work safely on the disk when it returns.
    """

    def __init__(self, database: Database, backups: Backups | None, clock: Clock) -> None:
        self.database, self.backups, self.clock = database, backups, clock
        path = database.place.path
        self._look = None if path is None else FileLook(path, database.wait_s)

    @classmethod
    def open(
        cls,
        where: Path | str | None = None,
        *,
        clock: Clock,
        backup_folder: Path | None = None,
        keep: Keep = KEEP,
        schema: Schema = OWN_SCHEMA,
        wait_s: float = WAIT_S,
        check: bool = True,
    ) -> Self:
        """Open the record at a path or address, else at the user's own place; a file that is not there is made.

        An older record is backed up and migrated first. `check` goes through every row's checksum as well as the
        file's structure. `clock` tells the moment, aware of its zone; `wait_s` is how long to wait for others.
        Raises ValueError for an address that cannot be read, Damaged, NotARecord, NewerRecord, NotUpgraded,
        CannotWrite, Busy, UnsafeConnection.
        """
        place = default_place() if where is None else place_of(where)
        folder = backup_folder or place.backup_folder
        kept_apart = place.path is not None and folder is not None
        backups = Backups(place.path, folder, clock, keep, schema) if kept_apart else None  # type: ignore[arg-type]
        return cls(open_database(place, backups, schema, wait_s, check), backups, clock)

    def close(self) -> None:
        """Close every connection; the record must not be used after."""
        if self._look is not None:
            self._look.close()
        self.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def place(self) -> str:
        """Where the record is, to be shown: a path, or an address without its password."""
        return str(self.database.place)

    @property
    def id(self) -> str:
        """The record's own id, a UUID; a restored backup has the same."""
        with self.database.reading() as session:
            return session.scalar(select(MetaRow.value).where(MetaRow.name == RECORD_ID)) or ""

    def first_fault(self) -> str | None:
        """Go through the file's structure and every row and event; what is wrong first, None if all is as written.

        For a record that was opened with `check=False`, later and in the background. Raises Damaged, CannotWrite, Busy.
        """
        return first_fault_of_structure(self.database) or first_fault_of_content(self.database)

    # What stands

    def get(self, row: Row) -> Stored:
        """What stands in a row: body None if nothing does; version 0 if it was never there. Raises Damaged."""
        return self.get_many([row])[row]

    def get_many(self, addresses: Sequence[Row]) -> dict[Row, Stored]:
        """What stands in each of some rows, all at one moment. Raises Damaged."""
        with self.database.reading() as session:
            return {row: rows.stored(rows.find(session, row, self.place)) for row in addresses}

    def all(self, table: Table, *prefix: str) -> dict[Row, Stored]:
        """Every row of a table that is there now and whose key begins with the given parts, by key. Raises Damaged."""
        with self.database.reading() as session:
            return rows.all_of(session, table, prefix, self.place)

    def learned_history(self, key: str) -> list[Stored]:
        """Every version of a learned figure, oldest first. Raises Damaged."""
        with self.database.reading() as session:
            return rows.history(session, key, self.place)

    # What users do

    def act(
        self,
        action_name: str,
        facts: Body,
        changes: Mapping[Row, Body | None],
        *,
        station: str,
        expected_versions: Mapping[Row, int],
        role: str = "",
    ) -> Action:
        """Write an action and all it changes, or nothing.

        `changes` gives each row's new body (None takes it away); `expected_versions` the version each was read at (0:
        never there), and may name rows that were only read. `action_name` is a code; `facts` what its sentence needs.
        The station's undone actions can then no more be redone, unless nothing was changed.
        Raises Conflict, ValueError for data that cannot be kept or a change without its version; CannotWrite, Busy,
        Damaged.
        """
        check_text(action_name)
        missing = [str(row) for row in changes if row not in expected_versions]
        if missing:
            raise ValueError(f"no expected version for {', '.join(missing)}")
        with self.database.writing() as session:
            acting = Acting(session, self.place)
            return acting.act(action_name, facts, changes, expected_versions, self._actor(station, role))

    def undo(self, station: str, *, role: str = "") -> Action | None:
        """Take back the station's last standing action, as a new action; None if there is none.

        Raises Conflict if a row it changed holds somebody else's content now; CannotWrite, Busy, Damaged.
        """
        with self.database.writing() as session:
            return Acting(session, self.place).undo(self._actor(station, role))

    def redo(self, station: str, *, role: str = "") -> Action | None:
        """Bring back what the station took back last, as a new action; None if there is nothing. Raises as `undo`."""
        with self.database.writing() as session:
            return Acting(session, self.place).redo(self._actor(station, role))

    def next_undo(self, station: str) -> Action | None:
        """The action `undo` would take back."""
        with self.database.reading() as session:
            return Acting(session, self.place).next_undo(station)

    def next_redo(self, station: str) -> Action | None:
        """The action `redo` would bring back."""
        with self.database.reading() as session:
            return Acting(session, self.place).next_redo(station)

    def undo_name(self, station: str) -> str | None:
        """The name of the action `undo` would take back."""
        action = self.next_undo(station)
        return None if action is None else action.name

    def redo_name(self, station: str) -> str | None:
        """The name of the action `redo` would bring back."""
        action = self.next_redo(station)
        return None if action is None else action.name

    def give_up_undo(self, station: str) -> Action | None:
        """Let the station's next undo pass over the action it would take back, as after a Conflict; which it was."""
        with self.database.writing() as session:
            return Acting(session, self.place).give_up(station, Standing.STANDS)

    def give_up_redo(self, station: str) -> Action | None:
        """Let the station's next redo pass over the action it would bring back; which it was."""
        with self.database.writing() as session:
            return Acting(session, self.place).give_up(station, Standing.UNDONE)

    # What others do

    def last_action(self) -> int:
        """The number of the newest action; 0 before the first."""
        with self.database.reading() as session:
            return session.scalar(select(func.max(ActionRow.id))) or 0

    def changes_since(self, action_id: int, limit: int = 1000) -> list[Action]:
        """The actions after a number, of every station, oldest first, no more than `limit`. Raises Damaged."""
        with self.database.reading() as session:
            return Acting(session, self.place).since(action_id, limit)

    def look(self) -> tuple[int, ...]:
        """A cheap look: while it gives the same, nobody has written. What was written, `changes_since` and `events`
        tell. Raises CannotWrite if the record is gone, Busy.
        """
        if self._look is not None:
            return self._look.token()
        with self.database.reading() as session:
            newest = (session.scalar(select(func.max(column))) for column in (ActionRow.id, EventRow.seq))
            return tuple(number or 0 for number in newest)

    # What happens at the press

    def add_events(self, told: Sequence[PressEvent]) -> list[int]:
        """Store events in their order, all or none; the number of each. One handed in before keeps its number.

        Raises EventClash if an own id is known with another content; ValueError, CannotWrite, Busy, Damaged.
        """
        with self.database.writing() as session:
            return events.append(session, told, epoch(self._now()), self.place)

    def events(self, after: int = 0, *, press: str | None = None, limit: int = 10_000) -> list[StoredEvent]:
        """Events after a number, in order, of one press or of all, no more than `limit`."""
        with self.database.reading() as session:
            return events.after(session, after, press, limit)

    def verify_events(self) -> Broken | None:
        """The first event that is missing or was changed; None if the whole chain holds."""
        with self.database.reading() as session:
            return events.first_broken(session, self.place)

    # What is handed to the press

    def release(
        self,
        action_name: str,
        order: Row,
        body: Body,
        *,
        by: str,
        station: str,
        expected_versions: Mapping[Row, int],
        role: str = "",
    ) -> Release:
        """Release a named order of a day: `body` is kept under the next number of that press's day, for good.

        It stands beside undo: a release is superseded by the next, not taken back. Raises as `act`.
        """
        if order.table is not Table.ORDERS:
            raise ValueError(f"an order can be released, not {order}")
        press, day, name = order.key
        with self.database.writing() as session:
            number = releases.next_number(session, press, date.fromisoformat(day))
            facts = {"press": press, "day": day, "order": name, "number": number, "by": by}
            actor = self._actor(station, role)
            action = Acting(session, self.place).act(action_name, facts, {}, expected_versions, actor)
            made = Release(press, date.fromisoformat(day), number, name, body, actor.moment, by, action.id)
            releases.add(session, made)
            return made

    def releases(self, press: str, day: date) -> list[Release]:
        """Every release of a press's day, oldest first; the last one holds. Raises Damaged."""
        with self.database.reading() as session:
            return releases.all_of(session, press, day, self.place)

    def _actor(self, station: str, role: str) -> Actor:
        return Actor(station, role, epoch(self._now()))

    def _now(self) -> datetime:
        moment = self.clock()
        if moment.tzinfo is None:
            raise ValueError("the clock must tell a moment aware of its zone")
        return moment
