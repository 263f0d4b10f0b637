"""Held-back changeovers: what was learned against the defaults."""

from __future__ import annotations

from dataclasses import replace

import pytest

from queueplanner.learning.back_test import back_test
from queueplanner.learning.figures import Figure
from tests.learning.logged import changeover, task
from tests.learning.simulated_shop import SimulatedShop, defaults


@pytest.mark.parametrize(("crew", "ticked"), [(1, 0.0), (1, 0.5), (2, 0.3)])
def test_learned_figures_beat_the_defaults_and_their_ranges_hold(crew: int, ticked: float) -> None:
    tests = [back_test(SimulatedShop(seed).log(100 // crew, crew=crew, ticked=ticked), defaults()) for seed in range(4)]
    assert sum(t.learned_error for t in tests if t.learned_error) < 0.85 * sum(
        t.default_error for t in tests if t.default_error
    )
    assert sum(t.learned_is_better for t in tests) >= 3
    share = sum(t.held * t.held_back for t in tests if t.held is not None) / sum(t.held_back for t in tests)
    assert 0.7 < share < 0.9


def test_a_shop_that_works_as_the_files_say_gains_nothing() -> None:
    logged = [replace(changeover(120 + i % 3 - 1, [task("load_pile", 120)]), moment=i) for i in range(60)]
    found = back_test(logged, {Figure("load_pile"): 120.0})
    assert found.gain is not None and abs(found.gain.value) < 1
    assert (found.learned_from, found.held_back) == (42, 18)


def test_the_later_ones_are_held_back_whatever_the_order_of_the_log() -> None:
    logged = [replace(changeover(120 if i < 50 else 240, [task("load_pile", 120)]), moment=i) for i in range(100)]
    found = back_test(logged[::-1], {Figure("load_pile"): 120.0}, share_held_back=0.5)
    assert (found.default_error, found.learned_error) == pytest.approx((120, 120), abs=2)


def test_uncertain_times_are_not_held_against_anybody() -> None:
    logged = [replace(changeover(120, [task("load_pile", 120)]), moment=i) for i in range(10)]
    unsure = [replace(changeover(9000, [task("load_pile", 120)], uncertain=True), moment=10 + i) for i in range(10)]
    found = back_test([*logged, *unsure], {Figure("load_pile"): 120.0}, share_held_back=0.6)
    assert (found.learned_from, found.held_back, found.default_error) == (8, 2, 0)


def test_nothing_held_back_says_nothing() -> None:
    found = back_test([], {Figure("load_pile"): 120.0})
    assert (found.held_back, found.gain, found.held, found.learned_is_better) == (0, None, None, False)
