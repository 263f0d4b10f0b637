"""Which schemas this program knows, and where its migrations lie."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from queueplanner.record.tables import SCHEMA

MIGRATIONS = Path(__file__).resolve().parent / "migrations"


@dataclass(frozen=True, slots=True)
class Schema:
    """The schemas known, oldest first, and the folders that hold the steps between them."""

    known: tuple[str, ...]
    steps: tuple[Path, ...]

    @property
    def head(self) -> str:
        """The newest one."""
        return self.known[-1]


#: Every schema there has been; the last is that of the tables.
OWN_SCHEMA = Schema(("0001",), (MIGRATIONS / "versions",))
assert OWN_SCHEMA.head == SCHEMA
