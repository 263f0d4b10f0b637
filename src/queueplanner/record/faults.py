"""What a database or the system says when something fails, turned into the record's own errors."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from queueplanner.record.errors import Busy, CannotWrite, Damaged, Hindrance, RecordError

#: Primary result codes of SQLite (sqlite.org/rescode.html) that hinder writing.
_SQLITE = {
    sqlite3.SQLITE_FULL: Hindrance.DISK_FULL,
    sqlite3.SQLITE_READONLY: Hindrance.READ_ONLY,
    sqlite3.SQLITE_PERM: Hindrance.NO_ACCESS,
    sqlite3.SQLITE_CANTOPEN: Hindrance.NO_ACCESS,
    sqlite3.SQLITE_IOERR: Hindrance.WRITE_ERROR,
}
_WAITING = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
#: A statement of ours that makes no sense to the database (a table or column is gone) means damage too.
_BROKEN = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR, sqlite3.SQLITE_MISMATCH)
#: Conditions of PostgreSQL (its manual, appendix A): whole codes, then classes.
_POSTGRES = {
    "53100": Hindrance.DISK_FULL,
    "25006": Hindrance.READ_ONLY,
    "42501": Hindrance.NO_ACCESS,
    "08": Hindrance.SERVER_AWAY,
    "28": Hindrance.NO_ACCESS,
    "57": Hindrance.SERVER_AWAY,
    "58": Hindrance.WRITE_ERROR,
}
_POSTGRES_WAITING = ("55P03", "40001", "40P01", "53300", "57014")
_POSTGRES_BROKEN = ("XX001", "XX002")
_SYSTEM = {
    errno.ENOSPC: Hindrance.DISK_FULL,
    errno.EDQUOT: Hindrance.DISK_FULL,
    errno.EROFS: Hindrance.READ_ONLY,
    errno.EACCES: Hindrance.NO_ACCESS,
    errno.EPERM: Hindrance.NO_ACCESS,
}


@contextmanager
def told_plainly(place: str, waited_s: float) -> Iterator[None]:
    """Turn errors of the database and the system, met inside, into the record's own; others pass."""
    try:
        yield
    except DBAPIError as error:
        raise _of_database(error.orig, place, waited_s) or error from error
    except sqlite3.Error as error:
        raise _of_database(error, place, waited_s) or error from error
    except UnicodeDecodeError as error:  # of a damaged file's text, or of what SQLite says about it
        raise Damaged(place, f"bytes that are no text: {error.reason}") from error
    except OSError as error:
        reason = _SYSTEM.get(error.errno or 0, Hindrance.WRITE_ERROR)
        raise CannotWrite(place, reason, error.strerror or type(error).__name__) from error


def _of_database(error: BaseException | None, place: str, waited_s: float) -> RecordError | None:
    detail = str(error).strip()
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", None)
        if code is None:  # not of SQLite but of Python's module: bytes that are no text
            return Damaged(place, detail) if isinstance(error, sqlite3.OperationalError) else None
        return _of_sqlite(code, detail, place, waited_s)
    state = getattr(error, "sqlstate", None)
    if state is None:
        # A server that cannot be reached gives no code at all; its words may hold names but never the password.
        unreachable = type(error).__name__ == "OperationalError"
        return CannotWrite(place, Hindrance.SERVER_AWAY, detail) if unreachable else None
    if state in _POSTGRES_WAITING:
        return Busy(place, waited_s)
    if state in _POSTGRES_BROKEN:
        return Damaged(place, detail)
    reason = _POSTGRES.get(state) or _POSTGRES.get(state[:2])
    return CannotWrite(place, reason, detail) if reason else None


def _of_sqlite(code: int, detail: str, place: str, waited_s: float) -> RecordError | None:
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return CannotWrite(place, Hindrance.FILE_REPLACED, detail)
    primary = code & 0xFF
    if primary in _WAITING:
        return Busy(place, waited_s)
    if primary in _BROKEN:
        return Damaged(place, detail)
    return CannotWrite(place, _SQLITE[primary], detail) if primary in _SQLITE else None
