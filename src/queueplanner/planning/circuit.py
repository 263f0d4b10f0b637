"""CP-SAT on the state circuit: a lower bound on make-ready and wash-ups, and the proof where it closes."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable

from ortools.sat.python import cp_model

from queueplanner.planning.progress import CancelToken
from queueplanner.planning.relaxation import StateCircuit

#: How often a running solver looks whether it is asked to stop, seconds.
_GLANCE = 0.05


def circuit_bound(
    circuit: StateCircuit,
    seconds: float,
    cancel: CancelToken,
    on_bound: Callable[[int], None] | None = None,
    workers: int = 1,
) -> int | None:
    """The best lower bound on the objective that so many seconds give; None when the circuit has no tour at all.

    One state of each pass is visited; which side comes first is left open. Valid for every plan whose states and
    arcs the circuit holds.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    best = 0

    def note(bound: float) -> None:
        nonlocal best
        best = max(best, math.ceil(bound - 1e-6))
        if on_bound is not None:
            on_bound(best)

    solver.best_bound_callback = note
    done = threading.Event()
    watch = threading.Thread(target=_stop_when_asked, args=(solver, cancel, done), daemon=True)
    watch.start()
    try:
        status = solver.solve(_model(circuit))
    finally:
        done.set()
        watch.join()
    if status == cp_model.INFEASIBLE:
        return None
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        best = max(best, math.ceil(solver.best_objective_bound - 1e-6))
    return best


def _model(circuit: StateCircuit) -> cp_model.CpModel:
    model = cp_model.CpModel()
    arcs: list[tuple[int, int, cp_model.LiteralT]] = []
    costs: list[int] = []
    used: list[cp_model.IntVar] = []
    visits: dict[int, list[cp_model.IntVar]] = {}
    for state in range(1, circuit.size):
        visited = model.new_bool_var("")
        arcs.append((state, state, ~visited))
        visits.setdefault(int(circuit.state_pass[state]), []).append(visited)
    for states in visits.values():
        model.add_exactly_one(states)
    for tail in range(circuit.size):
        leaving = range(int(circuit.arc_from[tail]), int(circuit.arc_from[tail + 1]))
        ends = [(int(circuit.head[k]), int(circuit.cost[k])) for k in leaving]
        for head, cost in [*ends, (0, int(circuit.end_cost[tail]))] if tail else ends:
            used.append(model.new_bool_var(""))
            costs.append(cost)
            arcs.append((tail, head, used[-1]))
    model.add_circuit(arcs)
    model.minimize(cp_model.LinearExpr.weighted_sum(used, costs))
    return model


def _stop_when_asked(solver: cp_model.CpSolver, cancel: CancelToken, done: threading.Event) -> None:
    while not done.wait(_GLANCE):
        if cancel.cancelled:
            solver.stop_search()
