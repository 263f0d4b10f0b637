"""A cheap look at whether anybody has written to a record's file since the last look."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from threading import Lock

from queueplanner.record.faults import told_plainly


class FileLook:
    """A connection of its own that only asks SQLite for its count of commits by others (`PRAGMA data_version`)."""

    def __init__(self, path: Path, wait_s: float) -> None:
        self.path, self.wait_s = path, wait_s
        self._lock = Lock()
        self._connection: sqlite3.Connection | None = None
        self._opened = 0
        self._file: tuple[int, int] | None = None

    def token(self) -> tuple[int, ...]:
        """Numbers that differ from those of the last look if somebody, this process too, has written meanwhile.

        Raises CannotWrite if the file is gone, Busy.
        """
        with self._lock, told_plainly(str(self.path), self.wait_s):
            found = self.path.stat()
            if self._connection is None or self._file != (found.st_dev, found.st_ino):
                self._open()
                self._file = (found.st_dev, found.st_ino)
            assert self._connection is not None
            return self._opened, self._connection.execute("PRAGMA data_version").fetchone()[0]

    def close(self) -> None:
        """Close the connection; the next look opens another."""
        with self._lock:
            if self._connection is not None:
                self._connection.close()
            self._connection = None

    def _open(self) -> None:
        if self._connection is not None:
            self._connection.close()
        address = f"{self.path.as_uri()}?mode=ro"
        self._connection = sqlite3.connect(address, uri=True, timeout=self.wait_s, check_same_thread=False)
        self._opened += 1
