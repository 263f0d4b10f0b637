"""Lower bounds of the public problems: no answer can be worth less."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchmarks.public_files import Problem, Tardiness
from benchmarks.public_peers import circuit
from ortools.graph.python import min_cost_flow
from ortools.sat.python import cp_model


def bound_of(problem: Problem, answer: Sequence[int], value: int | None, seconds: float, threads: int) -> int | None:
    """A lower bound found in so many seconds, an answer known; None where none is."""
    if value == 0:
        return 0
    if isinstance(problem, Tardiness):
        return tardiness_bound(problem)
    return circuit_bound(problem, answer if value is not None else (), seconds, threads)


def circuit_bound(problem: Problem, answer: Sequence[int], seconds: float, threads: int) -> int | None:
    """CP-SAT's own bound of a tour. The answer is only a hint."""
    if seconds <= 0:
        return None
    model = cp_model.CpModel()
    used = circuit(model, problem)
    taken = set(zip(answer, [*answer[1:], 0], strict=True)) if answer else set()
    for arc, literal in used.items():
        if answer:
            model.add_hint(literal, arc in taken)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.max_time_in_seconds = seconds
    if solver.solve(model) in (cp_model.MODEL_INVALID, cp_model.INFEASIBLE):
        return None
    return max(0, math.ceil(solver.best_objective_bound - 1e-6))


def tardiness_bound(problem: Tardiness) -> int:
    """Weighted tardiness when every set-up takes no longer than the job's least, and jobs are set freely to places.

    At place k a job ends no sooner than its own work and the k least of the others' together: an assignment problem.
    """
    jobs = range(problem.size)
    least = [min(problem.first[j], *(problem.setup[i][j] for i in jobs if i != j)) for j in jobs]
    work = [problem.process[j] + least[j] for j in jobs]
    flow = min_cost_flow.SimpleMinCostFlow()
    for j in jobs:
        flow.set_node_supply(j, 1)
        flow.set_node_supply(problem.size + j, -1)
        others = sorted(work[i] for i in jobs if i != j)
        clock = work[j]
        for place in jobs:
            late = problem.weight[j] * max(0, clock - problem.due[j])
            flow.add_arc_with_capacity_and_unit_cost(j, problem.size + place, 1, late)
            clock += others[place] if place < len(others) else 0
    if flow.solve() != flow.OPTIMAL:
        return 0
    return int(flow.optimal_cost())
