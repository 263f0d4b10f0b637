"""How the desk looks at the moment: one palette and one text size, and the sizes that follow from them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontInfo, QFontMetricsF, QPalette
from PySide6.QtWidgets import QApplication

from queueplanner.desk.palette import DARK, LIGHT, Palette
from queueplanner.desk.style_sheet import style_sheet

#: Least height of a capital letter in px: 16 minutes of arc at 0.6 m (ISO 9241-3 as handbooks quote it).
LEAST_CAPITAL_PX = 11.0
#: What body text aims at, px; text sizes scale it.
BODY_CAPITAL_PX = 11.6
TEXT_SIZES = (1.0, 1.15, 1.3, 1.5, 2.0)


class Appearance(StrEnum):
    """Which palette a user wants."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


class TextRole(StrEnum):
    """Places in the hierarchy of type."""

    BODY = "body"
    STRONG = "strong"
    TITLE = "title"
    FIGURE = "figure"


_SIZE_OF_ROLE = {TextRole.BODY: 1.0, TextRole.STRONG: 1.0, TextRole.TITLE: 1.3, TextRole.FIGURE: 1.62}
_BOLD_ROLES = frozenset({TextRole.STRONG, TextRole.TITLE, TextRole.FIGURE})


@dataclass(frozen=True, slots=True)
class Theme:
    """A palette at a text size. `body_px` is the font size of body text in px, `scale` the user's text size."""

    palette: Palette
    family: str
    body_px: int
    scale: float

    def font(self, role: TextRole = TextRole.BODY) -> QFont:
        """The font of a place in the hierarchy."""
        font = QFont(self.family)
        font.setPixelSize(self.px(role))
        font.setBold(role in _BOLD_ROLES)
        return font

    def px(self, role: TextRole = TextRole.BODY) -> int:
        """The font size of a place in the hierarchy, px."""
        return round(self.body_px * _SIZE_OF_ROLE[role])

    def size(self, px: float) -> int:
        """A length that grows with the text: so many px at the usual text size."""
        return round(px * self.scale)

    def colour(self, token: str) -> QColor:
        """A token of the palette as a Qt colour."""
        return QColor(getattr(self.palette, token))


def make_theme(appearance: Appearance = Appearance.SYSTEM, scale: float = 1.0) -> Theme:
    """The theme for a wish and a text size; needs a running application.

    A system font larger than ours is respected.
    """
    family = QFontInfo(QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)).family()
    system_px = QFontInfo(QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)).pixelSize()
    body = max(_px_for_capital(family, BODY_CAPITAL_PX), min(system_px, 24))
    return Theme(_palette_for(appearance), family, round(body * scale), scale * body / 16)


def apply_theme(app: QApplication, theme: Theme) -> None:
    """Dress the whole application."""
    app.setStyle("Fusion")
    app.setFont(theme.font())
    app.setPalette(_qt_palette(theme.palette))
    text_px = {role.value: theme.px(role) for role in TextRole}
    app.setStyleSheet(style_sheet(theme.palette, theme.family, theme.size, text_px))


def _px_for_capital(family: str, capital_px: float) -> int:
    font = QFont(family)
    font.setPixelSize(100)
    share = QFontMetricsF(font).capHeight() / 100 or 0.7
    return math.ceil(capital_px / share)


def _palette_for(appearance: Appearance) -> Palette:
    if appearance is Appearance.SYSTEM:
        dark = QApplication.styleHints().colorScheme() is Qt.ColorScheme.Dark
        return DARK if dark else LIGHT
    return DARK if appearance is Appearance.DARK else LIGHT


def _qt_palette(palette: Palette) -> QPalette:
    roles = QPalette.ColorRole
    chosen = {
        roles.Window: palette.window,
        roles.WindowText: palette.text,
        roles.Base: palette.surface,
        roles.AlternateBase: palette.window,
        roles.Text: palette.text,
        roles.Button: palette.surface,
        roles.ButtonText: palette.text,
        roles.Highlight: palette.picked,
        roles.HighlightedText: palette.text,
        roles.PlaceholderText: palette.soft,
        roles.ToolTipBase: palette.surface,
        roles.ToolTipText: palette.text,
        roles.Link: palette.focus,
        roles.Mid: palette.mark,
        roles.Light: palette.surface,
        roles.Dark: palette.mark,
        roles.Shadow: palette.mark,
    }
    made = QPalette()
    for role, colour in chosen.items():
        made.setColor(role, QColor(colour))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(palette.mark))
    return made
