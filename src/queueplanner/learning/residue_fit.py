"""The two constants of the residue, learned from the washes that inks really needed.

With c = c0 · rⁿ of the old ink left, the new one differs by ΔE(c) after n washes. Somebody looks at the sheet and
takes it as clean when ΔE(c) is within a tolerance judged a little otherwise each time: that of the ink times a
log-normal factor. So n washes were needed when ΔE after n is within the judged tolerance and after n − 1 is not; and
now and then a count is a slip. Both constants are on a grid in log odds, normal around the defaults before any data.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from queueplanner.learning.actuals import ActualWash
from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.estimate import RANGE_HOLDS, Estimate, normal_cdf
from queueplanner.makeready.residue import (
    CAUTIOUS_WASHES,
    ResidueModel,
    difference_of_share,
    is_predicted,
)
from queueplanner.shop.ink import Ink

#: How sure the defaults are before any data: standard deviations of the log odds of c0 and r (judgement).
C0_SPREAD, R_SPREAD = 0.6, 0.7
#: Standard deviations the log of a judged tolerance may have; each as likely before (judgement).
JUDGEMENT_SPREADS = (0.15, 0.3, 0.5)
#: Share of counts that are slips, any number as likely (judgement).
SLIPS = 0.03
_POINTS, _REACH = 61, 3.5
#: Shares of old ink at which a pair's colour difference is reckoned; between them it is interpolated in logs.
_SHARES = np.geomspace(1e-7, 1.0, 71)


@dataclass(frozen=True, slots=True)
class ResidueFit:
    """The constants with their 80 % ranges; `washes` is how many wash-ups tell of them, `left_out` how many do not.

    `left_out` are those of inks for which nothing is predicted. `judgement_spread` is the likeliest spread of judged
    tolerances. The ranges are each for itself: a higher c0 goes with a lower r.
    """

    c0: Estimate
    r: Estimate
    judgement_spread: float
    washes: int
    left_out: int

    def model(self, most_washes: int = 4) -> ResidueModel:
        """The residue model with the learned constants."""
        return ResidueModel(c0=self.c0.value, r=self.r.value, most_washes=most_washes)


def fit_residue(washes: Iterable[ActualWash], before: ResidueModel | None = None) -> ResidueFit:
    """Learn c0 and r; `before` has the constants believed in without data (the defaults).

    With nothing to learn from, the medians are those of `before`.
    """
    believed = before or ResidueModel()
    told, left_out = _pairs(washes)
    c0, r = _axis(believed.c0, C0_SPREAD), _axis(believed.r, R_SPREAD)
    log_weights = np.zeros((len(JUDGEMENT_SPREADS), _POINTS, _POINTS)) + _belief()
    for (old, new), counts in told.items():
        log_weights += _log_chances(old, new, counts, c0, r, believed.most_washes)
    weights = np.exp(log_weights - log_weights.max())
    weights /= weights.sum()
    return ResidueFit(
        c0=_estimate(c0, weights.sum(axis=(0, 2))),
        r=_estimate(r, weights.sum(axis=(0, 1))),
        judgement_spread=JUDGEMENT_SPREADS[int(np.argmax(weights.sum(axis=(1, 2))))],
        washes=sum(sum(counts.values()) for counts in told.values()),
        left_out=left_out,
    )


def _pairs(washes: Iterable[ActualWash]) -> tuple[dict[tuple[Ink, Ink], Counter[int]], int]:
    """The counts of washes needed by ordered pair of inks, and how many wash-ups tell nothing."""
    told: dict[tuple[Ink, Ink], Counter[int]] = {}
    left_out = 0
    for wash in washes:
        if is_predicted(wash.old, wash.new) and wash.old.id != wash.new.id and wash.needed >= 1:
            told.setdefault((wash.old, wash.new), Counter())[wash.needed] += 1
        else:
            left_out += 1
    return told, left_out


def _axis(centre: float, spread: float) -> Floats:
    """Points of a constant, evenly spaced in log odds, the middle one its value before."""
    bounded = min(max(centre, 1e-3), 1 - 1e-3)
    odds = np.log(bounded / (1 - bounded)) + spread * np.linspace(-_REACH, _REACH, _POINTS)
    return floats(1 / (1 + np.exp(-odds)))


def _belief() -> Floats:
    """Log weights of all points (c0 × r) before any data."""
    square = np.linspace(-_REACH, _REACH, _POINTS) ** 2 / 2
    return floats(-(square[:, None] + square[None, :]))


def _log_chances(old: Ink, new: Ink, counts: Mapping[int, int], c0: Floats, r: Floats, most: int) -> Floats:
    """Log likelihood of a pair's counts: judgement spreads × c0 × r."""
    clean = _clean_chances(old, new, c0, r, most)
    least = 1 if old.family == new.family else CAUTIOUS_WASHES
    total: Floats = np.zeros(clean.shape[1:])
    for needed, times in counts.items():
        n = min(max(needed, least), most)
        before = clean[n - 2] if n > least else np.zeros_like(total)
        total += times * np.log((1 - SLIPS) * (clean[n - 1] - before) + SLIPS / most)
    return total


def _clean_chances(old: Ink, new: Ink, c0: Floats, r: Floats, most: int) -> Floats:
    """Chance that at most n = 1, 2, … `most` washes are needed: n × judgement spreads × c0 × r. At `most` it is 1."""
    table = floats(_log_differences(old, new))
    chances: Floats = np.ones((most, len(JUDGEMENT_SPREADS), len(c0), len(r)))
    for n in range(1, most):
        share = np.log(c0)[:, None] + n * np.log(r)[None, :]
        margin = np.log(new.tolerance_de00) - np.interp(share, np.log(_SHARES), table)
        for i, spread in enumerate(JUDGEMENT_SPREADS):
            chances[n - 1, i] = normal_cdf(margin / spread)
    return chances


@lru_cache(maxsize=1024)
def _log_differences(old: Ink, new: Ink) -> tuple[float, ...]:
    """Log ΔE at each of the shares; more of the old ink is never taken as cleaner."""
    differences = [difference_of_share(old, new, share) for share in _SHARES.tolist()]
    return tuple(np.maximum.accumulate(np.log(np.maximum(differences, 1e-9))).tolist())


def _estimate(points: Floats, weights: Floats) -> Estimate:
    """Median and 80 % range of a constant from the weights of its points."""
    running = np.cumsum(weights) - weights / 2
    tail = (1 - RANGE_HOLDS) / 2
    low, value, high = np.interp([tail, 0.5, 1 - tail], running, points).tolist()
    return Estimate(value, low, high)
