"""Drawing small groups together, against the published examples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.arrays import floats
from queueplanner.learning.shrinkage import common_centre, drawn_in, james_stein_factor, pooled, spread_between
from tests.learning.published import column

EFFECTS = floats(column("eight_schools.csv", "effect"))
VARIANCES = floats(column("eight_schools.csv", "error")) ** 2
BATTING = floats(column("batting.csv", "average"))


def test_eight_schools_pooled() -> None:
    mean, variance = pooled(EFFECTS, VARIANCES)
    assert mean == pytest.approx(7.6856, abs=5e-5)
    assert variance == pytest.approx(16.5805, abs=5e-5)


def test_eight_schools_drawn_together() -> None:
    centre = common_centre(EFFECTS, VARIANCES, 5.0)
    assert drawn_in(EFFECTS, VARIANCES, centre, 5.0) == pytest.approx(
        column("eight_schools.csv", "at_spread_5"), abs=1e-6
    )


def test_chance_explains_the_eight_schools() -> None:
    assert spread_between(EFFECTS, VARIANCES) == 0
    assert drawn_in(EFFECTS, VARIANCES, 7.6856, 0.0) == pytest.approx(np.full(8, 7.6856))


def test_batting_averages_keep_a_fifth_of_their_distance() -> None:
    mean = float(BATTING.mean())
    factor = james_stein_factor(BATTING, mean * (1 - mean) / 45)
    assert mean == pytest.approx(0.265389, abs=5e-7)
    assert factor == pytest.approx(0.212, abs=5e-4)
    assert mean + factor * (0.400 - mean) == pytest.approx(0.294, abs=5e-4)


def test_shrinking_towards_the_mean_takes_four_values() -> None:
    with pytest.raises(ValueError, match="four values"):
        james_stein_factor(floats([1, 2, 3]), 1.0)
    assert james_stein_factor(floats([2, 2, 2, 2]), 1.0) == 1


def test_a_real_spread_between_groups_is_found() -> None:
    rng = np.random.default_rng(1)
    truth = rng.normal(0, 3, 400)
    assert spread_between(truth + rng.normal(0, 1, 400), np.ones(400)) == pytest.approx(3, rel=0.1)
    assert spread_between(floats([4.0]), np.ones(1)) == 0


@settings(derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(0.1, 100)), min_size=1, max_size=8), st.floats(0, 20))
def test_what_is_drawn_in_lies_between_the_value_and_the_centre(made: list[tuple[float, float]], spread: float) -> None:
    values, variances = floats([v for v, _ in made]), floats([v for _, v in made])
    centre = common_centre(values, variances, spread)
    drawn = drawn_in(values, variances, centre, spread)
    assert np.all(np.abs(drawn - centre) <= np.abs(values - centre) + 1e-9)
    assert np.all((drawn - centre) * (values - centre) >= -1e-9)
