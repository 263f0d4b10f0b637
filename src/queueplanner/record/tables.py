"""The tables of the record. Only types that SQLite and PostgreSQL share; bodies are canonical JSON as text.

Every row carries a seal, a checksum over its content, since a database's own check does not see a byte that flips
inside a text. Moments are whole epoch seconds.
"""

from __future__ import annotations

from typing import ClassVar

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, object_mapper

from queueplanner.record import row
from queueplanner.record.canonical import checksum

#: The schema these tables are: the newest migration in `migrations/versions`.
SCHEMA = "0001"

_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """The root of all tables."""

    metadata = MetaData(naming_convention=_NAMES)


class Sealed:
    """A row with a checksum over the columns of its content."""

    content: ClassVar[tuple[str, ...]]
    seal: Mapped[str] = mapped_column(String(64))

    def reckoned_seal(self) -> str:
        """The checksum of the content as it stands."""
        return checksum(*(getattr(self, name) for name in self.content))

    @property
    def is_sound(self) -> bool:
        """Whether the content fits the checksum."""
        try:
            return self.reckoned_seal() == self.seal
        except (TypeError, ValueError):  # something that no column of this table can hold
            return False

    @property
    def label(self) -> str:
        """The table and key, to tell which row is meant."""
        mapper = object_mapper(self)
        return f"{mapper.local_table} {' / '.join(str(part) for part in mapper.primary_key_from_instance(self))}"


class Versioned(Sealed):
    """A row that actions change: its body (None: taken away), its version, and the action its content comes from.

    Versions only rise, also through undo and when something taken away comes back. `written_by` tells whose content
    stands: an undo brings back the content of the action before, and its number with it.
    """

    body: Mapped[str | None] = mapped_column(Text)
    version: Mapped[int] = mapped_column(BigInteger)
    written_by: Mapped[int | None] = mapped_column(ForeignKey("actions.id"))


class JobRow(Versioned, Base):
    """One job a row."""

    __tablename__ = "jobs"
    content = ("key", "body", "version", "written_by")
    key: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)


class ListItemRow(Versioned, Base):
    """One entry of a shop list a row: an ink, a stock, a format …"""

    __tablename__ = "list_items"
    content = ("kind", "key", "body", "version", "written_by")
    kind: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    key: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)


class DayRow(Versioned, Base):
    """One board a row: a press on a day."""

    __tablename__ = "days"
    content = ("press", "day", "body", "version", "written_by")
    press: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    day: Mapped[str] = mapped_column(String(10), primary_key=True)


class OrderRow(Versioned, Base):
    """One named order of a day a row."""

    __tablename__ = "orders"
    content = ("press", "day", "name", "body", "version", "written_by")
    press: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    day: Mapped[str] = mapped_column(String(10), primary_key=True)
    name: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)


class LearnedRow(Versioned, Base):
    """One version of a learned figure a row: nothing is overwritten, the highest version holds."""

    __tablename__ = "learned"
    content = ("key", "body", "version", "written_by")
    key: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    version: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)


class ReleaseRow(Sealed, Base):
    """One released order a row; never changed."""

    __tablename__ = "releases"
    content = ("press", "day", "number", "name", "body", "moment", "released_by", "action")
    press: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    day: Mapped[str] = mapped_column(String(10), primary_key=True)
    number: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    body: Mapped[str] = mapped_column(Text)
    moment: Mapped[int] = mapped_column(BigInteger)
    released_by: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    action: Mapped[int] = mapped_column(ForeignKey("actions.id"))


class EventRow(Base):
    """One press event a row; never changed. `checksum` covers the content and the event before."""

    __tablename__ = "events"
    seq: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    own_id: Mapped[str] = mapped_column(String(36), unique=True)
    press: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    moment: Mapped[int] = mapped_column(BigInteger)
    received: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    body: Mapped[str] = mapped_column(Text)
    station: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    checksum: Mapped[str] = mapped_column(String(64))
    __table_args__ = (Index(None, "press", "seq"),)

    def fits_after(self, before: str) -> bool:
        """Whether the content fits the checksum, after an event with the checksum `before`."""
        try:
            return self.reckoned_checksum(before) == self.checksum
        except (TypeError, ValueError):  # something that no column of this table can hold
            return False

    def reckoned_checksum(self, before: str) -> str:
        """The checksum of the content as it stands, after an event with the checksum `before`."""
        return checksum(
            before, self.seq, self.own_id, self.press, self.moment, self.received, self.kind, self.body, self.station
        )


class ActionRow(Sealed, Base):
    """One action of a user a row. `standing` is the only column that changes, and so is not sealed."""

    __tablename__ = "actions"
    content = ("id", "name", "facts", "station", "role", "moment", "changes", "undoes", "redoes")
    id: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    name: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    facts: Mapped[str] = mapped_column(Text)
    station: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    role: Mapped[str] = mapped_column(String(row.LONGEST_KEY))
    moment: Mapped[int] = mapped_column(BigInteger)
    changes: Mapped[str] = mapped_column(Text)
    undoes: Mapped[int | None] = mapped_column(ForeignKey("actions.id"))
    redoes: Mapped[int | None] = mapped_column(ForeignKey("actions.id"))
    standing: Mapped[str] = mapped_column(String(8))
    __table_args__ = (
        CheckConstraint("standing IN ('stands', 'undone', 'buried', 'fixed')", name="standing"),
        Index(None, "station", "standing", "id"),
    )


class MetaRow(Base):
    """Facts of the record itself: its id, the program that last wrote its schema, where the chain of events ends."""

    __tablename__ = "meta"
    name: Mapped[str] = mapped_column(String(row.LONGEST_KEY), primary_key=True)
    value: Mapped[str] = mapped_column(Text)


VERSIONED: dict[row.Table, type[Versioned]] = {
    row.Table.JOBS: JobRow,
    row.Table.LIST_ITEMS: ListItemRow,
    row.Table.DAYS: DayRow,
    row.Table.ORDERS: OrderRow,
    row.Table.LEARNED: LearnedRow,
}
SEALED: tuple[type[Sealed], ...] = (JobRow, ListItemRow, DayRow, OrderRow, LearnedRow, ReleaseRow, ActionRow)

#: Where migrations note the schema; made with the tables of a fresh record, so that it counts as migrated.
SCHEMA_TABLE = Table(
    "alembic_version",
    MetaData(),
    Column("version_num", String(32), nullable=False),
    PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)
