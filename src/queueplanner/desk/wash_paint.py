"""How a cell of the wash table is drawn: number and shade tell how many, hatch, frame and corner tell the rule."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QPainter, QPen, QPolygonF

from queueplanner.desk.palette import readable_on
from queueplanner.desk.theme import Theme
from queueplanner.exchange.wash_words import WashCell
from queueplanner.makeready.residue import WashRule

#: How much of the colour of washing a cell holds by its washes.
_SHADE = {1: 0.06, 2: 0.30, 3: 0.62, 4: 1.0}


def shade_of(washes: int, theme: Theme) -> QColor:
    """The ground of a cell: the more washes the farther from the surface's own colour."""
    share = _SHADE[min(4, max(1, washes))]
    ground, water = theme.colour("surface"), theme.colour("water")
    pairs = ((ground.red(), water.red()), (ground.green(), water.green()), (ground.blue(), water.blue()))
    return QColor(*(round(g + share * (w - g)) for g, w in pairs))


def paint_cell(painter: QPainter, box: QRectF, cell: WashCell, theme: Theme) -> None:
    """A pair's cell."""
    count = cell.count
    paint_sample(painter, box, count.washes, count.rule, theme, beyond=count.beyond_tolerance)


def paint_sample(
    painter: QPainter, box: QRectF, washes: int, rule: WashRule, theme: Theme, *, beyond: bool = False
) -> None:
    """A cell by its number and rule; the key below the table draws its samples with it, too."""
    shade = shade_of(washes, theme)
    ink = QColor(readable_on(shade.name()))
    inner = box.adjusted(1, 1, -1, -1)
    painter.save()
    painter.fillRect(inner, shade)
    if rule is WashRule.METALLIC_OR_FLUORESCENT:
        _hatch(painter, inner, ink, shade)
    elif rule is WashRule.FAMILY:
        painter.setPen(QPen(ink, theme.size(1.6), Qt.PenStyle.DotLine))
        gap = theme.size(4)
        painter.drawRect(inner.adjusted(gap, gap, -gap, -gap))
    elif rule is WashRule.OVERRIDE:
        _corner(painter, inner, ink, theme)
    font = QFont(painter.font())
    font.setBold(rule is WashRule.OVERRIDE)
    painter.setFont(font)
    painter.setPen(ink)
    painter.drawText(inner, Qt.AlignmentFlag.AlignCenter, f"{washes}!" if beyond else str(washes))
    painter.restore()


def paint_same(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """The cell of an ink to itself."""
    painter.save()
    painter.setPen(theme.colour("mark"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "·")
    painter.restore()


def _hatch(painter: QPainter, box: QRectF, ink: QColor, shade: QColor) -> None:
    """Slanting lines, with a plain patch under the number."""
    lines = QColor(ink)
    lines.setAlpha(110)
    painter.fillRect(box, QBrush(lines, Qt.BrushStyle.BDiagPattern))
    side = min(box.width(), box.height()) * 0.56
    patch = QRectF(box.center().x() - side / 2, box.center().y() - side / 2, side, side)
    painter.fillRect(patch, shade)


def _corner(painter: QPainter, box: QRectF, ink: QColor, theme: Theme) -> None:
    side = theme.size(11)
    corner = box.topRight()
    shape = QPolygonF([corner, QPointF(corner.x() - side, corner.y()), QPointF(corner.x(), corner.y() + side)])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink)
    painter.drawPolygon(shape)
