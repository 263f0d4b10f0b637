"""The planning tests begin with the engine compiled, so that no time limit is eaten by the compiler."""

from __future__ import annotations

import pytest

from queueplanner.planning.engine import warm_up
from queueplanner.planning.search import Numbered
from tests.generated_days import random_day


@pytest.fixture(scope="session", autouse=True)
def _engine_is_warm() -> None:
    warm_up(Numbered.of(random_day(1, 4, units=2)).tables)
