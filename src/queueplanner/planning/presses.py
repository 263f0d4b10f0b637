"""Two presses side by side: which press prints which job, and each press's own order; a job stays on one press."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np

from queueplanner.makeready.fit import refusals
from queueplanner.planning.anneal_presses import PressesState, Room
from queueplanner.planning.arrange import arranged
from queueplanner.planning.compact import Ints
from queueplanner.planning.engine import anneal_presses_now, engine, warm_up_in_background
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.kernel import IMPOSSIBLE, workspace
from queueplanner.planning.plan import Claim, ClaimKind, Plan, solution_of
from queueplanner.planning.planner import plan_day
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.rules import by_due_time
from queueplanner.planning.search import COLD_MINUTES, HEATS, HOT_MINUTES, Numbered, Searcher
from queueplanner.shop.base import JobId
from queueplanner.shop.errors import NoPlan, Refused
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart

PRESSES = 2
#: The share of the time in which jobs may change press; the rest goes to each press's own order.
SHARED_TIME = 0.8
#: A stretch of annealing lasts about so many seconds, so that a stop is heard.
STRETCH_S = 0.05


@dataclass(frozen=True, slots=True)
class PressesPlan:
    """A plan for each press, in the order the presses were given, and the press (from 0) that prints each job."""

    plans: tuple[Plan, ...]
    press_of: Mapping[JobId, int]

    @property
    def objective(self) -> int:
        """Points of both presses together."""
        return sum(plan.totals.objective for plan in self.plans)


def make_presses(
    shops: Sequence[Shop], jobs: Sequence[Job], starts: Sequence[PressStart], begins: Sequence[datetime]
) -> tuple[Instance, Instance]:
    """The instance of each of two presses, with every job that it can run.

    Raises Refused for a job that no press can run, with the first press's reason, and what `make_instance` raises.
    """
    fitting: list[list[Job]] = [[] for _ in shops]
    for job in jobs:
        refused: Refused | None = None
        for k, (shop, start) in enumerate(zip(shops, starts, strict=True)):
            reason = _refusal(shop, start, job)
            if reason is None:
                fitting[k].append(job)
            refused = refused or reason
        if refused is not None and not any(job in fit for fit in fitting):
            raise refused
    first, second = (
        make_instance(shop, fit, start, begin)
        for shop, fit, start, begin in zip(shops, fitting, starts, begins, strict=True)
    )
    return first, second


def _refusal(shop: Shop, start: PressStart, job: Job) -> Refused | None:
    """Why a press cannot run a job; None when it can."""
    own = {p.id for p in job.passes}
    for p in job.passes:
        for reason in refusals(shop.press, p):
            return reason
        if p.first_side is not None and p.first_side not in own and p.first_side not in start.printed_first_sides:
            found = f"its first side {p.first_side}"
            return Refused(p.id, "first_side", found, f"{shop.press.name} did not print that side")
    return None


def with_jobs_only(instance: Instance, jobs: Iterable[JobId]) -> Instance:
    """The same press's day with some of its jobs alone."""
    wanted = set(jobs)
    kept = tuple(job for job in instance.jobs if job.id in wanted)
    passes = {p.id: p for job in kept for p in job.passes}
    return replace(
        instance,
        jobs=kept,
        passes=passes,
        job_of={p.id: job for job in kept for p in job.passes},
        choices={p: instance.choices[p] for p in passes},
        run_seconds={p: instance.run_seconds[p] for p in passes},
        rules=instance.rules.only(passes),
    )


