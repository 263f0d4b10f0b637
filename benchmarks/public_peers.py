"""Other solvers on the public problems: OR-Tools routing, CP-SAT on a circuit, and PyVRP where it is installed.

Each gets a problem, seconds and threads, and hands back an answer in the problem's own numbers, or None where it found
none or has no such objective.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from benchmarks.public_files import Problem, Row, Tardiness, Tour
from ortools.constraint_solver import pywrapcp, routing_enums_pb2
from ortools.sat.python import cp_model

Ask = Callable[[Problem, float, int], list[int] | None]


def as_tour(problem: Problem) -> tuple[Row, ...]:
    """A problem's arcs among node 0 and the rest. Of tardiness: set-up and work of the job an arc leads to."""
    if isinstance(problem, Tour):
        return problem.travel
    work = problem.process
    first = (0, *(s + p for s, p in zip(problem.first, work, strict=True)))
    rows = ((0, *(s + p for s, p in zip(row, work, strict=True))) for row in problem.setup)
    return (first, *rows)


def in_own_numbers(problem: Problem, nodes: list[int]) -> list[int]:
    """An answer from the nodes of a tour that begins in node 0."""
    return [node - 1 for node in nodes[1:]] if isinstance(problem, Tardiness) else nodes


def _horizon(arcs: tuple[Row, ...], problem: Problem) -> int:
    latest = max((end for _, end in problem.windows), default=0) if isinstance(problem, Tour) else 0
    return latest + sum(max(row) for row in arcs) + 1


def routing(problem: Problem, seconds: float, _threads: int) -> list[int] | None:
    """OR-Tools routing with guided local search, on the one thread it knows."""
    arcs = as_tour(problem)
    manager = pywrapcp.RoutingIndexManager(len(arcs), 1, 0)
    model = pywrapcp.RoutingModel(manager)
    node = manager.IndexToNode
    travel = model.RegisterTransitCallback(lambda i, j: arcs[node(i)][node(j)])
    if isinstance(problem, Tour):
        model.SetArcCostEvaluatorOfAllVehicles(travel)
    if isinstance(problem, Tardiness) or problem.windows:
        _add_clock(problem, manager, model, travel)
    asked = pywrapcp.DefaultRoutingSearchParameters()
    first = routing_enums_pb2.FirstSolutionStrategy
    windows = isinstance(problem, Tour) and bool(problem.windows)
    asked.first_solution_strategy = first.FIRST_UNBOUND_MIN_VALUE if windows else first.PATH_CHEAPEST_ARC
    asked.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    asked.time_limit.FromMilliseconds(int(1000 * seconds))
    answer = model.SolveWithParameters(asked)
    if answer is None:
        return None
    nodes, at = [], model.Start(0)
    while not model.IsEnd(at):
        nodes.append(node(at))
        at = answer.Value(model.NextVar(at))
    return in_own_numbers(problem, nodes)


def _add_clock(problem: Problem, manager: Any, model: Any, travel: int) -> None:
    """Windows as hard bounds of the arrival, due times as soft ones."""
    horizon = _horizon(as_tour(problem), problem)
    model.AddDimension(travel, horizon if isinstance(problem, Tour) else 0, horizon, False, "clock")
    clock = model.GetDimensionOrDie("clock")
    if isinstance(problem, Tardiness):
        for job in range(problem.size):
            index = manager.NodeToIndex(job + 1)
            clock.SetCumulVarSoftUpperBound(index, problem.due[job], problem.weight[job])
        return
    for place, (earliest, latest) in enumerate(problem.windows):
        index = manager.NodeToIndex(place) if place else model.Start(0)
        clock.CumulVar(index).SetRange(earliest, latest)
    clock.CumulVar(model.End(0)).SetMax(problem.windows[0][1])


