"""How much memory this process holds, and the most it has held since the count began anew."""

from __future__ import annotations

import gc
from pathlib import Path

_STATUS, _RESET = Path("/proc/self/status"), Path("/proc/self/clear_refs")


def reset_peak() -> float:
    """Begin to count the peak anew; the resident memory of now, MB. Where that cannot be done, the peak so far."""
    gc.collect()
    try:
        _RESET.write_text("5")
        return _figure("VmRSS")
    except OSError:
        return peak_mb()


def peak_mb() -> float:
    """The most resident memory since the process, or the count, began, MB."""
    if _STATUS.exists():
        return _figure("VmHWM")
    import resource
    import sys

    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return used / 2**20 if sys.platform == "darwin" else used / 2**10


def _figure(name: str) -> float:
    line = next(row for row in _STATUS.read_text(encoding="utf-8").splitlines() if row.startswith(name))
    return int(line.split()[1]) / 1024
