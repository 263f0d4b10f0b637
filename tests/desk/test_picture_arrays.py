from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.desk.picture import make_picture
from queueplanner.desk.picture_arrays import RibbonArrays, TaskArrays, block_rows, task_rows
from tests.desk.example_plan import example_plan


@dataclass(frozen=True)
class Bar:
    start: int
    end: int
    lane: int
    washing: bool


lengths = st.lists(st.tuples(st.integers(0, 20), st.integers(1, 30), st.integers(0, 1), st.booleans()), max_size=25)


def bars_of(rows: list[tuple[int, int, int, bool]]) -> list[Bar]:
    """Bars of two persons, each one's after the other, with free time between them."""
    ends = [0, 0]
    made = []
    for gap, length, lane, washing in rows:
        start = ends[lane] + gap
        ends[lane] = start + length
        made.append(Bar(start, ends[lane], lane, washing))
    return made


@given(lengths)
def test_blocks_cover_just_what_the_tasks_cover_kind_by_kind_and_person_by_person(rows) -> None:
    bars = bars_of(rows)

    def covered(found) -> set[tuple[int, bool, bool]]:
        return {(second, washing, lane) for start, end, washing, lane, _ in found for second in range(start, end)}

    assert covered(block_rows(bars, 2)) == covered(task_rows(bars, 2))
    assert len(list(block_rows(bars, 2))) <= len(bars)


def test_neighbouring_tasks_of_one_kind_become_one_block() -> None:
    bars = [Bar(0, 60, 0, False), Bar(60, 90, 0, False), Bar(90, 200, 0, True), Bar(200, 230, 0, False)]
    assert list(block_rows(bars, 1)) == [
        (0, 90, False, False, False), (90, 200, True, False, False), (200, 230, False, False, False),
    ]  # fmt: skip


@given(lengths, st.integers(0, 300), st.integers(0, 300))
def test_no_bar_in_sight_is_left_out(rows, a: int, b: int) -> None:
    arrays = TaskArrays.of(task_rows(bars_of(rows), 2))
    start, end = sorted((a, b))
    shown = arrays.between(start, end)
    seen = np.flatnonzero((arrays.ends > start) & (arrays.starts < end))
    assert all(shown.start <= i < shown.stop for i in seen.tolist())


def test_the_ribbons_of_a_picture_name_the_ink_of_each_span() -> None:
    picture = make_picture(example_plan())
    for unit, spans in picture.spans.items():
        ribbon = picture.ribbons[unit]
        named = [None if i < 0 else ribbon.inks[i].id for i in ribbon.ink.tolist()]
        assert named == [None if s.ink is None else s.ink.id for s in spans]
        assert ribbon.ends.tolist() == [s.end for s in spans]


def test_a_unit_without_spans_has_an_empty_ribbon() -> None:
    assert RibbonArrays.of([]).ends.size == 0
