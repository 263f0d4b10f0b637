"""A shop's own settings profile and material figures, laid over the neutral default."""

from __future__ import annotations

from pathlib import Path

import pytest

from queueplanner.exchange.profile_files import load_card_profile, load_material_figures, shop_material_figures
from queueplanner.shop.errors import BadInput


def written(folder: Path, text: str) -> Path:
    path = folder / "press.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_press_file_changes_what_it_names_and_keeps_the_rest(tmp_path: Path) -> None:
    own = load_card_profile(
        written(tmp_path, 'name = "Ours"\n[card]\nfloat_sheets = 8\n[card.has]\nrear_blowers = false\n')
    )
    assert own.float_sheets == 8
    assert not own.has.rear_blowers and own.has.side_stops
    assert own.detector == load_card_profile().detector


def test_the_word_none_takes_a_part_out(tmp_path: Path) -> None:
    own = load_card_profile(written(tmp_path, '[card]\nguide_pulleys = "none"\nfans = "none"\n'))
    assert own.guide_pulleys is None and own.fans is None
    assert load_card_profile().guide_pulleys is not None


def test_a_wrong_figure_is_reported_with_its_file_line_and_key(tmp_path: Path) -> None:
    path = written(tmp_path, "[card]\n\n[card.detector]\ngraduations_more = -1\n")
    with pytest.raises(BadInput) as caught:
        load_card_profile(path)
    (problem,) = caught.value.problems
    assert (problem.file, problem.row, problem.column) == (str(path), 4, "card.detector.graduations_more")


def test_a_key_that_means_nothing_is_reported(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"card\.detectors"):
        load_card_profile(written(tmp_path, "[card]\ndetectors = 1\n"))


def test_a_card_that_is_no_table_is_reported(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"write a table: \[card\]"):
        load_card_profile(written(tmp_path, "card = 3\n"))


def test_material_figures_are_laid_over_in_the_same_way(tmp_path: Path) -> None:
    own = load_material_figures(
        written(tmp_path, "[materials]\nroller_wash_ml = 45\n[materials.lifting]\nreach_cm = 35\n")
    )
    assert (own.roller_wash_ml, own.lifting.reach_cm) == (45, 35)
    assert own.lifting.coupling == load_material_figures().lifting.coupling


def test_a_folders_figures_lie_under_those_of_the_press_file_given_besides(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    (tmp_path / "materials.toml").write_text("[materials]\nroller_wash_ml = 40\nblanket_wash_ml = 12\n", "utf-8")
    besides = written(tmp_path_factory.mktemp("besides"), "[materials]\nroller_wash_ml = 35\n")
    own = shop_material_figures(tmp_path, besides)
    assert (own.roller_wash_ml, own.blanket_wash_ml) == (35, 12)
    assert shop_material_figures() == load_material_figures()
