"""The Qt style sheet made of a palette and a text size. Widgets name their look by the property `look`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import Template

from queueplanner.desk.palette import Palette

_SHEET = Template("""
* { outline: none; font-family: "$family"; }
QWidget { font-size: ${body_px}px; }
QMainWindow, QDialog { background: $window; }
QLabel { background: transparent; color: $text; }
QLabel[look="soft"] { color: $soft; }
QLabel[look="strong"] { font-weight: bold; }
QLabel[look="title"] { font-size: ${title_px}px; font-weight: bold; }
QLabel[look="figure"] { font-size: ${figure_px}px; font-weight: bold; }
QLabel[look="good"] { color: $good; font-weight: bold; }
QLabel[look="late"] { color: $late; font-weight: bold; }
QLabel[look="caution"] { color: $text; border-left: ${s3}px solid $late; padding-left: ${s8}px; }
QLabel[look="claim"] {
    border: 1px solid $mark; border-radius: ${s14}px; padding: ${s4}px ${s12}px; background: $surface;
}
QFrame[look="card"] { background: $surface; border: 1px solid $hair; border-radius: ${s8}px; }
QFrame[look="line"] { background: $hair; border: none; max-height: 1px; min-height: 1px; }
QFrame[look="problems"] { background: $surface; border: none; border-left: ${s6}px solid $late; }

QPushButton {
    background: $surface; color: $text; border: 1px solid $mark; border-radius: ${s6}px;
    padding: ${s5}px ${s14}px; min-height: ${s22}px;
}
QPushButton:hover { background: $sunken; }
QPushButton:pressed { background: $picked; }
QPushButton:checked { background: $picked; border: 2px solid $text; }
QPushButton:disabled { color: $mark; border-color: $hair; background: $window; }
QPushButton[look="main"] { background: $button; color: $on_button; border-color: $button; font-weight: bold; }
QPushButton[look="main"]:hover { background: $text; }
QPushButton[look="main"]:disabled { background: $window; color: $mark; border-color: $hair; }
QPushButton:focus { border: 2px solid $focus; padding: ${s4}px ${s13}px; }
QPushButton[look="main"]:focus { border: 3px double $on_button; padding: ${s3}px ${s12}px; }
QPushButton[look="plain"] { padding: ${s4}px ${s10}px; }
QPushButton[look="plain"]:checked, QPushButton[look="plain"]:focus { padding: ${s3}px ${s9}px; }

QLineEdit, QComboBox[look="calm"] {
    background: $surface; color: $text; border: 1px solid $mark; border-radius: ${s6}px;
    padding: ${s3}px ${s8}px; selection-background-color: $picked; selection-color: $text;
}
QLineEdit:focus, QComboBox[look="calm"]:focus { border: 2px solid $focus; padding: ${s3}px ${s6}px; }
QComboBox[look="calm"]::drop-down { border: none; background: transparent; width: ${s22}px; }
QLineEdit:disabled, QComboBox[look="calm"]:disabled { color: $mark; border-color: $hair; background: $window; }
QLineEdit[look="cell"] { border: 2px solid $focus; border-radius: 0; padding: 0 ${s5}px; }
QListView[look="picks"] { background: $surface; color: $text; border: 1px solid $mark; }

QMenuBar { background: $window; color: $text; padding: 2px ${s6}px; }
QMenuBar::item { padding: ${s5}px ${s10}px; background: transparent; border-radius: ${s4}px; }
QMenuBar::item:selected { background: $picked; }
QMenu { background: $surface; color: $text; border: 1px solid $mark; padding: ${s4}px 0; }
QMenu::item { padding: ${s6}px ${s28}px ${s6}px ${s28}px; }
QMenu::item:selected { background: $picked; }
QMenu::item:disabled { color: $mark; }
QMenu::separator { height: 1px; background: $hair; margin: ${s4}px ${s10}px; }

QTableView {
    background: $surface; color: $text; border: 2px solid transparent; border-radius: ${s8}px;
    gridline-color: $hair; selection-background-color: $picked; selection-color: $text;
}
QTableView::item { padding: 0 ${s8}px; border: none; }
QTableView::item:selected { background: $picked; color: $text; }
QTableView:focus { border: 2px solid $focus; }
QHeaderView { background: $surface; border: none; }
QHeaderView::section {
    background: $surface; color: $soft; border: none; border-bottom: 1px solid $mark;
    padding: ${s6}px ${s8}px; font-weight: normal;
}
QHeaderView::section:vertical { border-bottom: 1px solid $hair; border-right: 1px solid $mark; }
QAbstractScrollArea::corner { background: transparent; border: none; }
QTableCornerButton::section { background: $surface; border: none; }

QTabWidget::pane { border: 1px solid $hair; border-radius: ${s8}px; background: $surface; top: -1px; }
QTabBar::tab {
    background: transparent; color: $soft; padding: ${s6}px ${s14}px; min-height: ${s22}px;
    border: 2px solid transparent; border-bottom: 3px solid transparent;
}
QTabBar::tab:selected { color: $text; border-bottom: 3px solid $text; font-weight: bold; }
QTabBar::tab:hover { color: $text; }
QTabBar::tab:focus { border: 2px solid $focus; border-radius: ${s4}px; }

QScrollArea { background: transparent; border: 2px solid transparent; border-radius: ${s8}px; }
QScrollArea[look="bare"] { border: none; }
QScrollArea:focus { border: 2px solid $focus; }
QScrollArea > QWidget > QWidget { background: transparent; }
QScrollBar:horizontal { background: transparent; height: ${s14}px; margin: 0; }
QScrollBar:vertical { background: transparent; width: ${s14}px; margin: 0; }
QScrollBar::handle { background: $mark; border-radius: ${s4}px; }
QScrollBar::handle:horizontal { min-width: ${s36}px; margin: 3px 0; }
QScrollBar::handle:vertical { min-height: ${s36}px; margin: 0 3px; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QProgressBar {
    background: $sunken; border: 1px solid $mark; border-radius: ${s4}px; color: $text;
    min-height: ${s8}px; max-height: ${s8}px;
}
QProgressBar::chunk { background: $water; border-radius: ${s3}px; }
QSplitter::handle { background: transparent; }
QSplitter::handle:hover { background: $hair; }
QToolTip { background: $surface; color: $text; border: 1px solid $mark; padding: ${s4}px; }
""")

_LENGTHS = (3, 4, 5, 6, 8, 9, 10, 12, 13, 14, 22, 28, 36)


def style_sheet(
    palette: Palette, family: str, size: Callable[[float], int], text_px: Mapping[str, int]
) -> str:
    """The sheet for a palette; `size` scales a length in px, `text_px` is the font size of each text role."""
    words = {name: getattr(palette, name) for name in Palette.__slots__}
    words["family"] = family
    words |= {f"s{n}": str(size(n)) for n in _LENGTHS}
    words |= {f"{role}_px": str(px) for role, px in text_px.items()}
    return _SHEET.substitute(words)
