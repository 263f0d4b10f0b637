"""Averages of small groups drawn towards what all of them have in common."""

from __future__ import annotations

import numpy as np

from queueplanner.learning.arrays import Floats, floats


def pooled(values: Floats, variances: Floats) -> tuple[float, float]:
    """The mean of some values weighted by 1/variance, and its variance, as if all measured the same thing.

    The eight schools (Rubin, J. Educational Statistics 6(4), 1981) give 7.7 and 16.6.
    """
    weights = 1 / variances
    return float(weights @ values / weights.sum()), float(1 / weights.sum())


def drawn_in(values: Floats, variances: Floats, centre: float, spread: float) -> Floats:
    """Each value drawn towards a centre by what its variance is beside the spread (sd) between true values.

    The normal–normal conditional mean, (value/variance + centre/spread²) / (1/variance + 1/spread²); a spread of 0
    gives the centre.
    """
    share = spread * spread / (spread * spread + variances)
    return centre + share * (values - centre)


def common_centre(values: Floats, variances: Floats, spread: float) -> float:
    """The mean of all groups when their true values spread by `spread` (sd)."""
    return pooled(values, variances + spread * spread)[0]


def spread_between(values: Floats, variances: Floats) -> float:
    """The sd between the groups' true values, by moments (DerSimonian & Laird 1986); 0 where chance explains all.

    0 for fewer than two groups.
    """
    if len(values) < 2:
        return 0.0
    weights = 1 / variances
    mean, _ = pooled(values, variances)
    surplus = float(weights @ (values - mean) ** 2) - (len(values) - 1)
    scale = float(weights.sum() - weights @ weights / weights.sum())
    return float(np.sqrt(max(0.0, surplus / scale)))


def james_stein_factor(values: Floats, variance: float) -> float:
    """How much of each value's distance from their mean is kept: 1 − (k − 3)·variance / Σ(value − mean)², not below 0.

    For k ≥ 4 values of one variance (Efron & Morris, J. American Statistical Association 70, 1975). Raises ValueError
    for fewer. 1 where all are equal.
    """
    known = floats(values)
    if len(known) < 4:
        raise ValueError(f"shrinking towards the mean takes four values or more, not {len(known)}")
    around = float(((known - known.mean()) ** 2).sum())
    return 1.0 if around == 0 else max(0.0, 1 - (len(known) - 3) * variance / around)
