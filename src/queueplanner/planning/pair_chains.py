"""The search of a day of pairs: which annealing chains follow one another, how long and how hot."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Protocol

import numpy as np

from queueplanner.planning.anneal import ORDER
from queueplanner.planning.compact import Ints
from queueplanner.planning.pairwise import Pairs, anneal_pairs, heat_for, seed_pairs

#: A chunk of annealing is cut so that a stop is heard, and a better order told, within about this many seconds.
CHUNK_SECONDS = 0.05

#: Chains as shares of the search's time, with the share of moves taken although they worsen the best order at their
#: first and last heat, and whether they begin anew or at the best order; the last one is repeated.
PAIR_CHAINS = ((0.02, 0.05, 5e-4, True), (0.05, 0.02, 1e-4, True), (0.43, 0.02, 1e-4, True), (0.1, 0.003, 1e-4, False))


class Race(Protocol):
    """Where the best order known stands, where a better one is handed in, and whether to go on."""

    @property
    def over(self) -> bool:
        """Whether the search is to end."""

    def best(self) -> tuple[Ints, int]:
        """The best order and its objective."""

    def offer(self, rows: Ints, value: int) -> None:
        """Hand in an order."""


def run_pair_chains(pairs: Pairs, race: Race, starts: Sequence[Ints], seed: int, seconds: float) -> None:
    """Chains until the race is over: a short one, one long one from far away, then from the best."""
    seed_pairs(seed)
    number = 0
    while not race.over:
        share, hot, cold, anew = PAIR_CHAINS[min(number, len(PAIR_CHAINS) - 1)]
        rows, _ = race.best()
        heats = heat_for(pairs, rows[ORDER], hot), heat_for(pairs, rows[ORDER], cold)
        _anneal_for(pairs, race, starts[seed % len(starts)] if anew else rows, share * seconds, *heats)
        number += 1


def _anneal_for(pairs: Pairs, race: Race, start: Ints, seconds: float, heat: float, cold: float) -> None:
    """Anneal from one heat to another in about so many seconds, in chunks; what it finds is offered to the race."""
    current, best = start.copy(), start.copy()
    scores = np.zeros(2, dtype=np.int64)
    anneal_pairs(pairs, current, best, scores, 0, heat, cold)
    scores[1] = scores[0]
    began = time.monotonic()
    steps, rate = 20, 0.0
    while not race.over and (left := seconds - (time.monotonic() - began)) > 0:
        if rate:
            steps = max(5, int(rate * min(CHUNK_SECONDS, left)))
        share = min(1.0, (steps / rate if rate else 0.01) / left)
        cooler = max(cold, heat * (cold / heat) ** share)
        at = time.monotonic()
        anneal_pairs(pairs, current, best, scores, steps, heat, cooler)
        rate = steps / max(1e-6, time.monotonic() - at)
        heat = cooler
        race.offer(best, int(scores[1]))
