"""What the Edit menu does with the selected pass of the order on show."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from queueplanner.desk.commands import Act
from queueplanner.desk.day_model import DayModel
from queueplanner.desk.day_work import DayWork
from queueplanner.desk.theme import Theme

if TYPE_CHECKING:
    from queueplanner.desk.board import Board
    from queueplanner.desk.moment_dialog import MomentDialog
    from queueplanner.planning.instance import UnitChoice
    from queueplanner.shop.base import PassId

#: What needs a selected pass, in the order of the context menu.
OF_A_PASS = (Act.MOVE_UP, Act.MOVE_DOWN, Act.PIN, Act.TOGETHER, Act.NOT_BEFORE, Act.TOMORROW)
#: What needs a record.
OF_THE_RECORD = (Act.UNDO, Act.REDO, Act.OWN_DAY, Act.NEXT_DAY, Act.DAY_BEFORE, *OF_A_PASS)


class OrderActions:
    """Gives commands to the board for the pass that is selected, and shows in the menu what can be given."""

    def __init__(self, work: DayWork, model: DayModel, parent: QWidget, theme: Callable[[], Theme]) -> None:
        self._work, self._model, self._parent, self._theme = work, model, parent, theme
        self.dialog: MomentDialog | None = None

    def handlers(self) -> dict[Act, Callable[[], object]]:
        """What each of the commands does."""
        return {
            Act.UNDO: self.undo,
            Act.REDO: self.redo,
            Act.MOVE_UP: lambda: self.move(-1),
            Act.MOVE_DOWN: lambda: self.move(1),
            Act.PIN: self.pin,
            Act.TOGETHER: self.keep_together,
            Act.NOT_BEFORE: self.ask_not_before,
            Act.TOMORROW: self.to_tomorrow,
            Act.NEXT_DAY: lambda: self.go(1),
            Act.DAY_BEFORE: lambda: self.go(-1),
        }

    @property
    def board(self) -> Board | None:
        """The board on the desk."""
        return None if self._work.desk is None else self._work.desk.board

    @property
    def selected(self) -> PassId | None:
        """The selected pass, if it is one of the order on show."""
        board, pick = self.board, self._model.pick
        if board is None or pick is None or pick.pass_id not in board.order:
            return None
        return pick.pass_id

    def undo(self) -> None:
        """Take the last action back."""
        if self._work.desk is not None:
            self._work.desk.undo()

    def redo(self) -> None:
        """Bring back what was taken back last."""
        if self._work.desk is not None:
            self._work.desk.redo()

    def drop(self, pass_id: PassId, place: int, units: UnitChoice | None) -> None:
        """Move a pass carried on the timeline to where it fell, in the units its figures were reckoned with."""
        from queueplanner.desk.board_commands import MovePass

        self._work.do(MovePass(pass_id, place, units))

    def move(self, by: int) -> None:
        """Move the selected pass to the nearest place before or behind it that it may take."""
        from queueplanner.desk.board_commands import MovePass
        from queueplanner.desk.board_orders import next_place

        board, selected = self.board, self.selected
        if board is not None and selected is not None:
            place = next_place(board.order, selected, by, board.rules, board.state.passes)
            self._work.do(MovePass(selected, place))

    def pin(self) -> None:
        """Pin the selected pass to its place, or let it go."""
        from queueplanner.desk.board_commands import Pin, Unpin

        board, selected = self.board, self.selected
        if board is not None and selected is not None:
            self._work.do(Unpin(selected) if selected in board.rules.places else Pin(selected))

    def keep_together(self) -> None:
        """Keep the selected pass with the next one, or part them."""
        from queueplanner.desk.board_commands import KeepTogether, PartPasses

        selected, following = self.selected, self._following()
        if selected is not None and following is not None:
            pair = (selected, following)
            self._work.do(PartPasses(pair) if self._are_together(pair) else KeepTogether(pair))

    def to_tomorrow(self) -> None:
        """Move the selected pass's job to the next working day."""
        from queueplanner.desk.board_commands import ToTomorrow

        board, selected = self.board, self.selected
        if board is not None and selected is not None:
            self._work.do(ToTomorrow(board.instance.job_of[selected].id))

    def ask_not_before(self) -> None:
        """Ask from what moment on the selected pass may begin."""
        from queueplanner.desk.board_commands import NotBefore
        from queueplanner.desk.moment_dialog import MomentDialog

        board, selected = self.board, self.selected
        if board is None or selected is None:
            return
        bound = board.rules.not_before.get(selected)
        plan = board.plan
        begins = 0 if plan is None else next(p.makeready_start for p in plan.passes if p.id == selected)
        moment = datetime.fromtimestamp(begins if bound is None else bound, UTC)
        zone = board.shop.calendar.zone
        self.dialog = MomentDialog(selected, moment, zone, bound is not None, self._theme(), self._parent)
        self.dialog.chosen.connect(lambda chosen: self._work.do(NotBefore(selected, chosen)))
        self.dialog.destroyed.connect(self._dialog_gone)
        self.dialog.show()

    def go(self, by: int) -> None:
        """Put the next working day, or the one before, on the desk."""
        board = self.board
        if board is not None:
            board.go_to(board.next_day if by > 0 else board.day_before)

    def refresh(self, actions: dict[Act, QAction]) -> None:
        """Name what undo and redo would do; give only what can be given; tick what holds."""
        board, selected = self.board, self.selected
        for act in OF_THE_RECORD:
            actions[act].setEnabled(board is not None and actions[act].isEnabled())
        for act in OF_A_PASS:
            actions[act].setEnabled(selected is not None and actions[act].isEnabled())
        if board is None:
            return
        self._name(actions[Act.UNDO], board.undo_text())
        self._name(actions[Act.REDO], board.redo_text())
        following = self._following()
        actions[Act.PIN].setChecked(selected in board.rules.places)
        together = selected is not None and following is not None and self._are_together((selected, following))
        actions[Act.TOGETHER].setChecked(together)
        actions[Act.TOGETHER].setEnabled(following is not None and actions[Act.TOGETHER].isEnabled())

    def _name(self, action: QAction, text: str) -> None:
        from queueplanner.desk.board_words import menu_text
        from queueplanner.desk.commands import Command

        command = action.data()
        assert isinstance(command, Command)
        action.setText(menu_text(text) if text else command.text)
        action.setEnabled(bool(text) and self._model.state in command.when)

    def _following(self) -> PassId | None:
        board, selected = self.board, self.selected
        if board is None or selected is None:
            return None
        at = board.order.index(selected) + 1
        return board.order[at] if at < len(board.order) else None

    def _are_together(self, pair: tuple[PassId, PassId]) -> bool:
        board = self.board
        return board is not None and any({*pair} <= group for group in board.rules.together)

    def _dialog_gone(self) -> None:
        self.dialog = None
