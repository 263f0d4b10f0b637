"""What a benchmark says of the machine it ran on, and the engine made ready before anything is timed."""

from __future__ import annotations

import os
import platform

from benchmarks.shop_days import shop_day

from queueplanner.makeready.compiled import IS_COMPILED
from queueplanner.planning.engine import warm_up
from queueplanner.planning.search import Numbered


def machine() -> str:
    """Cores, load average (1, 5, 15 minutes) and Python, in a line."""
    load = ", ".join(f"{x:.2f}" for x in os.getloadavg()) if hasattr(os, "getloadavg") else "unknown"
    how = "compiled" if IS_COMPILED else "uncompiled"
    return f"machine: {os.cpu_count()} cores, load average {load}, Python {platform.python_version()}, {how}"


def print_machine() -> None:
    print(machine(), flush=True)


def warm_engine() -> None:
    """Compile everything, or load it, on a day of its own."""
    warm_up(Numbered.of(shop_day(0, 6).instance).tables)
