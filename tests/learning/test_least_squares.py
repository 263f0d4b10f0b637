"""The least-squares path against certified values, and the non-negative fit against its optimality conditions."""

from __future__ import annotations

from itertools import chain, combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.arrays import Floats, floats
from queueplanner.learning.least_squares import (
    TooFewRows,
    kuhn_tucker_gap,
    least_squares,
    nonnegative_least_squares,
)
from tests.learning.published import column, rows

LONGLEY = ("deflator", "gnp", "unemployed", "armed", "population", "year")


def _certified(dataset: str) -> list[tuple[str, float, float]]:
    return [
        (r["quantity"], float(r["value"]), float(r["sd"]))
        for r in rows("strd_certified.csv")
        if r["dataset"] == dataset
    ]


def _design(name: str, keys: tuple[str, ...]) -> Floats:
    columns = [column(name, key) for key in keys]
    return np.column_stack([np.ones(len(columns[0])), *map(floats, columns)])


@pytest.mark.parametrize(
    ("dataset", "design", "observed", "digits"),
    [
        ("Norris", _design("norris.csv", ("x",)), column("norris.csv", "y"), 1e-11),
        ("Longley", _design("longley.csv", LONGLEY), column("longley.csv", "y"), 1e-9),
    ],
)
def test_certified_regressions_are_found_again(
    dataset: str, design: Floats, observed: list[float], digits: float
) -> None:
    found = least_squares(design, floats(observed))
    certified = _certified(dataset)
    assert found.coefficients == pytest.approx([v for _, v, _ in certified[:-2]], rel=digits)
    assert found.standard_errors == pytest.approx([sd for _, _, sd in certified[:-2]], rel=digits)
    assert found.residual_sd == pytest.approx(certified[-2][1], rel=1e-9)
    assert found.residual_squares == pytest.approx(certified[-1][1], rel=1e-9)


@pytest.mark.parametrize("design", [np.ones((1, 2)), np.ones((3, 2)), np.array([[1.0, 0.0], [2.0, 0.0]])])
def test_columns_that_hang_together_are_refused(design: Floats) -> None:
    with pytest.raises(TooFewRows):
        least_squares(design, np.ones(len(design)))


@pytest.mark.parametrize(
    ("observed", "wanted"),
    [([1, 2], [1, 2]), ([1, -2], [1, 0]), ([-1, -2], [0, 0]), ([0, 0], [0, 0])],
)
def test_what_would_be_negative_is_held_at_zero(observed: list[float], wanted: list[float]) -> None:
    assert nonnegative_least_squares(np.eye(2), floats(observed)) == pytest.approx(wanted)


def test_holding_one_at_zero_changes_the_others() -> None:
    design = floats([[1, 1], [1, 0], [0, 1]])
    found = nonnegative_least_squares(design, floats([1, 3, -2]))
    assert found == pytest.approx([2, 0])  # by hand: the best b alone for (1, 3) is 2


SIZES = st.tuples(st.integers(1, 6), st.integers(0, 2**32 - 1), st.sampled_from(["wide", "counts", "steep"]))


def _made_up(size: tuple[int, int, str]) -> tuple[Floats, Floats]:
    k, seed, kind = size
    rng = np.random.default_rng(seed)
    design = rng.normal(size=(k + 4, k))
    if kind == "counts":
        design = np.vstack([rng.integers(0, 3, size=(k + 4, k)), np.eye(k)]).astype(float)
    if kind == "steep":
        design = design * 10.0 ** rng.integers(-4, 5, size=k)
    return design, rng.normal(size=len(design)) * 10


@settings(derandomize=True, deadline=None, max_examples=200)
@given(SIZES)
def test_the_kuhn_tucker_conditions_hold(size: tuple[int, int, str]) -> None:
    design, observed = _made_up(size)
    assert kuhn_tucker_gap(design, observed, nonnegative_least_squares(design, observed)) < 1e-12


@settings(derandomize=True, deadline=None)
@given(SIZES)
def test_no_choice_of_coefficients_held_at_zero_does_better(size: tuple[int, int, str]) -> None:
    design, observed = _made_up(size)
    k = design.shape[1]
    found = nonnegative_least_squares(design, observed)
    best = float(observed @ observed)
    for free in chain.from_iterable(combinations(range(k), n) for n in range(1, k + 1)):
        some = least_squares(design[:, free], observed)
        if some.coefficients.min() >= 0:
            best = min(best, some.residual_squares)
    assert float(((observed - design @ found) ** 2).sum()) == pytest.approx(best, rel=1e-9, abs=1e-9)


@settings(derandomize=True, deadline=None)
@given(SIZES)
def test_a_wrong_answer_does_not_meet_the_conditions(size: tuple[int, int, str]) -> None:
    design, observed = _made_up(size)
    found = nonnegative_least_squares(design, observed)
    moved = found.copy()
    moved[0] += 0.1 * max(1.0, abs(found[0])) * np.linalg.norm(observed) / np.linalg.norm(design[:, 0])
    assert kuhn_tucker_gap(design, observed, moved) > 1e-6
    assert kuhn_tucker_gap(design, observed, -1 - found) > 1e-6
