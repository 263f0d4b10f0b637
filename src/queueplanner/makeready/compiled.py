"""The decorator for compiled code: the same function runs compiled where a compiler is at hand, plainly elsewhere.

Compiled code is kept on disk. The compiler looks only at the file a function stands in, not at the functions it calls,
so the kept code lies in a folder named after all sources it can depend on: changed sources never meet old code.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

from platformdirs import user_cache_path

#: Set to 1, this keeps everything uncompiled: for debugging, and to test the plain way on any machine.
UNCOMPILED_VARIABLE = "QUEUEPLANNER_UNCOMPILED"
#: Kept code of other sources is thrown away once it is this old.
KEPT_SECONDS = 30 * 24 * 3600

_MARKED = re.compile(r"^@(?:compiled|inlined)$", re.MULTILINE)
_IMPORT = re.compile(r"^from queueplanner\.(\w+)\.(\w+) import", re.MULTILINE)

_F = TypeVar("_F", bound=Callable[..., Any])


def _keep_code_by_sources() -> None:
    """Name the folder of kept code after the sources, unless the environment names one."""
    if "NUMBA_CACHE_DIR" in os.environ:
        return
    package = Path(__file__).resolve().parents[1]
    digest = hashlib.sha256()
    for source in _sources_of_compiled_code(package):
        digest.update(source.read_bytes())
    folder = user_cache_path("queueplanner", appauthor=False)
    os.environ["NUMBA_CACHE_DIR"] = str(folder / f"compiled-{digest.hexdigest()[:16]}")
    for other in folder.glob("compiled-*"):
        try:
            if time.time() - other.stat().st_mtime > KEPT_SECONDS:
                shutil.rmtree(other, ignore_errors=True)
        except OSError:
            continue


def _sources_of_compiled_code(package: Path) -> list[Path]:
    """The files that hold compiled functions, and all that these import: their constants are compiled in."""
    texts = {source: source.read_text(encoding="utf-8") for source in package.glob("*/*.py")}
    feeding = [source for source, text in texts.items() if _MARKED.search(text)]
    for source in feeding:  # the list grows on the way
        for room, name in _IMPORT.findall(texts[source]):
            imported = package / room / f"{name}.py"
            if imported in texts and imported not in feeding:
                feeding.append(imported)
    return sorted(feeding)


def _compiler() -> Any:
    """The compiler's decorator factory; None without a compiler, or where the environment forbids it."""
    if os.environ.get(UNCOMPILED_VARIABLE, "") not in ("", "0"):
        return None
    _keep_code_by_sources()
    # Else a compiler thread would exchange the program's output streams to colour messages nobody sees.
    os.environ.setdefault("NUMBA_DISABLE_ERROR_MESSAGE_HIGHLIGHTING", "1")
    try:
        import numba
    except ImportError:
        return None
    return numba.njit


_NJIT = _compiler()

#: Whether functions marked `compiled` really are.
IS_COMPILED = _NJIT is not None


def compiled(function: _F) -> _F:
    """The function, compiled on its first call and kept on disk, free of the interpreter's lock.

    Where there is no compiler, or the environment variable QUEUEPLANNER_UNCOMPILED is 1, the plain function.
    A function so marked may call others so marked. Where nothing can be written, the compiled code is not kept.
    """
    if _NJIT is None:
        return function
    try:
        return cast("_F", _NJIT(nogil=True, cache=True)(function))
    except RuntimeError:
        return cast("_F", _NJIT(nogil=True)(function))


def inlined(function: _F) -> _F:
    """As `compiled`, for small functions: put into their callers."""
    if _NJIT is None:
        return function
    return cast("_F", _NJIT(nogil=True, forceinline=True)(function))
