"""Where a record lies: a file in the user's data folder unless a path or an address of a database is given."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

#: The environment's word for another place: a path or an address.
PLACE_VARIABLE = "QUEUEPLANNER_RECORD"


@dataclass(frozen=True, slots=True)
class RecordPlace:
    """An address of a database; for a SQLite file its path too."""

    url: URL
    path: Path | None

    def __str__(self) -> str:
        return str(self.path) if self.path is not None else self.url.render_as_string(hide_password=True)

    @property
    def backup_folder(self) -> Path | None:
        """Where backups of a file lie unless said otherwise: beside it."""
        return None if self.path is None else self.path.with_name(f"{self.path.stem}-backups")


def default_place(environment: Mapping[str, str] = os.environ) -> RecordPlace:
    """The place the environment names, else `record.sqlite` in the user's data folder."""
    named = environment.get(PLACE_VARIABLE)
    return place_of(named) if named else place_of(user_data_path("queueplanner", appauthor=False) / "record.sqlite")


def place_of(where: Path | str) -> RecordPlace:
    """The place a path or an address ("postgresql+psycopg://…", "sqlite:////…") names.

    Raises ValueError for an address that cannot be read, or one of a database that lives in memory only.
    """
    if isinstance(where, Path) or "://" not in where:
        path = Path(where).absolute()
        return RecordPlace(URL.create("sqlite", database=str(path)), path)
    try:
        url = make_url(where)
    except ArgumentError:
        raise ValueError("this address of a record cannot be read") from None
    if url.get_backend_name() != "sqlite":
        return RecordPlace(url, None)
    if not url.database or url.database == ":memory:" or url.database.startswith("file:"):
        raise ValueError("a record needs a file, not a database in memory")
    return place_of(Path(url.database))
