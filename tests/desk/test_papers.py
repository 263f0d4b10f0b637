"""The papers: nothing outside the margins or over another text, nothing left out, legible without colour."""

from __future__ import annotations

import re
from functools import cache
from itertools import combinations

import pytest
from PySide6.QtCore import QCoreApplication, QRectF
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from queueplanner.desk.figures import Figures
from queueplanner.desk.paper_day import DayPaper, PaperPart, day_pages
from queueplanner.desk.paper_flow import Block, Page, Section, flow
from queueplanner.desk.paper_marks import Box, Face, Piece, Swatch, Words, words
from queueplanner.desk.paper_pdf import page_picture, pdf_bytes, write_pdf
from queueplanner.desk.paper_size import MARGIN_MM, PaperSize, mm, points
from queueplanner.desk.wording import reason_text, task_text
from queueplanner.exchange.card_wording import card_rows
from queueplanner.exchange.card_words import CAUTIONS
from tests.desk.paper_days import INSTANCES, paper_of
from tests.desk.test_translation import Marked

SIZES = list(PaperSize)
SHORT = frozenset({PaperPart.RUN_SHEET, PaperPart.PULL_LIST})


@cache
def pages_of(name: str, size: PaperSize = PaperSize.A4, *parts: PaperPart) -> list[Page]:
    """The wanted pages of a day; of a hundred jobs the cards are left out unless asked for."""
    wanted = parts or (SHORT if name == "a hundred jobs" else tuple(PaperPart))
    return day_pages(paper_of(name), size, wanted)


def written(pages: list[Page]) -> str:
    return "\n".join(text for page in pages for text in page.texts)


def words_on(page: Page) -> list[Words]:
    return [mark for mark in page.marks if isinstance(mark, Words)]


@pytest.fixture(autouse=True)
def fonts(qapp: QApplication) -> QApplication:
    return qapp


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", INSTANCES)
def test_nothing_reaches_into_the_margins_and_no_text_is_wider_than_its_place(name: str, size: PaperSize) -> None:
    room = size.printed.adjusted(-1, -1, 1, 1)
    for page in pages_of(name, size):
        assert all(room.contains(mark.box) for mark in page.marks)
        for item in words_on(page):
            lines = [item.layout.lineAt(n) for n in range(item.layout.lineCount())]
            assert max(line.naturalTextWidth() for line in lines) <= item.box.width() + mm(0.2), item.text
            assert "".join(item.text[a : a + n] for a, n in _pieces(lines)) == item.text


def _pieces(lines) -> list[tuple[int, int]]:
    return [(line.textStart(), line.textLength()) for line in lines]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", INSTANCES)
def test_no_text_lies_on_another(name: str, size: PaperSize) -> None:
    for page in pages_of(name, size):
        boxes = [item.box.adjusted(1, 1, -1, -1) for item in words_on(page)]
        assert not any(first.intersects(second) for first, second in combinations(boxes, 2))


@pytest.mark.parametrize("name", INSTANCES)
def test_every_page_has_shop_day_version_time_and_its_number(name: str) -> None:
    pages = pages_of(name)
    for number, page in enumerate(pages, 1):
        text = "\n".join(page.texts)
        assert f"page {number} of {len(pages)}" in text
        assert "Two-unit demo press · Thu 26 Nov 2026" in text
        assert re.search(r"queueplanner \d\S* · made Wed 25 Nov 2026 16:04", text)
        assert page.section in page.texts


@pytest.mark.parametrize("name", INSTANCES)
def test_the_run_sheet_holds_every_pass_task_minute_ink_and_wash_reason(name: str) -> None:
    plan, text = paper_of(name).plan, written(pages_of(name, PaperSize.A4, PaperPart.RUN_SHEET))
    lines = text.splitlines()
    figures = Figures(plan.zone)
    for planned in plan.passes:
        title = f"{planned.id}  {planned.job.title}"
        assert lines.count(title) >= 2, "at a glance, and at its changeover"
        assert figures.clock(planned.makeready_start) in lines
        assert all(s.ink.name in lines for s in planned.print_pass.separations)
    for task in (task for part in (*plan.passes, *plan.evenings) for task in part.tasks):
        assert any(line.startswith(task_text(task)) for line in lines)
        assert figures.minutes(task.seconds) in lines
        assert task.task != "wash_rollers" or reason_text(task.why) in lines


