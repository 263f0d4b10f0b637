"""The record's fixtures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from queueplanner.record.record import Record
from tests.record.rig import ToldClock, open_record


@pytest.fixture
def clock() -> ToldClock:
    return ToldClock()


@pytest.fixture
def record(tmp_path: Path, clock: ToldClock) -> Iterator[Record]:
    with open_record(tmp_path, clock) as opened:
        yield opened
