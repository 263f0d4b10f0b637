from __future__ import annotations

import pytest
from PySide6.QtCore import QCoreApplication, Qt, QTranslator
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel

from queueplanner.desk.day_model import DayState
from queueplanner.desk.paint_timeline import TimelineWords
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline_key import KeyItem
from tests.desk.windows import seen, window_in


class Marked(QTranslator):
    """A made-up language: every sentence of the program in brackets."""

    def translate(self, context: str, text: str, disambiguation: str | None = None, n: int = -1) -> str:
        return f"⟦{text}⟧"

    def isEmpty(self) -> bool:
        return False


@pytest.fixture
def marked(qapp: QApplication, light: Theme):
    translator = Marked()
    QCoreApplication.installTranslator(translator)
    yield
    QCoreApplication.removeTranslator(translator)


@pytest.mark.parametrize("state", list(DayState), ids=str)
def test_buttons_menus_heads_and_signs_all_go_through_translation(qtbot, marked, state: DayState) -> None:
    window = window_in(state)
    qtbot.addWidget(window)
    texts = [action.text() for action in window.actions_of.values()]
    texts += [menu.text() for menu in window.menuBar().actions()]
    texts += [c.text() for c in seen(window) if isinstance(c, QAbstractButton) and len(c.text()) > 1]
    texts += [c.accessibleName() for c in seen(window) if isinstance(c, KeyItem)]
    if window.model.plan is not None:
        view = window.day_view
        texts += [view.tabs.tabText(i) for i in range(view.tabs.count())]
        texts += [figure.texts()[0] for figure in view.totals.figures.values()]
        for model in (view.jobs_model, view.order_model):
            texts += [model.headerData(c, Qt.Orientation.Horizontal) for c in range(model.columnCount())]
    assert [text for text in texts if "⟦" not in text] == []


@pytest.mark.parametrize("state", [DayState.EMPTY, DayState.LOADING, DayState.ERROR], ids=str)
def test_every_sentence_of_a_state_without_jobs_goes_through_translation(qtbot, marked, state: DayState) -> None:
    window = window_in(state)
    qtbot.addWidget(window)
    data = {"day.csv", "–", "3", "5", "due", "stock"}
    data |= {text for problem in window.model.problems for text in (problem.found, problem.wanted)}
    texts = [c.text() for c in seen(window) if isinstance(c, QLabel) and c.text()]
    assert [text for text in texts if "⟦" not in text and text not in data] == []


def test_the_words_painted_on_the_timeline_go_through_translation(marked) -> None:
    words = TimelineWords.translated()
    assert all("⟦" in text for text in (*words.row_names((1, 2)), words.evening))
