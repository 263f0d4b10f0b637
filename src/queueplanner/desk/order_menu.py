"""The menu of the day's named orders: which one is on show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu

from queueplanner.desk.order_actions import OrderActions

if TYPE_CHECKING:
    from queueplanner.desk.board import Board


class OrderMenu:
    """A menu within another, with an entry for each order of the board; without a record it is not shown."""

    def __init__(self, parent: QMenu, actions: OrderActions) -> None:
        self._actions = actions
        self.menu = QMenu(QCoreApplication.translate("commands", "Sho&w order"), parent)
        parent.addMenu(self.menu)
        self._group = QActionGroup(self.menu)
        self._names: tuple[str, ...] | None = None
        self.refresh(None)

    def refresh(self, board: Board | None) -> None:
        """List the orders there are, and tick the one on show."""
        self.menu.menuAction().setVisible(board is not None)
        names = () if board is None else board.orders
        if names != self._names:
            self._names = names
            self._list(names)
        for action in self._group.actions():
            action.setChecked(board is not None and action.data() == board.shown)

    def _list(self, names: tuple[str, ...]) -> None:
        for action in self._group.actions():
            self._group.removeAction(action)
            self.menu.removeAction(action)
            action.deleteLater()
        if not names:
            return
        from queueplanner.desk.board_words import order_name

        for name in names:
            action = QAction(order_name(name).replace("&", "&&"), self.menu)
            action.setCheckable(True)
            action.setData(name)
            action.triggered.connect(lambda _checked, shown=name: self._show(shown))
            self._group.addAction(action)
            self.menu.addAction(action)

    def _show(self, name: str) -> None:
        board = self._actions.board
        if board is not None:
            board.show(name)
