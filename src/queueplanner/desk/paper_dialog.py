"""What to put on paper, and where to: a PDF file or a printer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QLocale, QSettings, Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent, QGuiApplication
from PySide6.QtWidgets import QButtonGroup, QDialog, QFileDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from queueplanner.desk.figures import Figures
from queueplanner.desk.labels import make_label
from queueplanner.desk.paper_day import DayPaper, PaperPart, day_pages
from queueplanner.desk.paper_file import document_title
from queueplanner.desk.paper_flow import Page
from queueplanner.desk.paper_pdf import write_pdf
from queueplanner.desk.paper_size import PaperSize
from queueplanner.desk.theme import Theme
from queueplanner.desk.tick_box import TickBox

#: Gives the papers of the plan on show; None without one.
Papers = Callable[[], DayPaper | None]


class PaperDialog(QDialog):
    """Parts and paper size, then save or print; stays open and says what was done. Esc closes it.

    `settings` keeps size and parts between sessions; without it nothing is kept.
    """

    def __init__(
        self, papers: Papers, theme: Theme, settings: QSettings | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._papers, self._theme, self._settings = papers, theme, settings
        self.setWindowTitle(self.tr("The day on paper"))
        self.setAccessibleName(self.windowTitle())
        self.setModal(True)
        kept = self._kept_parts()
        self.parts = {part: TickBox(theme, text) for part, text in self._part_names().items()}
        for part, box in self.parts.items():
            box.setChecked(part in kept)
            box.toggled.connect(self._refresh)
        self.sizes = {size: QPushButton(size.value) for size in PaperSize}
        self._size_group = QButtonGroup(self)
        for button in self.sizes.values():
            button.setCheckable(True)
            self._size_group.addButton(button)
        self.sizes[self._kept_size()].setChecked(True)
        self.save_button = QPushButton(self.tr("Save as PDF…"))
        self.print_button = QPushButton(self.tr("Print…"))
        self.close_button = QPushButton(self.tr("Close"))
        self.told = make_label("", "strong", wrap=True)
        self._lay_out()
        self.save_button.clicked.connect(self.choose_file)
        self.print_button.clicked.connect(self.print_out)
        self.close_button.clicked.connect(self.reject)
        self._refresh()

    def prefer_printing(self, printing: bool) -> None:
        """Which of the two Enter stands for."""
        for button, preferred in ((self.print_button, printing), (self.save_button, not printing)):
            button.setDefault(preferred)
            button.setProperty("look", "main" if preferred else "")
            button.style().unpolish(button)
            button.style().polish(button)
        (self.print_button if printing else self.save_button).setFocus()

    @property
    def size_chosen(self) -> PaperSize:
        """The paper chosen."""
        return next(size for size, button in self.sizes.items() if button.isChecked())

    @property
    def parts_chosen(self) -> tuple[PaperPart, ...]:
        """The parts chosen."""
        return tuple(part for part, box in self.parts.items() if box.isChecked())

    def choose_file(self) -> None:
        """Let the user name a file and save there."""
        day = self._papers()
        if day is None:
            return
        name = f"{self.tr('run-sheet')}-{Figures(day.plan.zone).local(day.plan.start):%Y-%m-%d}.pdf"
        chosen, _ = QFileDialog.getSaveFileName(
            self, self.tr("Save as PDF"), str(self._kept_folder() / name), self.tr("PDF files (*.pdf)")
        )
        if chosen:
            path = Path(chosen)
            self.save(path if path.suffix else path.with_suffix(".pdf"))

    def save(self, path: Path) -> bool:
        """Save the chosen parts as a PDF file and say so, or why not; gives whether it was saved."""
        day = self._papers()
        if day is None:
            return False
        pages = self._pages(day)
        try:
            write_pdf(path, pages, self.size_chosen, document_title(day.plan))
        except (OSError, RuntimeError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            self._tell(self.tr("Not saved: {reason}. Name another file.").format(reason=reason))
            return False
        self._keep(path.parent)
        self._tell(self.tr("Saved: {name}, {n} pages").format(name=path.name, n=len(pages)))
        return True

    def print_out(self) -> None:
        """Let the user choose a printer and print the chosen parts there."""
        day = self._papers()
        if day is None:
            return
        try:
            from queueplanner.desk.paper_print import ask_printer, make_printer, print_on
        except ImportError as error:
            self._tell(self.tr("Printing is not possible here: {reason}. Save as PDF.").format(reason=error))
            return
        pages = self._pages(day)
        printer = make_printer(self.size_chosen, document_title(day.plan))
        if not ask_printer(printer, len(pages), self):
            return
        try:
            count = print_on(printer, pages, self.size_chosen)
        except RuntimeError:
            self._tell(self.tr("Not printed: the printer takes no pages. Save as PDF."))
            return
        self._keep(None)
        self._tell(self.tr("Sent to the printer: {n} pages").format(n=count))

    def _pages(self, day: DayPaper) -> list[Page]:
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            return day_pages(day, self.size_chosen, self.parts_chosen)
        finally:
            QGuiApplication.restoreOverrideCursor()

    def _part_names(self) -> dict[PaperPart, str]:
        return {
            PaperPart.RUN_SHEET: self.tr("Run sheet"),
            PaperPart.CARDS: self.tr("Settings card of every pass"),
            PaperPart.PULL_LIST: self.tr("Pull list: paper, plates, inks"),
        }

    def _lay_out(self) -> None:
        size = self._theme.size
        column = QVBoxLayout(self)
        column.setContentsMargins(size(20), size(16), size(20), size(16))
        column.setSpacing(size(10))
        for box in self.parts.values():
            column.addWidget(box)
        column.addSpacing(size(6))
        column.addWidget(make_label(self.tr("Paper"), "strong"))
        sizes = QHBoxLayout()
        for button in self.sizes.values():
            sizes.addWidget(button)
        sizes.addStretch(1)
        column.addLayout(sizes)
        column.addWidget(self.told)
        column.addStretch(1)
        row = QHBoxLayout()
        row.addWidget(self.close_button)
        row.addStretch(1)
        row.addWidget(self.print_button)
        row.addWidget(self.save_button)
        column.addLayout(row)
        self.setMinimumWidth(size(460))

    def _refresh(self) -> None:
        some = bool(self.parts_chosen) and self._papers() is not None
        self.save_button.setEnabled(some)
        self.print_button.setEnabled(some)

    def _tell(self, text: str) -> None:
        self.told.setText(text)
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    # Memory

    def _kept_parts(self) -> frozenset[PaperPart]:
        kept = None if self._settings is None else self._settings.value("paper_parts")
        names = str(kept).split() if kept else [part.value for part in PaperPart]
        return frozenset(part for part in PaperPart if part.value in names)

    def _kept_size(self) -> PaperSize:
        kept = None if self._settings is None else self._settings.value("paper_size")
        if kept in set(PaperSize):
            return PaperSize(str(kept))
        inches = QLocale.system().measurementSystem() is QLocale.MeasurementSystem.ImperialUSSystem
        return PaperSize.LETTER if inches else PaperSize.A4

    def _kept_folder(self) -> Path:
        kept = None if self._settings is None else self._settings.value("paper_folder")
        return Path(str(kept)) if kept else Path()

    def _keep(self, folder: Path | None) -> None:
        if self._settings is None:
            return
        self._settings.setValue("paper_parts", " ".join(part.value for part in self.parts_chosen))
        self._settings.setValue("paper_size", self.size_chosen.value)
        if folder is not None:
            self._settings.setValue("paper_folder", str(folder))
