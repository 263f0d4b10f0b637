"""Opening the record as the program starts: the board where one left off, the demo day in a record that is new."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from queueplanner.desk.board import Board
from queueplanner.desk.board_commands import PutDemo
from queueplanner.desk.board_refusals import Done, Refusal
from queueplanner.exchange.figure_sources import FigureSource, figure_sources
from queueplanner.exchange.profile_files import shop_material_figures
from queueplanner.exchange.shop_files import load_shop
from queueplanner.exchange.start_file import load_start
from queueplanner.record.backups import restore
from queueplanner.record.errors import RecordError
from queueplanner.record.places import default_place, place_of
from queueplanner.record.record import Record
from queueplanner.shop.material_figures import MaterialFigures

Now = Callable[[], datetime]


@dataclass(frozen=True, slots=True)
class Opened:
    """An open record, the board on the desk, and what materials are reckoned with."""

    record: Record
    board: Board
    figures: MaterialFigures
    sources: tuple[FigureSource, ...]


def open_desk(
    where: Path | str | None, now: Now, *, folder: Path | None = None, demo: bool = True, backup: Path | None = None
) -> Opened:
    """Open the record at a path or address, else at the user's own place, and the board where one left off.

    `folder` holds the shop's own files, which then stand before the record's shop. With `demo`, a record in which
    nothing was ever done begins with the demo day; a `backup` is put in its place first. Raises RecordError, BadInput,
    ValueError for an address that cannot be read.
    """
    shop = None if folder is None else load_shop(folder)
    own_start = None if folder is None else folder / "start.toml"
    start = load_start(own_start, shop) if shop and own_start is not None and own_start.exists() else None
    if backup is not None:
        place = default_place() if where is None else place_of(where)
        assert place.path is not None, "only a file has backups"
        restore(backup, place.path, now)
    record = Record.open(where, clock=now)
    try:
        if record.backups is not None:
            with suppress(RecordError):
                record.backups.make_if_due()
        board = Board.open(record, shop=shop, usual_start=start)
        if demo and folder is None and record.last_action() == 0:
            put_demo(board)
        figures = shop_material_figures(folder)
        # Reckoned here, in the thread of the work, so that the window has not to wait for it.
        for name in board.orders:
            board.plan_of(name)
        return Opened(record, board, figures, figure_sources(board.shop.press, figures, folder))
    except BaseException:
        record.close()
        raise


def put_demo(board: Board) -> Done | Refusal:
    """Put the demo day on the desk: the one that is in the record, else a new one on the first day that is free."""
    from queueplanner.exchange.demo import DEMO_DAY, demo_jobs
    from queueplanner.exchange.job_csv import read_jobs

    day = _free_day(board, DEMO_DAY)
    shop = load_shop(None)
    return board.do(PutDemo(day, tuple(read_jobs(demo_jobs(), shop, day)), shop))


def _free_day(board: Board, day: date) -> date:
    while not board.takes_demo(day):
        day += timedelta(days=7)
    return day
