"""Published and separately computed figures that the program has to reproduce; each file names its source."""

from __future__ import annotations

import csv
from pathlib import Path

_DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a file in tests/data, without its comment lines."""
    with (_DATA / name).open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(line for line in file if not line.startswith("#")))
    assert found, f"{name} is empty"
    return found


def figures(row: dict[str, str], *columns: str) -> tuple[float, ...]:
    """Some columns of a row as numbers."""
    return tuple(float(row[column]) for column in columns)
