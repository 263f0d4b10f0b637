"""How long work tells where it is and is asked to stop; it knows nothing of threads or windows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

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
    """A request to stop, set from any thread and looked at by the work."""

    def __init__(self) -> None:
        self._cancelled = False

    def cancel(self) -> None:
        """Ask the work to stop and keep the best it has."""
        self._cancelled = True

    @property
    def cancelled(self) -> bool:
        """Whether a stop has been asked for."""
        return self._cancelled
