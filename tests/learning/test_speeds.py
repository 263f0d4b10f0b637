"""Speeds learned from runs."""

from __future__ import annotations

import numpy as np
import pytest

from queueplanner.learning.actuals import ActualRun
from queueplanner.learning.speeds import learn_speeds
from tests.learning.logged import run

STOCKS, CLASSES = (
    {"bond": 8000.0, "board": 4000.0, "light weight": 6000.0},
    {"light": 1.0, "medium": 0.9, "heavy": 0.75},
)


def _runs(
    stocks: dict[str, float], classes: dict[str, float], count: int, seed: int, noise: float = 0.08
) -> list[ActualRun]:
    rng = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        stock, name = rng.choice(list(stocks)), rng.choice(list(classes))
        sheets = int(rng.choice([500, 2000, 6000]))
        speed = stocks[stock] * classes[name] * float(np.exp(noise * (1 + 500 / sheets) ** 0.5 * rng.standard_normal()))
        made.append(run(sheets=sheets, seconds=3600 * sheets / speed, stock=str(stock), coverage=str(name)))
    return made


def test_without_runs_the_files_stand() -> None:
    found = learn_speeds([], STOCKS, CLASSES)
    assert {k: e.value for k, e in found.stocks.items()} == pytest.approx(STOCKS)
    assert {k: e.value for k, e in found.classes.items()} == pytest.approx(CLASSES)
    assert found.stocks["bond"].low < 6700 < 9500 < found.stocks["bond"].high


def test_stops_and_reloading_are_no_speed() -> None:
    logged = [run(sheets=8000, seconds=4000, stops={"dust": 220}, reload=180, stock="bond")] * 50
    found = learn_speeds(logged, STOCKS, CLASSES)
    assert found.stocks["bond"].value * found.classes["light"].value == pytest.approx(8000, rel=0.01)
    slow = learn_speeds([run(sheets=8000, seconds=4000, stock="bond")] * 50, STOCKS, CLASSES)
    assert slow.stocks["bond"].value * slow.classes["light"].value == pytest.approx(7200, rel=0.01)


def test_stock_and_class_are_told_apart() -> None:
    true_stocks, true_classes = (
        {"bond": 7000.0, "board": 4200.0, "light weight": 5000.0},
        {"light": 1.0, "medium": 0.85, "heavy": 0.65},
    )
    found = learn_speeds(_runs(true_stocks, true_classes, 300, 1), STOCKS, CLASSES)
    for stock, speed in true_stocks.items():
        for name, factor in true_classes.items():
            assert found.stocks[stock].value * found.classes[name].value == pytest.approx(speed * factor, rel=0.04)
    assert found.classes["heavy"].value / found.classes["light"].value == pytest.approx(0.65, rel=0.04)
    assert found.spread == pytest.approx(0.08, abs=0.015)


def test_a_stock_without_runs_goes_with_the_press() -> None:
    logged = [run(sheets=4000, seconds=3600 * 4000 / 6400, stock="bond")] * 40
    found = learn_speeds(logged, STOCKS, CLASSES)
    assert 3200 < found.stocks["board"].value < 3900
    assert found.stock_runs == {"bond": 40} and found.class_runs == {"light": 40}


def test_a_press_left_running_by_mistake_pulls_nothing_away() -> None:
    good = _runs(STOCKS, CLASSES, 40, 2)
    calm, spoilt = (learn_speeds(r, STOCKS, CLASSES) for r in (good, [*good, run(sheets=1000, seconds=80_000)]))
    assert spoilt.stocks["bond"].value == pytest.approx(calm.stocks["bond"].value, rel=0.02)


def test_runs_that_tell_nothing_are_left_out() -> None:
    odd = [run(stock="felt"), run(coverage="solid"), run(sheets=0), run(seconds=100, stops={"dust": 100})]
    assert learn_speeds(odd, STOCKS, CLASSES).left_out == 4


def test_true_speeds_lie_within_their_ranges_about_eight_times_in_ten() -> None:
    held = []
    for seed in range(30):
        rng = np.random.default_rng(seed)
        press = float(np.exp(0.12 * rng.standard_normal()))
        stocks = {k: v * press * float(np.exp(0.12 * rng.standard_normal())) for k, v in STOCKS.items()}
        classes = {k: v * float(np.exp(0.08 * rng.standard_normal())) for k, v in CLASSES.items()}
        found = learn_speeds(_runs(stocks, classes, 25, seed), STOCKS, CLASSES)
        held += [found.stocks[k].holds(v) for k, v in stocks.items()]
        held += [found.classes[k].holds(v) for k, v in classes.items()]
    assert 0.7 < sum(held) / len(held) < 0.93
