"""What stands in the window before there is a day: what to do next."""

from __future__ import annotations

from PySide6.QtCore import QDate, QLocale, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from queueplanner.desk.day_model import BoardView
from queueplanner.desk.labels import make_label
from queueplanner.desk.theme import Theme

_DAY_FORMAT = "dddd d MMMM"


class EmptyPanel(QWidget):
    """Two ways to begin, or a word that the list is being read."""

    open_wanted = Signal()
    demo_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = make_label("", "title")
        self._text = make_label("", "soft", wrap=True)
        self._open = QPushButton(self.tr("Open job list…"))
        self._open.setProperty("look", "main")
        self._open.clicked.connect(self.open_wanted)
        self._demo = QPushButton(self.tr("Open the demo day"))
        self._demo.clicked.connect(self.demo_wanted)
        buttons = QHBoxLayout()
        buttons.setSpacing(theme.size(10))
        for button in (self._open, self._demo):
            buttons.addWidget(button)
        buttons.addStretch(1)
        self._column = QVBoxLayout()
        for widget in (self._title, self._text):
            self._column.addWidget(widget)
        self._column.addSpacing(theme.size(8))
        self._column.addLayout(buttons)
        self._inner = QWidget()
        self._inner.setLayout(self._column)
        across = QHBoxLayout()
        across.addStretch(1)
        across.addWidget(self._inner, 6)
        across.addStretch(1)
        outer = QVBoxLayout(self)
        outer.addStretch(2)
        outer.addLayout(across)
        outer.addStretch(3)
        self.set_theme(theme)
        self.show_empty()

    def set_theme(self, theme: Theme) -> None:
        """Show in another text size."""
        self._column.setSpacing(theme.size(8))
        self._inner.setMaximumWidth(theme.size(560))

    def show_empty(self, board: BoardView | None = None) -> None:
        """Nothing is open, or no jobs are on the day that is."""
        title = self.tr("No jobs yet")
        if board is not None:
            day = QDate(board.date.year, board.date.month, board.date.day)
            title = self.tr("No jobs yet on {day}").format(day=QLocale().toString(day, _DAY_FORMAT))
        self._title.setText(title)
        self._text.setText(
            self.tr(
                "Open a job list to put its passes in the order that loses the fewest minutes to wash-ups and "
                "make-ready. The list is a CSV file with one job a row. The demo day shows how a planned day looks."
            )
        )
        self._set_buttons(True)

    def show_loading(self, name: str) -> None:
        """A list of a name is being read, or without one the record."""
        if not name:
            self._title.setText(self.tr("Opening the record …"))
            self._text.setText(self.tr("What you do is written at once: nothing has to be saved."))
            self._set_buttons(False)
            return
        self._title.setText(self.tr("Reading {name} …").format(name=name))
        self._text.setText(self.tr("The jobs are checked and laid out in the order received."))
        self._set_buttons(False)

    def _set_buttons(self, shown: bool) -> None:
        self._open.setVisible(shown)
        self._demo.setVisible(shown)
