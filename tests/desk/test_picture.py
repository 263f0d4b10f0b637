from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from queueplanner.desk.picture import clock_moment, due_flags, make_picture, task_bars
from queueplanner.planning.plan import Holding
from tests.desk.example_plan import BREAK, example_plan


def test_the_tasks_of_a_pass_fill_its_make_ready_and_nothing_else() -> None:
    for shape in make_picture(example_plan()).passes:
        assert sum(bar.end - bar.start for bar in shape.tasks) == shape.planned.makeready_seconds
        assert min(bar.start for bar in shape.tasks) == shape.planned.makeready_start
        assert max(bar.end for bar in shape.tasks) == shape.planned.makeready_end


def test_a_task_is_cut_where_a_break_falls_into_it() -> None:
    planned = example_plan().passes[0]
    start = BREAK[0] - 30
    pieces = ((start, BREAK[0]), (BREAK[1], BREAK[1] + 10_000))
    first = [bar for bar in task_bars(planned.tasks, pieces) if bar.task is planned.tasks[0]]
    assert [(bar.start, bar.end) for bar in first] == [(start, BREAK[0]), (BREAK[1], BREAK[1] + 30)]


def test_what_ends_with_a_stretch_ends_there_and_what_begins_begins_in_the_next() -> None:
    pieces = ((0, 60), (100, 200))
    assert clock_moment(pieces, 60, ends=True) == 60
    assert clock_moment(pieces, 60, ends=False) == 100


def test_an_external_task_is_not_drawn_between_the_runs() -> None:
    planned = example_plan().passes[1]
    outside = replace(planned.tasks[0], external=True, person=None, start=None)
    assert all(bar.task is not outside for bar in task_bars((outside, *planned.tasks[1:]), planned.makeready_pieces))


def test_every_ribbon_runs_from_fill_to_wash_in_one_ink() -> None:
    picture = make_picture(example_plan())
    names = [shape.ink.name for shape in picture.inks[1]]
    assert names == ["Harbour blue", "Opaque white", "Warm yellow", "Silver", "Warm yellow", "Brick red"]
    assert [shape.ink.name for shape in picture.inks[2]] == ["Black"]
    for shapes in picture.inks.values():
        for shape in shapes:
            assert {span.ink.id for span in shape.spans if span.ink} == {shape.ink.id}


def test_an_ink_prints_only_while_its_pass_runs_and_stands_in_its_breaks() -> None:
    plan = example_plan()
    runs = {p.id: list(p.run_pieces) for p in plan.passes}
    assert any(len(pieces) > 1 for pieces in runs.values())
    for unit, spans in make_picture(plan).spans.items():
        for pass_id, pieces in runs.items():
            printed = [(s.start, s.end) for s in spans if s.pass_id == pass_id and s.holding is Holding.PRINTING]
            used = unit in next(p.unit_of for p in plan.passes if p.id == pass_id).values()
            assert printed == (pieces if used else [])
        assert all(a.end == b.start for a, b in pairwise(spans))


def test_washes_are_marked_on_the_unit_they_wash() -> None:
    picture = make_picture(example_plan())
    assert [wash.washes for wash in picture.washes[1]] == [3, 1, 2, 2, 2, 1]
    assert len(picture.washes[2]) == 1


def test_jobs_due_at_one_moment_share_a_flag_and_late_ones_are_told() -> None:
    plan = example_plan()
    flags = due_flags(plan)
    assert [f.moment for f in flags] == sorted({p.job.due_s for p in plan.passes if p.job.due_s is not None})
    assert [job for f in flags for job in f.late] == [p.job.id for p in plan.passes if p.late_seconds]


def test_neighbours_on_one_stock_share_a_stretch() -> None:
    picture = make_picture(example_plan())
    assert [s.text for s in picture.stocks] == ["Silk 135", "Board 300", "Silk 135", "Board 300", "Silk 135"]
    assert [s.text for s in picture.formats] == ["SRA3", "A3", "SRA3", "A3", "SRA3"]


def test_only_passes_in_sight_are_looked_at() -> None:
    picture = make_picture(example_plan())
    third = picture.passes[2]
    assert picture.passes_between(third.start + 1, third.end - 1) == (third,)
