"""The search for a good order: annealing chains on the compact instance, restarted, one to a core."""

from __future__ import annotations

import os
import random
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from queueplanner.planning.anneal import CHOICE, ORDER
from queueplanner.planning.compact import LATE, Compact, Ints, Numbering, compact
from queueplanner.planning.engine import engine, pairs_are_ready, proof_is_ready
from queueplanner.planning.flat import flatten
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.kernel import IMPOSSIBLE, workspace
from queueplanner.planning.pair_chains import run_pair_chains
from queueplanner.planning.pairwise import anneal_pairs, pairs_of
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.prover import prove_day
from queueplanner.planning.signature import Memo, new_memo
from queueplanner.shop.base import PassId

#: A chunk of annealing is cut so that a stop is heard, and a better order told, within about this many seconds.
CHUNK_SECONDS = 0.05
#: Make-ready minutes a move may cost at the start of a chain, and at its end.
HOT_MINUTES, COLD_MINUTES = 12.0, 0.35
#: Chains take turns: how hot they begin, as a share of HOT_MINUTES, and for late days as a share of the objective.
HEATS = ((1.0, 0.02), (0.3, 0.1), (0.6, 0.004), (2.0, 0.3))

Solution = tuple[tuple[PassId, ...], dict[PassId, UnitChoice]]


@dataclass
class Searcher:
    """A compact instance with the room to score orders on it; one per thread."""

    tables: Compact
    memo: Memo = field(default_factory=new_memo)

    def __post_init__(self) -> None:
        self.room = workspace(self.tables)
        self.row = flatten(self.tables)
        self.pairs = pairs_of(self.tables) if pairs_are_ready() and not self.tables.is_ruled else None

    def score(self, rows: Ints) -> int:
        """The objective of an order and unit choice; IMPOSSIBLE when no calendar day holds it."""
        states, ends, marks, scratch = self.room
        states[0] = self.tables.start
        return int(
            engine().score(self.row, self.memo, rows[ORDER], rows[CHOICE], states, 0, IMPOSSIBLE, ends, marks, scratch)
        )

    def lateness(self) -> int:
        """Points of lateness of the order scored last."""
        return int(self.tables.weights[0] * self.room[0][self.tables.n + 1, LATE])

    def anneal(self, current: Ints, best: Ints, scores: Ints, steps: int, hot: float, cold: float) -> int:
        """Run a stretch of annealing; see `anneal`."""
        if self.pairs is not None:
            return int(anneal_pairs(self.pairs, current, best, scores, steps, hot, cold))
        self.room[0][0] = self.tables.start
        return int(engine().anneal(self.row, self.memo, current, best, scores, self.room, steps, hot, cold))


@dataclass(frozen=True)
class Numbered:
    """An instance as arrays, and the way there and back."""

    instance: Instance
    tables: Compact
    numbering: Numbering

    @classmethod
    def of(cls, instance: Instance) -> Numbered:
        """Number an instance."""
        tables, numbering = compact(instance)
        return cls(instance, tables, numbering)

    def rows(self, order: Sequence[PassId], units: dict[PassId, UnitChoice]) -> Ints:
        """An order and unit choice as two rows of numbers; a pass without a choice takes its first."""
        number = {pass_id: i for i, pass_id in enumerate(self.numbering.passes)}
        rows = np.zeros((2, self.tables.n), dtype=np.int64)
        rows[ORDER] = [number[pass_id] for pass_id in order]
        for pass_id, choice in units.items():
            rows[CHOICE, number[pass_id]] = self.instance.choices[pass_id].index(choice)
        return rows

    def solution(self, rows: Ints) -> Solution:
        """The order and unit choice of two rows of numbers."""
        ids = self.numbering.passes
        order = tuple(ids[i] for i in rows[ORDER])
        return order, {ids[i]: self.instance.choices[ids[i]][c] for i, c in enumerate(rows[CHOICE])}


def best_unit_rows(searcher: Searcher, rows: Ints) -> Ints:
    """A unit choice for a fixed order that no flip of up to three neighbouring open passes betters."""
    rows = rows.copy()
    best = searcher.score(rows)
    open_passes = [int(p) for p in rows[ORDER] if searcher.tables.choices[p] > 1]
    improved = True
    while improved:
        improved = False
        for width in (1, 2, 3):
            for start in range(len(open_passes) - width + 1):
                trial = rows.copy()
                for p in open_passes[start : start + width]:
                    trial[CHOICE, p] = 1 - trial[CHOICE, p]
                value = searcher.score(trial)
                if value < best:
                    rows, best, improved = trial, value, True
    return rows


class Race:
    """The best order so far, shared by the threads that look for a better one, and what is proven about it."""

    def __init__(self, rows: Ints, value: int, deadline: float, cancel: CancelToken) -> None:
        self.rows, self.value, self.deadline, self.cancel = rows, value, deadline, cancel
        self.changed = threading.Condition()
        self.bound = 0
        self.closed = False

    @property
    def over(self) -> bool:
        """Whether the best is proven, time is up, or a stop was asked for."""
        return self.closed or self.value <= 0 or self.cancel.cancelled or time.monotonic() >= self.deadline

    def offer(self, rows: Ints, value: int) -> None:
        """Take an order as the best if it is better."""
        with self.changed:
            if value < self.value:
                self.rows, self.value = rows.copy(), value
                self.changed.notify()

    def best(self) -> tuple[Ints, int]:
        """The best order and its objective."""
        with self.changed:
            return self.rows.copy(), self.value

    def note_bound(self, bound: int) -> None:
        """Remember a better lower bound."""
        with self.changed:
            self.bound = max(self.bound, bound)
            self.changed.notify()


