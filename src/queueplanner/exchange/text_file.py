"""Text files: read as UTF-8, or with a plain word about what else they are; any file written whole or not at all."""

from __future__ import annotations

import os
import re
import secrets
import stat
from pathlib import Path

from queueplanner.shop.errors import BadInput, Problem

#: A list of jobs or a shop file above this size is taken for something else.
MOST_BYTES = 16 * 2**20

_BOM = b"\xef\xbb\xbf"
_BEGINNINGS = (
    (b"PK\x03\x04", "a packed file, such as a spreadsheet's workbook"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"SQLite format 3\x00", "a database"),
)
_UTF_16_32 = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)
_LINE_END = re.compile(r"\r\n|\r|\n")


def read_text(path: Path, wanted: str = "a text file in UTF-8") -> str:
    """The text of a file, its byte-order mark left out. `wanted` says what ought to have been there.

    Raises BadInput with one problem when it is missing, no ordinary file, empty, too large or not UTF-8.
    """
    data = _read_bytes(path, wanted)
    for beginning, kind in _BEGINNINGS:
        if data.startswith(beginning):
            raise _fault(path, None, kind, f"give {wanted}")
    for mark, codec in _UTF_16_32:
        if data.startswith(mark):
            raise _fault(path, 1, f"text in {codec}", "save the file as UTF-8")
    try:
        text = data.removeprefix(_BOM).decode("utf-8")
    except UnicodeDecodeError as error:
        raise _encoding_fault(path, data, error.start + len(data) - len(data.removeprefix(_BOM))) from None
    if not text.strip():
        raise _fault(path, None, "an empty file", f"give {wanted}")
    return text


def split_lines(text: str) -> list[str]:
    """The lines of a text, ended by CR LF, CR or LF and by nothing else."""
    lines = _LINE_END.split(text)
    return lines[:-1] if lines and lines[-1] == "" else lines


def write_whole(path: Path, text: str) -> None:
    """Write a text file in UTF-8, its line ends as they are, as `write_bytes_whole` does. Raises OSError."""
    write_bytes_whole(path, text.encode("utf-8"))


def write_bytes_whole(path: Path, data: bytes) -> None:
    """Write a file so that at any moment the old file stands whole, or the new one.

    What is no ordinary file (a device, a pipe) is simply written to. Raises OSError; then the old file, if
    there was one, is untouched.
    """
    if path.exists() and not path.is_file():
        path.write_bytes(data)
        return
    target = path.resolve()
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        with temporary.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            temporary.chmod(stat.S_IMODE(target.stat().st_mode))
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system lets a folder be synced."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _read_bytes(path: Path, wanted: str) -> bytes:
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        if path.is_dir():
            raise _fault(path, None, "a folder", f"give {wanted}")
        handle = os.open(path, flags)
    except OSError as error:
        raise _fault(path, None, _trouble(error), f"give {wanted} that can be read") from None
    with os.fdopen(handle, "rb", closefd=True) as file:
        found = os.fstat(file.fileno())
        if not stat.S_ISREG(found.st_mode):
            raise _fault(path, None, "a pipe or device, not a file", f"give {wanted}")
        if found.st_size > MOST_BYTES:
            size = f"a file of {found.st_size / 2**20:.0f} MiB"
            raise _fault(path, None, size, f"give {wanted} of at most {MOST_BYTES // 2**20} MiB")
        try:
            return file.read(MOST_BYTES + 1)
        except OSError as error:
            raise _fault(path, None, _trouble(error), f"give {wanted} that can be read") from None


def _trouble(error: OSError) -> str:
    if isinstance(error, FileNotFoundError):
        return "no such file"
    return (error.strerror or type(error).__name__).lower()


def _encoding_fault(path: Path, data: bytes, at: int) -> BadInput:
    before = data[:at].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    found = f"byte 0x{data[at]:02X} (byte {at + 1} of the file), which is not UTF-8"
    wanted = "save the file as UTF-8"
    if b"\x00" in data:
        wanted += "; its zero bytes look like UTF-16"
    else:
        try:
            wanted += f"; it reads as '{data[at : at + 1].decode('cp1252')}' in Windows-1252"
        except UnicodeDecodeError:
            wanted += "; it is not Windows-1252 either"
    return _fault(path, before.count(b"\n") + 1, found, wanted)


def _fault(path: Path, row: int | None, found: str, wanted: str) -> BadInput:
    return BadInput([Problem(str(path), row, None, found, wanted)])
