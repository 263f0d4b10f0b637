"""Acting on the record inside a transaction: new actions, taking them back, bringing them back.

Undo goes by whose content stands, not by versions. An action can be taken back while every row it changed still holds
its content; taking it back restores the content before, and with it whose content that was. So a chain of undos needs
no special case, and what somebody else did and took back again is no obstacle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, select, update
from sqlalchemy.orm import Session

from queueplanner.record.actions import Action, Change, Standing, action_of, changes_text
from queueplanner.record.canonical import canonical
from queueplanner.record.errors import Clash, Conflict, Damaged
from queueplanner.record.row import Body, Row, check_texts
from queueplanner.record.rows import find, stored, write
from queueplanner.record.tables import ActionRow, Versioned


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: the station, the role there, and the moment in epoch seconds."""

    station: str
    role: str
    moment: int

    def __post_init__(self) -> None:
        check_texts([self.station, *([self.role] if self.role else [])])


@dataclass(frozen=True, slots=True)
class Wish:
    """What a row is to become, and whose content it then holds (None: that of nobody)."""

    body: Body | None
    written_by: int | None


class Acting:
    """One transaction's work on actions and the rows they change."""

    def __init__(self, session: Session, place: str) -> None:
        self.session, self.place = session, place

    def act(
        self, name: str, facts: Body, changes: Mapping[Row, Body | None], expected: Mapping[Row, int], actor: Actor
    ) -> Action:
        """Check every expected version, write the changes and the action; raises Conflict before anything is written.

        The station's undone actions are buried, unless nothing was changed.
        """
        found = self._found([*expected])
        clashes = [
            self._clash(row, expected[row], found[row], changes.get(row))
            for row in expected
            if stored(found[row]).version != expected[row]
        ]
        if clashes:
            raise Conflict(name, clashes)
        number = self.next_number()
        wishes = {row: Wish(body, number) for row, body in changes.items()}
        if changes:
            self._set_standing(Standing.BURIED, ActionRow.station == actor.station, Standing.UNDONE)
        standing = Standing.STANDS if changes else Standing.FIXED
        return self._write(number, name, facts, wishes, found, actor, standing)

    def undo(self, actor: Actor) -> Action | None:
        """Take back the station's last action that stands; None if there is none. Raises Conflict."""
        last = self.next_undo(actor.station)
        if last is None:
            return None
        found = self._found(c.row for c in last.changes)
        clashes = [
            self._clash(c.row, c.version, found[c.row], c.before)
            for c in last.changes
            if _writer(found[c.row]) != c.stands
        ]
        if clashes:
            raise Conflict(last.name, clashes)
        self._set_standing(Standing.UNDONE, ActionRow.id == last.id, Standing.STANDS)
        wishes = {c.row: Wish(c.before, c.stood) for c in last.changes}
        number = self.next_number()
        return self._write(number, last.name, last.facts, wishes, found, actor, Standing.FIXED, undoes=last.id)

    def redo(self, actor: Actor) -> Action | None:
        """Bring back what the station took back last; None if there is nothing. Raises Conflict."""
        first = self.next_redo(actor.station)
        if first is None:
            return None
        found = self._found(c.row for c in first.changes)
        clashes = [
            self._clash(c.row, c.version_before, found[c.row], c.after)
            for c in first.changes
            if _writer(found[c.row]) != c.stood
        ]
        if clashes:
            raise Conflict(first.name, clashes)
        self._set_standing(Standing.STANDS, ActionRow.id == first.id, Standing.UNDONE)
        wishes = {c.row: Wish(c.after, c.stands) for c in first.changes}
        number = self.next_number()
        return self._write(number, first.name, first.facts, wishes, found, actor, Standing.FIXED, redoes=first.id)

    def give_up(self, station: str, standing: Standing) -> Action | None:
        """Bury the action the station would undo (STANDS) or redo (UNDONE) next; None if there is none."""
        action = self.next_undo(station) if standing is Standing.STANDS else self.next_redo(station)
        if action is not None:
            self._set_standing(Standing.BURIED, ActionRow.id == action.id, standing)
        return action

    def next_undo(self, station: str) -> Action | None:
        """The action the station's undo would take back."""
        query = select(ActionRow).where(ActionRow.station == station, ActionRow.standing == Standing.STANDS)
        return self._first(self.session.scalars(query.order_by(ActionRow.id.desc()).limit(1)))

    def next_redo(self, station: str) -> Action | None:
        """The action the station's redo would bring back."""
        query = select(ActionRow).where(ActionRow.station == station, ActionRow.standing == Standing.UNDONE)
        return self._first(self.session.scalars(query.order_by(ActionRow.id).limit(1)))

    def since(self, number: int, limit: int) -> list[Action]:
        """Actions after a number, oldest first, no more than `limit`."""
        query = select(ActionRow).where(ActionRow.id > number).order_by(ActionRow.id).limit(limit)
        return [self._action(row) for row in self.session.scalars(query)]

    def next_number(self) -> int:
        """The number of the next action; they rise one by one."""
        return (self.session.scalar(select(func.max(ActionRow.id))) or 0) + 1

    def _found(self, rows: Iterable[Row]) -> dict[Row, Versioned | None]:
        return {row: find(self.session, row, self.place) for row in rows}

    def _write(
        self,
        number: int,
        name: str,
        facts: Body,
        wishes: Mapping[Row, Wish],
        found: Mapping[Row, Versioned | None],
        actor: Actor,
        standing: Standing,
        *,
        undoes: int | None = None,
        redoes: int | None = None,
    ) -> Action:
        changes = tuple(_change(row, found[row], wish) for row, wish in wishes.items())
        row = ActionRow(
            id=number, name=name, facts=canonical(facts), station=actor.station, role=actor.role, moment=actor.moment,
            changes=changes_text(changes), undoes=undoes, redoes=redoes, standing=str(standing),
        )  # fmt: skip
        row.seal = row.reckoned_seal()
        self.session.add(row)
        self.session.flush()  # the rows below point at it
        for address, wish in wishes.items():
            write(self.session, address, found[address], wish.body, wish.written_by)
        self.session.flush()
        return self._action(row)

    def _set_standing(self, standing: Standing, which: ColumnElement[bool], now: Standing) -> None:
        self.session.execute(
            update(ActionRow).where(which, ActionRow.standing == str(now)).values(standing=str(standing))
        )

    def _clash(self, row: Row, expected: int, found: Versioned | None, ours: Body | None) -> Clash:
        theirs, writer = stored(found), _writer(found)
        query = select(ActionRow.station).where(ActionRow.id == writer)
        station = None if writer is None else self.session.scalar(query)
        return Clash(row, expected, theirs.version, theirs.body, ours, station, writer)

    def _first(self, rows: Iterable[ActionRow]) -> Action | None:
        return next((self._action(row) for row in rows), None)

    def _action(self, row: ActionRow) -> Action:
        try:
            return action_of(row)
        except (ValueError, KeyError, TypeError) as error:
            raise Damaged(self.place, f"actions {row.id}: {error}") from error


def _writer(found: Versioned | None) -> int | None:
    return None if found is None else found.written_by


def _change(row: Row, found: Versioned | None, wish: Wish) -> Change:
    before = stored(found)
    return Change(row, before.body, wish.body, before.version, before.version + 1, _writer(found), wish.written_by)
