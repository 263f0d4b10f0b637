"""How long work tells where it is and is asked to stop; it knows nothing of threads or windows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from queueplanner.planning.plan import Plan


@dataclass(frozen=True, slots=True)
class Progress:
    """One word from a running search.

    `plan` is a new better plan, or None for a sign of life; `bound` the lowest objective still possible, where known.
    """

    seconds: float
    phase: str
    plan: Plan | None = None
    bound: int | None = None


OnProgress = Callable[[Progress], None]


class CancelToken:
    """A request to stop, set from any thread and looked at by the work.

    `flag` is what compiled code looks at: one number, 0 until a stop is asked for.
    """

    def __init__(self) -> None:
        self.flag = np.zeros(1, dtype=np.int64)

    def cancel(self) -> None:
        """Ask the work to stop and keep the best it has."""
        self.flag[0] = 1

    @property
    def cancelled(self) -> bool:
        """Whether a stop has been asked for."""
        return bool(self.flag[0])
