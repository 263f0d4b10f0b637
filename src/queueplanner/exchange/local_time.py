"""Local times on their way in: hours that a clock change skips, or has twice."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo


class LocalTimeError(ValueError):
    """A local time that is no moment, or two. `wanted` says what would be right."""

    def __init__(self, wanted: str) -> None:
        self.wanted = wanted
        super().__init__(wanted)


def local_moment(local: datetime, zone: ZoneInfo) -> datetime:
    """The one moment of a local time without offset.

    Raises LocalTimeError when the clocks skip it, or show it twice: then it must be said which is meant.
    """
    first, second = (local.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    offsets = (first.utcoffset(), second.utcoffset())
    if offsets[0] == offsets[1]:
        return first
    if offsets[0] is None or offsets[1] is None or offsets[0] < offsets[1]:
        raise LocalTimeError(f"the clocks in {zone.key} skip this time; write one outside the skipped hour")
    early, late = (f"{local:%Y-%m-%d %H:%M}{_written(offset)}" for offset in offsets if offset is not None)
    raise LocalTimeError(f"the clocks in {zone.key} show this time twice; write {early} or {late}")


def _written(offset: timedelta) -> str:
    minutes = int(offset.total_seconds() // 60)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"
