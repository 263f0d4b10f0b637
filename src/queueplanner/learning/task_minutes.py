"""The minutes of the tasks, from changeovers that were logged: ticked task by task, or only totalled.

A changeover's seconds are the sum over its tasks of the figures they are made of. Two persons' total is the length of
a schedule, no sum; it is taken as the sum × (planned make-ready / planned sum), which holds as far as learned minutes
keep the proportions of the planned ones; what that leaves wrong for all changeovers of two persons is taken up by the
pace of their crew.

Before any data a figure is its default, as sure as shops are alike: all figures of a shop share a pace, each has its
own deviation, each crew has a pace and each figure of a crew a deviation. Errors are a share of the seconds, partly
common to the tasks of a changeover, and now and then wild, so neither a forgotten tick nor a visitor at the press pulls
a figure away. Ranges are those of the normal approximation to the posterior, cut at 0. The sizes of what is known
before are judgement; the printing industry's own survey finds plants up to three times apart in make-ready (PIA/GATF
2006, second-hand), which a pace of 25 % and a deviation of 35 % cover.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.actuals import ActualChangeover
from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.estimate import Estimate, cut_normal
from queueplanner.learning.figures import Figure
from queueplanner.learning.minute_rows import (
    ANY_CREW,
    LEAST_SECONDS,
    Axis,
    RowTable,
    rows_of,
    total_row,
)
from queueplanner.learning.robust import Known, RobustFit, Scale, fit_with_knowledge
from queueplanner.learning.shared_errors import log_likelihood

#: Relative standard deviations of what is known before: pace and deviation of a shop, of a crew within the shop.
SHOP_PACE, SHOP_FIGURE, CREW_PACE, CREW_FIGURE = 0.25, 0.35, 0.10, 0.10
#: Errors before any data: a quarter of a task's seconds, worth eight observations (judgement).
ERRORS_BEFORE = Scale(0.25, 8.0)
#: Shares of a changeover's error that all its tasks have in common, of which the likeliest is taken.
COMMON_SHARES = (0.0, 0.05, 0.1, 0.2, 0.35, 0.6, 1.0)
#: How far a total may be from the sum of its tasks for all changeovers of a crew, before any data (judgement).
TOTAL_FACTOR = 0.05
#: No figure is taken for surer than this share of it, however much was logged: the model is not the press (judgement).
MODEL_ERROR = 0.02
#: Half the width of the range that holds 80 % of single cases, strangers among them, in standard deviations of the
#: usual ones: 0.97 · P(|normal| < 1.343) + 0.03 · P(|Cauchy| < 1.343/5) = 0.80.
CASE_REACH = 1.343
_ROUNDS = 2


@dataclass(frozen=True, slots=True)
class Outlook:
    """The make-readies of a day to come: expected seconds, the relative standard deviation of each for itself, and
    that of all of them together, from what is not known of the figures.
    """

    seconds: tuple[float, ...]
    spreads: tuple[float, ...]
    common: float


@dataclass(frozen=True, slots=True)
class LearnedMinutes:
    """What has been learned, in seconds.

    `shop` has each figure for any crew, `crews` for one person and for two, as far as they logged. `evidence` counts
    the logged tasks in which a figure was. `total_factors` say by crew how the totals stand to what their tasks come
    to: over 1 where time passes between ticks, or two persons stand in each other's way. `spread` is the relative
    scale of a single task's errors, `case_spread` that of a whole changeover's, and `common_share` the share of them
    (of variance) that all tasks of a changeover have in common.
    """

    shop: Mapping[Figure, Estimate]
    crews: Mapping[int, Mapping[Figure, Estimate]]
    evidence: Mapping[Figure, int]
    total_factors: Mapping[int, float]
    spread: float
    case_spread: float
    common_share: float
    fit: RobustFit
    axis: Axis

    def of_crew(self, crew: int) -> Mapping[Figure, Estimate]:
        """The figures for a crew; those of the whole shop where nothing of that crew was logged."""
        return self.crews.get(crew, self.shop)

    def expected(self, changeovers: Sequence[ActualChangeover]) -> list[Estimate]:
        """Make-ready seconds to expect for each changeover's planned tasks and crew, with the range of one case.

        A task of a figure that was never learned counts as planned.
        """
        means, own, shared = self._foretold(changeovers)
        return [_one_case(m, sd) for m, sd in zip(means.tolist(), np.hypot(own, shared).tolist(), strict=True)]

    def outlook(self, changeovers: Sequence[ActualChangeover]) -> Outlook:
        """What a forecast wants to know of the make-readies of a day; see `expected`."""
        means, own, shared = self._foretold(changeovers)
        some = means > 0
        relative = np.divide(shared, means, out=np.zeros_like(means), where=some)
        return Outlook(
            seconds=tuple(means.tolist()),
            spreads=tuple(np.divide(own, means, out=np.zeros_like(means), where=some).tolist()),
            common=float(np.average(relative, weights=means)) if some.any() else 0.0,
        )

    def _foretold(self, changeovers: Sequence[ActualChangeover]) -> tuple[Floats, Floats, Floats]:
        """Means, and standard deviations of the single case and from what is not known of the figures; seconds."""
        table = _totals(changeovers, self.axis)
        factors = floats([self.total_factors.get(c.crew, 1.0) for c in changeovers])
        means = factors * (table.design @ self.fit.coefficients) + table.given
        own = self.case_spread * table.error_sizes(self.fit.coefficients, self.common_share).total
        return floats(means), floats(own), self.fit.sd_of(table.design)


def _one_case(mean: float, sd: float) -> Estimate:
    """The range of a single time: log-normal, as times lean to the right, and wide enough for strangers."""
    if mean <= 0:
        return Estimate(0.0, 0.0, CASE_REACH * sd)
    log_sd = math.sqrt(math.log1p((sd / mean) ** 2))
    low, high = (mean * math.exp(reach * log_sd - log_sd**2 / 2) for reach in (-CASE_REACH, CASE_REACH))
    return Estimate(mean, low, high)


def learn_minutes(changeovers: Sequence[ActualChangeover], defaults: Mapping[Figure, float]) -> LearnedMinutes:
    """Learn the seconds of every figure from the changeovers of one press; `defaults` are its seconds now.

    With no changeover the defaults come back, with the ranges of what is known before. A figure that is in a logged
    task but not among the defaults (a shop's own task since given up) is learned from the seconds it was planned
    with.
    """
    figures = _with_strangers(changeovers, defaults)
    axis = Axis.of(figures, {c.crew for c in changeovers} - {ANY_CREW})
    table = RowTable.of(rows_of(changeovers, axis), axis)
    known = _known_before(list(figures.values()), len(axis.crews))
    fit, share = _fit(table, known)
    factors, case_spread = _totals_beside_tasks(changeovers, axis, fit, share)
    by_crew = {crew: _estimates(fit, axis, crew) for crew in axis.crews}
    return LearnedMinutes(
        shop=by_crew.pop(ANY_CREW),
        crews=by_crew,
        evidence=_evidence(changeovers),
        total_factors=factors,
        spread=fit.scale,
        case_spread=case_spread,
        common_share=share,
        fit=fit,
        axis=axis,
    )


def _fit(table: RowTable, known: Known) -> tuple[RobustFit, float]:
    """The fit under the likeliest share of errors in common, and that share; errors in proportion to what is found."""
    share, seconds = COMMON_SHARES[2], known.mean
    fit = _fit_once(table, known, seconds, share)
    for _ in range(_ROUNDS):
        seconds = fit.coefficients
        residuals = table.seconds - table.design @ seconds
        likely = [log_likelihood(residuals, table.error_sizes(seconds, s), ERRORS_BEFORE) for s in COMMON_SHARES]
        share = COMMON_SHARES[int(np.argmax(likely))]
        fit = _fit_once(table, known, seconds, share)
    return fit, share


def _fit_once(table: RowTable, known: Known, seconds: Floats, share: float) -> RobustFit:
    sizes = table.error_sizes(seconds, share)
    return fit_with_knowledge(sizes.evened(table.design), sizes.evened(table.seconds), known, ERRORS_BEFORE)


def _totals(changeovers: Sequence[ActualChangeover], axis: Axis) -> RowTable:
    return RowTable.of([total_row(i, c, axis) for i, c in enumerate(changeovers)], axis)


def _totals_beside_tasks(
    changeovers: Sequence[ActualChangeover], axis: Axis, fit: RobustFit, share: float
) -> tuple[dict[int, float], float]:
    """By crew the factor of the totals over what their tasks come to, and the scale of the totals' errors."""
    table, crews = _totals(changeovers, axis), [crew for crew in axis.crews if crew != ANY_CREW]
    sizes = table.error_sizes(fit.coefficients, share).total
    of_crew = floats([[float(c.crew == crew) for crew in crews] for c in changeovers]).reshape(
        len(changeovers), len(crews)
    )
    standard = (table.design @ fit.coefficients / sizes)[:, None] * of_crew
    known = Known(np.ones(len(crews)), TOTAL_FACTOR**2 * np.eye(len(crews)))
    beside = fit_with_knowledge(standard, table.seconds / sizes, known, ERRORS_BEFORE)
    # what was fitted to these very totals makes them look surer than they are
    hidden = float(np.mean((fit.sd_of(table.design) / sizes) ** 2)) if len(sizes) else 0.0
    factors = dict(zip(crews, beside.coefficients.tolist(), strict=True))
    return factors, float(np.hypot(beside.scale, hidden**0.5))


def default_seconds(changeover: ActualChangeover, defaults: Mapping[Figure, float]) -> float:
    """Make-ready seconds of a changeover's planned tasks with given figures, for its crew.

    A figure that is not given counts with the seconds its task was planned with.
    """
    total = 0.0
    for task in changeover.inside:
        if all(figure in defaults for figure, _ in task.parts):
            total += sum(defaults[figure] * count for figure, count in task.parts)
        else:
            total += task.planned_seconds
    return changeover.crew_ratio * total


def _with_strangers(changeovers: Iterable[ActualChangeover], defaults: Mapping[Figure, float]) -> dict[Figure, float]:
    found = dict(defaults)
    for changeover in changeovers:
        for task in changeover.tasks:
            for figure, _ in task.parts:
                found.setdefault(figure, task.planned_seconds / sum(count for _, count in task.parts))
    return found


def _known_before(defaults: Sequence[float], crews: int) -> Known:
    """Means and covariance of all columns: crew by crew, the first of them any crew."""
    seconds = floats(defaults)
    size = np.maximum(seconds, LEAST_SECONDS)
    alike = np.outer(size, size)
    shop = SHOP_PACE**2 * alike + SHOP_FIGURE**2 * np.diag(size**2)
    crew = CREW_PACE**2 * alike + CREW_FIGURE**2 * np.diag(size**2)
    apart = np.diag([0.0] + [1.0] * (crews - 1))
    return Known(np.tile(seconds, crews), np.kron(np.ones((crews, crews)), shop) + np.kron(apart, crew))


def _estimates(fit: RobustFit, axis: Axis, crew: int) -> dict[Figure, Estimate]:
    sds = np.sqrt(np.diag(fit.covariance))
    found = {}
    for figure in axis.figures:
        i = axis.at(crew, figure)
        value = float(fit.coefficients[i])
        sd = float(np.hypot(sds[i], MODEL_ERROR * value))
        found[figure] = cut_normal(float(fit.unbound[i]), sd, value)
    return found


def _evidence(changeovers: Iterable[ActualChangeover]) -> dict[Figure, int]:
    counts: Counter[Figure] = Counter()
    for changeover in changeovers:
        for task in changeover.inside:
            counts.update(figure for figure, _ in task.parts)
    return dict(counts)
