"""The key below the wash table: what shade, number, hatch, frame, corner and sign mean."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QWidget
from typing_extensions import override

from queueplanner.desk.labels import clear_layout, make_label
from queueplanner.desk.theme import Theme
from queueplanner.desk.wash_grid import CELL_HEIGHT, CELL_WIDTH
from queueplanner.desk.wash_paint import paint_sample
from queueplanner.makeready.residue import WashRule

Sample = tuple[int, WashRule, bool]


def _tr(text: str) -> str:
    return QCoreApplication.translate("washes", text)


def rule_text(rule: WashRule) -> str:
    """What decided a number."""
    return {
        WashRule.COLOUR: _tr("reckoned from colour"),
        WashRule.OVERRIDE: _tr("set by the shop"),
        WashRule.METALLIC_OR_FLUORESCENT: _tr("metallic or fluorescent: nothing is predicted, 2 out of caution"),
        WashRule.FAMILY: _tr("two ink families: at least 2"),
    }[rule]


class WashKey(QWidget):
    """Samples of cells, each with its words."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setColumnStretch(1, 1)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        clear_layout(self._grid)
        self._grid.setHorizontalSpacing(theme.size(10))
        self._grid.setVerticalSpacing(theme.size(4))
        colour, top = WashRule.COLOUR, Qt.AlignmentFlag.AlignTop
        for row, (samples, words) in enumerate(
            (
                (((1, colour, False), (2, colour, False), (3, colour, False), (4, colour, False)),
                 _tr("washes, reckoned from colour: the more, the stronger")),
                (((3, WashRule.OVERRIDE, False),), rule_text(WashRule.OVERRIDE)),
                (((2, WashRule.METALLIC_OR_FLUORESCENT, False),), rule_text(WashRule.METALLIC_OR_FLUORESCENT)),
                (((2, WashRule.FAMILY, False),), rule_text(WashRule.FAMILY)),
                (((4, colour, True),), _tr("still beyond the tolerance: look before printing")),
            )
        ):
            self._grid.addWidget(_Samples(theme, samples), row, 0, top | Qt.AlignmentFlag.AlignRight)
            self._grid.addWidget(make_label(words, wrap=True), row, 1)


class _Samples(QWidget):
    def __init__(self, theme: Theme, samples: tuple[Sample, ...]) -> None:
        super().__init__()
        self._theme, self._samples = theme, samples
        self.setFixedSize(self.sizeHint())

    @override
    def sizeHint(self) -> QSize:
        size = self._theme.size
        return QSize(len(self._samples) * size(CELL_WIDTH * 0.8), size(CELL_HEIGHT * 0.9))

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self._theme.font())
        width = self.width() / len(self._samples)
        for place, (washes, rule, beyond) in enumerate(self._samples):
            box = QRectF(place * width, 0, width, self.height())
            paint_sample(painter, box, washes, rule, self._theme, beyond=beyond)
        painter.end()
