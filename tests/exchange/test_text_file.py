"""Files that are not what they ought to be are named for what they are; files are written whole or not at all."""

from __future__ import annotations

import io
import os
import stat
import sys
from pathlib import Path

import pytest

from queueplanner.exchange import text_file
from queueplanner.exchange.text_file import read_text, split_lines, write_whole
from queueplanner.shop.errors import BadInput, Problem


def problem_of(path: Path) -> Problem:
    with pytest.raises(BadInput) as caught:
        read_text(path, "a CSV file in UTF-8")
    assert len(caught.value.problems) == 1
    return caught.value.problems[0]


def problem_of_bytes(folder: Path, data: bytes) -> Problem:
    path = folder / "list.csv"
    path.write_bytes(data)
    return problem_of(path)


def test_byte_order_mark_is_no_part_of_the_text(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"\xef\xbb\xbfjob;due\n")
    assert read_text(tmp_path / "a") == "job;due\n"


def test_latin_1_is_named_with_line_byte_and_letter(tmp_path: Path) -> None:
    found = problem_of_bytes(tmp_path, "job;title\r\n1;Café\r\n".encode("latin-1"))
    assert (found.row, found.column) == (2, None)
    assert "0xE9" in found.found
    assert "byte 17 of the file" in found.found
    assert "save the file as UTF-8" in found.wanted
    assert "'é' in Windows-1252" in found.wanted


def test_a_byte_that_is_no_letter_anywhere_is_named_too(tmp_path: Path) -> None:
    found = problem_of_bytes(tmp_path, b"job\n1\x81\n")
    assert found.row == 2
    assert "not Windows-1252 either" in found.wanted


@pytest.mark.parametrize("codec", ["utf-16", "utf-32"])
def test_wide_unicode_is_named(tmp_path: Path, codec: str) -> None:
    assert codec.upper() in problem_of_bytes(tmp_path, "job;due\n".encode(codec)).found


def test_utf_16_without_mark_is_suspected(tmp_path: Path) -> None:
    assert "UTF-16" in problem_of_bytes(tmp_path, "jöb".encode("utf-16-le") + b"\xff").wanted


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (b"\x89PNG\r\n\x1a\n", "PNG picture"),
        (b"PK\x03\x04rest", "workbook"),
        (b"%PDF-1.7", "PDF"),
        (b"\xff\xd8\xff\xe0", "JPEG"),
        (b"", "an empty file"),
        (b" \r\n\r\n", "an empty file"),
    ],
)
def test_other_files_are_called_what_they_are(tmp_path: Path, data: bytes, kind: str) -> None:
    assert kind in problem_of_bytes(tmp_path, data).found


def test_folder_missing_file_and_link_loop_are_told_apart(tmp_path: Path) -> None:
    assert problem_of(tmp_path).found == "a folder"
    assert problem_of(tmp_path / "nothing.csv").found == "no such file"
    loop = tmp_path / "loop"
    try:
        loop.symlink_to(loop)
    except OSError:
        return
    assert "link" in problem_of(loop).found


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no named pipes")
def test_a_pipe_is_refused_without_waiting_for_a_writer(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "pipe" in problem_of(tmp_path / "pipe").found


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_file, "MOST_BYTES", 2**20)
    found = problem_of_bytes(tmp_path, b"x" * (2**20 + 1))
    assert "1 MiB" in found.found
    assert "at most 1 MiB" in found.wanted


def test_an_error_while_reading_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "list.csv"
    path.write_text("job\n")

    class Broken(io.BytesIO):
        def fileno(self) -> int:
            return handle

        def read(self, size: int | None = -1) -> bytes:
            raise OSError(5, "Input/output error")

    handle = os.open(path, os.O_RDONLY)
    monkeypatch.setattr(text_file.os, "fdopen", lambda *_, **__: Broken())
    with pytest.raises(BadInput) as caught:
        read_text(path)
    os.close(handle)
    assert "input/output error" in caught.value.problems[0].found


def test_lines_end_only_where_lines_end() -> None:
    assert split_lines("a\r\nb\rc\nd\x0be\u2028f\n") == ["a", "b", "c", "d\x0be\u2028f"]


def test_writing_replaces_the_whole_file_and_keeps_its_rights(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    path.write_text("old and much longer than the new")
    path.chmod(0o640)
    write_whole(path, "new\n")
    assert path.read_bytes() == b"new\n"
    if sys.platform != "win32":
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_when_writing_fails_the_old_file_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str) -> None:
    path = tmp_path / "plan.json"
    path.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    if failing == "fsync":
        monkeypatch.setattr(text_file.os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, "new")
    monkeypatch.undo()
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_writing_through_a_link_keeps_the_link(tmp_path: Path) -> None:
    target = tmp_path / "real.json"
    target.write_text("old")
    link = tmp_path / "link.json"
    try:
        link.symlink_to(target)
    except OSError:
        pytest.skip("the system makes no links")
    write_whole(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"
