"""Private copies of system libraries, loaded before any test loads Qt."""

from __future__ import annotations

import ctypes
import os
from pathlib import Path

import start


def load_private_libraries() -> None:
    """Load the copies of system libraries that start.py may have put into .libs.

    `start.py test` has the loader find them by LD_LIBRARY_PATH. A bare `pytest` comes too late for that, so
    each is loaded by hand, round after round until those left over lack something that is nowhere.
    """
    folders = start.library_folders()
    if not folders or str(folders[0]) in os.environ.get("LD_LIBRARY_PATH", ""):
        return
    os.environ.update(start.library_settings())
    waiting = [path for folder in folders for path in sorted(folder.glob("*.so.*"))]
    before = len(waiting) + 1
    while len(waiting) < before:
        before = len(waiting)
        waiting = [path for path in waiting if not _loads(path)]


def _loads(library: Path) -> bool:
    try:
        ctypes.CDLL(str(library), mode=ctypes.RTLD_GLOBAL)
    except OSError:
        return False
    return True
