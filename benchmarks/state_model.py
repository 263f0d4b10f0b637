"""CP-SAT alone: the circuit of press states solved for an order, with or without an end time for each pass.

Make-ready, washes and carry-over are arc costs of `planning.relaxation`'s circuit. Without end times it is the very
model of `planning.circuit`, and knows no due times; with them due times, first sides and drying are reckoned in working
time. Breaks, nights and stale inks are left out, as they are in no arc.
"""

from __future__ import annotations

from collections import defaultdict

from benchmarks.orders import first_sides_first
from benchmarks.shop_days import working_seconds
from ortools.sat.python import cp_model

from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.relaxation import StateCircuit, state_circuit
from queueplanner.planning.search import Numbered
from queueplanner.planning.signature import new_memo
from queueplanner.shop.base import PassId

Solution = tuple[list[PassId], dict[PassId, UnitChoice]]


def solver_order(day: Instance, seconds: float, seed: int, timed: bool = False) -> Solution | None:
    """The best order and units CP-SAT finds on two threads; building is not counted. None when it finds none."""
    numbered = Numbered.of(day)
    circuit = state_circuit(numbered.tables, new_memo())
    if circuit is None:
        return None
    model = _Model(day, list(numbered.numbering.passes), circuit, timed)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = seed
    if solver.solve(model.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    order, units = model.solution(solver)
    return first_sides_first(day, order), units


class _Model:
    """The model and its variables."""

    def __init__(self, day: Instance, ids: list[PassId], circuit: StateCircuit, timed: bool) -> None:
        self.day, self.ids, self.circuit = day, ids, circuit
        self.model = cp_model.CpModel()
        self.arcs: list[tuple[int, int, cp_model.LiteralT]] = []
        self.used: list[tuple[int, int, int, cp_model.IntVar]] = []
        self.ending: list[tuple[int, cp_model.IntVar]] = []
        self._states()
        self._arcs()
        self.model.add_circuit(self.arcs)
        late = self._times() if timed else []
        costs = [cost * var for _, _, cost, var in self.used] + [cost * var for cost, var in self.ending]
        self.model.minimize(cp_model.LinearExpr.sum(costs + late))

    def _states(self) -> None:
        visits: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for state in range(1, self.circuit.size):
            visited = self.model.new_bool_var("")
            self.arcs.append((state, state, ~visited))
            visits[int(self.circuit.state_pass[state])].append(visited)
        for states in visits.values():
            self.model.add_exactly_one(states)

    def _arcs(self) -> None:
        c = self.circuit
        for tail in range(c.size):
            for k in range(int(c.arc_from[tail]), int(c.arc_from[tail + 1])):
                var = self.model.new_bool_var("")
                self.arcs.append((tail, int(c.head[k]), var))
                self.used.append((tail, int(c.head[k]), int(c.cost[k]), var))
            if tail:
                var = self.model.new_bool_var("")
                self.arcs.append((tail, 0, var))
                self.ending.append((int(c.end_cost[tail]), var))

    def _times(self) -> list[cp_model.LinearExprT]:
        """End times along the arcs; the lateness terms of the objective. A wash-up's points count as seconds too."""
        day, points = self.day, max(1, self.day.shop.weights.makeready_second)
        seconds = {p: day.run_seconds[p] for p in self.ids}
        horizon = sum(seconds.values()) + sum(day.passes[p].drying_s for p in self.ids) + 7200 * len(self.ids)
        ends = [self.model.new_int_var(0, horizon, "") for _ in self.ids]
        into: dict[int, list[cp_model.LinearExprT]] = defaultdict(list)
        between: dict[tuple[int, int], list[cp_model.IntVar]] = defaultdict(list)
        for tail, head, cost, var in self.used:
            p, q = int(self.circuit.state_pass[tail]), int(self.circuit.state_pass[head])
            into[q].append(cost // points * var)
            if tail:
                between[p, q].append(var)
        setup = [cp_model.LinearExpr.sum(into[q]) for q in range(len(self.ids))]
        for (p, q), variables in between.items():
            follows = self.model.new_bool_var("")
            self.model.add(cp_model.LinearExpr.sum(variables) == follows)
            self.model.add(ends[q] >= ends[p] + setup[q] + seconds[self.ids[q]]).only_enforce_if(follows)
        for q, pass_id in enumerate(self.ids):
            self.model.add(ends[q] >= setup[q] + seconds[pass_id])
        self._sides(ends)
        return self._lateness(ends, horizon)

    def _sides(self, ends: list[cp_model.IntVar]) -> None:
        for q, pass_id in enumerate(self.ids):
            back = self.day.passes[pass_id]
            if back.first_side is not None:
                first = ends[self.ids.index(back.first_side)]
                self.model.add(ends[q] >= first + back.drying_s + self.day.run_seconds[pass_id])

    def _lateness(self, ends: list[cp_model.IntVar], horizon: int) -> list[cp_model.LinearExprT]:
        terms: list[cp_model.LinearExprT] = []
        for job in self.day.jobs:
            if job.due_s is not None:
                due = working_seconds(self.day.clock, self.day.start_at, job.due_s)
                late = self.model.new_int_var(0, horizon, "")
                self.model.add(late >= ends[self.ids.index(job.passes[-1].id)] - due)
                terms.append(self.day.shop.weights.late_second * job.weight * late)
        return terms

    def solution(self, solver: cp_model.CpSolver) -> Solution:
        """The order and unit choice of a solved model."""
        following = {tail: head for tail, head, _, var in self.used if solver.value(var)}
        order: list[PassId] = []
        units: dict[PassId, UnitChoice] = {}
        state = 0
        while (state := following.get(state, 0)) != 0:
            pass_id = self.ids[int(self.circuit.state_pass[state])]
            order.append(pass_id)
            units[pass_id] = self.day.choices[pass_id][int(self.circuit.state_choice[state])]
        return order, units
