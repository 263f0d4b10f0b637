"""From bounds to proof: tighten the walks, drop what cannot beat the best plan, and try to close the day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from queueplanner.planning.circuit import circuit_bound
from queueplanner.planning.compact import Compact, Ints
from queueplanner.planning.kernel import IMPOSSIBLE
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.proof import prove
from queueplanner.planning.relaxation import state_circuit
from queueplanner.planning.signature import Memo
from queueplanner.planning.walks import Walks

#: Subgradient rounds before memories grow, and the most passes one pass remembers.
ROUNDS, MOST_REMEMBERED = 150, 9
#: Labels a layer of the proof may hold, one try after the other, while the gap is small enough for a try to pay.
ROOMS = (5_000, 30_000, 100_000, 300_000)
GAP_WORTH_TRYING = (0.25, 0.06, 0.03, 0.01)
#: The same where the day is eased, and far fewer labels are left; and the most passes for which any gap is worth a try.
EASED_GAP_WORTH_TRYING = (0.5, 0.4, 0.3, 0.3)
FEW_PASSES = 9
#: More passes than this do not fit into the set of a label.
MOST_PASSES = 60
#: The longest CP-SAT is asked; the search's own time usually ends it sooner.
SOLVER_SECONDS = 3600.0


class Best(Protocol):
    """Where the best order known stands, and where a better one is handed in."""

    def best(self) -> tuple[Ints, int]:
        """The best order and its objective."""

    def offer(self, rows: Ints, value: int) -> None:
        """Hand in an order."""


@dataclass(frozen=True)
class Proof:
    """What is known of the best possible: no plan is below `bound`; `closed` if none is below the best known."""

    bound: int
    closed: bool


def prove_day(T: Compact, memo: Memo, race: Best, cancel: CancelToken, on_bound: Callable[[int], None]) -> Proof:
    """Work on the proof of the best order in `race` until it closes, no more can be done, or a stop is asked for."""
    if T.n > MOST_PASSES:
        return Proof(0, False)
    circuit = state_circuit(T, memo)
    if circuit is None or cancel.cancelled:
        return Proof(0, False)
    walks = Walks.of(T, circuit, cancel)
    tried: set[tuple[int, int, int, bool]] = set()
    while not cancel.cancelled:
        target = race.best()[1]
        if target >= IMPOSSIBLE:
            return Proof(0, False)
        walks.look_at_the_clock(target)
        walks.improve(target, ROUNDS, on_bound)
        if cancel.flag[0]:
            break
        if walks.bound >= target:
            return Proof(target, race.best()[1] == target)
        walks.prune(target)
        closed = _try_labels(T, memo, walks, race, target, tried, cancel, on_bound)
        if closed:
            return Proof(target, race.best()[1] == target)
        walks.step = 0.5
        if not walks.remember_cycles(MOST_REMEMBERED) and race.best()[1] == target:
            return _ask_solver(walks, race, target, cancel, on_bound)
    return Proof(walks.bound, False)


def _ask_solver(walks: Walks, race: Best, target: int, cancel: CancelToken, on_bound: Callable[[int], None]) -> Proof:
    """When walks give no more: CP-SAT on what they left of the circuit, which holds every plan below the target."""
    bound = circuit_bound(walks.circuit, SOLVER_SECONDS, cancel, lambda b: on_bound(min(b, target)))
    if cancel.cancelled:
        return Proof(walks.bound, False)
    if bound is None or bound >= target:
        return Proof(target, race.best()[1] == target)
    return Proof(max(bound, walks.bound), False)


def _try_labels(
    T: Compact,
    memo: Memo,
    walks: Walks,
    race: Best,
    target: int,
    tried: set[tuple[int, int, int, bool]],
    cancel: CancelToken,
    on_bound: Callable[[int], None],
) -> bool:
    """Try to close the gap label by label, in growing rooms, eased first; True when no plan is below the target."""
    gap = (target - walks.bound) / max(1, target)
    for ease, worths in ((True, EASED_GAP_WORTH_TRYING), (False, GAP_WORTH_TRYING)):
        for room, worth in zip(ROOMS, worths, strict=True):
            key = (room, target, walks.bound, ease)
            if (gap > worth and T.n > FEW_PASSES) or key in tried or cancel.cancelled:
                continue
            tried.add(key)
            verdict = prove(T, memo, walks, target, room, cancel, ease=ease)
            if verdict.rows is not None:
                race.offer(verdict.rows, verdict.value)
                return False
            if verdict.closed and not cancel.cancelled:
                return True
            if verdict.bound and not cancel.cancelled:
                on_bound(min(verdict.bound, target))
            if verdict.through:
                break  # a larger room would find the same
    return False
