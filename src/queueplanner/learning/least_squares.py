"""Least squares by orthogonal triangles, plain and with coefficients that may not be negative."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Bools, Floats


class NotSettled(ArithmeticError):
    """A fit that did not come to rest. `steps` is how many were taken."""

    def __init__(self, steps: int) -> None:
        self.steps = steps
        super().__init__(f"the fit did not settle in {steps} steps")


class TooFewRows(ValueError):
    """Fewer independent observations (`rank`) than coefficients (`wanted`)."""

    def __init__(self, rank: int, wanted: int) -> None:
        self.rank, self.wanted = rank, wanted
        super().__init__(f"{wanted} coefficients asked of {rank} independent observations")


@dataclass(frozen=True, slots=True)
class LeastSquares:
    """Coefficients with their standard errors (k each), residuals (n), their sum of squares and standard deviation.

    With as many coefficients as observations the standard deviation is 0.
    """

    coefficients: Floats
    standard_errors: Floats
    residuals: Floats
    residual_squares: float
    residual_sd: float


def least_squares(design: Floats, observed: Floats) -> LeastSquares:
    """The coefficients that bring design @ coefficients (n × k, n ≥ k) nearest to the observed values (n).

    Householder triangles on columns of length 1, and one step of refinement. Raises TooFewRows where the columns
    hang together.
    """
    n, k = design.shape
    size = np.linalg.norm(design, axis=0)
    if n < k or not np.all(size > 0):
        raise TooFewRows(min(n, int(np.count_nonzero(size))), k)
    turned, triangle = np.linalg.qr(design / size)
    across = np.abs(np.diag(triangle))
    if k and across.min() <= n * np.finfo(np.float64).eps * across.max():
        raise TooFewRows(int(np.linalg.matrix_rank(triangle)), k)
    scaled = np.linalg.solve(triangle, turned.T @ observed)
    scaled = scaled + np.linalg.solve(triangle, turned.T @ (observed - design @ (scaled / size)))
    coefficients = scaled / size
    residuals = observed - design @ coefficients
    squares = float(residuals @ residuals)
    sd = float(np.sqrt(squares / (n - k))) if n > k else 0.0
    errors = sd * np.linalg.norm(np.linalg.inv(triangle), axis=1) / size
    return LeastSquares(coefficients, errors, residuals, squares, sd)


def nonnegative_least_squares(design: Floats, observed: Floats) -> Floats:
    """The coefficients, none below 0, that bring design @ coefficients (n × k) nearest to the observed values (n).

    An active set after Lawson & Hanson, Solving Least Squares Problems, 1974, chapter 23. At the result the
    Kuhn–Tucker conditions hold (`kuhn_tucker_gap`). Raises NotSettled if rounding keeps it from coming to rest, and
    TooFewRows where columns that are needed hang together.
    """
    k = design.shape[1]
    free: Bools = np.zeros(k, dtype=np.bool_)
    barred: Bools = np.zeros(k, dtype=np.bool_)
    found: Floats = np.zeros(k)
    small = _small(design, observed)
    for _ in range(10 * k + 10):
        slope = design.T @ (observed - design @ found)
        willing = ~free & ~barred & (slope > small)
        if not willing.any():
            return found
        enters = int(np.argmax(np.where(willing, slope, -np.inf)))
        free[enters] = True
        tried = _solved(design, observed, free)
        if tried[enters] <= 0:  # rounding alone made it look worth while
            free[enters], barred[enters] = False, True
            continue
        found = _walked(design, observed, free, found, tried)
        barred[:] = False
    raise NotSettled(10 * k + 10)


def _solved(design: Floats, observed: Floats, free: Bools) -> Floats:
    """The plain solution in the free coefficients, 0 in the others."""
    whole: Floats = np.zeros(len(free))
    whole[free] = least_squares(design[:, free], observed).coefficients
    return whole


def _walked(design: Floats, observed: Floats, free: Bools, found: Floats, tried: Floats) -> Floats:
    """Go towards the plain solution; where a coefficient would pass 0, hold it there and solve for the rest.

    `free` is changed in place.
    """
    while np.any(tried[free] <= 0):
        leaving = free & (tried <= 0)
        step = float(np.min(found[leaving] / (found[leaving] - tried[leaving])))
        found = found + step * (tried - found)
        stopped = leaving & (found <= np.abs(tried) * np.finfo(np.float64).eps * 8)
        free &= ~stopped
        found[~free] = 0.0
        tried = _solved(design, observed, free)
    return tried


def kuhn_tucker_gap(design: Floats, observed: Floats, coefficients: Floats) -> float:
    """How far some coefficients are from the Kuhn–Tucker conditions of the non-negative fit, without unit.

    0 or about 1e-15 where they are optimal: none is negative; the slope of the sum of squares is 0 at those above 0,
    and makes no coefficient at 0 wish to grow.
    """
    slope = design.T @ (observed - design @ coefficients)
    size = np.linalg.norm(design, axis=0) * max(float(np.linalg.norm(observed)), np.finfo(np.float64).tiny)
    size = np.where(size > 0, size, 1.0)
    wrong = np.where(coefficients > 0, np.abs(slope), np.maximum(slope, 0.0)) / size
    negative = np.maximum(-coefficients, 0.0) / max(1.0, float(np.abs(coefficients).max(initial=0.0)))
    return float(max(wrong.max(initial=0.0), negative.max(initial=0.0)))


def _small(design: Floats, observed: Floats) -> Floats:
    """The slope of each coefficient below which it is taken as 0."""
    length = np.linalg.norm(design, axis=0) * np.linalg.norm(observed)
    small: Floats = 64 * max(design.shape, default=1) * np.finfo(np.float64).eps * length
    return small
