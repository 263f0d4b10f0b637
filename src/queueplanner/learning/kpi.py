"""Key figures of a press after ISO 22400-2, with our reading of what the standard leaves open.

The formulas are those listed for ISO 22400-2:2014 in public documents (also Kang et al., Int. J. Production Research
54(21), 2016); the standard itself has not been quoted. Our reading, for a press as the work unit:

* planned busy time (PBT): the working seconds of the shifts, breaks left out, in which the press was to be busy;
* actual unit set-up time (AUST): make-ready, evening washes in it; it lies inside the planned busy time and outside
  the production time, so make-ready lowers availability;
* actual production time (APT): seconds in which sheets went through, and the reloading of piles, which the plan of a
  run holds too;
* actual unit delay time (ADET): the logged stops in a run;
* actual unit busy time (AUBT): APT + AUST + ADET; processing time (AUPT): APT + AUST;
* actual order execution time (AOET): clock time, breaks and closed hours left out, from the first changeover's
  beginning to the last run's end; so it is AUBT and whatever waiting lay between (down time, ADOT);
* planned run time per item (PRI) differs from pass to pass, so PRI · PQ is the sum over the runs of the planned
  seconds for the sheets that went through;
* produced quantity (PQ): sheets of the runs, good and waste; make-ready sheets are material of the set-up and not
  counted; good quantity (GQ): good sheets.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from queueplanner.learning.actuals import ActualChangeover, ActualRun


@dataclass(frozen=True, slots=True)
class Elements:
    """The times (seconds) and quantities (sheets) the key figures are made of.

    `planned_production_s` is the sum over the runs of planned run time per item × quantity produced.
    """

    planned_busy_s: float
    production_s: float
    setup_s: float
    delay_s: float
    execution_s: float
    planned_production_s: float
    produced: float
    good: float

    @property
    def processing_s(self) -> float:
        """AUPT: production and set-up."""
        return self.production_s + self.setup_s

    @property
    def busy_s(self) -> float:
        """AUBT: production, set-up and delays."""
        return self.processing_s + self.delay_s


@dataclass(frozen=True, slots=True)
class KeyFigures:
    """The key figures as plain ratios (0.5 is 50 %); None where the denominator is 0. Lower is better for set-up only.

    `allocation_ratio` AUBT/AOET, `allocation_efficiency` AUBT/PBT, `utilisation_efficiency` APT/AUBT, `setup_ratio`
    AUST/AUPT, `technical_efficiency` APT/(APT + ADET), `production_process_ratio` APT/AOET, `availability` APT/PBT,
    `effectiveness` PRI·PQ/APT, `quality_ratio` GQ/PQ, `oee` availability × effectiveness × quality ratio, `nee`
    AUPT/PBT × effectiveness × quality ratio (set-up not held against the press), `throughput_per_hour` PQ/AOET in
    sheets an hour. Effectiveness over 1 means that runs were quicker than planned.
    """

    allocation_ratio: float | None
    allocation_efficiency: float | None
    utilisation_efficiency: float | None
    setup_ratio: float | None
    technical_efficiency: float | None
    production_process_ratio: float | None
    availability: float | None
    effectiveness: float | None
    quality_ratio: float | None
    oee: float | None
    nee: float | None
    throughput_per_hour: float | None


def elements_of(
    changeovers: Iterable[ActualChangeover], runs: Iterable[ActualRun], planned_busy_s: float, execution_s: float
) -> Elements:
    """The elements of a span of days on one press; seconds as in the module's docstring."""
    made = list(runs)
    return Elements(
        planned_busy_s=planned_busy_s,
        production_s=sum(run.seconds - run.stop_seconds for run in made),
        setup_s=sum(c.seconds for c in changeovers),
        delay_s=sum(run.stop_seconds for run in made),
        execution_s=execution_s,
        planned_production_s=sum(run.planned_seconds for run in made),
        produced=sum(run.sheets for run in made),
        good=sum(run.good_sheets for run in made),
    )


def key_figures(e: Elements) -> KeyFigures:
    """All key figures of some elements."""
    availability = _ratio(e.production_s, e.planned_busy_s)
    effectiveness = _ratio(e.planned_production_s, e.production_s)
    quality = _ratio(e.good, e.produced)
    hourly = _ratio(3600 * e.produced, e.execution_s)
    return KeyFigures(
        allocation_ratio=_ratio(e.busy_s, e.execution_s),
        allocation_efficiency=_ratio(e.busy_s, e.planned_busy_s),
        utilisation_efficiency=_ratio(e.production_s, e.busy_s),
        setup_ratio=_ratio(e.setup_s, e.processing_s),
        technical_efficiency=_ratio(e.production_s, e.production_s + e.delay_s),
        production_process_ratio=_ratio(e.production_s, e.execution_s),
        availability=availability,
        effectiveness=effectiveness,
        quality_ratio=quality,
        oee=_product(availability, effectiveness, quality),
        nee=_product(_ratio(e.processing_s, e.planned_busy_s), effectiveness, quality),
        throughput_per_hour=hourly,
    )


def _ratio(over: float, under: float) -> float | None:
    return None if under == 0 else over / under


def _product(*factors: float | None) -> float | None:
    product = 1.0
    for factor in factors:
        if factor is None:
            return None
        product *= factor
    return product
