"""The published figures of this room; each file names its source in its first lines."""

from __future__ import annotations

import csv
from pathlib import Path

_DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a file in tests/learning/data, without its comment lines."""
    with (_DATA / name).open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(line for line in file if not line.startswith("#")))
    assert found, f"{name} is empty"
    return found


def column(name: str, key: str, **where: str) -> list[float]:
    """One column as numbers, of the rows that hold the values given."""
    return [float(row[key]) for row in rows(name) if all(row[k] == v for k, v in where.items())]