def cp_sat(problem: Problem, seconds: float, threads: int) -> list[int] | None:
    """CP-SAT on a circuit of arcs with arrival times."""
    model = cp_model.CpModel()
    used = circuit(model, problem)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.max_time_in_seconds = seconds
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    follows = {i: j for (i, j), literal in used.items() if solver.boolean_value(literal)}
    nodes = [0]
    while (after := follows[nodes[-1]]) != 0:
        nodes.append(after)
    return in_own_numbers(problem, nodes)


def circuit(model: cp_model.CpModel, problem: Problem) -> dict[tuple[int, int], Any]:
    """Put a problem into a model; the literals of its arcs. Arcs that no window allows are left out."""
    arcs = as_tour(problem)
    nodes = range(len(arcs))
    windows = problem.windows if isinstance(problem, Tour) else ()
    used = {
        (i, j): model.new_bool_var(f"{i} then {j}")
        for i in nodes
        for j in nodes
        if i != j and not (windows and windows[i][0] + arcs[i][j] > windows[j][1])
    }
    model.add_circuit([(i, j, literal) for (i, j), literal in used.items()])
    travel = sum(arcs[i][j] * literal for (i, j), literal in used.items())
    if isinstance(problem, Tour):
        model.minimize(travel)
    if isinstance(problem, Tardiness):
        clocks = _clocks(model, used, arcs, [(0, _horizon(arcs, problem))] * len(arcs), waits=False)
        late = [model.new_int_var(0, _horizon(arcs, problem), "late") for _ in problem.due]
        for job, due in enumerate(problem.due):
            model.add(late[job] >= clocks[job + 1] - due)
        model.minimize(sum(w * x for w, x in zip(problem.weight, late, strict=True)))
    elif windows:
        _clocks(model, used, arcs, list(windows), waits=True)
    return used


def _clocks(
    model: cp_model.CpModel,
    used: dict[tuple[int, int], Any],
    arcs: tuple[Row, ...],
    windows: list[tuple[int, int]],
    waits: bool,
) -> list[Any]:
    """Arrival times by node; node 0 is left at its window's start and come back to by its end."""
    clocks = [model.new_int_var(earliest, latest, "clock") for earliest, latest in windows]
    model.add(clocks[0] == windows[0][0])
    for (i, j), literal in used.items():
        if j:
            arrives = clocks[i] + arcs[i][j]
            model.add(clocks[j] >= arrives if waits else clocks[j] == arrives).only_enforce_if(literal)
        elif waits:
            model.add(clocks[i] + arcs[i][0] <= windows[0][1]).only_enforce_if(literal)
    return clocks


def pyvrp(problem: Problem, seconds: float, _threads: int) -> list[int] | None:
    """PyVRP, on the one thread it knows; it has no weighted tardiness."""
    if isinstance(problem, Tardiness):
        return None
    from pyvrp import Model
    from pyvrp.stop import MaxRuntime

    model = Model()
    windows = problem.windows or ((0, _horizon(problem.travel, problem)),) * problem.size
    start, home = windows[0]
    depot = model.add_depot(0, 0, tw_early=start, tw_late=home)
    clients = [model.add_client(0, 0, tw_early=a, tw_late=b) for a, b in windows[1:]]
    model.add_vehicle_type(1, start_depot=depot, end_depot=depot, tw_early=start, tw_late=home)
    places = [depot, *clients]
    for i, here in enumerate(places):
        for j, there in enumerate(places):
            model.add_edge(here, there, distance=problem.travel[i][j], duration=problem.travel[i][j])
    found = model.solve(MaxRuntime(seconds), display=False)
    routes = found.best.routes()
    return [0, *routes[0].visits()] if len(routes) == 1 else None


def _peers() -> dict[str, Ask]:
    found: dict[str, Ask] = {"routing": routing, "CP-SAT": cp_sat}
    try:
        import pyvrp as _pyvrp
    except ImportError:
        return found
    return {**found, "PyVRP": pyvrp} if _pyvrp else found


PEERS = _peers()
