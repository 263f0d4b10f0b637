"""Public problems in hand-made files: the day made of one is worth what a plain reckoning of all its orders says."""

from __future__ import annotations

import random
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from benchmarks.public_bound import bound_of
from benchmarks.public_days import PublicDay, day_of
from benchmarks.public_files import NotReadable, Problem, Tardiness, Tour, read_problem
from benchmarks.public_peers import cp_sat, routing

from queueplanner.planning.engine import warm_up_pairs
from queueplanner.planning.pairwise import anneal_pairs, pairs_of
from queueplanner.planning.progress import CancelToken
from queueplanner.planning.search import Searcher, search

TARDINESS = """Problem Instance: 1
Problem Size: 3
Begin Problem Specification
Process Times:
10
20
5
Weights:
2
1
0
Duedates:
15
20
30
Setup Times:
-1\t0\t3
-1\t1\t4
-1\t2\t1
0\t1\t7
0\t2\t2
1\t0\t6
1\t2\t9
2\t0\t8
2\t1\t5
End Problem Specification
"""
WINDOWS = """3
0 4 5
2 0 3
1 7 0
0 30
6 9
0 20
# Sum of service times: 3
"""
TSPLIB = """NAME: three
TYPE: ATSP
DIMENSION: 3
EDGE_WEIGHT_FORMAT: FULL_MATRIX
EDGE_WEIGHT_SECTION
 9999 4 5
 2 9999
 3 1 7 9999
EOF
"""


def read(folder: Path, text: str) -> Problem:
    path = folder / "any name"
    path.write_text(text, encoding="utf-8")
    return read_problem(path)


def test_a_tardiness_file_is_read_and_an_order_is_worth_what_its_numbers_say(tmp_path: Path) -> None:
    problem = read(tmp_path, TARDINESS)
    # 0 ends at 3 + 10 = 13, on time; 1 at 13 + 7 + 20 = 40, 20 late; 2 weighs nothing
    assert problem.check([0, 1, 2]).value == 20
    # 1 ends at 24, 4 late; 0 at 24 + 6 + 10 = 40, 25 late at weight 2
    assert problem.check([1, 0, 2]).value == 54
    assert problem.check([1, 0, 0]).value is None


def test_a_tour_with_windows_waits_and_is_worth_nothing_when_it_comes_too_late(tmp_path: Path) -> None:
    problem = read(tmp_path, WINDOWS)
    assert problem.check([0, 1, 2]).value == 4 + 3 + 1
    missed = problem.check([0, 2, 1])
    assert missed.value is None
    assert missed.why == "node 1 is reached at 12, after its window's end at 9"
    assert problem.check([1, 0, 2]).value is None


def test_a_tsplib_matrix_may_break_its_lines_anywhere(tmp_path: Path) -> None:
    problem = read(tmp_path, TSPLIB)
    assert problem == Tour(((0, 4, 5), (2, 0, 3), (1, 7, 0)))
    assert problem.check([0, 2, 1]).value == 5 + 7 + 2


@pytest.mark.parametrize("text", ["", "3\n0 1 2", TSPLIB.replace("FULL", "UPPER"), TARDINESS.replace("-1\t2\t1\n", "")])
def test_a_file_of_no_known_kind_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(NotReadable):
        read(tmp_path, text)


def random_problem(kind: str, seed: int) -> Problem:
    rng = random.Random(seed)

    def row(n: int, most: int) -> tuple[int, ...]:
        return tuple(rng.randint(1, most) for _ in range(n))

    if kind == "tardiness":
        due = tuple(rng.randint(20, 200) for _ in range(6))
        return Tardiness(row(6, 40), row(6, 9), due, row(6, 30), tuple(row(6, 30) for _ in range(6)))
    travel = [list(row(7, 30)) for _ in range(7)]
    if kind == "windows, least way home":
        for line in travel:
            line[0] = min(line)
    square = tuple(tuple(0 if i == j else x for j, x in enumerate(line)) for i, line in enumerate(travel))
    if kind == "tour":
        return Tour(square)
    opens = [rng.randint(0, 90) for _ in range(6)]
    return Tour(square, ((3, 180), *((a, a + rng.randint(20, 100)) for a in opens)))


KINDS = ["tardiness", "tour", "windows", "windows, least way home"]


def all_orders(day: PublicDay) -> list[list[int]]:
    n = day.tables.n - day.returns
    return [[*order, n] if day.returns else list(order) for order in permutations(range(n))]


def by_pairs(day: PublicDay, order: list[int]) -> int:
    pairs, rows, scores = pairs_of(day.tables), day.rows(order), np.zeros(2, dtype=np.int64)
    assert pairs is not None
    anneal_pairs(pairs, rows, rows.copy(), scores, 0, 1.0, 1.0)
    return int(scores[0])


@pytest.mark.parametrize("kind", KINDS)
def test_the_day_is_worth_what_the_check_says_and_the_search_finds_the_best_of_all_orders(kind: str) -> None:
    feasible = 0
    for seed in range(6):
        problem = random_problem(kind, seed)
        day = day_of(problem)
        warm_up_pairs(day.tables)
        searcher, values, missed = Searcher(day.tables), [], []
        for number, order in enumerate(all_orders(day)):
            rows = day.rows(order)
            objective, checked = by_pairs(day, order), problem.check(day.sequence(rows)).value
            if number % 60 == 0:
                assert searcher.score(rows) == objective
            if checked is None:
                missed.append(objective)
            else:
                values.append(checked)
                assert checked == objective + day.base
        assert not missed or not values or min(missed) + day.base > max(values)
        feasible += bool(values)
        found = search(_Holder(day), day.starts(), 0.2, 1, lambda _rows, _bound: None, CancelToken(), 1)  # type: ignore[arg-type]
        answer = problem.check(day.sequence(found.rows)).value
        assert answer == (min(values) if values else None)
        bound = bound_of(problem, day.sequence(found.rows), answer, 5.0, 1)
        assert not values or (bound is not None and bound <= min(values))
        assert kind == "tardiness" or not values or bound == min(values)
    assert feasible >= 3


class _Holder:
    def __init__(self, day: PublicDay) -> None:
        self.tables = day.tables


def test_whatever_comes_after_the_way_back_costs_more_than_any_tour() -> None:
    day = day_of(random_problem("tour", 1))
    last = day.tables.n - 1
    assert by_pairs(day, [last, *range(last)]) > max(by_pairs(day, order) for order in all_orders(day))


@pytest.mark.parametrize("kind", KINDS)
def test_peers_answer_in_the_problems_own_numbers(kind: str) -> None:
    problem = random_problem(kind, 2)
    day = day_of(problem)
    checked = [problem.check(day.sequence(day.rows(order))).value for order in all_orders(day)]
    best = min(value for value in checked if value is not None)
    for ask in (cp_sat, routing):
        answer = ask(problem, 1.0, 1)
        assert answer is not None
        value = problem.check(answer).value
        assert value is not None
        assert value >= best
        assert value == best or ask is routing
