"""Reckons an order of passes through, slowly and plainly: every task, moment, evening and cost, or a refusal.

Nothing is cached, tabled or predicted. The order is placed on the clock pass by pass (`timeline`), each
changeover with its tasks (`changeover`). Where an ink is then found to have stood past its open time, the
changeover at which its unit falls idle is marked, and everything is reckoned anew.
"""

from __future__ import annotations

from dataclasses import replace

from tests.oracle.legality import check_external_marks, check_order, check_pass
from tests.oracle.problem import Evaluation, Order, Problem, Refusal, Refused
from tests.oracle.timeline import Makespan, Timeline, one_person, place_all

__all__ = ["Makespan", "evaluate", "one_person"]


def evaluate(problem: Problem, order: Order, makespan: Makespan = one_person) -> Evaluation | Refusal:
    """Reckon an order through, or say why it cannot be; ValueError for an order that is none.

    Stale inks: reckon without stale washes; mark the earliest changeover that would wash, lower
    unit first; reckon again until none is left. Marks start empty and are never taken back.
    """
    try:
        check_external_marks(problem.profile)
        for job_pass in problem.passes.values():
            check_pass(problem, job_pass)
        check_order(problem, order)
        marks: list[tuple[int, int]] = []
        while True:
            timeline = place_all(problem, order, makespan, frozenset(marks))
            if not timeline.stale:
                return totals(problem, timeline, tuple(marks))
            marks.append(min(timeline.stale))
    except Refused as refused:
        return refused.refusal


def totals(problem: Problem, timeline: Timeline, marks: tuple[tuple[int, int], ...]) -> Evaluation:
    """The weighted sum. A wash-up is one ink out of one unit, however many washes."""
    late = lateness(problem, timeline)
    everything = [task for result in timeline.placed for task in result.tasks]
    everything += [task for evening in timeline.evenings for task in evening.tasks]
    makeready = sum(result.makeready_seconds for result in timeline.placed)
    makeready += sum(evening.seconds for evening in timeline.evenings)
    wash_ups = sum(1 for task in everything if task.key == "empty_fountain")
    swaps = sum(1 for task in everything if task.key == "put_plate_on")
    pairs = reversed_pairs(problem, [result.pass_id for result in timeline.placed])
    weights = problem.weights
    objective = weights.makeready * makeready + weights.wash_up * wash_ups + weights.reversed_pair * pairs
    objective += weights.late * sum(problem.jobs[job].weight * seconds for job, seconds in late.items())
    last_passes = {problem.passes[result.pass_id].job: result.pass_id for result in timeline.placed}
    late_passes = {last_passes[job]: seconds for job, seconds in late.items()}
    return Evaluation(
        passes=tuple(replace(r, late_seconds=late_passes.get(r.pass_id, 0)) for r in timeline.placed),
        evenings=tuple(timeline.evenings),
        stale_marks=marks,
        makeready_seconds=makeready,
        wash_ups=wash_ups,
        plate_swaps=swaps,
        late_by_job=late,
        reversed_pairs=pairs,
        objective=objective,
    )


def lateness(problem: Problem, timeline: Timeline) -> dict[str, int]:
    """Seconds each job of the plan is late: end of its last run after the due moment; never without one."""
    ends = {problem.passes[result.pass_id].job: result.run_end for result in timeline.placed}
    late = {}
    for job, end in ends.items():
        due = problem.jobs[job].due
        late[job] = 0 if due is None else max(0, end - due)
    return late


def reversed_pairs(problem: Problem, names: list[str]) -> int:
    """Pairs of unstarted passes, both in the known order, that now stand the other way round."""
    known = [name for name in problem.known_order or () if name in names and name not in problem.started]
    return sum(
        1
        for index, earlier in enumerate(known)
        for later in known[index + 1 :]
        if names.index(earlier) > names.index(later)
    )
