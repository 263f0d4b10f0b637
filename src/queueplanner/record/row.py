"""Where a thing stands in the record: the address of a row, and the plain data kept there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, TypeAlias

Body: TypeAlias = dict[str, Any]
"""Plain data as JSON knows it: text, numbers, yes and no, nothing, lists, tables with text keys."""

#: Key parts are names and numbers that a person gives; longer ones are mistakes.
LONGEST_KEY = 200


class Table(StrEnum):
    """The tables whose rows have versions and are changed by actions."""

    JOBS = "jobs"
    LIST_ITEMS = "list_items"
    DAYS = "days"
    ORDERS = "orders"
    LEARNED = "learned"


#: The parts of each table's key, in order.
KEY_PARTS: dict[Table, tuple[str, ...]] = {
    Table.JOBS: ("key",),
    Table.LIST_ITEMS: ("kind", "key"),
    Table.DAYS: ("press", "day"),
    Table.ORDERS: ("press", "day", "name"),
    Table.LEARNED: ("key",),
}


class ItemKind(StrEnum):
    """The shop's lists."""

    INK = "ink"
    STOCK = "stock"
    FORMAT = "format"
    PLATE = "plate"
    PRESS = "press"
    CALENDAR = "calendar"
    WEIGHTS = "weights"
    MATERIALS = "materials"


@dataclass(frozen=True, slots=True, order=True)
class Row:
    """The address of one row. Raises ValueError for a key that no row can have."""

    table: Table
    key: tuple[str, ...]

    def __post_init__(self) -> None:
        if len(self.key) != len(KEY_PARTS[self.table]):
            raise ValueError(f"a key of {self.table} has the parts {', '.join(KEY_PARTS[self.table])}, not {self.key}")
        for part in self.key:
            check_text(part)

    def __str__(self) -> str:
        return f"{self.table} {' / '.join(self.key)}"

    @classmethod
    def job(cls, job_id: str) -> Row:
        """A job, by its id."""
        return cls(Table.JOBS, (job_id,))

    @classmethod
    def item(cls, kind: ItemKind, key: str) -> Row:
        """An ink, stock, format, plate, press, calendar and so on, by its id or name."""
        return cls(Table.LIST_ITEMS, (str(kind), key))

    @classmethod
    def day(cls, press: str, day: date) -> Row:
        """The board of a press on a day."""
        return cls(Table.DAYS, (press, day.isoformat()))

    @classmethod
    def order(cls, press: str, day: date, name: str) -> Row:
        """A named order of a day."""
        return cls(Table.ORDERS, (press, day.isoformat(), name))

    @classmethod
    def learned(cls, key: str) -> Row:
        """A learned figure, by its name."""
        return cls(Table.LEARNED, (key,))


@dataclass(frozen=True, slots=True)
class Stored:
    """What stands in a row: its body (None: nothing, or taken away) and version (0: never there)."""

    body: Body | None
    version: int


#: A row that has never been there.
NEVER = Stored(None, 0)


def check_text(text: str) -> None:
    """Raise ValueError unless a text can be a key part or name: 1 to 200 characters, none of them a control one."""
    if not 1 <= len(text) <= LONGEST_KEY:
        raise ValueError(f"a name has 1 to {LONGEST_KEY} characters, not {len(text)}")
    wrong = next((c for c in text if ord(c) < 32 or ord(c) == 127 or 0xD800 <= ord(c) <= 0xDFFF), None)
    if wrong is not None:
        raise ValueError(f"a name cannot hold the character U+{ord(wrong):04X}")


def check_texts(texts: Sequence[str]) -> None:
    """`check_text` of each."""
    for text in texts:
        check_text(text)