@pytest.mark.parametrize("name", INSTANCES)
def test_late_jobs_are_marked_in_white_on_black_at_a_glance_and_at_their_changeover(name: str) -> None:
    pages = pages_of(name, PaperSize.A4, PaperPart.RUN_SHEET)
    late = [p for p in paper_of(name).plan.passes if p.late_seconds]
    tags = [item for page in pages for item in words_on(page) if item.white]
    assert len(tags) == 2 * len(late)
    assert all(item.text.startswith("LATE ") for item in tags)
    for page in pages:
        grounds = [m.box for m in page.marks if isinstance(m, Box) and m.grey == 0.0]
        assert all(any(g.contains(w.box) for g in grounds) for w in words_on(page) if w.white)


def test_there_is_a_late_day_and_a_day_in_time() -> None:
    assert paper_of("demo").plan.totals.late_passes
    assert not paper_of("one job").plan.totals.late_passes


def test_two_persons_stand_side_by_side_with_the_minute_each_task_begins() -> None:
    lines = written(pages_of("two persons", PaperSize.A4, PaperPart.RUN_SHEET)).splitlines()
    shared = [p for p in paper_of("two persons").plan.passes if any(t.person == 2 for t in p.tasks)]
    assert lines.count("Person 2") >= len(shared) > 0
    starts = {t.start for p in shared for t in p.tasks if t.start}
    assert all(f"{start / 60:.1f}" in lines for start in starts)
    assert "Person 2" not in written(pages_of("demo", PaperSize.A4, PaperPart.RUN_SHEET))


def test_a_pass_that_has_started_is_told_so() -> None:
    text = written(pages_of("begun", PaperSize.A4, PaperPart.RUN_SHEET))
    assert text.count("On the press when this was made") == 1


def test_work_done_while_the_press_runs_stands_apart() -> None:
    lines = written(pages_of("loaded while running", PaperSize.A4, PaperPart.RUN_SHEET)).splitlines()
    at = lines.index("While the pass before runs")
    assert any(line.startswith("Load the pile") for line in lines[at : at + 4])


@pytest.mark.parametrize("name", ["demo", "one job", "two persons"])
def test_a_card_holds_every_change_and_what_can_hurt_and_begins_on_its_own_page(name: str) -> None:
    day, pages = paper_of(name), pages_of(name, PaperSize.A4, PaperPart.CARDS)
    sections = list(dict.fromkeys(page.section for page in pages))
    assert len(sections) == len(day.cards)
    for section, card in zip(sections, day.cards, strict=True):
        text = written([page for page in pages if page.section == section])
        for row in card_rows(card, changes_only=True):
            assert f"\n{row.name}\n" in text
            assert row.value in text
            assert row.do in text
        for line, row in zip(card.lines, card_rows(card), strict=True):
            assert not (line.changed and line.why.code.startswith("wash_")) or row.reason in text
            assert row.value.replace(" ", "\u00a0") in text or row.value in text
        used = {caution for line in card.changes for caution in line.cautions}
        assert all((sentence in text) == (caution in used) for caution, sentence in CAUTIONS.items())
        assert "Reminders only" in text


def test_the_pull_list_holds_all_that_is_pulled_and_the_sums() -> None:
    pulled, text = paper_of("demo").pulled, written(pages_of("demo", PaperSize.A4, PaperPart.PULL_LIST))
    for paper in pulled.papers:
        assert f"{paper.sheets:,}" in text
        assert paper.stock.name in text
    assert all(plate.plate.id in text.splitlines() for plate in pulled.plates)
    assert all(f"{ink.ink.name}\n{round(ink.grams):,}" in text for ink in pulled.inks)
    for total in (f"{pulled.sheets:,}", f"{pulled.reams:.1f}", f"All plates: {len(pulled.plates)}"):
        assert total in text
    assert f"Dampening additive: {round(pulled.additive_ml):,} ml" in text


@pytest.mark.parametrize("name", ["demo", "two persons"])
def test_beside_every_swatch_stands_the_inks_name(name: str) -> None:
    for page in pages_of(name):
        for swatch in (mark for mark in page.marks if isinstance(mark, Swatch)):
            beside = QRectF(swatch.box.right(), swatch.box.top(), mm(3), swatch.box.height())
            near = [item.text for item in words_on(page) if item.box.intersects(beside)]
            assert swatch.ink.name in near


def test_no_type_is_under_nine_points_and_key_figures_have_fourteen() -> None:
    assert min(face.size for face in Face) >= 9
    assert Face.KEY.size >= 14
    for page in pages_of("one job"):
        assert all(item.layout.font().pixelSize() >= round(points(9)) for item in words_on(page))
    keys = {item.text for page in pages_of("one job") for item in words_on(page) if item.face is Face.KEY}
    assert "Thu 06:30–07:02" in keys


