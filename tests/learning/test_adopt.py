"""Learned figures in place of the old ones."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.adopt import rounded_minutes, with_class_factors, with_minutes, with_residue
from queueplanner.learning.figures import Figure, figure_seconds
from queueplanner.shop.press import OwnTask, Place, PressProfile, TaskState
from tests.small_shop import press

OWN = OwnTask(name="numbering", place=Place.DELIVERY, state=TaskState.STOPPED, minutes=6.0)


def test_new_minutes_stand_where_the_old_ones_stood_and_nothing_else_moves() -> None:
    before = press(own_tasks=(OWN,))
    after = with_minutes(before, {Figure("wash_rollers", "each_more"): 301.0, Figure("own:numbering"): 90.0})
    assert after.tasks["wash_rollers"].each_more == 5.0
    assert after.own_tasks[0].minutes == 1.5
    changed = {f for f, s in figure_seconds(after).items() if s != figure_seconds(before)[f]}
    assert changed == {Figure("wash_rollers", "each_more"), Figure("own:numbering")}


def test_figures_the_press_does_not_have_are_passed_over() -> None:
    assert with_minutes(press(), {Figure("load_pile", "automatic"): 60.0, Figure("own:folding"): 60.0}) == press()


def test_what_is_adopted_is_a_press_file_still() -> None:
    seconds = {figure: 1e9 if i % 2 else 0.0 for i, figure in enumerate(figure_seconds(press()))}
    after = with_class_factors(with_residue(with_minutes(press(), seconds), 0.9999, 1e-9), {"light": 1.234})
    assert PressProfile.model_validate(dict(after)) == after
    assert (after.residue_c0, after.residue_r, after.coverage_classes[0].speed_factor) == (1.0, 0.001, 1.23)


@settings(derandomize=True)
@given(st.floats(0, 36_000))
def test_adopted_minutes_are_within_a_step_of_what_was_learned(seconds: float) -> None:
    assert rounded_minutes(seconds) * 60 == pytest.approx(seconds, abs=1.5 + 1e-9)
