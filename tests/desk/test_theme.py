from __future__ import annotations

import sys

from PySide6.QtGui import QFontDatabase, QFontInfo, QFontMetricsF, QImage, QPainter
from PySide6.QtWidgets import QApplication

from queueplanner.desk.theme import LEAST_CAPITAL_PX, TEXT_SIZES, Appearance, TextRole, Theme, make_theme


def test_there_is_a_real_font(qapp: QApplication, light: Theme) -> None:
    """Without any font Qt draws empty boxes and does not complain."""
    assert QFontDatabase.families()
    assert QFontInfo(light.font()).family() in QFontDatabase.families()


def test_painting_keeps_the_references_to_none(qapp: QApplication) -> None:
    """PySide6 6.12.0 on Python 3.11 loses one with every call that returns nothing, until the interpreter dies."""
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    before = sys.getrefcount(None)
    for _ in range(1000):
        painter.drawLine(0, 0, 9, 9)
    after = sys.getrefcount(None)
    painter.end()
    assert abs(after - before) < 100


def test_every_role_of_text_is_tall_enough_at_arms_length(light: Theme) -> None:
    for role in TextRole:
        assert QFontMetricsF(light.font(role)).capHeight() >= LEAST_CAPITAL_PX


def test_text_sizes_scale_every_role(qapp: QApplication) -> None:
    usual = make_theme(Appearance.LIGHT, 1.0)
    for size in TEXT_SIZES:
        larger = make_theme(Appearance.LIGHT, size)
        for role in TextRole:
            assert abs(larger.px(role) - usual.px(role) * size) <= 1.5


def test_titles_and_figures_stand_out_by_size_and_weight(light: Theme) -> None:
    sizes = [light.px(role) for role in (TextRole.BODY, TextRole.TITLE, TextRole.FIGURE)]
    assert sizes == sorted(set(sizes))
    assert light.font(TextRole.FIGURE).bold()


def test_the_systems_scheme_is_followed_unless_one_is_chosen(qapp: QApplication) -> None:
    assert make_theme(Appearance.DARK).palette.name == "dark"
    assert make_theme(Appearance.LIGHT).palette.name == "light"
    assert make_theme(Appearance.SYSTEM).palette.name in {"dark", "light"}
