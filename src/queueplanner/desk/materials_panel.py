"""The materials of the day: paper, ink, solvent, solution, lifting by hand, and where every figure comes from."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from queueplanner.desk.day_loader import LoadedDay
from queueplanner.desk.figures import Figures
from queueplanner.desk.flow_box import FlowBox
from queueplanner.desk.ink_chip import InkChip
from queueplanner.desk.labels import clear_layout, make_label, make_line
from queueplanner.desk.materials_table import material_columns
from queueplanner.desk.table_cells import RowsModel
from queueplanner.desk.table_view import DeskTable
from queueplanner.desk.theme import Theme
from queueplanner.exchange.material_wording import LIFTING_LIMITS, RULES, lifting_inputs_text, lifting_text
from queueplanner.makeready.materials import DayMaterials, PassMaterials
from queueplanner.shop.base import PassId


class MaterialsPanel(QScrollArea):
    """`row_chosen` carries the materials of the pass a user moves to; `opened` comes on Enter or a double click."""

    row_chosen = Signal(object)
    opened = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._materials: DayMaterials | None = None
        self._day: LoadedDay | None = None
        self._figures: Figures | None = None
        self._picked: PassId | None = None
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Materials of the day"))
        self._body = QWidget()
        self._outer = QVBoxLayout(self._body)
        self._above, self._below = QVBoxLayout(), QVBoxLayout()
        self.table_model: RowsModel[PassMaterials] = RowsModel()
        self.table = DeskTable(self.table_model, theme, self.tr("Materials by pass"))
        self.table.row_chosen.connect(self.row_chosen)
        self.table.opened.connect(self.opened)
        self.to_sources = QPushButton(self.tr("Where the figures come from"))
        self.to_sources.setProperty("look", "plain")
        self.to_sources.clicked.connect(self._show_sources)
        self._sources_head: QLabel | None = None
        self._outer.addLayout(self._above)
        self._outer.addWidget(self.table)
        self._outer.addLayout(self._below)
        self._outer.addStretch(1)
        self.setWidget(self._body)
        self.set_theme(theme)

    def set_theme(self, theme: Theme) -> None:
        """Show in another palette or text size."""
        self._theme = theme
        size = theme.size
        self._outer.setContentsMargins(size(16), size(12), size(16), size(16))
        for column in (self._outer, self._above, self._below):
            column.setSpacing(size(8))
        self.table.set_theme(theme)
        self._build()

    def show_materials(self, materials: DayMaterials | None, day: LoadedDay | None) -> None:
        """Show what a plan uses."""
        if materials is self._materials and day is self._day:
            return
        self._materials, self._day = materials, day
        self._figures = None if day is None else Figures(day.instance.shop.calendar.zone)
        self._build()

    def show_pass(self, pass_id: PassId | None) -> None:
        """Mark the selected pass and say how its paper may be lifted."""
        if pass_id == self._picked:
            return
        self._picked = pass_id
        self._select()
        self._build_below()

    def _build(self) -> None:
        clear_layout(self._above)
        self.table.setVisible(self._materials is not None)
        if self._materials is None or self._day is None or self._figures is None:
            self.table_model.set_table([], [])
            self._above.addWidget(make_label(self.tr("No materials to show: open a job list."), "soft", wrap=True))
        else:
            self._fill(self._materials, self._day, self._figures)
        self._build_below()

    def _fill(self, materials: DayMaterials, day: LoadedDay, figures: Figures) -> None:
        self._above.addWidget(make_label(self._sums(materials, figures), "strong", wrap=True))
        self._above.addWidget(make_label(self._stocks_text(materials, day, figures), wrap=True))
        self._above.addWidget(self._inks(materials, figures))
        self.table_model.set_table(material_columns(figures), materials.passes)
        self.table.fit_columns()
        self.table.setFixedHeight(self._table_height(len(materials.passes)))
        self._select()

    def _table_height(self, rows: int) -> int:
        bar = self._theme.size(18)
        head = self.table.horizontalHeader().sizeHint().height()
        return head + rows * self.table.verticalHeader().defaultSectionSize() + bar + 6

    def _sums(self, materials: DayMaterials, figures: Figures) -> str:
        sheets, kg = sum(materials.sheets.values()), sum(materials.paper_kg.values())
        return self.tr(
            "{sheets} sheets from the store, {kg} kg · {ink} g of ink · {solvent} ml of wash solvent, evenings "
            "included · {additive} ml of dampening additive"
        ).format(
            sheets=figures.count(sheets),
            kg=figures.locale.toString(kg, "f", 1),
            ink=figures.count(round(sum(materials.ink_g.values()))),
            solvent=figures.count(round(materials.solvent_ml)),
            additive=figures.count(round(materials.additive_ml)),
        )

    def _stocks_text(self, materials: DayMaterials, day: LoadedDay, figures: Figures) -> str:
        stocks, told = day.instance.shop.stocks, []
        for stock, sheets in materials.sheets.items():
            name = stocks[stock].name if stock in stocks else str(stock)
            kg = figures.locale.toString(materials.paper_kg[stock], "f", 1)
            words = self.tr("{stock}: {n} sheets, {kg} kg").format(stock=name, n=figures.count(sheets), kg=kg)
            told.append(words.replace(" ", "\u00a0").replace("/", "\u2060/\u2060"))
        return self.tr("Paper: {stocks}").format(stocks=" · ".join(told))

    def _inks(self, materials: DayMaterials, figures: Figures) -> FlowBox:
        used = {need.ink.id: need.ink for item in materials.passes for need in item.inks}
        box = FlowBox(self._theme, (18, 4))
        box.add(make_label(self.tr("Ink:")))
        for ink, grams in materials.ink_g.items():
            words = self.tr("{ink} {g} g").format(ink=used[ink].name, g=figures.count(round(grams)))
            box.add(InkChip(self._theme, used[ink], words))
        return box

    def _select(self) -> None:
        ids = [item.print_pass.id for item in self.table_model.rows]
        self.table.show_row(ids.index(self._picked) if self._picked in ids else None)

    def _build_below(self) -> None:
        self._body.setUpdatesEnabled(False)
        self._below.removeWidget(self.to_sources)
        clear_layout(self._below)
        self._below.addWidget(self.to_sources, 0, Qt.AlignmentFlag.AlignLeft)
        self.to_sources.setVisible(self._materials is not None)
        self._sources_head = None
        if self._materials is not None and self._materials.passes and self._day is not None:
            self._add_lifting(self._materials)
            self._add_sources(self._day)
        self._body.setUpdatesEnabled(True)

    def _add_lifting(self, materials: DayMaterials) -> None:
        chosen = next((p for p in materials.passes if p.print_pass.id == self._picked), None)
        self._below.addWidget(make_line())
        self._below.addWidget(make_label(self.tr("Lifting by hand, reference only"), "strong", wrap=True))
        if chosen is not None:
            words = self.tr("Pass {p}: {hint}").format(p=chosen.print_pass.id, hint=lifting_text(chosen.lifting))
            self._below.addWidget(make_label(words, wrap=True))
        else:
            self._below.addWidget(make_label(self.tr("Choose a pass to see its hint in words."), "soft", wrap=True))
        inputs = (chosen or materials.passes[0]).lifting
        self._below.addWidget(make_label(lifting_inputs_text(inputs), "soft", wrap=True))
        self._below.addWidget(make_label(LIFTING_LIMITS, "caution", wrap=True))

    def _add_sources(self, day: LoadedDay) -> None:
        self._below.addWidget(make_line())
        self._sources_head = make_label(self.tr("Where the figures come from"), "strong", wrap=True)
        self._below.addWidget(self._sources_head)
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._theme.size(14))
        grid.setVerticalSpacing(self._theme.size(2))
        grid.setColumnStretch(1, 1)
        for number, item in enumerate(day.sources):
            row = 3 * number
            grid.addWidget(make_label(item.value, "strong", right=True), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(make_label(item.name, wrap=True), row, 1)
            grid.addWidget(make_label(item.source, "strong" if item.own else "soft", wrap=True), row + 1, 1)
            grid.setRowMinimumHeight(row + 2, self._theme.size(5))
        self._below.addLayout(grid)
        for rule in RULES:
            self._below.addWidget(make_label(rule, "soft", wrap=True))

    def _show_sources(self) -> None:
        if self._sources_head is not None:
            top = self._sources_head.mapTo(self._body, self._sources_head.rect().topLeft()).y()
            self.verticalScrollBar().setValue(top - self._theme.size(8))
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def labels(self) -> list[str]:
        """Every text on show, from top to bottom."""
        return [label.text() for label in self._body.findChildren(QLabel)]
