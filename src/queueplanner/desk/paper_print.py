"""Papers on the office printer, chosen in the system's own dialog."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QPageLayout
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from queueplanner.desk.paper_flow import Page
from queueplanner.desk.paper_pdf import print_pages
from queueplanner.desk.paper_size import PaperSize


def make_printer(size: PaperSize, title: str) -> QPrinter:
    """A printer set to a size of paper, from edge to edge."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setPageSize(size.qt)
    printer.setPageOrientation(QPageLayout.Orientation.Portrait)
    printer.setFullPage(True)
    printer.setDocName(title)
    return printer


def ask_printer(printer: QPrinter, count: int, parent: QWidget | None = None) -> bool:
    """Let the user choose a printer and which of so many pages; whether to go on."""
    dialog = QPrintDialog(printer, parent)
    dialog.setMinMax(1, count)
    return dialog.exec() == QDialog.DialogCode.Accepted


def print_on(printer: QPrinter, pages: Sequence[Page], size: PaperSize) -> int:
    """Print the pages the printer is set to, and say how many. Raises RuntimeError when it takes none."""
    wanted = list(pages)
    if printer.printRange() is QPrinter.PrintRange.PageRange and printer.fromPage():
        wanted = wanted[printer.fromPage() - 1 : printer.toPage() or None]
    print_pages(wanted, size, printer, printer.resolution())
    return len(wanted)
