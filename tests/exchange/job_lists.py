"""Job lists written for tests, and what reading them says."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest

from queueplanner.exchange.job_csv import read_jobs
from queueplanner.exchange.shop_files import load_shop
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop

DAY = date(2026, 11, 26)
PLAIN = {"job": "1", "sheets": "1000", "stock": "bond-75", "format": "A4", "inks": "black"}


@cache
def demo_shop() -> Shop:
    """The demo shop, read once."""
    return load_shop()


def list_text(*rows: dict[str, str], delimiter: str = ";") -> str:
    """A job list of rows that differ from a plain one; each row is its own job unless it says otherwise."""
    full = [PLAIN | {"job": str(number)} | row for number, row in enumerate(rows, 1)]
    columns = list(dict.fromkeys(column for row in full for column in row))
    lines = [delimiter.join(columns)]
    lines += [delimiter.join(row.get(column, "") for column in columns) for row in full]
    return "\n".join(lines) + "\n"


def taken(folder: Path, *rows: dict[str, str], shop: Shop | None = None, day: date = DAY) -> list[Job]:
    """The jobs of such a list."""
    path = folder / "jobs.csv"
    path.write_text(list_text(*rows), encoding="utf-8")
    return read_jobs(path, shop or demo_shop(), day)


def problems(folder: Path, *rows: dict[str, str], shop: Shop | None = None, day: date = DAY) -> list[Problem]:
    """The problems of such a list."""
    with pytest.raises(BadInput) as caught:
        taken(folder, *rows, shop=shop, day=day)
    return list(caught.value.problems)


def problems_of_text(folder: Path, text: str | bytes, shop: Shop | None = None) -> list[Problem]:
    """The problems of a list given letter by letter."""
    path = folder / "jobs.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(BadInput) as caught:
        read_jobs(path, shop or demo_shop(), DAY)
    return list(caught.value.problems)


def only(found: list[Problem]) -> Problem:
    """The one problem there is."""
    assert len(found) == 1, found
    return found[0]
