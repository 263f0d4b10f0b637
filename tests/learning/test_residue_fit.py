"""The residue's constants, learned from washes whose truth is known."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from queueplanner.learning.actuals import ActualWash
from queueplanner.learning.residue_fit import fit_residue
from queueplanner.makeready.residue import ResidueModel, difference_of_share, wash_count
from queueplanner.shop.base import InkId
from queueplanner.shop.ink import Ink, InkKind

#: Solids of the process colours (ISO 12647-2:2004/Amd 1, FOGRA39L) and made-up spot inks.
LABS = {
    "black": (16.0, 0.0, 0.0), "cyan": (55.0, -37.0, -50.0), "magenta": (48.0, 74.0, -3.0),
    "yellow": (89.0, -5.0, 93.0), "rose": (80.0, 20.0, 3.0), "teal": (55.0, -30.0, -12.0), "grey": (70.0, 0.0, 0.0),
}  # fmt: skip


def _ink(name: str, **more: Any) -> Ink:
    kind = InkKind.PROCESS if name in ("black", "cyan", "magenta", "yellow") else InkKind.SPOT
    facts = {"kind": kind, "lab": LABS[name], "open_time_h": 8.0, "drying_time_h": 1.0} | more
    return Ink(id=InkId(name), name=name, **facts)


INKS = [_ink(name) for name in LABS]


def _needed(old: Ink, new: Ink, model: ResidueModel, tolerance: float) -> int:
    fine = (n for n in range(1, 4) if difference_of_share(old, new, model.share_after(n)) <= tolerance)
    return next(fine, 4)


def _washed(model: ResidueModel, count: int, seed: int, judged: float = 0.3) -> list[ActualWash]:
    """So many wash-ups of random pairs in a shop with the given constants."""
    rng = np.random.default_rng(seed)
    made = []
    for _ in range(count):
        old, new = (INKS[i] for i in rng.choice(len(INKS), 2, replace=False))
        needed = _needed(old, new, model, new.tolerance_de00 * float(np.exp(judged * rng.standard_normal())))
        made.append(ActualWash(old, new, wash_count(old, new, ResidueModel(), {}).washes, needed))
    return made


def test_without_washes_the_constants_are_those_before() -> None:
    found = fit_residue([])
    assert (found.c0.value, found.r.value) == pytest.approx((0.5, 0.10), abs=1e-9)
    assert found.c0.low < 0.35 and found.r.high > 0.2
    assert (found.washes, found.left_out) == (0, 0)
    own = fit_residue([], ResidueModel(c0=0.8, r=0.3))
    assert (own.c0.value, own.r.value) == pytest.approx((0.8, 0.3), abs=1e-9)


@pytest.mark.parametrize(("c0", "r"), [(0.5, 0.10), (0.5, 0.25), (0.3, 0.06), (0.7, 0.18)])
def test_true_constants_are_found_again(c0: float, r: float) -> None:
    truth = ResidueModel(c0=c0, r=r)
    found = fit_residue(_washed(truth, 400, seed=round(1000 * r)))
    assert found.model().share_after(1) == pytest.approx(truth.share_after(1), rel=0.25)
    assert found.r.value == pytest.approx(r, rel=0.4)
    assert found.r.high - found.r.low < 0.8 * (fit_residue([]).r.high - fit_residue([]).r.low) + 0.1


def test_the_truth_lies_within_the_ranges_about_eight_times_in_ten() -> None:
    held = []
    rng = np.random.default_rng(4)
    for seed in range(40):
        odds = np.array([0.0, np.log(0.1 / 0.9)]) + rng.standard_normal(2) * [0.6, 0.7]
        c0, r = (1 / (1 + np.exp(-odds))).tolist()
        found = fit_residue(_washed(ResidueModel(c0=c0, r=r), 25, 1000 + seed))
        held += [found.c0.holds(c0), found.r.holds(r)]
    assert 0.7 < sum(held) / len(held) < 0.9


def test_more_washes_than_predicted_mean_more_ink_left() -> None:
    black, yellow = _ink("black"), _ink("yellow")
    twice, thrice = (fit_residue([ActualWash(black, yellow, 2, n)] * 10) for n in (2, 3))
    assert thrice.model().share_after(2) > 2 * twice.model().share_after(2)
    assert wash_count(black, yellow, thrice.model(), {}).washes == 3


def test_a_slip_moves_little() -> None:
    black, yellow = _ink("black"), _ink("yellow")
    logged = [ActualWash(black, yellow, 2, 2)] * 30
    calm, slipped = fit_residue(logged), fit_residue([*logged, ActualWash(_ink("rose"), black, 1, 4)])
    assert slipped.model().share_after(1) == pytest.approx(calm.model().share_after(1), rel=0.2)


def test_inks_that_are_not_predicted_tell_nothing() -> None:
    silver = _ink("grey", kind=InkKind.METALLIC)
    odd = [
        ActualWash(silver, _ink("rose"), 2, 4),
        ActualWash(_ink("rose"), silver, 2, 1),
        ActualWash(silver, silver, 2, 1),
    ]
    found = fit_residue(odd)
    assert (found.washes, found.left_out, found.c0.value) == (0, 3, pytest.approx(0.5))


def test_two_families_take_two_washes_anyhow_which_tells_less() -> None:
    pale, other = _ink("rose"), _ink("black", family="rubber-based")
    found, same = (fit_residue([ActualWash(pale, new, 2, 2)] * 20) for new in (other, _ink("black")))
    assert found.c0.value < same.c0.value or found.r.value < same.r.value
