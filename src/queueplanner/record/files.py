"""Files that are whole or not there: written aside, synced, then put in place."""

from __future__ import annotations

import os
from pathlib import Path

#: Files that SQLite keeps beside a database of its own name.
COMPANIONS = ("-journal", "-wal", "-shm")


def make_private(path: Path) -> None:
    """Make an empty file that only its owner may read. Raises FileExistsError if there is one."""
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def make_folder(folder: Path) -> None:
    """Make a folder, and those above it, that only its owner may look into; one that is there stays as it is."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def sync(path: Path) -> None:
    """Have a file, or the names in a folder, on the disk before going on."""
    if path.is_dir() and os.name == "nt":
        return  # Windows keeps names with the file and opens no folder
    handle = os.open(path, os.O_RDWR if os.name == "nt" else os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def replace(part: Path, target: Path) -> None:
    """Put a finished file in another's place, in one step."""
    sync(part)
    part.replace(target)
    sync(target.parent)


def put_if_absent(part: Path, target: Path) -> None:
    """Put a finished file in place, in one step, unless one is there already."""
    sync(part)
    try:
        os.link(part, target)
    except FileExistsError:
        return
    except OSError:  # a file system without links
        if target.exists():
            return
        part.rename(target)
    sync(target.parent)
