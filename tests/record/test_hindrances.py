"""Disk full, read-only, locked by another, exchanged underneath: said plainly, nothing half written, usable after."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Barrier

import pytest
from sqlalchemy import event as sql_event

from queueplanner.record import connection
from queueplanner.record.actions import Action
from queueplanner.record.backups import restore
from queueplanner.record.errors import Busy, CannotWrite, Conflict, Hindrance, UnsafeConnection
from queueplanner.record.record import Record
from queueplanner.record.row import NEVER, Row, Table
from tests.record.rig import JOB, OTHER_JOB, ToldClock, as_ordinary_user, event, open_record, set_row

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="permissions and file limits of POSIX systems")


@contextmanager
def no_more_pages(record: Record) -> Iterator[None]:
    """Inside, the record's file cannot grow."""

    def fix(opened: sqlite3.Connection, *_: object) -> None:
        opened.execute("PRAGMA max_page_count = 1")  # SQLite makes of it the pages that there are

    record.database.engine.dispose()
    sql_event.listen(record.database.engine, "connect", fix)
    try:
        yield
    finally:
        sql_event.remove(record.database.engine, "connect", fix)
        record.database.engine.dispose()


def test_a_full_disk_is_said_and_the_record_goes_on_once_there_is_room(record: Record) -> None:
    set_row(record, JOB, {"title": "Menu"})
    large = {"title": "x" * 20_000}
    with no_more_pages(record):
        changes = {JOB: large, OTHER_JOB: large}
        with pytest.raises(CannotWrite) as refused:
            record.act("change", {}, changes, station="desk", expected_versions={JOB: 1, OTHER_JOB: 0})
        with pytest.raises(CannotWrite):
            record.add_events([event(n, note="x" * 5000) for n in range(5)])
        assert (refused.value.reason, refused.value.place) == (Hindrance.DISK_FULL, record.place)
        assert record.get(JOB).body == {"title": "Menu"}
    assert (record.get(OTHER_JOB), record.last_action(), record.events()) == (NEVER, 1, [])
    set_row(record, OTHER_JOB, large)
    assert record.get(OTHER_JOB).body == large


@posix_only
def test_a_file_that_may_not_grow_is_said_and_loses_nothing(tmp_path: Path, record: Record) -> None:
    import resource
    import signal

    set_row(record, JOB, {"title": "Menu"})
    size = (tmp_path / "record.sqlite").stat().st_size
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    usual = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        with pytest.raises(CannotWrite):
            set_row(record, JOB, {"title": "x" * 200_000})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, usual)
    assert record.get(JOB).body == {"title": "Menu"}
    set_row(record, JOB, {"title": "x" * 200_000})
    with open_record(tmp_path) as again:
        assert again.get(JOB).version == 2


