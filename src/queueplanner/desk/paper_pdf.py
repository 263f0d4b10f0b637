"""Pages as a PDF file, on a printer, or as pictures."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF
from PySide6.QtGui import QGuiApplication, QImage, QPagedPaintDevice, QPageLayout, QPainter, QPdfWriter

from queueplanner import __version__
from queueplanner.desk.paper_flow import Page
from queueplanner.desk.paper_marks import draw
from queueplanner.desk.paper_size import MM_PER_INCH, UNITS_PER_INCH, PaperSize
from queueplanner.exchange.text_file import write_bytes_whole


def pdf_bytes(pages: Sequence[Page], size: PaperSize, title: str) -> bytes:
    """The pages as a PDF, with its title in the file's own words."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(UNITS_PER_INCH)
    writer.setTitle(title)
    writer.setCreator(f"queueplanner {__version__}")
    print_pages(pages, size, writer, UNITS_PER_INCH)
    buffer.close()
    return bytes(buffer.data().data())


def write_pdf(path: Path, pages: Sequence[Page], size: PaperSize, title: str) -> None:
    """Write the pages as a PDF file, whole or not at all. Raises OSError when it cannot be written."""
    write_bytes_whole(path, pdf_bytes(pages, size, title))


def print_pages(pages: Sequence[Page], size: PaperSize, device: QPagedPaintDevice, dots_per_inch: float) -> None:
    """Draw the pages on a device of pages, edge to edge of the sheet. Raises RuntimeError when it takes none."""
    layout = QPageLayout(size.qt, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    layout.setMode(QPageLayout.Mode.FullPageMode)
    device.setPageLayout(layout)
    painter = QPainter()
    if not painter.begin(device):
        raise RuntimeError("the device takes no pages")
    try:
        scale = dots_per_inch / UNITS_PER_INCH
        painter.scale(scale, scale)
        for number, page in enumerate(pages):
            if number:
                device.newPage()
            draw(page.marks, painter)
    finally:
        painter.end()


def page_picture(page: Page, size: PaperSize, dots_per_inch: int = 96) -> QImage:
    """One page as a picture on white."""
    scale = dots_per_inch / UNITS_PER_INCH
    image = QImage(round(size.sheet.width() * scale), round(size.sheet.height() * scale), QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(dots_per_inch / MM_PER_INCH * 1000))
    image.setDotsPerMeterY(round(dots_per_inch / MM_PER_INCH * 1000))
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
    painter.scale(scale, scale)
    draw(page.marks, painter)
    painter.end()
    return image


def start_fonts() -> QGuiApplication:
    """An application for its fonts alone, without a window; on Linux without a screen too."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    if sys.platform not in ("win32", "darwin"):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return QGuiApplication(["queueplanner"])
