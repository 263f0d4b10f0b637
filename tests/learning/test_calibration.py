"""From the log to the chance of being late: chances told beforehand come true as often as they say."""

from __future__ import annotations

import numpy as np

from queueplanner.learning.actuals import ActualChangeover
from queueplanner.learning.forecast import CommonSpread, PassTimes, forecast
from queueplanner.learning.task_minutes import learn_minutes
from queueplanner.learning.work_hours import WorkHours
from tests.learning.simulated_shop import SimulatedShop, Truth, defaults

HOURS = WorkHours.of([(0, 1e6, 0)])
RUN_S = 1200.0


def _told_and_true(seed: int) -> list[tuple[float, bool]]:
    """The chances told for the passes of some days of one shop, and whether they were late."""
    rng = np.random.default_rng(seed)
    shop = SimulatedShop(seed, Truth(wild=0.0))
    learned = learn_minutes(shop.log(60, ticked=0.3), defaults())
    ahead = shop.log(48, first_day=70)
    pairs: list[tuple[float, bool]] = []
    for first in range(0, 48, 6):
        day: list[ActualChangeover] = ahead[first : first + 6]
        outlook = learned.outlook(day)
        likely = np.cumsum(np.array(outlook.seconds) + RUN_S) * rng.uniform(0.85, 1.2)
        passes = [
            PassTimes(ready, RUN_S, spread, due=float(due))
            for ready, spread, due in zip(outlook.seconds, outlook.spreads, likely, strict=True)
        ]
        told = forecast(HOURS, passes, 0.0, common=CommonSpread(makeready=outlook.common), days=1000)
        ends = np.cumsum([c.seconds + RUN_S for c in day])
        pairs += [(t.late_chance or 0.0, bool(end > due)) for t, end, due in zip(told, ends, likely, strict=True)]
    return pairs


def test_chances_of_being_late_come_true_as_often_as_they_say() -> None:
    told, true = map(np.array, zip(*(pair for seed in range(18) for pair in _told_and_true(seed)), strict=True))
    assert abs(float(told.mean() - true.mean())) < 0.06
    for low, high in ((0.0, 0.3), (0.3, 0.7), (0.7, 1.01)):
        some = (told >= low) & (told < high)
        assert some.sum() > 100
        assert abs(float(told[some].mean() - true[some].mean())) < 0.12
    assert float(np.mean((told - true) ** 2)) < 0.8 * float(true.mean() * (1 - true.mean()))
