"""Fits with what was known before, and with observations that are wild."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.arrays import floats
from queueplanner.learning.least_squares import least_squares
from queueplanner.learning.robust import Known, RobustFit, Scale, even_weights, fit_with_knowledge, huber_fit
from tests.learning.published import column

FIXED = Scale(1.0, math.inf)


def test_hubers_estimate_of_the_stack_losses() -> None:
    keys = ("air_flow", "water", "acid")
    design = np.column_stack([np.ones(21), *(floats(column("stackloss.csv", key)) for key in keys)])
    found = huber_fit(design, floats(column("stackloss.csv", "loss")))
    assert found[0] == pytest.approx(-41.0265, abs=5e-5)
    assert found[1:] == pytest.approx([0.82938, 0.92607, -0.12785], abs=2e-5)


def test_a_common_level_known_to_nobody_draws_the_eight_schools_together() -> None:
    effects, errors = floats(column("eight_schools.csv", "effect")), floats(column("eight_schools.csv", "error"))
    known = Known(np.zeros(8), 25.0 * np.eye(8) + 1e9)
    found = fit_with_knowledge(
        np.diag(1 / errors), effects / errors, known, FIXED, nonnegative=False, weigh=even_weights
    )
    assert found.coefficients == pytest.approx(column("eight_schools.csv", "at_spread_5"), abs=1e-5)


def test_eight_schools_that_are_all_alike_share_the_pooled_mean_and_its_error() -> None:
    effects, errors = floats(column("eight_schools.csv", "effect")), floats(column("eight_schools.csv", "error"))
    known = Known(np.zeros(1), np.full((1, 1), 1e12))
    found = fit_with_knowledge(1 / errors[:, None], effects / errors, known, FIXED, weigh=even_weights)
    assert found.coefficients[0] == pytest.approx(7.6856, abs=5e-5)
    assert found.covariance[0, 0] == pytest.approx(16.5805, abs=5e-4)


def _line(outliers: int, seed: int = 3) -> RobustFit:
    rng = np.random.default_rng(seed)
    design = np.column_stack([np.ones(60), rng.uniform(0, 10, 60)])
    observed = design @ floats([20, 3]) + rng.normal(0, 1, 60)
    observed[:outliers] += 200
    known = Known(floats([10, 1]), np.diag([400.0, 25.0]))
    return fit_with_knowledge(design, observed, known, Scale(1.0, 5))


def test_wild_observations_are_set_aside() -> None:
    clean, spoilt = _line(0), _line(6)
    assert spoilt.coefficients == pytest.approx(clean.coefficients, abs=0.6)
    assert spoilt.weights[:6].max() < 0.05 < 0.9 < np.median(spoilt.weights)
    assert clean.scale == pytest.approx(1.0, abs=0.15)


def test_without_observations_what_was_known_stays() -> None:
    known = Known(floats([10, 1]), floats([[4, 1], [1, 2]]))
    found = fit_with_knowledge(np.zeros((0, 2)), np.zeros(0), known, Scale(0.3, 8))
    assert found.coefficients == pytest.approx(known.mean)
    assert found.covariance == pytest.approx(known.covariance)
    assert found.scale == pytest.approx(0.3)
    assert found.sd_of(floats([[1, 1]])) == pytest.approx([math.sqrt(8)])


def test_many_observations_outweigh_what_was_known() -> None:
    rng = np.random.default_rng(8)
    design = rng.integers(0, 3, size=(4000, 3)).astype(float)
    observed = design @ floats([5, 0.5, 9]) + rng.normal(0, 1, 4000)
    found = fit_with_knowledge(design, observed, Known(np.full(3, 2.0), np.eye(3)), Scale(1.0, 5))
    plain = least_squares(design, observed).coefficients
    assert found.coefficients == pytest.approx(plain, abs=0.05)
    assert found.coefficients == pytest.approx([5, 0.5, 9], abs=0.1)


MADE = st.tuples(st.integers(0, 2**32 - 1), st.integers(0, 30), st.integers(1, 6))


@settings(derandomize=True, deadline=None)
@given(MADE)
def test_no_coefficient_is_negative_and_more_knowledge_never_widens(made: tuple[int, int, int]) -> None:
    seed, n, k = made
    rng = np.random.default_rng(seed)
    design, observed = rng.integers(0, 3, size=(n, k)).astype(float), rng.normal(0, 3, n)
    known = Known(rng.uniform(0, 2, k), np.eye(k))
    found = fit_with_knowledge(design, observed, known, FIXED, weigh=even_weights)
    assert found.coefficients.min() >= 0
    assert np.all(np.diag(found.covariance) <= 1 + 1e-9)
