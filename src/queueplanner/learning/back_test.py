"""Whether what has been learned foretells better than the defaults: held back, then compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from queueplanner.learning.actuals import ActualChangeover
from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.estimate import RANGE_HOLDS, Estimate
from queueplanner.learning.figures import Figure
from queueplanner.learning.task_minutes import default_seconds, learn_minutes

_DRAWS, _SEED = 2000, 20_260_302


@dataclass(frozen=True, slots=True)
class BackTest:
    """Changeovers foretold without having been seen.

    `learned_from` and `held_back` count changeovers; errors are mean |foretold − actual| in seconds. `gain` is by how
    many seconds a changeover the learned figures do better, with its 80 % range over the held-back ones (bootstrap,
    fixed seed). `held` is the share of actual seconds within the 80 % range, None with none held back.
    """

    learned_from: int
    held_back: int
    default_error: float | None
    learned_error: float | None
    gain: Estimate | None
    held: float | None

    @property
    def learned_is_better(self) -> bool:
        """Whether the learned figures do better, beyond chance as far as the range tells."""
        return self.gain is not None and self.gain.low > 0


def back_test(
    changeovers: Sequence[ActualChangeover], defaults: Mapping[Figure, float], share_held_back: float = 0.3
) -> BackTest:
    """Learn from the earlier changeovers of one press, foretell the later ones, and compare with the defaults.

    The later ones are the given share (0 to 1) by moment; uncertain times are not held against either.
    """
    ordered = sorted(changeovers, key=lambda c: c.moment)
    first = len(ordered) - round(share_held_back * len(ordered))
    earlier, later = ordered[:first], [c for c in ordered[first:] if not c.uncertain]
    if not later:
        return BackTest(len(earlier), 0, None, None, None, None)
    actual = floats([c.seconds for c in later])
    foretold = learn_minutes(earlier, defaults).expected(later)
    by_default = np.abs(floats([default_seconds(c, defaults) for c in later]) - actual)
    by_learned = np.abs(floats([e.value for e in foretold]) - actual)
    return BackTest(
        learned_from=len(earlier),
        held_back=len(later),
        default_error=float(by_default.mean()),
        learned_error=float(by_learned.mean()),
        gain=_mean_with_range(by_default - by_learned),
        held=sum(e.holds(c.seconds) for e, c in zip(foretold, later, strict=True)) / len(later),
    )


def _mean_with_range(values: Floats) -> Estimate:
    """The mean of some values, and the range in which it falls when they are drawn again."""
    draws = np.random.default_rng(_SEED).integers(0, len(values), size=(_DRAWS, len(values)))
    tail = (1 - RANGE_HOLDS) / 2
    low, high = np.quantile(values[draws].mean(axis=1), [tail, 1 - tail]).tolist()
    return Estimate(float(values.mean()), low, high)
