"""Asks from what moment on a pass may begin; it blocks nothing."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import QDate, QDateTime, Qt, QTime, Signal
from PySide6.QtWidgets import QDateTimeEdit, QDialog, QDialogButtonBox, QVBoxLayout, QWidget

from queueplanner.desk.labels import make_label
from queueplanner.desk.theme import Theme


class MomentDialog(QDialog):
    """`chosen` carries the moment, aware of its zone, or None when nothing is to bind the pass any more."""

    chosen = Signal(object)

    def __init__(
        self, name: str, moment: datetime, zone: ZoneInfo, bound: bool, theme: Theme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._zone = zone
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(self.tr("Not before"))
        self.setAccessibleName(self.windowTitle())
        local = moment.astimezone(zone)
        self.edit = QDateTimeEdit(QDateTime(QDate(local.year, local.month, local.day), QTime(local.hour, local.minute)))
        self.edit.setDisplayFormat("ddd dd.MM.yyyy  HH:mm")
        self.edit.setCalendarPopup(True)
        self.edit.setMinimumHeight(theme.size(32))
        text = self.tr("The changeover of {name} begins no sooner than").format(name=name)
        self.edit.setAccessibleName(text)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.freely = self.buttons.addButton(self.tr("Whenever its turn comes"), QDialogButtonBox.ButtonRole.ResetRole)
        self.freely.setEnabled(bound)
        self.freely.clicked.connect(lambda: self._choose(None))
        self.buttons.accepted.connect(lambda: self._choose(self.moment))
        self.buttons.rejected.connect(self.close)
        column = QVBoxLayout(self)
        column.setContentsMargins(*(theme.size(18),) * 4)
        column.setSpacing(theme.size(10))
        column.addWidget(make_label(text, wrap=True))
        column.addWidget(self.edit)
        column.addWidget(self.buttons)
        self.resize(theme.size(460), self.sizeHint().height())

    @property
    def moment(self) -> datetime:
        """The moment shown, in the shop's zone."""
        shown = self.edit.dateTime()
        day, clock = shown.date(), shown.time()
        return datetime(day.year(), day.month(), day.day(), clock.hour(), clock.minute(), tzinfo=self._zone)

    def _choose(self, moment: datetime | None) -> None:
        self.chosen.emit(moment)
        self.close()
