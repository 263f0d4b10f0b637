"""Linear fits that a few wild observations do not pull away, with what was known before."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.least_squares import NotSettled, least_squares, nonnegative_least_squares

#: Errors are normal, but now and then there is a stranger: this share of observations errs by a Cauchy law so many
#: times wider (a contaminated normal law as in Tukey 1960; the figures are judgement). Tails as long as Student's for
#: all observations would weigh down the long right side that times have, and bring means out 3 % low.
STRANGERS, STRANGER_WIDER = 0.03, 5.0
#: Huber's constant: 95 % as sharp as the mean where errors are normal.
HUBER_K = 1.345
_STEPS = 200
#: A fit has settled when no coefficient moves by more than this share of its standard deviation.
_SETTLED = 1e-3


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the coefficients before: their means (k) and covariance (k × k, positive definite)."""

    mean: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True)
class Scale:
    """What is known of the errors' scale before: a value, and as how many observations it counts.

    With `counts` infinite the scale is fixed.
    """

    value: float
    counts: float


@dataclass(frozen=True, slots=True)
class RobustFit:
    """A fit: coefficients (k; none below 0 if so asked), the mean they would have without that bound, covariance.

    `scale` is that of the errors, `weights` (n) what the errors' law makes of each
    observation (about 1, near 0 for a wild one).
    """

    coefficients: Floats
    unbound: Floats
    covariance: Floats
    scale: float
    weights: Floats

    def sd_of(self, rows: Floats) -> Floats:
        """Standard deviation (m) of rows @ coefficients, from what is not known of the coefficients (rows m × k)."""
        variances = np.einsum("ij,jk,ik->i", rows, self.covariance, rows)
        return floats(np.sqrt(np.maximum(variances, 0.0)))


def stranger_weights(standardised: Floats) -> Floats:
    """Weights of residuals under the contaminated normal law: about 1 within two scales, near 0 for a sure stranger."""
    usual, strange = stranger_densities(standardised)
    sure = usual / (usual + strange)
    return floats(sure + (1 - sure) * 2 / (STRANGER_WIDER**2 + standardised * standardised))


def stranger_densities(standardised: Floats) -> tuple[Floats, Floats]:
    """The two parts of the contaminated normal density, of usual and of strange observations, times √2π."""
    usual = (1 - STRANGERS) * np.exp(-standardised * standardised / 2)
    strange = STRANGERS * math.sqrt(2 / math.pi) / STRANGER_WIDER / (1 + (standardised / STRANGER_WIDER) ** 2)
    return floats(usual), floats(strange)


def huber_weights(standardised: Floats) -> Floats:
    """Huber's weights: 1 within 1.345 scales, beyond it 1.345/|z|."""
    far = np.maximum(np.abs(standardised), HUBER_K)
    return HUBER_K / far


def even_weights(standardised: Floats) -> Floats:
    """Weights of normal errors: 1."""
    return np.ones_like(standardised)


def huber_fit(design: Floats, observed: Floats) -> Floats:
    """Coefficients of the plain Huber estimate, the scale being the median absolute residual / 0.6745.

    Brownlee's stack losses give −41.03, 0.829, 0.926, −0.128. Raises NotSettled.
    """
    found = least_squares(design, observed).coefficients
    for _ in range(_STEPS):
        residuals = observed - design @ found
        scale = float(np.median(np.abs(residuals))) / 0.6745
        if scale == 0:
            return found
        root = np.sqrt(huber_weights(residuals / scale))
        before, found = found, least_squares(design * root[:, None], observed * root).coefficients
        if np.allclose(before, found, rtol=1e-9, atol=1e-12):
            return found
    raise NotSettled(_STEPS)


def fit_with_knowledge(
    design: Floats,
    observed: Floats,
    known: Known,
    scale: Scale,
    *,
    nonnegative: bool = True,
    weigh: Callable[[Floats], Floats] = stranger_weights,
) -> RobustFit:
    """The coefficients most likely after n observations (design n × k), all of whose errors have one scale.

    The error's law is the one whose weights are given; the fit goes back and forth between coefficients, weights and
    scale (expectation–maximisation, as iterated weighted least squares). With no observations it gives back what was
    known. Raises NotSettled.
    """
    before = np.linalg.inv(np.linalg.cholesky(known.covariance))
    sureness = before.T @ before
    weights, spread, found = np.ones(len(observed)), scale.value, known.mean
    told = np.flatnonzero(design.any(axis=0))  # of the other columns nothing is observed
    rows, here = design[:, told], np.ix_(told, told)
    for _ in range(_STEPS):
        weighted = rows * (weights / spread**2)[:, None]
        sum_of_both, pull = sureness.copy(), np.zeros(len(found))
        sum_of_both[here] += weighted.T @ rows
        pull[told] = weighted.T @ (observed - design @ known.mean)
        triangle = np.linalg.cholesky(sum_of_both).T
        unbound = floats(known.mean + np.linalg.solve(triangle, np.linalg.solve(triangle.T, pull)))
        last, found = found, _bounded(triangle, unbound) if nonnegative else unbound
        inverse = floats(np.linalg.inv(triangle))
        covariance = inverse @ inverse.T
        used = len(found) - float(np.sum(sureness * covariance))
        residuals = observed - rows @ found[told]
        old_spread, spread = spread, _new_spread(residuals, weights, used, scale)
        weights = weigh(residuals / spread)
        moved = float(np.max(np.abs(found - last) / np.sqrt(np.diag(covariance)), initial=0.0))
        if moved <= _SETTLED and math.isclose(old_spread, spread, rel_tol=_SETTLED):
            return RobustFit(found, unbound, covariance, spread, weights)
    raise NotSettled(_STEPS)


def _bounded(triangle: Floats, unbound: Floats) -> Floats:
    """The solution with no coefficient below 0, from the one without that bound and the triangle of its sureness."""
    return unbound if unbound.min(initial=0.0) >= 0 else nonnegative_least_squares(triangle, triangle @ unbound)


def _new_spread(residuals: Floats, weights: Floats, used: float, scale: Scale) -> float:
    """The scale after a step; observations used up by the coefficients do not count."""
    if math.isinf(scale.counts):
        return scale.value
    left = max(0.0, len(residuals) - used)
    squares = float(weights @ (residuals * residuals))
    return math.sqrt((scale.counts * scale.value**2 + squares) / (scale.counts + left))
