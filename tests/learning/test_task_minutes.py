"""Task minutes learned from changeovers whose true times are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from queueplanner.learning.actuals import ActualChangeover, totalled_only
from queueplanner.learning.figures import Figure
from queueplanner.learning.task_minutes import LearnedMinutes, default_seconds, learn_minutes
from tests.learning.logged import changeover, task
from tests.learning.simulated_shop import SimulatedShop, Truth, defaults

TWO = {Figure("load_pile"): 120.0, Figure("put_plate_on"): 240.0}
LOAD, PLATE = Figure("load_pile"), Figure("put_plate_on")


def _pair(load: float | None, plate: float | None, total: float, **more: bool) -> ActualChangeover:
    """A changeover of two tasks, each ticked or not."""
    return changeover(total, [task("load_pile", 120, load), task("put_plate_on", 240, plate)], **more)


def test_without_data_the_defaults_come_back_with_wide_ranges() -> None:
    learned = learn_minutes([], TWO)
    assert {f: e.value for f, e in learned.shop.items()} == pytest.approx(TWO)
    assert learned.crews == {} and learned.evidence == {}
    load = learned.of_crew(1)[LOAD]
    assert load.low < 70 < 120 < 170 < load.high


def test_one_slow_changeover_moves_the_figures_a_little_and_many_move_them_all_the_way() -> None:
    once, often = (learn_minutes([_pair(180, 360, 540)] * n, TWO) for n in (1, 60))
    assert 125 < once.of_crew(1)[LOAD].value < 170
    assert often.of_crew(1)[LOAD].value == pytest.approx(180, rel=0.01)
    assert often.of_crew(1)[PLATE].value == pytest.approx(360, rel=0.01)
    assert often.evidence == {LOAD: 60, PLATE: 60}


def test_a_total_tells_of_the_pace_and_ticks_tell_of_the_task() -> None:
    totalled = learn_minutes([_pair(None, None, 540)] * 60, TWO).of_crew(1)
    assert totalled[LOAD].value + totalled[PLATE].value == pytest.approx(540, rel=0.01)
    assert totalled[LOAD].value / 120 > 1.3 < totalled[PLATE].value / 240
    assert totalled[LOAD].high - totalled[LOAD].low > 60  # the total does not say which of the two is slow
    one = learn_minutes([_pair(60, None, 540)] * 60, TWO).of_crew(1)
    assert (one[LOAD].value, one[PLATE].value) == pytest.approx((60, 480), rel=0.03)


def test_a_forgotten_tick_and_a_visitor_pull_nothing_away() -> None:
    good = [_pair(120.0 + i % 7, 240.0 - i % 5, 360) for i in range(40)]
    spoilt = [_pair(7200, 240, 360), _pair(None, None, 6000), _pair(0, 240, 240), *good]
    calm, stirred = (learn_minutes(logged, TWO).of_crew(1) for logged in (good, spoilt))
    for figure in TWO:
        assert stirred[figure].value == pytest.approx(calm[figure].value, rel=0.03)


def test_an_uncertain_time_counts_less() -> None:
    sure, unsure = (learn_minutes([_pair(180, 360, 540, uncertain=u)] * 3, TWO).of_crew(1) for u in (False, True))
    assert 120 < unsure[LOAD].value < sure[LOAD].value < 180
    assert unsure[LOAD].high - unsure[LOAD].low > sure[LOAD].high - sure[LOAD].low


def test_what_never_takes_time_is_never_negative() -> None:
    learned = learn_minutes([_pair(None, 300, 60)] * 30, TWO)
    load = learned.of_crew(1)[LOAD]
    assert 0 <= load.low <= load.value < 20


def test_a_crew_without_data_leans_on_the_other() -> None:
    learned = learn_minutes([_pair(180, 360, 540)] * 40, TWO)
    assert set(learned.crews) == {1}
    assert learned.of_crew(2) is learned.shop
    assert learned.shop[LOAD].value == pytest.approx(180, rel=0.05)
    assert learned.shop[LOAD].high - learned.shop[LOAD].low > 2 * (learned.of_crew(1)[LOAD].high - 180)


def test_two_crews_that_differ_are_told_apart() -> None:
    slow = [_pair(180, 360, 540)] * 40
    quick = [replace(_pair(150, 300, 270), crew=2, planned_seconds=216.0)] * 40
    learned = learn_minutes([*slow, *quick], TWO)
    assert learned.crews[1][LOAD].value == pytest.approx(180, rel=0.02)
    assert learned.crews[2][LOAD].value == pytest.approx(150, rel=0.02)
    assert 150 < learned.shop[LOAD].value < 180


def test_a_task_the_press_file_no_longer_has_is_learned_from_its_plan() -> None:
    logged = [changeover(400, [task("load_pile", 120), task("own:numbering", 240)])] * 30
    learned = learn_minutes(logged, {LOAD: 120.0})
    assert learned.of_crew(1)[Figure("own:numbering")].value == pytest.approx(270, abs=15)
    assert default_seconds(logged[0], {LOAD: 90.0}) == 90 + 240


def test_what_was_never_learned_is_expected_as_planned() -> None:
    learned = learn_minutes([changeover(180, [task("load_pile", 120, 180)])] * 40, {LOAD: 120.0})
    (found,) = learned.expected([changeover(0, [task("load_pile", 120), task("own:numbering", 240)])])
    assert found.value == pytest.approx(180 + 240, rel=0.02)
    assert found.low < found.value < found.high
    assert learned.expected([]) == []


def test_tasks_done_in_the_run_before_tell_nothing_of_make_ready() -> None:
    logged = [changeover(240, [task("load_pile", 120, 999, external=True), task("put_plate_on", 240)])] * 20
    learned = learn_minutes(logged, TWO)
    assert learned.evidence == {PLATE: 20}
    assert learned.of_crew(1)[LOAD].value == pytest.approx(120, rel=0.02)


def test_time_between_ticks_is_found_as_a_factor_of_the_totals() -> None:
    learned = learn_minutes([_pair(120, 240, 396)] * 60, TWO)
    assert learned.of_crew(1)[LOAD].value == pytest.approx(120, rel=0.01)
    assert learned.total_factors[1] == pytest.approx(1.1, abs=0.01)
    assert learned.expected([_pair(None, None, 0)])[0].value == pytest.approx(396, rel=0.01)


def test_the_outlook_parts_what_is_unknown_of_the_figures_from_what_varies() -> None:
    few, many = (learn_minutes(SimulatedShop(3).log(n), defaults()) for n in (6, 90))
    ahead = SimulatedShop(3).log(20, first_day=50)
    for learned in (few, many):
        outlook = learned.outlook(ahead)
        assert list(outlook.seconds) == [e.value for e in learned.expected(ahead)]
        assert all(0.05 < s < 0.5 for s in outlook.spreads)
    assert 0.02 < many.outlook(ahead).common < 0.7 * few.outlook(ahead).common
    assert few.outlook([]).common == 0


def _held(shops: list[tuple[SimulatedShop, LearnedMinutes, int]]) -> float:
    """The share of figures, of all shops, whose truth is within its range."""
    held = [
        estimate.holds(shop.true[figure] * (shop.truth.second_crew if crew == 2 else 1.0))
        for shop, learned, crew in shops
        for figure, estimate in learned.of_crew(crew).items()
    ]
    return sum(held) / len(held)


@pytest.mark.parametrize(("crew", "ticked"), [(1, 0.0), (1, 0.5), (2, 0.0), (2, 0.5)])
def test_true_times_lie_within_their_ranges_about_eight_times_in_ten(crew: int, ticked: float) -> None:
    shops = []
    for seed in range(6):
        shop = SimulatedShop(seed)
        shops.append((shop, learn_minutes(shop.log(60 // crew, crew=crew, ticked=ticked), defaults()), crew))
    assert 0.7 < _held(shops) < 0.92


def test_more_changeovers_bring_the_figures_nearer_to_the_truth() -> None:
    off = []
    for count in (0, 15, 90):
        far = []
        for seed in range(3):
            shop = SimulatedShop(seed)
            learned = learn_minutes(shop.log(count, ticked=0.5), defaults())
            far += [abs(np.log(e.value / shop.true[f])) for f, e in learned.of_crew(1).items()]
        off.append(float(np.mean(far)))
    assert off[0] > 1.3 * off[1] > 1.6 * off[2]


def test_the_same_log_gives_the_same_figures() -> None:
    logged = SimulatedShop(5, Truth(wild=0.1)).log(30, ticked=0.3)
    one, two = learn_minutes(logged, defaults()), learn_minutes(logged, defaults())
    assert one.shop == two.shop and one.crews == two.crews


LOGS = st.lists(
    st.tuples(st.none() | st.integers(0, 2000), st.none() | st.integers(0, 2000), st.integers(1, 4000)), max_size=12
)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(LOGS)
def test_figures_are_never_negative_and_lie_in_their_ranges(made: list[tuple[int | None, int | None, int]]) -> None:
    learned = learn_minutes([_pair(load, plate, total) for load, plate, total in made], TWO)
    for estimate in (*learned.shop.values(), *learned.of_crew(1).values()):
        assert 0 <= estimate.low <= estimate.value <= estimate.high


@settings(derandomize=True, deadline=None, max_examples=30)
@given(LOGS, st.randoms(use_true_random=False))
def test_the_order_of_the_log_does_not_matter(made: list[tuple[int | None, int | None, int]], shuffle) -> None:
    logged = [totalled_only(_pair(load, plate, total)) for load, plate, total in made]
    mixed = logged.copy()
    shuffle.shuffle(mixed)
    one, two = learn_minutes(logged, TWO), learn_minutes(mixed, TWO)
    for figure in TWO:
        assert one.shop[figure].value == pytest.approx(two.shop[figure].value, rel=1e-3, abs=0.1)
