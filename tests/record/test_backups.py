"""Backups: made in use, checked, thinned out by hour, day and week, put back with the old file kept aside."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from queueplanner.record import backups as backups_module
from queueplanner.record.backups import Backups, Keep, fault_of, finish_restore, restore
from queueplanner.record.errors import CannotWrite, Damaged, NoBackup
from queueplanner.record.record import Record
from tests.record.rig import JOB, START, ToldClock, event, open_record, set_row


@pytest.fixture
def kept(record: Record) -> Backups:
    assert record.backups is not None
    return record.backups


def test_a_backup_made_in_use_holds_what_stood_then(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu"})
    record.add_events([event(1)])
    with record.database.reading() as open_read:
        open_read.connection()
        backup = kept.make()
    set_row(record, JOB, {"title": "changed after"})
    assert backup.parent == tmp_path / "record-backups"
    with Record.open(backup, clock=ToldClock()) as copy:
        assert (copy.get(JOB).body, copy.id) == ({"title": "Menu"}, record.id)
        assert [e.event for e in copy.events()] == [event(1)]
        assert copy.verify_events() is None


def test_a_backup_put_back_is_the_record_as_it_stood(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu"})
    backup = kept.make()
    set_row(record, JOB, {"title": "changed after"})
    record.close()
    aside = restore(backup, tmp_path / "record.sqlite", ToldClock())
    assert aside == tmp_path / "record-before-20260302T080000Z.sqlite"
    with open_record(tmp_path) as again:
        assert (again.get(JOB).body, again.undo_name("desk")) == ({"title": "Menu"}, "change")
    with Record.open(aside, clock=ToldClock()) as old:
        assert old.get(JOB).body == {"title": "changed after"}


def test_the_file_kept_aside_never_overwrites_another(tmp_path: Path, record: Record, kept: Backups) -> None:
    backup = kept.make()
    record.close()
    asides = [restore(backup, tmp_path / "record.sqlite", ToldClock()) for _ in range(3)]
    assert len(set(asides)) == 3


def test_a_backup_can_be_put_where_no_record_was(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu"})
    assert restore(kept.make(), tmp_path / "new" / "record.sqlite", ToldClock()) is None
    with open_record(tmp_path / "new") as again:
        assert again.get(JOB).body == {"title": "Menu"}


def test_a_journal_of_the_old_record_does_not_reach_the_new_one(tmp_path: Path, record: Record, kept: Backups) -> None:
    backup = kept.make()
    record.close()
    journal = tmp_path / "record.sqlite-journal"
    journal.write_bytes(b"an old journal")
    aside = restore(backup, tmp_path / "record.sqlite", ToldClock())
    assert not journal.exists()
    assert aside is not None
    assert aside.with_name(f"{aside.name}-journal").read_bytes() == b"an old journal"


@pytest.mark.parametrize("broken_off_at", ["copyfile", "replace", "finish_restore"])
def test_a_restore_that_is_broken_off_leaves_the_old_record_or_is_finished_by_opening(
    tmp_path: Path, record: Record, kept: Backups, monkeypatch: pytest.MonkeyPatch, broken_off_at: str
) -> None:
    set_row(record, JOB, {"title": "in the backup"})
    backup = kept.make()
    set_row(record, JOB, {"title": "after it"})
    record.close()

    def break_off(*_: object) -> None:
        raise KeyboardInterrupt

    owner = shutil if broken_off_at == "copyfile" else backups_module
    with monkeypatch.context() as patched:
        patched.setattr(owner, broken_off_at, break_off)
        with pytest.raises(KeyboardInterrupt):
            restore(backup, tmp_path / "record.sqlite", ToldClock())
    with open_record(tmp_path) as again:
        finished = broken_off_at == "finish_restore"
        assert again.get(JOB).body == {"title": "in the backup" if finished else "after it"}
    finish_restore(tmp_path / "record.sqlite")
    with open_record(tmp_path) as again:
        assert again.get(JOB).version == (1 if finished else 2)


def test_a_damaged_backup_is_not_put_back(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu for the harbour feast"})
    backup = kept.make()
    swap_twice(backup)
    before = (tmp_path / "record.sqlite").read_bytes()
    with pytest.raises(NoBackup) as refused:
        restore(backup, tmp_path / "record.sqlite", ToldClock())
    assert refused.value.what == "jobs 1047: its content does not fit its checksum"
    assert (tmp_path / "record.sqlite").read_bytes() == before


def test_a_backup_that_is_not_there_is_not_put_back(tmp_path: Path) -> None:
    with pytest.raises(NoBackup):
        restore(tmp_path / "none.sqlite", tmp_path / "record.sqlite", ToldClock())
    (tmp_path / "none.sqlite").touch()
    with pytest.raises(NoBackup):
        restore(tmp_path / "none.sqlite", tmp_path / "record.sqlite", ToldClock())


def test_a_damaged_record_is_told_with_its_newest_good_backup(tmp_path: Path, clock: ToldClock) -> None:
    with open_record(tmp_path, clock) as record:
        assert record.backups is not None
        set_row(record, JOB, {"title": "Menu for the harbour feast"})
        backups = []
        for _ in range(3):
            backups.append(record.backups.make())
            clock.go_on(hours=1)
    backups[2].write_bytes(backups[2].read_bytes()[:5000])
    swap_twice(tmp_path / "record.sqlite")
    damaged = (tmp_path / "record.sqlite").read_bytes()
    with pytest.raises(Damaged) as refused:
        open_record(tmp_path)
    assert refused.value.newest_good_backup == backups[1]
    assert (tmp_path / "record.sqlite").read_bytes() == damaged
    restore(backups[1], tmp_path / "record.sqlite", clock)
    with open_record(tmp_path) as record:
        assert record.get(JOB).body == {"title": "Menu for the harbour feast"}


def test_a_record_found_damaged_while_open_offers_a_backup_too(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu for the harbour feast"})
    backup = kept.make()
    record.database.close()
    swap_twice(tmp_path / "record.sqlite")
    with pytest.raises(Damaged) as refused:
        record.get(JOB)
    assert (refused.value.what, refused.value.newest_good_backup) == (
        "jobs 1047: its content does not fit its checksum", backup,
    )  # fmt: skip


def test_a_damaged_record_makes_no_backup_and_removes_none(tmp_path: Path, record: Record, kept: Backups) -> None:
    set_row(record, JOB, {"title": "Menu for the harbour feast"})
    kept.keep = Keep(1, 0, 0)
    good = kept.make()
    record.database.close()
    swap_twice(tmp_path / "record.sqlite")
    with pytest.raises(Damaged) as refused:
        kept.make()
    assert refused.value.newest_good_backup == good
    assert [p.name for p in kept.folder.iterdir()] == [good.name]


def test_backups_are_thinned_out_by_hour_day_and_week(record: Record, clock: ToldClock, tmp_path: Path) -> None:
    kept = Backups(tmp_path / "record.sqlite", tmp_path / "b", clock, Keep(hourly=3, daily=3, weekly=3))
    moments = [START + timedelta(minutes=30 * n) for n in range(6)]  # Monday 8:00 to 10:30
    moments += [datetime(2026, 3, day, hour, tzinfo=UTC) for day in (3, 4, 10, 17, 24) for hour in (9, 17)]
    for moment in moments:
        clock.now = moment
        kept.make()
    shown = [f"{b.moment:%d %H:%M}" for b in kept.all()]
    assert shown == ["24 17:00", "24 09:00", "17 17:00", "10 17:00"]


def test_a_clock_that_jumps_ahead_costs_no_backup_its_place(record: Record, clock: ToldClock, tmp_path: Path) -> None:
    kept = Backups(tmp_path / "record.sqlite", tmp_path / "b", clock, Keep(hourly=4, daily=0, weekly=0))
    first = kept.make()
    clock.go_on(days=3650)
    kept.make()
    clock.now = START + timedelta(hours=1)
    newest = kept.make()
    assert kept.newest_good() == newest
    assert kept.all()[-1].path == first


def test_a_backup_is_made_when_the_last_is_an_hour_old(record: Record, kept: Backups, clock: ToldClock) -> None:
    assert kept.make_if_due() is not None
    clock.go_on(minutes=59)
    assert kept.make_if_due() is None
    clock.go_on(minutes=1)
    assert kept.make_if_due() is not None
    clock.go_on(days=-1)
    assert kept.make_if_due() is not None


def test_strange_files_among_the_backups_are_left_alone(record: Record, kept: Backups) -> None:
    kept.make()
    strangers = [
        kept.folder / name for name in ("notes.txt", "backup-1.sqlite", "backup-000001-20261399T000000Z.sqlite")
    ]
    for stranger in strangers:
        stranger.write_text("mine", encoding="utf-8")
    kept.keep = Keep(0, 0, 0)
    newest = kept.make()
    assert [b.path for b in kept.all()] == [newest]
    assert all(s.exists() for s in strangers)


def test_a_backup_whose_place_cannot_be_written_is_said(record: Record, tmp_path: Path, clock: ToldClock) -> None:
    (tmp_path / "b").write_text("a file where the folder should be", encoding="utf-8")
    with pytest.raises(CannotWrite):
        Backups(tmp_path / "record.sqlite", tmp_path / "b", clock).make()


def test_another_programs_database_is_no_backup(tmp_path: Path) -> None:
    import sqlite3

    with sqlite3.connect(tmp_path / "other.sqlite") as other:
        other.execute("create table recipes (name text)")
    other.close()
    assert fault_of(tmp_path / "other.sqlite") == "not a record, or one of a newer schema"


def swap_twice(path: Path) -> None:
    """Flip one letter in the job's body, wherever a copy of it stands in the file except in the action's changes."""
    content = path.read_bytes()
    assert b'{"title":"Menu for the harbour feast"}' in content
    body = b'1047{"title":"Menu for the harbour feast"}'
    assert content.count(body) == 1
    path.write_bytes(content.replace(body, body.replace(b"feast", b"beast")))
