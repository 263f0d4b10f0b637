"""Settings card and materials as the terminal prints them."""

from __future__ import annotations

import re
from pathlib import Path

from queueplanner.exchange.card_text import NOTE, card_text
from queueplanner.exchange.figure_sources import figure_sources
from queueplanner.exchange.material_wording import FIGURES
from queueplanner.exchange.materials_text import materials_text
from queueplanner.exchange.profile_files import load_material_figures, shop_material_figures
from queueplanner.exchange.shop_files import load_shop
from queueplanner.exchange.text_table import COLUMNS
from queueplanner.planning.cards import plan_cards, plan_materials
from queueplanner.shop.material_figures import LiftingPosture, MaterialFigures
from tests.exchange.job_lists import demo_shop
from tests.exchange.plans import demo_instance, demo_plan


def cards() -> list[tuple[str, int, int]]:
    instance, plan = demo_instance(), demo_plan()
    made = []
    for card, planned in zip(plan_cards(plan, instance.shop.press, instance.state), plan.passes, strict=True):
        text = card_text(card, planned)
        made.append((text, len(card.lines), len(card.changes)))
    return made


def test_every_line_of_every_card_is_printed_and_fits() -> None:
    for text, lines, changes in cards():
        assert len(re.findall(r"^[* ] \S", text, re.MULTILINE)) >= lines
        assert len(re.findall(r"^\* ", text, re.MULTILINE)) == changes
        assert max(map(len, text.splitlines())) <= COLUMNS
        assert " ".join(text.split()).endswith(NOTE)


def test_a_change_reads_from_old_to_new() -> None:
    assert any(re.search(r"^\* Rear stop +\d+ mm → \d+ mm", text, re.MULTILINE) for text, _, _ in cards())


def test_every_caution_letter_of_a_line_is_explained_below() -> None:
    for text, _, _ in cards():
        used = set(re.findall(r"\[([A-Z])\]", text))
        assert used
        assert used == set(re.findall(r"^  ([A-Z])  ", text, re.MULTILINE))


def test_only_what_changes_leaves_the_rest_out() -> None:
    instance, plan = demo_instance(), demo_plan()
    card = plan_cards(plan, instance.shop.press, instance.state)[3]
    short, whole = (card_text(card, plan.passes[3], changes_only=only) for only in (True, False))
    assert len(short) < len(whole)
    assert len(re.findall(r"^\* ", short, re.MULTILINE)) == len(card.changes)


def test_materials_tell_sums_passes_lifting_and_sources() -> None:
    instance, plan, figures = demo_instance(), demo_plan(), shop_material_figures()
    used = plan_materials(plan, instance.shop.press, figures)
    text = materials_text(plan, used, instance.shop, figure_sources(instance.shop.press, figures))
    for stock, sheets in used.sheets.items():
        assert re.search(rf"{re.escape(instance.shop.stocks[stock].name)} +{sheets:,} ", text)
    for ink, grams in used.ink_g.items():
        assert re.search(rf"{re.escape(instance.shop.inks[ink].name)} +{grams:,.0f}\n", text)
    for planned in plan.passes:
        assert re.search(rf"^{re.escape(planned.id)} ", text, re.MULTILINE)
    assert f"{used.solvent_ml:,.0f} ml" in text
    assert "Reference only" in text
    assert "judgement, no source" in text
    assert max(map(len, text.splitlines())) <= COLUMNS


def test_every_figure_has_words_and_a_source() -> None:
    told = {key.removeprefix("materials.").split(".")[0] for key in FIGURES if key.startswith("materials.")}
    assert told == set(MaterialFigures.model_fields)
    lifted = {key.rpartition(".")[2] for key in FIGURES if ".lifting." in key}
    assert lifted == set(LiftingPosture.model_fields)
    assert all(words.source for words in FIGURES.values())


def test_a_figure_of_the_shops_own_is_told_with_its_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "materials.toml").write_text("# ours\n[materials]\nroller_wash_ml = 45\n", encoding="utf-8")
    (tmp_path / "press.toml").write_text("[waste]\nrunning_percent = 2\n", encoding="utf-8")
    press, figures = load_shop(tmp_path).press, shop_material_figures(tmp_path)
    own = {item.name: item for item in figure_sources(press, figures, tmp_path) if item.own}
    assert {item.source for item in own.values()} == {
        "the shop's own: materials.toml, line 3",
        "the shop's own: press.toml, line 2",
    }
    assert own["Solvent for one wash of one unit's rollers"].value == "45 ml"
    assert not any(item.own for item in figure_sources(demo_shop().press, load_material_figures()))
