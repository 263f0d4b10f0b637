"""What a printed page is made of: words, lines, boxes and ink swatches, each knowing its place; and how they are drawn.

Everything is measured in the units of `paper_size`. A page is data until it is drawn, so that what stands where can
be asked without a printer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QFontInfo,
    QFontMetricsF,
    QPainter,
    QPainterPath,
    QPen,
    QTextCharFormat,
    QTextLayout,
    QTextOption,
)

from queueplanner.desk.ink_colour import ink_brush
from queueplanner.desk.paper_size import mm, points
from queueplanner.shop.ink import Ink, InkKind

#: How wide an ink's swatch is, mm.
SWATCH_MM = 5.0

_BLACK, _WHITE = QColor("#000000"), QColor("#ffffff")


class Face(Enum):
    """Sizes of type in points, and whether bold. None is under 9 pt; what is looked for first is 14 pt or more."""

    SMALL = (9.0, False)
    BODY = (9.5, False)
    STRONG = (9.5, True)
    HEAD = (11.5, True)
    KEY = (14.0, True)
    TITLE = (18.0, True)

    @property
    def size(self) -> float:
        """Size in points."""
        return self.value[0]

    @property
    def bold(self) -> bool:
        """Whether it is bold."""
        return self.value[1]


@lru_cache(maxsize=1)
def _family() -> str:
    return QFontInfo(QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont)).family()


@lru_cache(maxsize=16)
def font_of(face: Face) -> QFont:
    """The font of a face, its size in units; needs a running application."""
    font = QFont(_family())
    font.setPixelSize(round(points(face.size)))
    font.setBold(face.bold)
    return font


@lru_cache(maxsize=16)
def line_height(face: Face) -> float:
    """From one line of a face to the next."""
    return QFontMetricsF(font_of(face)).height()


def text_width(text: str, face: Face) -> float:
    """How wide a text is in one line."""
    return QFontMetricsF(font_of(face)).horizontalAdvance(text)


@dataclass(frozen=True, slots=True)
class Words:
    """A text set in lines; `white` on black ground."""

    box: QRectF
    text: str
    face: Face
    layout: QTextLayout
    white: bool = False

    def draw(self, painter: QPainter) -> None:
        """Draw it at its place."""
        painter.setPen(_WHITE if self.white else _BLACK)
        self.layout.draw(painter, self.box.topLeft())

    def moved(self, x: float, y: float) -> Words:
        """The same elsewhere."""
        return Words(self.box.translated(x, y), self.text, self.face, self.layout, self.white)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle: filled with a grey (0 black to 1 white) or hollow, its outline so wide; no outline at 0."""

    box: QRectF
    grey: float | None = None
    outline: float = 0.0

    def draw(self, painter: QPainter) -> None:
        """Draw it at its place."""
        painter.setBrush(Qt.BrushStyle.NoBrush if self.grey is None else QColor.fromRgbF(*(self.grey,) * 3))
        painter.setPen(QPen(_BLACK, self.outline) if self.outline else QPen(Qt.PenStyle.NoPen))
        painter.drawRect(self.box)

    def moved(self, x: float, y: float) -> Box:
        """The same elsewhere."""
        return Box(self.box.translated(x, y), self.grey, self.outline)


@dataclass(frozen=True, slots=True)
class Swatch:
    """A patch of an ink, outlined so that white and pale ones show; metallics and fluorescents are hatched."""

    box: QRectF
    ink: Ink

    def draw(self, painter: QPainter) -> None:
        """Draw it at its place."""
        inner = self.box.adjusted(*(mm(0.15) * s for s in (1, 1, -1, -1)))
        outline = QPainterPath()
        outline.addRect(inner)
        painter.fillPath(outline, ink_brush(self.ink))
        if self.ink.kind in _HATCHES:
            painter.save()
            painter.setClipRect(inner)
            painter.setPen(QPen(_WHITE, mm(0.25)))
            _hatch(painter, inner, _HATCHES[self.ink.kind])
            painter.restore()
        painter.strokePath(outline, QPen(_BLACK, mm(0.3)))

    def moved(self, x: float, y: float) -> Swatch:
        """The same elsewhere."""
        return Swatch(self.box.translated(x, y), self.ink)


_HATCHES = {InkKind.METALLIC: (1,), InkKind.FLUORESCENT: (1, -1), InkKind.VARNISH: (-1,)}


def _hatch(painter: QPainter, box: QRectF, ways: Sequence[int]) -> None:
    step, height = mm(0.9), box.height()
    for way in ways:
        for number in range(-int(height / step) - 1, int(box.width() / step) + 2):
            foot = box.left() + number * step
            top = foot + height if way > 0 else foot - height
            painter.drawLine(QPointF(foot, box.bottom()), QPointF(top, box.top()))


Mark = Words | Box | Swatch