@dataclass(frozen=True)
class Found:
    """What a search came to: the best rows, their objective, a lower bound, and whether no better plan exists."""

    rows: Ints
    value: int
    bound: int
    proven: bool


#: Seconds of search on every thread before one of them turns to the proof.
HEAD_START = 0.25


def search(
    numbered: Numbered,
    starts: Sequence[Ints],
    seconds: float,
    seed: int,
    on_news: Callable[[Ints | None, int], None],
    cancel: CancelToken,
    threads: int | None = None,
) -> Found:
    """Anneal from some starting orders for so many seconds, and prove what can be proven.

    `on_news` is called from the calling thread with each better order (or None for a sign of life) and the bound.
    """
    searchers = [Searcher(numbered.tables) for _ in range(threads or min(2, os.cpu_count() or 1))]
    values = [searchers[0].score(rows) for rows in starts]
    best, value = starts[int(np.argmin(values))].copy(), min(values)
    stop = CancelToken()
    race = Race(best, value, time.monotonic() + seconds, cancel)
    if value < IMPOSSIBLE:
        on_news(best, 0)
    with ThreadPoolExecutor(len(searchers) + 1) as pool:
        work = [pool.submit(_run_chains, s, race, starts, seed + 7919 * k, seconds) for k, s in enumerate(searchers)]
        work.append(pool.submit(_run_proof, numbered.tables, race, stop))
        try:
            _tell_news(race, value, on_news)
        finally:
            race.deadline = 0.0
            stop.cancel()
        for w in work:
            w.result()
    rows, value = race.best()
    return Found(rows, value, race.bound, race.closed or value <= 0)


def _tell_news(race: Race, told: int, on_news: Callable[[Ints | None, int], None]) -> None:
    """Hand on what the threads find until the race is over; the last best too."""
    life = time.monotonic()
    while True:
        over = race.over
        rows, value = race.best()
        if value < told:
            told = value
            on_news(rows, race.bound)
        elif time.monotonic() - life > 0.25:
            life = time.monotonic()
            on_news(None, race.bound)
        if over:
            return
        with race.changed:
            race.changed.wait(0.05)


def _run_proof(T: Compact, race: Race, stop: CancelToken) -> None:
    """The proof, once the search has had its head start and the compiler is done."""
    until = time.monotonic() + HEAD_START
    while not race.over and (time.monotonic() < until or not proof_is_ready()):
        time.sleep(0.01)
    if race.over or not (T.weights[1] or T.weights[2]):
        return  # the circuit bounds make-ready and wash-ups alone
    proof = prove_day(T, new_memo(), race, stop, race.note_bound)
    race.note_bound(proof.bound)
    race.closed = proof.closed


def _run_chains(searcher: Searcher, race: Race, starts: Sequence[Ints], seed: int, seconds: float) -> None:
    """Annealing chains, one after the other, until the race is over; now and then one from a human rule's order."""
    if searcher.pairs is not None:
        run_pair_chains(searcher.pairs, race, starts, seed, seconds)
        return
    rng = random.Random(seed)
    number = seed
    while not race.over:
        engine().seed_random(number)
        rows, _ = race.best()
        if rng.random() < 0.15:
            rows = rng.choice(list(starts)).copy()
        length = rng.choice((0.15, 0.3, 0.6, 1.2)) * max(0.3, min(1.5, seconds / 5))
        _chain(searcher, race, rows, length, HEATS[number % len(HEATS)])
        number += 1


def _chain(searcher: Searcher, race: Race, start: Ints, seconds: float, heats: tuple[float, float]) -> None:
    """One annealing chain of about so many seconds, as hot as the day's make-ready and lateness ask for."""
    searcher.score(start)
    minute = 60.0 * max(1, int(searcher.tables.weights[1]))
    late = float(min(searcher.lateness(), 10**12))
    heat = max(minute * HOT_MINUTES * heats[0], late * heats[1])
    _anneal_for(searcher, race, start, seconds, heat, minute * COLD_MINUTES)


def _anneal_for(searcher: Searcher, race: Race, start: Ints, seconds: float, heat: float, cold: float) -> None:
    """Anneal from one heat to another in about so many seconds, in chunks; what it finds is offered to the race."""
    own = searcher.score(start)
    current, best = start.copy(), start.copy()
    scores = np.array([own, own], dtype=np.int64)
    began = time.monotonic()
    steps, rate = 20, 0.0
    while not race.over and (left := seconds - (time.monotonic() - began)) > 0:
        if rate:
            steps = max(5, int(rate * min(CHUNK_SECONDS, left)))
        share = min(1.0, (steps / rate if rate else 0.01) / left)
        cooler = max(cold, heat * (cold / heat) ** share)
        at = time.monotonic()
        searcher.anneal(current, best, scores, steps, heat, cooler)
        rate = steps / max(1e-6, time.monotonic() - at)
        heat = cooler
        race.offer(best, int(scores[1]))