@dataclass
class _Board:
    """Both presses as arrays, every job's passes on each, and the best state so far, shared by the threads."""

    instances: tuple[Instance, Instance]
    cancel: CancelToken
    deadline: float
    numbered: tuple[Numbered, Numbered] = field(init=False)
    jobs: list[JobId] = field(init=False)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        a, b = self.instances
        self.numbered = Numbered.of(a), Numbered.of(b)
        self.jobs = list(dict.fromkeys(job.id for instance in self.instances for job in instance.jobs))
        self.passes = self._passes_of_jobs()
        self.fixed = {job: k for k, instance in enumerate(self.instances) for job in _bound_jobs(instance)}
        fits_both = [j for j in range(len(self.jobs)) if all(self.passes[k][j, 0] >= 0 for k in range(PRESSES))]
        self.movable = np.array([j for j in fits_both if self.jobs[j] not in self.fixed], dtype=np.int64)
        self.best = self.start()
        self.value = IMPOSSIBLE

    def _passes_of_jobs(self) -> Ints:
        most = max((len(job.passes) for i in self.instances for job in i.jobs), default=1)
        table = np.full((PRESSES, len(self.jobs), most), -1, dtype=np.int64)
        place = {job: j for j, job in enumerate(self.jobs)}
        for k, (instance, numbered) in enumerate(zip(self.instances, self.numbered, strict=True)):
            number = {p: i for i, p in enumerate(numbered.numbering.passes)}
            for job in instance.jobs:
                table[k, place[job.id], : len(job.passes)] = [number[p.id] for p in job.passes]
        return table

    def start(self) -> PressesState:
        """Jobs by due time, each to the press that fits it and has the least to do; then best units."""
        load, press_of = [0, 0], np.zeros(len(self.jobs), dtype=np.int64)
        place = {job: j for j, job in enumerate(self.jobs)}
        by_id = {job.id: job for instance in self.instances for job in instance.jobs}
        for job in sorted(by_id.values(), key=lambda job: job.due_s if job.due_s is not None else 2**62):
            fits = [k for k, i in enumerate(self.instances) if job in i.jobs]
            k = self.fixed.get(job.id, min(fits, key=lambda k: load[k]))
            load[k] += sum(self.instances[k].run_seconds[p.id] for p in job.passes)
            press_of[place[job.id]] = k
        most = max(numbered.tables.n for numbered in self.numbered)
        rows, counts = np.zeros((PRESSES, 2, max(1, most)), dtype=np.int64), np.zeros(PRESSES, dtype=np.int64)
        for k, (instance, numbered) in enumerate(zip(self.instances, self.numbered, strict=True)):
            own = with_jobs_only(instance, (job for job in self.jobs if press_of[place[job]] == k))
            number = {p: i for i, p in enumerate(numbered.numbering.passes)}
            order = [number[p] for p in arranged(own, by_due_time(own))]
            rows[k, 0, : len(order)], counts[k] = order, len(order)
        return PressesState(rows, counts, press_of)

    def offer(self, state: PressesState, value: int) -> bool:
        """Take a state as the best if it is better."""
        with self.lock:
            if value >= self.value:
                return False
            self.best, self.value = _copied(state), value
            return True

    def taken(self) -> tuple[PressesState, int]:
        """A copy of the best state, and its objective."""
        with self.lock:
            return _copied(self.best), self.value

    @property
    def over(self) -> bool:
        """Whether time is up, or a stop was asked for."""
        return self.cancel.cancelled or time.monotonic() >= self.deadline

    def plans(self, state: PressesState) -> list[tuple[Instance, Plan]]:
        """Each press's day with its own jobs, and the plan of its order."""
        made = []
        for k, (instance, numbered) in enumerate(zip(self.instances, self.numbered, strict=True)):
            own = with_jobs_only(instance, (job for j, job in enumerate(self.jobs) if state.press_of[j] == k))
            ids = [numbered.numbering.passes[i] for i in state.rows[k, 0, : state.counts[k]]]
            number = {p: i for i, p in enumerate(numbered.numbering.passes)}
            units = {p: own.choices[p][state.rows[k, 1, number[p]]] for p in ids}
            made.append((own, evaluate(own, ids, units)))
        return made


def _copied(state: PressesState) -> PressesState:
    return PressesState(state.rows.copy(), state.counts.copy(), state.press_of.copy())


def _bound_jobs(instance: Instance) -> set[JobId]:
    """Jobs that cannot leave a press: one of its passes is on the press, printed there in part, or ruled there."""
    bound = {*instance.rules.named(), *([instance.started.pass_id] if instance.started else [])}
    bound |= {p.id for p in instance.passes.values() if p.first_side in instance.first_side_ends}
    return {instance.job_of[p].id for p in bound}