@pytest.mark.parametrize("part", list(PaperPart), ids=str)
def test_a_part_can_be_had_alone(part: PaperPart) -> None:
    begin = {PaperPart.RUN_SHEET: "Run sheet", PaperPart.CARDS: "Settings card", PaperPart.PULL_LIST: "Pull list"}
    pages = pages_of("one job", PaperSize.A4, part)
    assert pages
    assert all(page.section.startswith(begin[part]) for page in pages)


# Flow


def running(section: str, number: int, count: int, width: float) -> tuple[Piece, Piece]:
    return words(section, Face.SMALL, width), words(f"{number}/{count}", Face.SMALL, width)


def block_of(name: str, rows: int, **more) -> Block:
    made = tuple(words(f"{name} {n}", Face.BODY, 1000) for n in range(rows))
    return Block(made, again=words(f"{name} again", Face.BODY, 1000), **more)


def test_a_block_that_no_longer_fits_begins_on_the_next_page() -> None:
    pages = flow([Section("s", (block_of("a", 40), block_of("b", 40)))], PaperSize.A4, running)
    assert [("a 0" in p.texts, "b 0" in p.texts) for p in pages] == [(True, False), (False, True)]
    assert not any("again" in text for page in pages for text in page.texts)


def test_a_block_longer_than_a_page_goes_on_under_its_head() -> None:
    pages = flow([Section("s", (block_of("a", 150),))], PaperSize.A4, running)
    assert len(pages) == 3
    assert all("a again" in page.texts for page in pages[1:])
    assert [t for page in pages for t in page.texts if re.fullmatch(r"a \d+", t)] == [f"a {n}" for n in range(150)]


def test_a_block_that_may_break_fills_the_page() -> None:
    pages = flow([Section("s", (block_of("a", 40), block_of("b", 40, breaks=2)))], PaperSize.A4, running)
    assert "b 0" in pages[0].texts
    assert "b again" in pages[1].texts


def test_every_section_begins_on_a_new_page() -> None:
    pages = flow([Section(name, (block_of(name, 2),)) for name in "xyz"], PaperSize.A4, running)
    assert [page.section for page in pages] == ["x", "y", "z"]


# Files and pictures


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_a_pdf_has_as_many_pages_of_its_size(size: PaperSize) -> None:
    pages = pages_of("one job", size)
    data = pdf_bytes(pages, size, "Papers")
    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type\s*/Page\b", data)) == len(pages)
    boxes = re.findall(rb"/MediaBox \[([^\]]+)\]", data)
    wanted = {PaperSize.A4: (595, 842), PaperSize.LETTER: (612, 792)}[size]
    assert {tuple(round(float(n)) for n in box.split()[2:]) for box in boxes} == {wanted}


def test_a_pdf_is_written_whole_over_an_old_one(tmp_path) -> None:
    path = tmp_path / "papers.pdf"
    path.write_bytes(b"old")
    write_pdf(path, pages_of("one job"), PaperSize.A4, "Papers")
    assert path.read_bytes().startswith(b"%PDF-")
    assert [p.name for p in tmp_path.iterdir()] == ["papers.pdf"]


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_what_is_drawn_leaves_the_margins_white(size: PaperSize) -> None:
    for page in pages_of("two persons", size)[:6]:
        image = page_picture(page, size, 50)
        edge = int((MARGIN_MM - 0.5) / 25.4 * 50)
        assert not _inked(image.copy(0, 0, image.width(), edge))
        assert not _inked(image.copy(0, image.height() - edge, image.width(), edge))
        assert not _inked(image.copy(0, 0, edge, image.height()))
        assert not _inked(image.copy(image.width() - edge, 0, edge, image.height()))
        assert _inked(image)


def _inked(image: QImage) -> bool:
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    return any(min(bytes(grey.constScanLine(y))[: grey.width()]) < 250 for y in range(grey.height()))


def test_heads_and_remarks_go_through_translation() -> None:
    translator = Marked()
    QCoreApplication.installTranslator(translator)
    try:
        day: DayPaper = paper_of("one job")
        pages = day_pages(day)
    finally:
        QCoreApplication.removeTranslator(translator)
    assert all("⟦" in page.section for page in pages)
    assert "⟦Make-ready" in written(pages)
