"""Linear fits that a few wild observations do not pull away, with what was known before."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.least_squares import NotSettled, least_squares, nonnegative_least_squares

#: Degrees of freedom of the errors: tails as long as a press floor's (judgement; Lange, Little & Taylor, J. American
#: Statistical Association 84, 1989, use 4 where they are not estimated).
FREEDOM = 4.0
#: Huber's constant: 95 % as sharp as the mean where errors are normal.
HUBER_K = 1.345
_STEPS, _SETTLED = 200, 1e-8


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

    `scale` is that of the errors in units of their `sizes`, `weights` (n) what the errors' law makes of each
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


def student_weights(standardised: Floats) -> Floats:
    """Weights of residuals under Student t errors of 4 degrees of freedom: 5/(4 + z²)."""
    return (FREEDOM + 1) / (FREEDOM + standardised * standardised)


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
        if _same(before, found):
            return found
    raise NotSettled(_STEPS)


def fit_with_knowledge(
    design: Floats,
    observed: Floats,
    sizes: Floats,
    known: Known,
    scale: Scale,
    *,
    nonnegative: bool = True,
    weigh: Callable[[Floats], Floats] = student_weights,
) -> RobustFit:
    """The coefficients most likely after n observations, each with an error of standard size scale × sizes.

    The error's law is the one whose weights are given; the fit goes back and forth between coefficients, weights and
    scale (expectation–maximisation). With no observations it gives back what was known.
    """
    k = len(known.mean)
    before = np.linalg.inv(np.linalg.cholesky(known.covariance))
    unit = np.linalg.norm(before, axis=0) ** 2
    rows, values = design / sizes[:, None], observed / sizes
    weights, spread = np.ones(len(observed)), scale.value
    found = known.mean.copy()
    for _ in range(_STEPS):
        root = np.sqrt(weights) / spread
        stacked = np.vstack([np.column_stack([rows * root[:, None], values * root]), _known_rows(before, known.mean)])
        triangle = floats(np.linalg.qr(stacked, mode="r"))
        unbound = floats(np.linalg.solve(triangle[:k, :k], triangle[:k, k]))
        last, found = found, _bounded(triangle[:k], unbound) if nonnegative else unbound
        inverse = floats(np.linalg.inv(triangle[:k, :k]))
        used = k - float(np.sum((before @ inverse) ** 2))
        residuals = values - rows @ found
        old_spread, spread = spread, _new_spread(residuals, weights, used, scale)
        weights = weigh(residuals / spread)
        if _same(last * np.sqrt(unit), found * np.sqrt(unit)) and math.isclose(old_spread, spread, rel_tol=_SETTLED):
            return RobustFit(found, unbound, inverse @ inverse.T, spread, weights)
    return RobustFit(found, unbound, inverse @ inverse.T, spread, weights)


def _known_rows(before: Floats, mean: Floats) -> Floats:
    """What was known, as observations of error 1."""
    return np.column_stack([before, before @ mean])


def _bounded(triangle: Floats, unbound: Floats) -> Floats:
    """The solution with no coefficient below 0, from the triangle of the stacked rows and their values."""
    k = len(unbound)
    if unbound.min(initial=0.0) >= 0:
        return unbound
    return nonnegative_least_squares(triangle[:, :k], triangle[:, k])


def _new_spread(residuals: Floats, weights: Floats, used: float, scale: Scale) -> float:
    """The scale after a step; observations used up by the coefficients do not count."""
    if math.isinf(scale.counts):
        return scale.value
    left = max(0.0, len(residuals) - used)
    squares = float(weights @ (residuals * residuals))
    return math.sqrt((scale.counts * scale.value**2 + squares) / (scale.counts + left))


def _same(before: Floats, after: Floats) -> bool:
    return bool(np.all(np.abs(after - before) <= _SETTLED * np.maximum(1e-3, np.abs(after))))
