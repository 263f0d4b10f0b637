"""How figures are written at the edge: local 24 hour time, hours and minutes, counts and percentages."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from PySide6.QtCore import QCoreApplication, QLocale


def _tr(text: str) -> str:
    return QCoreApplication.translate("figures", text)


def english() -> QLocale:
    """The locale figures are written in until another language is chosen."""
    return QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom)


@dataclass(frozen=True, slots=True)
class Figures:
    """Writes times of one zone and numbers of one locale. All moments are epoch seconds."""

    zone: ZoneInfo
    locale: QLocale = field(default_factory=english)

    def local(self, moment: int) -> datetime:
        """The moment on the shop's clock."""
        return datetime.fromtimestamp(moment, self.zone)

    def clock(self, moment: int) -> str:
        """`07:05`."""
        return f"{self.local(moment):%H:%M}"

    def day_clock(self, moment: int) -> str:
        """`Thu 07:05`."""
        return f"{self.weekday(moment)} {self.clock(moment)}"

    def weekday(self, moment: int) -> str:
        """`Thu`."""
        return self.locale.dayName(self.local(moment).isoweekday(), QLocale.FormatType.ShortFormat)

    def short_day(self, moment: int) -> str:
        """`Thu 26 Nov`."""
        at = self.local(moment)
        month = self.locale.standaloneMonthName(at.month, QLocale.FormatType.ShortFormat)
        return f"{self.weekday(moment)} {at.day} {month}"

    def long_day(self, moment: int) -> str:
        """`Thursday 26 November 2026`."""
        at = self.local(moment)
        weekday = self.locale.dayName(at.isoweekday(), QLocale.FormatType.LongFormat)
        month = self.locale.monthName(at.month, QLocale.FormatType.LongFormat)
        return f"{weekday} {at.day} {month} {at.year}"

    def count(self, number: int) -> str:
        """`1,240`."""
        return self.locale.toString(number)

    def minutes(self, seconds: int) -> str:
        """Minutes with one decimal, `1.5`, for columns headed "min"."""
        return self.locale.toString(seconds / 60, "f", 1)

    def whole_minutes(self, seconds: int) -> str:
        """Minutes rounded half up, `21`."""
        return self.count((seconds + 30) // 60)

    def hours_minutes(self, seconds: int) -> str:
        """`4 h 05 min`, or `25 min` under an hour; rounded half up to the minute."""
        minutes = (abs(seconds) + 30) // 60
        if minutes < 60:
            return _tr("{minutes} min").format(minutes=minutes)
        return _tr("{hours} h {minutes:02} min").format(hours=minutes // 60, minutes=minutes % 60)

    def percent(self, value: float) -> str:
        """`3.1 %`."""
        return f"{self.locale.toString(value, 'f', 1)} %"

    def thickness(self, micrometres: int) -> str:
        """`0.12 mm`."""
        return f"{self.locale.toString(micrometres / 1000, 'f', 2)} mm"
