"""The head of the window: which day it is, what planning is doing, and the buttons."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget
from typing_extensions import override

from queueplanner.desk.day_model import DayModel, DayState, Shown
from queueplanner.desk.figures import Figures
from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.labels import make_label, set_look
from queueplanner.desk.theme import Theme


class HeaderBar(FlowBox):
    """Day, state, and buttons to open, plan, stop, and to choose which order is on show."""

    open_wanted = Signal()
    plan_wanted = Signal()
    stop_wanted = Signal()
    shown_wanted = Signal(object)
    own_day_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, (24, 10), parent)
        self.title = make_label("", "title")
        self.subtitle = make_label("", "soft")
        self.state = make_label("", "soft", wrap=True)
        self.progress = QProgressBar()
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName(self.tr("Planning time used"))
        self.own_button = self._button(self.tr("Start my own day"), "", self.own_day_wanted.emit)
        self.own_button.hide()
        self.open_button = self._button(self.tr("Open job list…"), "", self.open_wanted.emit)
        self.plan_button = self._button(self.tr("Plan the day"), "main", self.plan_wanted.emit)
        self.stop_button = self._button(self.tr("Stop"), "", self.stop_wanted.emit)
        self.stop_button.setAccessibleDescription(self.tr("Stop planning and keep the best order so far"))
        self.planned_button = self._choice(self.tr("Planned"), Shown.PLANNED)
        self.received_button = self._choice(self.tr("As received"), Shown.AS_RECEIVED)
        self._lay_out(theme)

    def _button(self, text: str, look: str, act: object) -> QPushButton:
        button = QPushButton(text)
        button.setProperty("look", look)
        button.clicked.connect(act)
        return button

    def _choice(self, text: str, shown: Shown) -> QPushButton:
        button = self._button(text, "plain", lambda: self.shown_wanted.emit(shown))
        button.setCheckable(True)
        button.setAccessibleName(self.tr("Show the order: {order}").format(order=text))
        return button

    def _lay_out(self, theme: Theme) -> None:
        self._names = _column(0, self.title, self.subtitle)
        self._working = _column(theme.size(4), self.state, self.progress, centred=True)
        self._choices = _row(theme.size(8), self.planned_button, self.received_button)
        self._buttons = _row(theme.size(8), self.own_button, self.open_button, self.plan_button, self.stop_button)
        for group in (self._names, self._working, self._choices, self._buttons):
            self.add(group)
        self.push_right(self._choices)
        self._widen_state(theme)

    def _widen_state(self, theme: Theme) -> None:
        self._working.setFixedWidth(theme.size(310))
        self._working.setMinimumHeight(theme.size(60))

    @override
    def set_theme(self, theme: Theme) -> None:
        self._widen_state(theme)
        super().set_theme(theme)

    def refresh(self, model: DayModel, seconds_allowed: float) -> None:
        """Show the state of the day."""
        self._show_names(model)
        planning = model.state is DayState.PLANNING
        self.state.setText(self._state_text(model))
        set_look(self.state, "late" if model.failure else "soft")
        self.progress.setVisible(planning)
        self.progress.setRange(0, 0 if model.best is None else max(1, round(seconds_allowed * 10)))
        self.progress.setValue(round(min(model.seconds, seconds_allowed) * 10))
        can_plan = model.state in (DayState.READY, DayState.PLANNED, DayState.STOPPED)
        self.plan_button.setEnabled(can_plan)
        self.stop_button.setEnabled(planning and not model.stopping)
        self.own_button.setVisible(model.board is not None and model.board.demo)
        self.own_button.setEnabled(not planning)
        self.open_button.setEnabled(not planning and model.state is not DayState.LOADING)
        for button, shown in ((self.planned_button, Shown.PLANNED), (self.received_button, Shown.AS_RECEIVED)):
            button.setChecked(model.shown is shown)
        self._name_planned(model)
        self._choices.setVisible(model.best is not None)
        self.arrange()

    def _name_planned(self, model: DayModel) -> None:
        """With a record the first choice is whichever order was shown last."""
        if model.board is None or model.best is None:
            return
        from queueplanner.desk.board_words import order_name

        name = order_name(model.board.beside)
        self.planned_button.setText(name[:1].upper() + name[1:].replace("&", "&&"))
        self.planned_button.setAccessibleName(self.tr("Show the order: {order}").format(order=name))

    def _show_names(self, model: DayModel) -> None:
        plan = model.plan
        if plan is None:
            self.title.setText(self.tr("Run order"))
            self.subtitle.setText(model.source.name if model.source else "")
            return
        self.title.setText(Figures(plan.zone).long_day(plan.start))
        jobs, passes = len(model.jobs), len(plan.passes)
        job_count = self.tr("1 job") if jobs == 1 else self.tr("{n} jobs").format(n=jobs)
        pass_count = self.tr("1 pass") if passes == 1 else self.tr("{n} passes").format(n=passes)
        counts = f"{job_count}, {pass_count}"
        source = f" · {model.source.name}" if model.source else ""
        if model.board is not None and model.board.demo:
            source = f" · {self.tr('demo day')}"
        self.subtitle.setText(f"{plan.press_name} · {counts}{source}")

    def _state_text(self, model: DayModel) -> str:
        if model.failure:
            return model.failure
        if model.state is DayState.PLANNING:
            return self._planning_text(model)
        if model.best is not None and not model.shows_planned:
            return self.tr("The order as received, for comparison")
        if model.outdated:
            return self.tr("Washes were changed: this order is reckoned anew. Plan again to see if another is better.")
        return {
            DayState.EMPTY: "",
            DayState.LOADING: self.tr("Reading the list …"),
            DayState.READY: self._order_text(model),
            DayState.PLANNED: self.tr("Planned in {seconds} s. {claim}"),
            DayState.STOPPED: self.tr("Stopped after {seconds} s. {claim}"),
        }.get(model.state, "").format(seconds=f"{model.seconds:.0f}", claim=_claim(model))

    def _order_text(self, model: DayModel) -> str:
        if model.board is None or model.shown is Shown.AS_RECEIVED:
            return self.tr("In the order received, not planned yet")
        from queueplanner.desk.board_words import order_name

        return self.tr("The order “{order}”").format(order=order_name(model.board.order_name))

    def _planning_text(self, model: DayModel) -> str:
        seconds = f"{model.seconds:.0f}"
        if model.stopping:
            return self.tr("Stopping, the best order so far is kept …")
        if model.best is None:
            return self.tr("Getting the planner ready, {seconds} s; the first time takes about a minute").format(
                seconds=seconds
            )
        total = Figures(model.best.zone).hours_minutes(model.best.totals.makeready_seconds)
        return self.tr("Planning, {seconds} s: make-ready down to {total}").format(seconds=seconds, total=total)


def _claim(model: DayModel) -> str:
    if model.best is None:
        return ""
    from queueplanner.desk.wording import claim_text

    return claim_text(model.best.claim)


def _column(spacing: int, *parts: QWidget, centred: bool = False) -> QWidget:
    group = QWidget()
    column = QVBoxLayout(group)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(spacing)
    if centred:
        column.addStretch(1)
    for part in parts:
        column.addWidget(part)
    if centred:
        column.addStretch(1)
    return group


def _row(spacing: int, *parts: QWidget) -> QWidget:
    group = QWidget()
    row = QHBoxLayout(group)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(spacing)
    for part in parts:
        row.addWidget(part)
    return group
