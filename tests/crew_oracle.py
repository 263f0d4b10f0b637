"""The crew's problem as a constraint model: what the project's own search is measured against."""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model

from queueplanner.makeready.crew import CrewTask, Mode


def cp_sat_makespan(tasks: Sequence[CrewTask], time_limit_s: float = 60.0) -> int | None:
    """The optimal makespan for two persons as CP-SAT proves it; None when it does not within the limit."""
    model = cp_model.CpModel()
    most = sum(task.seconds for task in tasks)
    end = model.new_int_var(0, most, "end")
    starts = [model.new_int_var(0, most, f"start {i}") for i in range(len(tasks))]
    spans = {
        i: model.new_fixed_size_interval_var(starts[i], task.seconds, f"task {i}")
        for i, task in enumerate(tasks)
        if task.seconds
    }
    for i, task in enumerate(tasks):
        model.add(starts[i] + task.seconds <= end)
        for j in task.after:
            model.add(starts[j] + tasks[j].seconds <= starts[i])
    model.add_cumulative(spans.values(), [1] * len(spans), 2)
    for place in {task.place for task in tasks}:
        model.add_no_overlap(span for i, span in spans.items() if tasks[i].place == place)
    for i, one in spans.items():
        for j, two in spans.items():
            if (tasks[i].mode, tasks[j].mode) == (Mode.TURNING, Mode.STOPPED):
                model.add_no_overlap([one, two])
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = time_limit_s
    return int(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None
