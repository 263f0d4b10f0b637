"""Run speeds, learned from runs: the stock's speed and the factor of each coverage class.

A run's speed is its stock's speed times its class's factor times an error, all in logs; both are drawn towards the
figures of the shop's files until there are runs. The error is that of a run, the smaller the longer it was: speed
settles only after some sheets.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from queueplanner.learning.actuals import ActualRun
from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.estimate import RANGE_HOLDS, Estimate
from queueplanner.learning.robust import Known, Scale, fit_with_knowledge

#: How far a shop's speeds and factors are from those of its files: standard deviations of logs (judgement).
PRESS_SPREAD, STOCK_SPREAD, CLASS_SPREAD = 0.15, 0.15, 0.08
#: Errors of a long run before any data, worth eight runs; a run of so many sheets errs √2 times as much (judgement).
ERRORS_BEFORE, SHORT_RUN = Scale(0.12, 8.0), 500.0
#: Nothing is taken for surer than this (judgement).
MODEL_ERROR = 0.01


@dataclass(frozen=True, slots=True)
class LearnedSpeeds:
    """Sheets an hour of each stock at the factor 1, and the factor of each coverage class.

    `stock_runs` and `class_runs` count the runs that tell of each; `left_out` those of an unknown stock or class, or
    without running time. `spread` is the relative error of a long run's speed.
    """

    stocks: Mapping[str, Estimate]
    classes: Mapping[str, Estimate]
    stock_runs: Mapping[str, int]
    class_runs: Mapping[str, int]
    spread: float
    left_out: int

    def run_spread(self, sheets: int) -> float:
        """Relative standard deviation of the time of a run of so many sheets, 1 or more."""
        return self.spread * math.sqrt(1 + SHORT_RUN / sheets)


def learn_speeds(runs: Iterable[ActualRun], stocks: Mapping[str, float], classes: Mapping[str, float]) -> LearnedSpeeds:
    """Learn from the runs of one press; `stocks` are sheets an hour now by stock id, `classes` factors now by name.

    Without runs what is now comes back, with the ranges of what is known before. A run tells only of stock × class;
    how that is shared between the two is drawn towards the files.
    """
    made = list(runs)
    usable = [run for run in made if run.stock in stocks and run.coverage_class in classes and _has_speed(run)]
    sizes = floats([math.sqrt(1 + SHORT_RUN / run.sheets) for run in usable])
    design = _design(usable, list(stocks), list(classes)) / sizes[:, None]
    seen = floats([_departure(run, stocks[run.stock] * classes[run.coverage_class]) for run in usable]) / sizes
    fit = fit_with_knowledge(design, seen, _known(len(stocks), len(classes)), ERRORS_BEFORE, nonnegative=False)
    sds = np.hypot(np.sqrt(np.diag(fit.covariance)), MODEL_ERROR)
    departures = list(zip(fit.coefficients.tolist(), sds.tolist(), strict=True))
    return LearnedSpeeds(
        stocks={key: _estimate(stocks[key], *d) for key, d in zip(stocks, departures[: len(stocks)], strict=True)},
        classes={key: _estimate(classes[key], *d) for key, d in zip(classes, departures[len(stocks) :], strict=True)},
        stock_runs=Counter(run.stock for run in usable),
        class_runs=Counter(run.coverage_class for run in usable),
        spread=fit.scale,
        left_out=len(made) - len(usable),
    )


def _has_speed(run: ActualRun) -> bool:
    return run.sheets > 0 and run.running_seconds > 0


def _design(runs: Sequence[ActualRun], stocks: Sequence[str], classes: Sequence[str]) -> Floats:
    """Runs × (stocks, then classes): 1 where the run is of it."""
    design: Floats = np.zeros((len(runs), len(stocks) + len(classes)))
    for i, run in enumerate(runs):
        design[i, stocks.index(run.stock)] = 1
        design[i, len(stocks) + classes.index(run.coverage_class)] = 1
    return design


def _departure(run: ActualRun, sheets_an_hour: float) -> float:
    """Log of a run's speed over what the files give."""
    return math.log(3600 * run.sheets / run.running_seconds / sheets_an_hour)


def _known(stocks: int, classes: int) -> Known:
    """Log departures before any data: 0; stocks share the press's own."""
    covariance = np.diag([STOCK_SPREAD**2] * stocks + [CLASS_SPREAD**2] * classes)
    covariance[:stocks, :stocks] += PRESS_SPREAD**2
    return Known(np.zeros(stocks + classes), covariance)


def _estimate(now: float, departure: float, sd: float) -> Estimate:
    reach = NormalDist().inv_cdf((1 + RANGE_HOLDS) / 2) * sd
    low, value, high = (now * math.exp(departure + d) for d in (-reach, 0.0, reach))
    return Estimate(value, low, high)
