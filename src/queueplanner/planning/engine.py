"""The search's compiled functions, and their plain twins that stand in until the compiler is done."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from queueplanner.makeready.compiled import IS_COMPILED
from queueplanner.makeready.uncompiled import plain
from queueplanner.planning.anneal import anneal, seed_random
from queueplanner.planning.anneal_presses import PressesState, anneal_presses
from queueplanner.planning.compact import Compact
from queueplanner.planning.flat import flatten
from queueplanner.planning.kernel import IMPOSSIBLE, score, workspace
from queueplanner.planning.pairwise import anneal_pairs, heat_for, pairs_of, seed_pairs
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.proof import closing_score, prove
from queueplanner.planning.relaxation import state_circuit
from queueplanner.planning.signature import new_memo
from queueplanner.planning.walks import Walks


@dataclass(frozen=True, slots=True)
class Engine:
    """What the search calls in its inner loops."""

    score: Callable[..., int]
    anneal: Callable[..., int]
    seed_random: Callable[[int], None]


COMPILED = Engine(score, anneal, seed_random)
_search_ready, _proof_ready, _pairs_ready, _presses_ready = (threading.Event() for _ in range(4))
_warming = threading.Lock()
if not IS_COMPILED:
    _search_ready.set()
    _proof_ready.set()
    _pairs_ready.set()
    _presses_ready.set()


def engine() -> Engine:
    """The compiled engine once it is ready, else its plain twin."""
    if _search_ready.is_set():
        return COMPILED
    return Engine(plain(score), plain(anneal), plain(seed_random))


def anneal_presses_now() -> Callable[..., int]:
    """The compiled annealing of two presses once it is ready, else its plain twin."""
    return anneal_presses if _presses_ready.is_set() else plain(anneal_presses)


def proof_is_ready() -> bool:
    """Whether the compiled proof can be called without waiting for the compiler."""
    return _proof_ready.is_set()


def is_warming() -> bool:
    """Whether a thread is compiling just now."""
    return _warming.locked()


def pairs_are_ready() -> bool:
    """Whether the compiled search of days of pairs can be called without waiting for the compiler."""
    return _pairs_ready.is_set()


def warm_up(T: Compact) -> None:
    """Compile everything, or load it from disk where it was kept; returns when all is ready.

    Any instance's tables will do: compiled code depends on their kinds, not on their figures. The search of days of
    pairs, which shops seldom have, is compiled for such a day alone.
    """
    with _warming:
        _ready_pairs(T)
        if not _search_ready.is_set():
            _touch_search(T)
            _search_ready.set()
        if not _proof_ready.is_set():
            _touch_proof(T)
            _proof_ready.set()
        if not _presses_ready.is_set():
            _touch_presses(T)
            _presses_ready.set()


def warm_up_pairs(T: Compact) -> None:
    """Compile the search of days of pairs alone, or load it; for any other day do nothing."""
    with _warming:
        _ready_pairs(T)


def warm_up_in_background(T: Compact) -> None:
    """Begin `warm_up` on a thread of its own, if it is not done or under way."""
    if not _presses_ready.is_set() and not _warming.locked():
        threading.Thread(target=warm_up, args=(T,), name="warm-up", daemon=True).start()


def _touch_search(T: Compact) -> None:
    rows = np.zeros((2, T.n), dtype=np.int64)
    rows[0] = np.arange(T.n)
    scores = np.array([IMPOSSIBLE, IMPOSSIBLE], dtype=np.int64)
    seed_random(1)
    row = flatten(T)
    anneal(row, new_memo(), rows, rows.copy(), scores, workspace(T), 0, 1.0, 1.0)
    states, ends, marks, scratch = workspace(T)
    score(row, new_memo(), rows[0], rows[1], states, 0, IMPOSSIBLE, ends, marks, scratch)


def _touch_presses(T: Compact) -> None:
    rows, memo, room = flatten(T), new_memo(), workspace(T)
    one = np.zeros(1, dtype=np.int64)
    state = PressesState(np.zeros((2, 2, T.n), dtype=np.int64), np.zeros(2, dtype=np.int64), one)
    scores, jobs = np.full(3, IMPOSSIBLE, dtype=np.int64), np.full((2, 1, 1), -1, dtype=np.int64)
    anneal_presses((rows, rows), (memo, memo), jobs, one, state, state, scores, (room, workspace(T)), 0, 1.0, 1.0)


def _ready_pairs(T: Compact) -> None:
    if not _pairs_ready.is_set() and _touch_pairs(T):
        _pairs_ready.set()


def _touch_pairs(T: Compact) -> bool:
    pairs = pairs_of(T)
    if pairs is None:
        return False
    rows = np.zeros((2, T.n), dtype=np.int64)
    rows[0] = np.arange(T.n)
    seed_pairs(1)
    anneal_pairs(pairs, rows, rows.copy(), np.zeros(2, dtype=np.int64), 0, 1.0, 1.0)
    heat_for(pairs, rows[0], 0.01)
    return True


def _touch_proof(T: Compact) -> None:
    memo = new_memo()
    circuit = state_circuit(T, memo)
    if circuit is None:
        return
    walks = Walks.of(T, circuit, CancelToken())
    walks.improve(IMPOSSIBLE, 1, lambda _bound: None)
    walks.prune(IMPOSSIBLE)
    prove(T, memo, walks, IMPOSSIBLE, 50, CancelToken())
    closing_score(flatten(T), memo, T.start, False)
