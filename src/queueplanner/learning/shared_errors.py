"""Errors that observations of one case have partly in common: a slow day makes all tasks of a changeover slow.

Each observation errs on its own, with a size of its own, and together with the others of its case, in proportion to
its share of the case. Such rows are turned into rows whose errors are alike and independent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.arrays import Floats, Ints, floats
from queueplanner.learning.robust import Scale, stranger_densities, stranger_weights


@dataclass(frozen=True, slots=True)
class ErrorSizes:
    """Sizes of errors up to a common scale, one for each of n rows; rows of a case lie together.

    `own` is the size of a row's own error, `shared` what the case's common error adds to the row; `starts` are the
    rows with which the cases begin, `case` the case of each row.
    """

    own: Floats
    shared: Floats
    starts: Ints
    case: Ints

    @property
    def total(self) -> Floats:
        """Size of each row's whole error."""
        return floats(np.hypot(self.own, self.shared))

    def evened(self, values: Floats) -> Floats:
        """Rows (n, or n × k) turned so that their errors are independent and of size 1.

        The inverse square root of I + v·vᵀ in each case, v being shared over own.
        """
        if not len(values):
            return values
        flat = values.reshape(len(values), -1) / self.own[:, None]
        v = self.shared / self.own
        squares = np.add.reduceat(v * v, self.starts)
        draw = np.where(squares > 0, (1 - 1 / np.sqrt(1 + squares)) / np.where(squares > 0, squares, 1.0), 0.0)
        along = draw[:, None] * np.add.reduceat(v[:, None] * flat, self.starts)
        return floats(flat - v[:, None] * along[self.case]).reshape(values.shape)

    @property
    def log_size(self) -> float:
        """Log of the determinant of the errors' covariance, halved: what likelier sizes are paid for."""
        if not len(self.own):
            return 0.0
        squares = np.add.reduceat((self.shared / self.own) ** 2, self.starts)
        return float(np.log(self.own).sum() + np.log1p(squares).sum() / 2)


def log_likelihood(residuals: Floats, sizes: ErrorSizes, before: Scale) -> float:
    """Log likelihood, up to a constant, of residuals with errors of these sizes, the scale fitted to them."""
    if not len(residuals):
        return 0.0
    even = sizes.evened(residuals)
    scale = before.value
    for _ in range(30):
        squares = float(stranger_weights(even / scale) @ even**2)
        scale = math.sqrt((before.counts * before.value**2 + squares) / (before.counts + len(even)))
    usual, strange = stranger_densities(even / scale)
    return float(np.log(usual + strange).sum()) - len(even) * math.log(scale) - sizes.log_size
