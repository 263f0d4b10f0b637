"""An ink's colour on the screen, and how an ink is drawn so that white and black show on any ground."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from queueplanner.desk.theme import Theme
from queueplanner.shop.colour import Lab, srgb_of_lab
from queueplanner.shop.ink import Ink, InkKind

#: The textures of inks that look otherwise than plain ones of their colour.
_TEXTURES = {
    InkKind.METALLIC: Qt.BrushStyle.BDiagPattern,
    InkKind.FLUORESCENT: Qt.BrushStyle.Dense6Pattern,
    InkKind.VARNISH: Qt.BrushStyle.FDiagPattern,
}


@lru_cache(maxsize=1024)
def _screen_colour(lab: Lab) -> str:
    return srgb_of_lab(lab)


def screen_colour(ink: Ink) -> str:
    """The ink's solid as "#rrggbb", as near as a screen comes."""
    return _screen_colour(ink.colour)


def ink_brush(ink: Ink) -> QBrush:
    """The fill of an ink's shape."""
    return QBrush(QColor(screen_colour(ink)))


def paint_ink(painter: QPainter, outline: QPainterPath, ink: Ink, theme: Theme) -> None:
    """Fill a shape with an ink and outline it in two tones; metallics get a sheen, fluorescents dots."""
    inner = QPen(theme.colour("ring_in"), 3.0)
    painter.setBrush(ink_brush(ink))
    if ink.kind in _TEXTURES:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawPath(outline)
        paint_kind(painter, outline, ink)
        painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(inner)
    painter.drawPath(outline)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.colour("ring_out"), 1.2))
    painter.drawPath(outline)


def paint_kind(painter: QPainter, outline: QPainterPath, ink: Ink) -> None:
    """The texture that tells a metallic or fluorescent ink from a plain one of the same colour."""
    style = _TEXTURES.get(ink.kind)
    if style is not None:
        painter.setBrush(QBrush(QColor(255, 255, 255, 120), style))
        painter.drawPath(outline)


def paint_chip(painter: QPainter, box: QRectF, ink: Ink, theme: Theme) -> None:
    """A small swatch of an ink."""
    outline = QPainterPath()
    outline.addRoundedRect(box.adjusted(1, 1, -1, -1), 3, 3)
    paint_ink(painter, outline, ink, theme)