@dataclass(frozen=True, slots=True)
class Piece:
    """Some marks that belong together, from (0, 0), and the room they take."""

    width: float
    height: float
    marks: tuple[Mark, ...] = ()

    def moved(self, x: float, y: float) -> tuple[Mark, ...]:
        """Its marks elsewhere."""
        return tuple(mark.moved(x, y) for mark in self.marks)


def words(text: str, face: Face, width: float, *, right: bool = False, white: bool = False, strong: int = 0) -> Piece:
    """A text in lines no wider than a width, its first `strong` letters bold; a word that is wider is broken."""
    option = QTextOption(Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft)
    option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
    option.setUseDesignMetrics(True)
    layout = QTextLayout(text, font_of(face))
    layout.setTextOption(option)
    if strong:
        layout.setFormats([_bold(strong)])
    layout.beginLayout()
    height = 0.0
    while (line := layout.createLine()).isValid():
        line.setLineWidth(width)
        line.setPosition(QPointF(0, height))
        height += line.height()
    layout.endLayout()
    if not text:
        return Piece(width, line_height(face))
    return Piece(width, height, (Words(QRectF(0, 0, width, height), text, face, layout, white),))


def _bold(letters: int) -> QTextLayout.FormatRange:
    style = QTextCharFormat()
    style.setFontWeight(QFont.Weight.Bold)
    made = QTextLayout.FormatRange()
    made.start, made.length, made.format = 0, letters, style
    return made


def rule(width: float, thick: float = 0.2, *, above: float = 0.0, below: float = 0.0) -> Piece:
    """A line across, its thickness and the white around it in mm."""
    line = Box(QRectF(0, mm(above), width, mm(thick)), 0.0)
    return Piece(width, mm(above + thick + below), (line,))


def space(height_mm: float) -> Piece:
    """White, mm."""
    return Piece(0, mm(height_mm))


def stack(pieces: Iterable[Piece], gap_mm: float = 0.0) -> Piece:
    """Pieces one under the other."""
    marks: list[Mark] = []
    at, wide, gap = 0.0, 0.0, mm(gap_mm)
    for number, piece in enumerate(pieces):
        at += gap if number else 0.0
        marks += piece.moved(0, at)
        at, wide = at + piece.height, max(wide, piece.width)
    return Piece(wide, at, tuple(marks))


def beside(pieces: Iterable[Piece], gap_mm: float = 0.0, *, middle: bool = False) -> Piece:
    """Pieces side by side, their tops in line, or their middles."""
    made = list(pieces)
    high = max((piece.height for piece in made), default=0.0)
    marks: list[Mark] = []
    at = 0.0
    for number, piece in enumerate(made):
        at += mm(gap_mm) if number else 0.0
        marks += piece.moved(at, (high - piece.height) / 2 if middle else 0.0)
        at += piece.width
    return Piece(at, high, tuple(marks))


def padded(piece: Piece, x_mm: float, y_mm: float, *, grey: float | None = None, outline_mm: float = 0.0) -> Piece:
    """A piece with room around it, mm, on a ground if told."""
    x, y = mm(x_mm), mm(y_mm)
    width, height = piece.width + 2 * x, piece.height + 2 * y
    inset = mm(outline_mm) / 2
    ground = Box(QRectF(0, 0, width, height).adjusted(inset, inset, -inset, -inset), grey, mm(outline_mm))
    marks = piece.moved(x, y)
    return Piece(width, height, marks if grey is None and not outline_mm else (ground, *marks))


def tick_box(face: Face = Face.BODY) -> Piece:
    """A hollow box to tick by hand, as high as a line of type."""
    side, high = mm(3.0), line_height(face)
    inset = mm(0.15)
    box = QRectF(0, (high - side) / 2, side, side).adjusted(inset, inset, -inset, -inset)
    return Piece(side, high, (Box(box, None, mm(0.3)),))


def ink_words(ink: Ink, text: str, face: Face, width: float) -> Piece:
    """An ink's swatch and words beside it: the colour never stands alone."""
    high, side = line_height(face), mm(SWATCH_MM)
    tall = min(mm(3.4), high)
    swatch = Piece(side, high, (Swatch(QRectF(0, (high - tall) / 2, side, tall), ink),))
    return beside([swatch, words(text, face, width - side - mm(1.5))], 1.5)


def tag(text: str, width: float, face: Face = Face.STRONG) -> Piece:
    """White words in a black box no wider than told: what must not be overlooked."""
    wide = min(text_width(text, face) * 1.02 + mm(0.2), width - 2 * mm(1.2))
    return padded(words(text, face, wide, white=True), 1.2, 0.4, grey=0.0)


def draw(marks: Iterable[Mark], painter: QPainter) -> None:
    """Draw marks with a painter whose unit is that of the page."""
    for mark in marks:
        mark.draw(painter)
