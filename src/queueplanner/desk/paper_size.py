"""Sheets of office paper, and the unit their pages are laid out in."""

from __future__ import annotations

from enum import StrEnum

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPageSize

#: A page is laid out in 1/1200 inch, whatever it is drawn on later: so it breaks the same everywhere.
UNITS_PER_INCH = 1200
MM_PER_INCH = 25.4
POINTS_PER_INCH = 72
#: White on every side, mm; office printers leave up to some 6 mm unprinted (common practice, no source).
MARGIN_MM = 12.0


def mm(length: float) -> float:
    """Millimetres in units."""
    return length / MM_PER_INCH * UNITS_PER_INCH


def points(length: float) -> float:
    """Typographic points in units."""
    return length / POINTS_PER_INCH * UNITS_PER_INCH


class PaperSize(StrEnum):
    """What the office printer holds."""

    A4 = "A4"
    LETTER = "Letter"

    @property
    def qt(self) -> QPageSize:
        """The size as Qt names it."""
        return QPageSize({"A4": QPageSize.PageSizeId.A4, "Letter": QPageSize.PageSizeId.Letter}[self.value])

    @property
    def sheet(self) -> QRectF:
        """The whole sheet, upright, in units."""
        size = self.qt.size(QPageSize.Unit.Millimeter)
        return QRectF(0, 0, mm(size.width()), mm(size.height()))

    @property
    def printed(self) -> QRectF:
        """The part inside the margins."""
        margin = mm(MARGIN_MM)
        return self.sheet.adjusted(margin, margin, -margin, -margin)