@posix_only
def test_a_read_only_folder_opens_to_look_and_refuses_to_write(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    with open_record(folder) as record:
        set_row(record, JOB, {"title": "Menu"})
    (folder / "record.sqlite").chmod(0o444)
    folder.chmod(0o555)
    before = (folder / "record.sqlite").read_bytes()
    try:
        with as_ordinary_user(tmp_path), open_record(folder) as record:
            assert record.get(JOB).body == {"title": "Menu"}
            with pytest.raises(CannotWrite) as refused:
                record.act("change", {}, {JOB: None}, station="desk", expected_versions={JOB: 1})
            assert refused.value.reason is Hindrance.READ_ONLY
    finally:
        folder.chmod(0o755)
    assert (folder / "record.sqlite").read_bytes() == before
    (folder / "record.sqlite").chmod(0o644)
    with open_record(folder) as record:
        set_row(record, JOB, {"title": "Menu again"})


@posix_only
def test_no_record_can_be_made_in_a_read_only_folder(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    folder.chmod(0o555)
    try:
        with as_ordinary_user(tmp_path), pytest.raises(CannotWrite) as refused:
            open_record(folder)
    finally:
        folder.chmod(0o755)
    assert refused.value.reason is Hindrance.NO_ACCESS
    assert list(folder.iterdir()) == []


@posix_only
def test_a_folder_that_loses_its_permission_while_open_refuses_and_recovers(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    with open_record(folder) as record:
        set_row(record, JOB, {"title": "Menu"})
        record.database.engine.dispose()
        (folder / "record.sqlite").chmod(0o644)
        folder.chmod(0o555)
        with as_ordinary_user(tmp_path), pytest.raises(CannotWrite):
            record.act("change", {}, {JOB: None}, station="desk", expected_versions={JOB: 1})
        folder.chmod(0o755)
        record.database.engine.dispose()
        set_row(record, JOB, {"title": "Menu again"})


def test_a_record_held_by_another_is_waited_for_and_then_said(tmp_path: Path, record: Record) -> None:
    set_row(record, JOB, {"title": "Menu"})
    holder = sqlite3.connect(tmp_path / "record.sqlite", isolation_level=None)
    with open_record(tmp_path, wait_s=0.05) as hasty:
        holder.execute("BEGIN EXCLUSIVE")
        with pytest.raises(Busy) as refused:
            hasty.act("change", {}, {JOB: None}, station="desk", expected_versions={JOB: 1})
        with pytest.raises(Busy):
            hasty.get(JOB)
        holder.execute("ROLLBACK")
        holder.close()
        assert refused.value.waited_s == 0.05
        set_row(hasty, JOB, {"title": "Menu again"})


@posix_only
def test_a_record_exchanged_underneath_is_not_written_into_the_void(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        set_row(record, JOB, {"title": "Menu"})
        assert record.backups is not None
        backup = record.backups.make()
        set_row(record, JOB, {"title": "lost with the old file"})
        seen = record.look()
        restore(backup, tmp_path / "record.sqlite", ToldClock())
        assert record.look() != seen
        with pytest.raises(CannotWrite) as refused:
            record.act("change", {}, {JOB: None}, station="desk", expected_versions={JOB: 2})
        assert refused.value.reason is Hindrance.FILE_REPLACED
        assert record.get(JOB).version == 1
        set_row(record, JOB, {"title": "in the new file"})
    with open_record(tmp_path) as record:
        assert record.get(JOB).body == {"title": "in the new file"}


def test_two_open_records_that_write_in_turn_see_each_other(tmp_path: Path, record: Record) -> None:
    with open_record(tmp_path) as other:
        for step in range(10):
            writer = (record, other)[step % 2]
            set_row(writer, JOB, {"step": step}, station=f"station {step % 2}")
            assert record.get(JOB) == other.get(JOB)


@pytest.mark.parametrize(("name", "value", "found"), [("journal_mode", "MEMORY", "memory"), ("synchronous", "OFF", 0)])
def test_a_setting_that_does_not_take_refuses_the_connection(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, value: str, found: object
) -> None:
    open_record(tmp_path).close()
    crooked = tuple((n, value if n == name else v, w) for n, v, w in connection.SETTINGS)
    monkeypatch.setattr(connection, "SETTINGS", crooked)
    with pytest.raises(UnsafeConnection) as refused:
        open_record(tmp_path)
    assert (refused.value.setting, refused.value.found) == (name, found)


def test_every_connection_is_safe(record: Record) -> None:
    with record.database.writing() as one, record.database.engine.connect() as two:
        for opened in (one.connection(), two):
            settings = ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
            read = [opened.exec_driver_sql(f"PRAGMA {name}").scalar() for name in settings]
            assert read == ["truncate", 3, 1, 5000]


def test_a_record_left_in_write_ahead_mode_is_brought_back(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        set_row(record, JOB, {"title": "Menu"})
    with sqlite3.connect(tmp_path / "record.sqlite") as other:
        other.execute("PRAGMA journal_mode = WAL")
    other.close()
    with open_record(tmp_path) as record:
        set_row(record, OTHER_JOB, {})
        assert record.all(Table.JOBS).keys() == {JOB, OTHER_JOB}
    assert (tmp_path / "record.sqlite").read_bytes()[18:20] == b"\x01\x01"


@posix_only
def test_nobody_else_may_read_the_files(tmp_path: Path) -> None:
    with open_record(tmp_path / "shop") as record:
        set_row(record, Row.job("1"), {})
        assert record.backups is not None
        record.backups.make()
    files = [p for p in (tmp_path / "shop").rglob("*") if p.is_file()]
    assert {oct(p.stat().st_mode & 0o777) for p in files} == {"0o600"}
    assert len(files) >= 2
    assert oct((tmp_path / "shop").stat().st_mode & 0o777) == "0o700"


def test_a_folder_in_the_place_of_the_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "record.sqlite").mkdir()
    with pytest.raises(CannotWrite):
        open_record(tmp_path)


def test_of_two_stations_that_change_one_row_at_once_one_is_told(tmp_path: Path, record: Record) -> None:
    set_row(record, JOB, {"by": "nobody"})
    barrier = Barrier(2)

    def change(station: str) -> Action | Conflict:
        with open_record(tmp_path) as own:
            version = own.get(JOB).version
            barrier.wait()
            try:
                return own.act("change", {}, {JOB: {"by": station}}, station=station, expected_versions={JOB: version})
            except Conflict as refused:
                return refused

    for _ in range(5):
        with ThreadPoolExecutor(2) as both:
            ended = list(both.map(change, ["desk", "office"]))
        (done,) = [e for e in ended if isinstance(e, Action)]
        (refused,) = [e for e in ended if isinstance(e, Conflict)]
        clash = refused.clashes[0]
        assert (clash.found, clash.theirs, clash.station) == (done.versions[JOB], {"by": done.station}, done.station)
        assert clash.expected == clash.found - 1
        assert record.get(JOB).body == {"by": done.station}


def test_counts_that_two_stations_raise_by_turns_lose_no_step(tmp_path: Path, record: Record) -> None:
    set_row(record, JOB, {"count": 0})

    def raise_it(station: str) -> None:
        with open_record(tmp_path) as own:
            left = 15
            while left:
                stands = own.get(JOB)
                assert stands.body is not None
                body = {"count": stands.body["count"] + 1}
                with suppress(Conflict):
                    own.act("count", {}, {JOB: body}, station=station, expected_versions={JOB: stands.version})
                    left -= 1

    with ThreadPoolExecutor(2) as both:
        list(both.map(raise_it, ["desk", "office"]))
    assert record.get(JOB).body == {"count": 30}