def plan_presses(
    instances: tuple[Instance, Instance],
    seconds: float,
    *,
    seed: int = 1,
    on_better: Callable[[int], None] = lambda _objective: None,
    cancel: CancelToken | None = None,
    threads: int | None = None,
) -> PressesPlan:
    """The best plans found within so many seconds for both presses together; `on_better` is told each better objective.

    Each press has its own profile, hours, crew, state and rules; a job one press cannot run goes to the other. Raises
    NoPlan when a job stands in the rules of both, or no order of a press meets a hard rule.
    """
    both = _bound_jobs(instances[0]) & _bound_jobs(instances[1])
    if both:
        raise NoPlan("a job stays on one press", sorted(both), "it is bound to both")
    cancel = cancel or CancelToken()
    if not any(job in instances[1].jobs for job in instances[0].jobs):
        plans = tuple(plan_day(instance, seconds / PRESSES, seed=seed, cancel=cancel) for instance in instances)
        return PressesPlan(plans, {job.id: k for k, instance in enumerate(instances) for job in instance.jobs})
    warm_up_in_background(Numbered.of(instances[0]).tables)
    board = _Board(instances, cancel, time.monotonic() + seconds * SHARED_TIME)
    count = threads or min(2, os.cpu_count() or 1)
    with ThreadPoolExecutor(count) as pool:
        chains = [pool.submit(_run_chains, board, seed + 7919 * k) for k in range(count)]
        told = IMPOSSIBLE
        while not all(chain.done() for chain in chains):
            value = board.value
            if value < told:
                told = value
                on_better(value)
            time.sleep(0.02)
        for chain in chains:
            chain.result()
    return _polished(board, (1 - SHARED_TIME) * seconds / PRESSES, seed, cancel)


def _polished(board: _Board, seconds: float, seed: int, cancel: CancelToken) -> PressesPlan:
    """Each press's own order searched a little longer; a claim holds only where no job could change press."""
    state, _ = board.taken()
    plans = []
    for own, plan in board.plans(state):
        better = plan_day(own, seconds, seed=seed, cancel=cancel, also=[solution_of(plan)]) if own.passes else plan
        plans.append(better.claimed(Claim(ClaimKind.BEST_FOUND)) if board.movable.size else better)
    press_of = {job: int(state.press_of[j]) for j, job in enumerate(board.jobs)}
    return PressesPlan(tuple(plans), press_of)


def _run_chains(board: _Board, seed: int) -> None:
    """Annealing chains, one after the other, until the time is up; now and then one from the start."""
    tables = board.numbered[0].tables, board.numbered[1].tables
    searchers = Searcher(tables[0]), Searcher(tables[1])
    engine().seed_random(seed)
    number = 0
    while True:
        state = board.start() if number == 0 else board.taken()[0]
        left = board.deadline - time.monotonic()
        _chain(board, searchers, state, max(STRETCH_S, min(left / 2, left)), HEATS[number % len(HEATS)])
        number += 1
        if board.over:
            return


def _chain(
    board: _Board,
    searchers: tuple[Searcher, Searcher],
    state: PressesState,
    seconds: float,
    heats: tuple[float, float],
) -> None:
    """One chain of about so many seconds, in stretches."""
    rows = searchers[0].row, searchers[1].row
    memos = searchers[0].memo, searchers[1].memo
    rooms = _room(searchers[0]), _room(searchers[1])
    minute = 60.0 * max(int(s.tables.weights[1]) for s in searchers)
    scores = np.array([0, 0, IMPOSSIBLE], dtype=np.int64)
    best = _copied(state)
    began, steps, rate = time.monotonic(), 20, 0.0
    heat, cold = minute * HOT_MINUTES * heats[0], minute * COLD_MINUTES
    first = True
    while first or (not board.over and time.monotonic() - began < seconds):
        if rate:
            steps = max(5, int(rate * STRETCH_S))
        left = max(STRETCH_S, seconds - (time.monotonic() - began))
        cooler = max(cold, heat * (cold / heat) ** min(1.0, STRETCH_S / left))
        at = time.monotonic()
        anneal_presses_now()(rows, memos, board.passes, board.movable, state, best, scores, rooms, steps, heat, cooler)
        rate = steps / max(1e-6, time.monotonic() - at)
        if first and scores[2] < IMPOSSIBLE:  # how late the day is sets how hot a chain must begin
            heat = max(heat, heats[1] * float(min(sum(s.lateness() for s in searchers), 10**12)))
        heat, first = cooler, False
        board.offer(best, int(scores[2]))


def _room(searcher: Searcher) -> Room:
    states, ends, marks, scratch = workspace(searcher.tables)
    states[0] = searcher.tables.start
    return states, ends, marks, scratch
