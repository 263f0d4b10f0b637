"""The key figures against the worked example, and at their borders."""

from __future__ import annotations

from dataclasses import asdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.kpi import Elements, elements_of, key_figures
from tests.learning.logged import changeover, run
from tests.learning.published import rows

EXAMPLE = {row["quantity"]: float(row["value"]) for row in rows("iso22400.csv")}
NAMES = [name for name in EXAMPLE if name.islower()]


def _example() -> Elements:
    e = EXAMPLE
    return Elements(
        planned_busy_s=60 * e["PBT"], production_s=60 * e["APT"], setup_s=60 * e["AUST"], delay_s=60 * e["ADET"],
        execution_s=60 * e["AOET"], planned_production_s=60 * e["PRI"] * e["PQ"], produced=e["PQ"], good=e["GQ"],
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_worked_example_is_found_again(name: str) -> None:
    assert asdict(key_figures(_example()))[name] == pytest.approx(EXAMPLE[name], abs=5e-7)


def test_every_key_figure_is_in_the_example() -> None:
    assert set(asdict(key_figures(_example()))) == set(NAMES)


def test_a_day_on_which_nothing_was_done_has_no_figures() -> None:
    figures = asdict(key_figures(elements_of([], [], 0, 0)))
    assert set(figures.values()) == {None}


def test_a_day_of_make_ready_alone_has_the_figures_that_can_be_had() -> None:
    figures = key_figures(elements_of([changeover(1800)], [], 3600, 1800))
    assert (figures.setup_ratio, figures.availability, figures.allocation_efficiency) == (1, 0, 0.5)
    assert (figures.effectiveness, figures.quality_ratio, figures.oee, figures.nee) == (None, None, None, None)


def test_stops_are_delay_and_reloading_is_production() -> None:
    made = run(
        sheets=3000, good=2900, seconds=4000, planned=3300, stops={"dust": 500.0, "double sheet": 100.0}, reload=180
    )
    e = elements_of([changeover(900), changeover(600)], [made], 28800, 5600)
    assert (e.production_s, e.delay_s, e.setup_s) == (3400, 600, 1500)
    assert (e.busy_s, e.produced, e.good, e.planned_production_s) == (5500, 3000, 2900, 3300)


TIME = st.integers(1, 100_000).map(float)


@settings(derandomize=True, deadline=None)
@given(TIME, TIME, TIME, TIME, st.integers(1, 9000), st.floats(0, 1))
def test_ratios_keep_within_their_bounds(
    production: float, setup: float, delay: float, waits: float, sheets: int, share: float
) -> None:
    busy = production + setup + delay
    e = Elements(busy + waits, production, setup, delay, busy + waits, production * share, sheets, sheets * share)
    figures = asdict(key_figures(e))
    throughput = figures.pop("throughput_per_hour")
    assert throughput > 0
    assert all(0 <= value <= 1 + 1e-12 for value in figures.values())
    assert figures["oee"] <= figures["nee"] + 1e-12  # set-up is held against the first only
