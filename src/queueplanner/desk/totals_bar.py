"""The totals above the timeline, each with what it saves against the order as received."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QGridLayout, QWidget

from queueplanner.desk.day_model import Saving
from queueplanner.desk.figures import Figures
from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.labels import make_label, set_look
from queueplanner.desk.theme import Theme
from queueplanner.planning.plan import Plan

#: Totals that are told in hours and minutes.
_TIMES = frozenset({"makeready_seconds"})


class Figure(QWidget):
    """One total: what it is, how much, and what it was as received."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setVerticalSpacing(0)
        self._head, self._value, self._base = make_label(name, "soft"), make_label("–", "figure"), make_label("")
        self.setAccessibleName(name)
        self.set_compact(False)

    def set_compact(self, compact: bool) -> None:
        """Stand in one line, for windows of little height, or in three."""
        set_look(self._value, "strong" if compact else "figure")
        for i, label in enumerate((self._head, self._value, self._base)):
            self._grid.addWidget(label, 0 if compact else i, i if compact else 0)
        self.updateGeometry()

    def show_figure(self, value: str, base: str, look: str, spoken: str) -> None:
        """Show a value, a line below it in a look, and the sentence read aloud."""
        self._value.setText(value)
        self._base.setText(base)
        set_look(self._base, look)
        self.setAccessibleName(spoken)
        self.updateGeometry()

    def texts(self) -> tuple[str, str, str]:
        """Name, value and comparison, as shown."""
        return self._head.text(), self._value.text(), self._base.text()


class TotalsBar(FlowBox):
    """All totals of the plan on show."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, (34, 8), parent)
        self.figures = {name: Figure(text) for name, text in self._names().items()}
        for figure in self.figures.values():
            self.add(figure)
        self._compact = False
        self.setAccessibleName(self.tr("Totals"))

    def _names(self) -> dict[str, str]:
        return {
            "makeready_seconds": self.tr("Make-ready"),
            "wash_ups": self.tr("Wash-ups"),
            "plate_swaps": self.tr("Plate swaps"),
            "feeder_resets": self.tr("Feeder re-settings"),
            "waste_sheets": self.tr("Waste sheets"),
            "late_passes": self.tr("Late passes"),
            "end": self.tr("Last run ends"),
        }

    def set_compact(self, compact: bool) -> None:
        """Write each total in one line instead of three."""
        if compact != self._compact:
            self._compact = compact
            for figure in self.figures.values():
                figure.set_compact(compact)
            self.arrange()

    def show_totals(self, plan: Plan | None, savings: Mapping[str, Saving]) -> None:
        """Show the totals of a plan beside those of the order as received."""
        for name, figure in self.figures.items():
            if plan is None or name not in savings:
                figure.show_figure("–", "", "soft", self._names()[name])
                continue
            self._show(figure, name, savings[name], Figures(plan.zone))
        self.arrange()

    def _show(self, figure: Figure, name: str, saving: Saving, figures: Figures) -> None:
        value = self._written(name, saving.planned, figures)
        if name == "late_passes" and saving.planned:
            value = f"! {value}"
        base, look = "", "soft"
        if saving.as_received is not None:
            base, look = self._comparison(name, saving, figures)
        spoken = f"{self._names()[name]}: {value}" + (f", {base}" if base else "")
        figure.show_figure(value, base, look, spoken)

    def _written(self, name: str, value: int, figures: Figures) -> str:
        if name == "end":
            return figures.day_clock(value)
        return figures.hours_minutes(value) if name in _TIMES else figures.count(value)

    def _comparison(self, name: str, saving: Saving, figures: Figures) -> tuple[str, str]:
        """How the total differs from as received, in words, and its look."""
        saved = saving.saved or 0
        if saved == 0:
            return self.tr("unchanged"), "soft"
        timed = name in _TIMES or name == "end"
        amount = figures.hours_minutes(abs(saved)) if timed else figures.count(abs(saved))
        better, worse = self.tr("{amount} fewer"), self.tr("{amount} more")
        if name == "end":
            better, worse = self.tr("{amount} sooner"), self.tr("{amount} later")
        elif timed:
            better, worse = self.tr("{amount} less than received"), self.tr("{amount} more than received")
        text = (better if saved > 0 else worse).format(amount=amount)
        if name in _TIMES and saving.percent is not None and saved > 0:
            text += f" ({figures.percent(saving.percent)})"
        return text, "good" if saved > 0 else ("late" if name == "late_passes" else "soft")
