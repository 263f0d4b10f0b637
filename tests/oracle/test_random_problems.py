"""What holds for every plan the slow evaluator makes, tried on the random problems, and what these meet."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from tests.oracle.changeover import PLACES
from tests.oracle.evaluator import evaluate
from tests.oracle.problem import Evaluation, Order, PassResult, Problem, Refusal, Shift
from tests.oracle.random_problems import random_case, stand_in_makespan


@cache
def reckoned(seed: int) -> tuple[Problem, Order, Evaluation | Refusal]:
    """A random problem, an order for it and what the evaluator makes of that."""
    problem, order = random_case(seed)
    return problem, order, evaluate(problem, order, stand_in_makespan)


def test_the_random_problems_meet_every_task_and_most_refusals():
    outcomes = [reckoned(seed)[2] for seed in range(120)]
    results = [found for found in outcomes if isinstance(found, Evaluation)]
    tasks = [task for found in results for result in found.passes for task in result.tasks]
    assert {task.key for task in tasks if not task.key.startswith("own:")} == set(PLACES)
    assert {"load_pile", "turn_pile", "reduce_tack"} <= {task.key for task in tasks if task.external}
    assert any(len(found.stale_marks) > 1 for found in results)
    assert any(result.stale_at_start for found in results for result in found.passes)
    reasons = {found.reason for found in outcomes if isinstance(found, Refusal)}
    assert {"run_longer_than_a_day", "pause_longer_than_open_time", "second_side_before_first"} <= reasons


def worked(problem: Problem, start: int, end: int) -> int:
    """Seconds of shifts within an interval, breaks left out, piece by piece between all edges."""
    inside = [shift for shift in problem.shifts if shift.start < end and shift.end > start]
    edges = sorted({start, end, *(edge for pause in problem.breaks for edge in pause if start < edge < end),
                    *(edge for shift in inside for edge in (shift.start, shift.end) if start < edge < end)})
    return sum(
        b - a
        for a, b in pairwise(edges)
        if any(shift.start <= a < shift.end for shift in inside)
        and not any(pause <= a < over for pause, over in problem.breaks)
    )


@pytest.mark.parametrize("seed", range(120))
def test_a_plan_keeps_the_clock(seed):
    problem, _, found = reckoned(seed)
    if isinstance(found, Refusal):
        return
    free_at, ends = problem.start, dict(problem.printed)
    for result in found.passes:
        job_pass = problem.passes[result.pass_id]
        assert free_at <= result.start <= result.end <= result.run_start < result.run_end
        assert result.start >= (job_pass.earliest_start or 0)
        assert worked(problem, result.start, result.end) == result.makeready_seconds
        assert worked(problem, result.run_start, result.run_end) == result.run_seconds
        if job_pass.first_side is not None:
            printed = ends[job_pass.first_side]
            dry = (problem.start if printed is None else printed) + job_pass.drying_seconds
            assert result.run_start >= dry
        free_at = ends[result.pass_id] = result.run_end


@pytest.mark.parametrize("seed", range(120))
def test_every_ink_and_plate_that_comes_out_had_gone_in(seed):
    problem, _, found = reckoned(seed)
    if isinstance(found, Refusal):
        return
    held = {("ink", unit) for unit, start in problem.state.units.items() if start.ink is not None}
    held |= {("plate", unit) for unit, start in problem.state.units.items() if start.plate is not None}
    ins, outs = {"fill_fountain": "ink", "put_plate_on": "plate"}, {"empty_fountain": "ink", "take_plate_off": "plate"}
    for block in sorted([*found.passes, *found.evenings], key=lambda block: block.start):
        going_out = {(outs[task.key], task.unit) for task in block.tasks if task.key in outs}
        going_in = {(ins[task.key], task.unit) for task in block.tasks if task.key in ins}
        oiled = {("ink", task.unit) for task in block.tasks if task.key == "oil_rollers"}
        assert going_out <= held
        held -= going_out
        assert not going_in & held
        held |= going_in
        assert not oiled & held
        if isinstance(block, PassResult):
            assert {(what, unit) for what in ("ink", "plate") for unit in block.units} <= held


@pytest.mark.parametrize("seed", range(120))
def test_no_pass_but_the_first_prints_with_ink_past_its_open_time(seed):
    problem, _, found = reckoned(seed)
    if isinstance(found, Refusal):
        return
    ends = {unit: held.last_end for unit, held in problem.state.units.items()}
    for position, result in enumerate(found.passes):
        filled = {task.unit for task in result.tasks if task.key == "fill_fountain"}
        inks = [problem.inks[separation.ink] for separation in problem.passes[result.pass_id].separations]
        for unit, ink in zip(result.units, inks, strict=True):
            last_end = ends[unit] if ends[unit] is not None else problem.start
            judged_at = result.run_start if position else result.start
            assert unit in filled or judged_at - last_end <= ink.open_seconds
            ends[unit] = result.run_end
    for place, unit in found.stale_marks:
        # A mark stays even where its wash moves the changeover past an evening that then does it.
        before, marked = found.passes[place - 1].run_end if place else problem.start, found.passes[place]
        blocks = [marked, *(evening for evening in found.evenings if before <= evening.start < marked.start)]
        assert ("empty_fountain", unit) in {task.id for block in blocks for task in block.tasks}


def moved(problem: Problem, seconds: int) -> Problem:
    """The same problem so many seconds later."""
    def later(moment: int | None) -> int | None:
        return None if moment is None else moment + seconds

    units = {unit: replace(held, last_end=later(held.last_end)) for unit, held in problem.state.units.items()}
    return replace(
        problem,
        start=problem.start + seconds,
        state=replace(problem.state, units=units),
        passes={name: replace(found, earliest_start=later(found.earliest_start))
                for name, found in problem.passes.items()},
        jobs={name: replace(job, due=later(job.due)) for name, job in problem.jobs.items()},
        shifts=tuple(Shift(s.start + seconds, s.end + seconds, s.crew) for s in problem.shifts),
        breaks=tuple((a + seconds, b + seconds) for a, b in problem.breaks),
        printed={name: later(end) for name, end in problem.printed.items()},
    )


@pytest.mark.parametrize("seed", range(0, 120, 4))
def test_a_plan_moved_in_time_costs_the_same(seed):
    problem, order, found = reckoned(seed)
    shifted = evaluate(moved(problem, 12_345_678), order, stand_in_makespan)
    if isinstance(found, Refusal):
        assert shifted == found
        return
    assert isinstance(shifted, Evaluation)
    assert (shifted.objective, shifted.stale_marks) == (found.objective, found.stale_marks)
    assert [result.run_start - 12_345_678 for result in shifted.passes] == [r.run_start for r in found.passes]


def test_a_seed_gives_one_problem():
    assert random_case(7) == random_case(7)
