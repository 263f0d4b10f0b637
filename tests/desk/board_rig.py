"""What the board's tests share: a small invented shop, jobs for it, and boards on records in a folder of their own."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

from queueplanner.desk.board import Board
from queueplanner.desk.board_commands import Command, EditJobs
from queueplanner.desk.board_refusals import Done, Refusal
from queueplanner.planning.evaluate import evaluate
from queueplanner.record.record import Record
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.job import Job
from queueplanner.shop.shop import Shop
from queueplanner.shop.start import PressStart
from tests.record.rig import ToldClock
from tests.small_shop import CLEAN, INKS, SAME, back_of, holding, hours, moment, one, plate, press, stock

#: The day before is a Sunday; the shop works every day.
DAY = date(2026, 3, 2)
SHOP = Shop(inks=INKS, stocks={stock().id: stock()}, formats={}, press=press(), calendar=hours())
USUAL = PressStart(units=(holding("black", "K"), CLEAN), solution=plate("K").material, settings=SAME)
COLOURS = ("black", "red", "blue")


def job(name: str, ink: str = "black", sheets: int = 600, two_sided: bool = False, **more: Any) -> Job:
    """A job of one pass, or of two, printed in one ink."""
    front = one(name, sheets, (ink, f"{name} {ink}"))
    passes = (front, back_of(front, 600)) if two_sided else (front,)
    return Job(id=JobId(name), title=f"Job {name}", passes=passes, **more)


def jobs() -> tuple[Job, ...]:
    """Four jobs, the second of them two-sided: five passes."""
    due = moment(16)
    return (job("A", "red"), job("B", "black", two_sided=True, due=due), job("C", "blue"), job("D", "red", due=due))


def open_record(folder: Path) -> Record:
    """The record of a folder, made if it is not there."""
    return Record.open(folder / "record.sqlite", clock=ToldClock(moment(8, day=-1)), wait_s=1.0)


def open_board(record: Record, **more: Any) -> Board:
    """The board of the small shop's day."""
    return Board.open(record, **({"day": DAY, "shop": SHOP, "usual_start": USUAL} | more))


def board_with_jobs(record: Record) -> Board:
    """A board with the four jobs."""
    board = open_board(record)
    done(board, EditJobs(added=jobs()))
    return board


def done(board: Board, command: Command) -> Done:
    """Do a command that must be possible."""
    answer = board.do(command)
    assert isinstance(answer, Done), answer
    return answer


def refused(board: Board, command: Command) -> Refusal:
    """Give a command that must be refused, and leave everything as it was."""
    before, stored, text = board.state, board.record.last_action(), board.undo_text()
    answer = board.do(command)
    assert isinstance(answer, Refusal), answer
    assert (board.state, board.record.last_action(), board.undo_text()) == (before, stored, text)
    return answer


def p(name: str) -> PassId:
    """A pass's id."""
    return PassId(name)


def everything(board: Board) -> object:
    """All that stands on a board."""
    state = board.state
    return state.day, state.listed, dict(state.orders)


def check_truth(board: Board) -> None:
    """The plan of each order is the evaluator's own; every order holds the day's passes and keeps its rules."""
    for name in board.orders:
        order = board.state.order(name)
        ids = [item.id for item in order.passes]
        assert sorted(ids) == sorted(x.id for j in board.jobs for x in j.passes)
        board.show(name)
        plan = board.plan
        if ids:
            assert plan == evaluate(board.instance, board.order, {x.id: x.units for x in order.passes if x.units})
        else:
            assert plan is None
