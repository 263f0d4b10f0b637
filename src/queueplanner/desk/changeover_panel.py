"""The panel beside the jobs: what it takes to get to the selected pass, task by task, with minutes and reasons."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.changeover_facts import ChangeoverFacts, InkChange, Item, Setting, changeover_facts
from queueplanner.desk.crew_lanes import CrewLanes
from queueplanner.desk.day_model import Pick
from queueplanner.desk.figures import Figures
from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.task_list import add_tasks
from queueplanner.desk.theme import Theme
from queueplanner.desk.trade_words import feed_edge_text, lay_side_text
from queueplanner.desk.wording import reason_text
from queueplanner.planning.plan import Plan
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.job import LaySide
from queueplanner.shop.stock import Stock


class ChangeoverPanel(QScrollArea):
    """Shows one changeover or evening, or says how to choose one."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._facts: ChangeoverFacts | None = None
        self._figures: Figures | None = None
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Changeover"))
        self._body = QWidget()
        self._column = QVBoxLayout(self._body)
        self.setWidget(self._body)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        self.setMinimumWidth(theme.size(300))
        self._build()

    def show_pick(self, plan: Plan | None, pick: Pick | None) -> None:
        """Show what is selected in a plan."""
        facts = changeover_facts(plan, pick) if plan is not None and pick is not None else None
        if facts == self._facts and self._column.count():
            return
        self._facts = facts
        self._figures = Figures(plan.zone) if plan is not None else None
        self._build()
        self.verticalScrollBar().setValue(0)

    @property
    def facts(self) -> ChangeoverFacts | None:
        """What is shown."""
        return self._facts

    def _build(self) -> None:
        self._body.setUpdatesEnabled(False)
        clear_layout(self._column)
        size = self._theme.size
        self._column.setContentsMargins(size(16), size(12), size(16), size(16))
        self._column.setSpacing(size(8))
        if self._facts is None or self._figures is None:
            self._column.addWidget(make_label(self.tr("No pass chosen"), "title", wrap=True))
            hint = self.tr("Click a pass in the timeline or a row of a table to see its changeover, task by task.")
            self._column.addWidget(make_label(hint, "soft", wrap=True))
        else:
            self._fill(self._facts, self._figures)
        self._column.addStretch(1)
        self._body.setUpdatesEnabled(True)

    def _fill(self, facts: ChangeoverFacts, figures: Figures) -> None:
        self._add_head(facts, figures)
        for warning in facts.warnings:
            self._column.addWidget(make_label(f"!  {reason_text(warning)}", "caution", wrap=True))
        self._column.addWidget(make_line())
        self._column.addLayout(self._inks(facts))
        self._add_settings(facts)
        if facts.two_persons:
            words = self.tr("Who does what: one lane a person, numbered as in the list below")
            self._column.addWidget(make_line())
            self._column.addWidget(make_label(words, "soft", wrap=True))
            self._column.addWidget(CrewLanes(self._theme, facts.inside, words))
        self._column.addWidget(make_line())
        add_tasks(self._column, facts, figures, self._theme)

    def _add_head(self, facts: ChangeoverFacts, figures: Figures) -> None:
        p = facts.planned
        title = self.tr("Evening wash") if p is None else self.tr("Changeover to {pass_id}").format(pass_id=p.id)
        self._column.addWidget(make_label(title, "title", wrap=True))
        if p is not None and p.job.title:
            self._column.addWidget(make_label(p.job.title, "soft", wrap=True))
        when = self.tr("{start} to {end}, {time}").format(
            start=figures.day_clock(facts.start),
            end=figures.clock(facts.end),
            time=figures.hours_minutes(facts.seconds),
        )
        self._column.addWidget(make_label(when, "strong", wrap=True))

    def _inks(self, facts: ChangeoverFacts) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(10))
        grid.setVerticalSpacing(self._theme.size(4))
        for row, change in enumerate(facts.inks):
            unit = make_label(self.tr("Unit {unit}").format(unit=change.unit), "soft")
            grid.addWidget(unit, row, 0)
            grid.addLayout(self._ink_change(change, evening=facts.planned is None), row, 1)
        grid.setColumnStretch(1, 1)
        return grid

    def _ink_change(self, change: InkChange, *, evening: bool) -> QHBoxLayout:
        line = QHBoxLayout()
        line.setSpacing(self._theme.size(8))
        line.addWidget(self._chip(change, before=True))
        if change.same:
            stays = self.tr("stays, idle") if not (change.used or evening) else self.tr("stays")
            if change.before is None:
                stays = self.tr("idle")
            line.addWidget(make_label(stays, "soft"))
        else:
            line.addWidget(make_label("→", "strong"))
            line.addWidget(self._chip(change, before=False))
        line.addStretch(1)
        return line

    def _chip(self, change: InkChange, *, before: bool) -> QWidget:
        ink = change.before if before else change.after
        return InkChip(self._theme, ink, ink.name if ink is not None else self.tr("no ink"))

    def _add_settings(self, facts: ChangeoverFacts) -> None:
        names = {
            Item.FORMAT: self.tr("Format"),
            Item.FEED_EDGE: self.tr("Feed edge"),
            Item.LAY_SIDE: self.tr("Lay side"),
            Item.STOCK: self.tr("Stock"),
            Item.CALIPER: self.tr("Caliper"),
        }
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(10))
        grid.setVerticalSpacing(self._theme.size(2))
        for row, setting in enumerate(s for s in facts.settings if not s.same):
            after = _setting_text(setting.after)
            text = after if setting.before is None else f"{_setting_text(setting.before)} → {after}"
            grid.addWidget(make_label(names[setting.item], "soft"), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(make_label(text, wrap=True), row, 1)
        grid.setColumnStretch(1, 1)
        self._column.addLayout(grid)
        stays = [names[s.item] for s in facts.settings if s.same]
        if stays:
            text = self.tr("Unchanged: {items}").format(items=", ".join(stays).lower())
            self._column.addWidget(make_label(text, "soft", wrap=True))

    def labels(self) -> list[str]:
        """Every text on show, from top to bottom."""
        return [label.text() for label in self._body.findChildren(QLabel)]


def _setting_text(value: Setting) -> str:
    if isinstance(value, Format):
        return value.label
    if isinstance(value, Stock):
        return value.name
    if isinstance(value, LaySide):
        return lay_side_text(value)
    return feed_edge_text(value) if isinstance(value, FeedEdge) else f"{value} µm"
