"""How pieces become pages: nothing is cut in two, heads come again, every page has its head and its foot."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from queueplanner.desk.paper_marks import Mark, Piece, Words, rule, stack
from queueplanner.desk.paper_size import PaperSize, mm


@dataclass(frozen=True, slots=True)
class Block:
    """Rows that stay together on a page if a page holds them; `again` stands above them where they must go on.

    A block that `breaks` begins where there is room for its first `breaks` rows and goes on over the page.
    """

    rows: tuple[Piece, ...]
    again: Piece | None = None
    gap_mm: float = 0.0
    breaks: int = 0

    @property
    def height(self) -> float:
        """The height of all its rows."""
        return sum(row.height for row in self.rows)


@dataclass(frozen=True, slots=True)
class Section:
    """Blocks that begin on a new page. `name` stands in the running head; `table_head` above the rows of each page."""

    name: str
    blocks: tuple[Block, ...]


@dataclass(slots=True)
class Page:
    """One page: what is drawn on it, in units from the sheet's corner."""

    section: str
    marks: list[Mark] = field(default_factory=list)

    @property
    def texts(self) -> list[str]:
        """All its texts, as they were laid down."""
        return [mark.text for mark in self.marks if isinstance(mark, Words)]


#: Makes the running head and foot of a page from its section, number and count, so wide.
Running = Callable[[str, int, int, float], tuple[Piece, Piece]]
#: White between the running head or foot and the page's own, mm.
_GAP_MM = 3.0


def flow(sections: Iterable[Section], size: PaperSize, running: Running) -> list[Page]:
    """The pages of some sections on a size of paper."""
    room = size.printed
    head, foot = running("", 99, 99, room.width())
    top, bottom = room.top() + head.height + mm(_GAP_MM), room.bottom() - foot.height - mm(_GAP_MM)
    pages: list[Page] = []
    for section in sections:
        filler = _Filler(section.name, room.left(), top, bottom)
        for block in section.blocks:
            filler.add(block)
        pages += filler.pages
    for number, page in enumerate(pages, 1):
        head, foot = running(page.section, number, len(pages), room.width())
        page.marks += head.moved(room.left(), room.top())
        page.marks += foot.moved(room.left(), room.bottom() - foot.height)
    return pages


@dataclass(slots=True)
class _Filler:
    """Fills pages from top to bottom."""

    name: str
    left: float
    top: float
    bottom: float
    pages: list[Page] = field(default_factory=list)
    at: float = 0.0

    def __post_init__(self) -> None:
        self._turn()

    def add(self, block: Block) -> None:
        """Place a block: whole on this page, else whole on the next, else row by row."""
        gap = mm(block.gap_mm) if self.at > self.top else 0.0
        if self.at + gap + self._least(block) > self.bottom and self.at > self.top:
            self._turn()
        else:
            self.at += gap
        for number, row in enumerate(block.rows):
            if self.at + row.height > self.bottom and self.at > self.top:
                self._turn()
                if number and block.again is not None:
                    self._put(block.again)
            self._put(row)

    def _least(self, block: Block) -> float:
        """How much of a block must fit on this page for it to begin here."""
        if block.breaks:
            return sum(row.height for row in block.rows[: block.breaks])
        page = self.bottom - self.top
        return block.height if block.height <= page else page / 3

    def _put(self, piece: Piece) -> None:
        self.pages[-1].marks += piece.moved(self.left, self.at)
        self.at += piece.height

    def _turn(self) -> None:
        self.pages.append(Page(self.name))
        self.at = self.top


def table(
    heads: Sequence[str],
    rows: Iterable[Piece],
    head_of: Callable[[Sequence[str]], Piece],
    gap_mm: float = 0.0,
    above: Piece | None = None,
) -> Block:
    """A table that may go on over pages: its head, on each, and its rows with a line under each."""
    head = head_of(heads)
    first = head if above is None else stack([above, head])
    return Block((first, *(_underlined(row, head.width) for row in rows)), again=head, gap_mm=gap_mm, breaks=3)


def _underlined(row: Piece, width: float) -> Piece:
    line = rule(width, 0.1, above=0.5, below=0.5)
    return Piece(width, row.height + line.height, (*row.marks, *line.moved(0, row.height)))
