"""The planned day: totals, timeline, tables and the changeover panel, all showing one model."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSplitter, QTabWidget, QVBoxLayout, QWidget

from queueplanner.desk.card_panel import CardPanel
from queueplanner.desk.changeover_panel import ChangeoverPanel
from queueplanner.desk.day_model import Change, DayModel, Pick
from queueplanner.desk.day_papers import DayPapers
from queueplanner.desk.day_rows import JobRow, PassRow
from queueplanner.desk.elided_label import ElidedLabel
from queueplanner.desk.figures import Figures
from queueplanner.desk.job_table import job_columns
from queueplanner.desk.materials_panel import MaterialsPanel
from queueplanner.desk.order_table import FIXED_COLUMN, order_columns
from queueplanner.desk.order_view import OrderTable
from queueplanner.desk.table_cells import RowsModel
from queueplanner.desk.table_view import DeskTable
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline import Timeline
from queueplanner.desk.timeline_key import TimelineKey
from queueplanner.desk.totals_bar import TotalsBar


class DayView(QWidget):
    """Mirrors a `DayModel`; what a user selects anywhere is selected everywhere."""

    def __init__(self, model: DayModel, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model
        self.totals = TotalsBar(theme)
        self.timeline = Timeline(theme)
        self.key = TimelineKey(theme)
        self.remark = ElidedLabel(theme, self.tr("Under the pointer"))
        self.jobs_model: RowsModel[JobRow] = RowsModel()
        self.order_model: RowsModel[PassRow] = RowsModel()
        self.jobs = DeskTable(self.jobs_model, theme, self.tr("Jobs of the day"))
        self.order = OrderTable(self.order_model, theme, self.tr("Run order"))
        self.papers = DayPapers(model)
        self.materials = MaterialsPanel(theme)
        self.panel = ChangeoverPanel(theme)
        self.card = CardPanel(theme)
        self.zoom_buttons = self._zoom_buttons()
        self._lay_out(theme)
        self._connect()
        model.listen(self._follow)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        shown = (self.totals, self.timeline, self.key, self.remark, self.jobs, self.order)
        for part in (*shown, self.materials, self.panel, self.card):
            part.set_theme(theme)

    def show_card(self) -> None:
        """Bring the settings card of the selected pass to the front."""
        self.side.setCurrentWidget(self.card)
        self.card.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def show_materials(self) -> None:
        """Bring the materials of the day to the front."""
        self.tabs.setCurrentWidget(self.materials)
        self.materials.table.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _zoom_buttons(self) -> tuple[QPushButton, ...]:
        made = []
        for text, name, act in (
            ("−", self.tr("Zoom out"), self.timeline.zoom_out),
            ("+", self.tr("Zoom in"), self.timeline.zoom_in),
            (self.tr("Whole plan"), self.tr("Whole plan"), self.timeline.whole_day),
        ):
            button = QPushButton(text)
            button.setProperty("look", "plain")
            button.setAccessibleName(name)
            button.clicked.connect(act)
            made.append(button)
        return tuple(made)

    def _lay_out(self, theme: Theme) -> None:
        size = theme.size
        self._parts = QSplitter(Qt.Orientation.Vertical)
        self._lower = QSplitter(Qt.Orientation.Horizontal)
        self.tabs = _tabs(
            self.tr("Tables"),
            (self.jobs, self.tr("Jobs")),
            (self.order, self.tr("Run order as a table")),
            (self.materials, self.tr("Materials")),
        )
        self.side = _tabs(
            self.tr("The selected pass"),
            (self.panel, self.tr("Changeover")),
            (self.card, self.tr("Settings card")),
        )
        self._lower.addWidget(self.tabs)
        self._lower.addWidget(self.side)
        self._lower.setStretchFactor(0, 5)
        self._lower.setStretchFactor(1, 2)
        self._lower.setSizes([size(1000), size(380)])
        self._parts.addWidget(self._timeline_card(theme))
        self._parts.addWidget(self._lower)
        self._parts.setStretchFactor(0, 0)
        self._parts.setStretchFactor(1, 1)
        self._parts.setSizes([self.timeline.sizeHint().height() + size(70), size(320)])
        for splitter in (self._parts, self._lower):
            splitter.setChildrenCollapsible(False)
            splitter.setHandleWidth(size(12))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(size(10))
        column.addWidget(self.totals)
        column.addWidget(self._parts, 1)

    def _card(self, inner: QWidget) -> QFrame:
        card = QFrame()
        card.setProperty("look", "card")
        layout = QVBoxLayout(card)
        layout.setContentsMargins(2, 2, 2, 2)
        layout.addWidget(inner)
        return card

    def _timeline_card(self, theme: Theme) -> QFrame:
        size = theme.size
        card = self._card(self.timeline)
        below = QHBoxLayout()
        below.setContentsMargins(size(12), 0, size(12), 0)
        below.setSpacing(size(6))
        for button in self.zoom_buttons:
            below.addWidget(button)
        below.addSpacing(size(10))
        below.addWidget(self.remark, 1)
        keys = QHBoxLayout()
        keys.setContentsMargins(size(12), size(2), size(12), size(6))
        keys.addWidget(self.key)
        layout = card.layout()
        assert isinstance(layout, QVBoxLayout)
        layout.setStretch(0, 1)
        layout.addLayout(below)
        layout.addLayout(keys)
        return card

    def _connect(self) -> None:
        self.timeline.picked.connect(self._model.select)
        self.timeline.stepped.connect(self._model.step)
        self.timeline.opened.connect(self._to_side)
        self.timeline.pointed.connect(self._remark)
        self.jobs.row_chosen.connect(self._model.select_job)
        self.order.row_chosen.connect(lambda row: self._model.select(Pick(pass_id=row.pass_id)))
        self.materials.row_chosen.connect(lambda row: self._model.select(Pick(pass_id=row.print_pass.id)))
        for table in (self.jobs, self.order, self.materials):
            table.opened.connect(self._to_side)
        self.tabs.currentChanged.connect(lambda _: self._show_papers())
        self.side.currentChanged.connect(lambda _: self._show_papers())

    def _to_side(self) -> None:
        """Give the keys to what is shown of the selected pass."""
        shown = self.side.currentWidget()
        if shown is not None:
            shown.setFocus()

    def _show_papers(self) -> None:
        """Card and materials, where they are in front: nobody waits for what is not looked at."""
        pick = self._model.pick
        if self.side.currentWidget() is self.card:
            self.card.show_card(self.papers.card(pick), pick)
        if self.tabs.currentWidget() is self.materials:
            self.materials.show_materials(self.papers.materials(), self._model.day)
            self.materials.show_pass(None if pick is None else pick.pass_id)

    def _remark(self, text: str) -> None:
        self.remark.set_text(text or self.timeline.accessibleDescription())

    def show_all(self) -> None:
        """Show the model as it is, if nothing has been shown yet; from then on the view follows by itself."""
        if self.timeline.view is None:
            self._show_plan()

    def _follow(self, change: Change) -> None:
        if change is Change.PLAN:
            self._show_plan()
        elif change is Change.PICK:
            self._show_pick()

    def _show_plan(self) -> None:
        model, plan = self._model, self._model.plan
        self.totals.show_totals(plan, model.savings)
        self.timeline.set_plan(plan)
        if plan is None:
            self.jobs_model.set_table([], [])
            self.order_model.set_table([], [])
            return
        figures = Figures(plan.zone)
        fresh = not self.jobs_model.rows
        self.jobs_model.set_table(job_columns(figures), model.job_rows)
        self.order_model.set_table(order_columns(figures), model.pass_rows)
        if fresh:
            self.jobs.fit_columns()
            self.order.fit_columns()
        elif any(row.fixed for row in model.pass_rows):
            self.order.show_whole(FIXED_COLUMN)
        self._show_pick()

    def _show_pick(self) -> None:
        model = self._model
        self.timeline.set_pick(model.pick)
        self.panel.show_pick(model.plan, model.pick)
        self.order.show_row(_row_of(self.order_model.rows, model.pick))
        self.jobs.show_row(_row_of(self.jobs_model.rows, model.pick))
        self._show_papers()
        self._remark("")


def _tabs(name: str, *pages: tuple[QWidget, str]) -> QTabWidget:
    tabs = QTabWidget()
    tabs.setDocumentMode(False)
    for page, title in pages:
        tabs.addTab(page, title)
    tabs.setAccessibleName(name)
    tabs.tabBar().setAccessibleName(name)
    return tabs


def _row_of(rows: tuple[object, ...], pick: Pick | None) -> int | None:
    """The row that holds a selected pass."""
    if pick is None or pick.pass_id is None:
        return None
    for number, row in enumerate(rows):
        if isinstance(row, PassRow) and row.pass_id == pick.pass_id:
            return number
        if isinstance(row, JobRow) and pick.pass_id in row.pass_ids:
            return number
    return None
