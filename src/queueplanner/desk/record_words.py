"""What to do when the record cannot be opened or written, as sentences."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

from queueplanner.record.errors import (
    Busy,
    CannotWrite,
    Conflict,
    Damaged,
    Hindrance,
    NewerRecord,
    NotARecord,
    NotUpgraded,
    UnsafeConnection,
)


def _tr(text: str) -> str:
    return QCoreApplication.translate("record", text)


def record_text(error: Exception) -> str:
    """What has happened to the record and what to do; empty for an error that is not one of the record."""
    if isinstance(error, Damaged):
        return _damaged(error)
    if isinstance(error, NewerRecord):
        return _tr(
            "{place} was written by version {program} of this program, which is newer. Install that version or a later "
            "one, and open it again. Nothing in it was changed."
        ).format(place=error.place, program=error.program)
    if isinstance(error, NotARecord):
        return _tr(
            "{place} is a file of another program. Choose another place with --record. It was left as it is."
        ).format(place=error.place)
    if isinstance(error, NotUpgraded):
        return _tr(
            "{place} comes from an older version and could not be brought up to date: {detail}. It is as it was; the "
            "version that wrote it can still open it."
        ).format(place=error.place, detail=error.detail)
    return _hindered(error)


def _damaged(error: Damaged) -> str:
    found = _tr("{place} is damaged: {what}.").format(place=error.place, what=error.what)
    if error.newest_good_backup is None:
        next_step = _tr(
            "There is no backup that is whole. Keep a copy of the file, put it aside, and open again to begin anew."
        )
    else:
        next_step = _tr(
            "The newest backup that is whole is {backup}. Put it in place of the damaged file, which is kept beside it."
        ).format(backup=error.newest_good_backup)
    return f"{found} {next_step}"


def _hindered(error: Exception) -> str:
    if isinstance(error, Busy):
        return _tr("{place} is in use by another program. Close that, and try again.").format(place=error.place)
    if isinstance(error, CannotWrite):
        return _tr("{place} cannot be written. {advice} ({detail})").format(
            place=error.place, advice=_advice(error.reason), detail=error.detail
        )
    if isinstance(error, UnsafeConnection):
        return _tr(
            "{place} does not keep what is written safe ({setting} is {found}). Put the record on another disk."
        ).format(place=error.place, setting=error.setting, found=error.found)
    if isinstance(error, Conflict):
        return _tr("Somebody else has changed it meanwhile. It is shown as it stands now.")
    return ""


def _advice(reason: Hindrance) -> str:
    return {
        Hindrance.DISK_FULL: _tr("The disk is full: make room on it, and try again."),
        Hindrance.READ_ONLY: _tr("The place is read only: allow writing there, or choose another with --record."),
        Hindrance.NO_ACCESS: _tr("You may not write there: ask for the right, or choose another place with --record."),
        Hindrance.WRITE_ERROR: _tr("The disk reports an error: copy the file to another disk, and open it there."),
        Hindrance.FILE_REPLACED: _tr("The file was replaced while it was in use: open it again."),
        Hindrance.SERVER_AWAY: _tr("The database server does not answer: see that it runs, and try again."),
    }[reason]
