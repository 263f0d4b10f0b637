"""CP-SAT on the state circuit: a lower bound on make-ready and wash-ups, and the proof where it closes."""

from __future__ import annotations

import math
from collections.abc import Callable

from ortools.sat.python import cp_model

from queueplanner.planning.progress import CancelToken
from queueplanner.planning.relaxation import StateCircuit


class _Watch(cp_model.CpSolverSolutionCallback):
    """Stops the solver when a stop is asked for; it is looked at whenever a solution comes."""

    def __init__(self, cancel: CancelToken) -> None:
        super().__init__()
        self._cancel = cancel

    def on_solution_callback(self) -> None:
        """Look at the token."""
        if self._cancel.cancelled:
            self.stop_search()


def circuit_bound(
    circuit: StateCircuit,
    seconds: float,
    cancel: CancelToken,
    on_bound: Callable[[int], None] | None = None,
    workers: int = 1,
) -> int:
    """The best lower bound on the make-ready and wash-up part of the objective that so many seconds give.

    One state of each pass is visited; which side comes first is left open. Valid for every plan of the instance.
    """
    model = cp_model.CpModel()
    arcs, terms = [], []
    visits: dict[int, list[cp_model.IntVar]] = {}
    for state in range(1, circuit.size):
        visited = model.new_bool_var("")
        arcs.append((state, state, ~visited))
        visits.setdefault(int(circuit.state_pass[state]), []).append(visited)
    for visited_states in visits.values():
        model.add_exactly_one(visited_states)
    for tail in range(circuit.size):
        for k in range(int(circuit.arc_from[tail]), int(circuit.arc_from[tail + 1])):
            used = model.new_bool_var("")
            arcs.append((tail, int(circuit.head[k]), used))
            terms.append(int(circuit.cost[k]) * used)
        if tail:
            last = model.new_bool_var("")
            arcs.append((tail, 0, last))
            terms.append(int(circuit.end_cost[tail]) * last)
    model.add_circuit(arcs)
    model.minimize(cp_model.LinearExpr.sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    best = 0

    def note(bound: float) -> None:
        nonlocal best
        best = max(best, math.ceil(bound - 1e-6))
        if on_bound is not None:
            on_bound(best)
        if cancel.cancelled:
            solver.stop_search()

    solver.best_bound_callback = note
    status = solver.solve(model, _Watch(cancel))
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        best = max(best, math.ceil(solver.best_objective_bound - 1e-6))
    return best
