"""The command paper writes a PDF without a window, or says beforehand why it cannot."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from queueplanner import cli
from tests.exchange.job_lists import list_text

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text({"inks": "harbour-blue"}, {"inks": "black"}), encoding="utf-8")
    return path


def run(*words: object, **changed: str) -> subprocess.CompletedProcess[str]:
    """The program without a screen, in a process of its own."""
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    environment |= {"PYTHONPATH": str(ROOT / "src"), "PYTHONIOENCODING": "utf-8", "QUEUEPLANNER_UNCOMPILED": "1"}
    command = [sys.executable, "-m", "queueplanner", *map(str, words)]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env=environment | changed, encoding="utf-8", cwd=ROOT
    )


def test_the_papers_of_a_day_are_written_without_a_screen(jobs: Path, tmp_path: Path) -> None:
    given = ("paper", jobs, "--day", "2026-11-26", "--seconds", "0")
    done = run(*given, "--out", tmp_path / "all.pdf")
    assert (done.returncode, done.stdout) == (cli.DONE, "")
    run(*given, "--out", tmp_path / "part.pdf", "--letter", "--only", "run-sheet", "--only", "pull-list")
    counts = []
    for name, height in (("all.pdf", 842), ("part.pdf", 792)):
        data = (tmp_path / name).read_bytes()
        boxes = re.findall(rb"/MediaBox \[([^\]]+)\]", data)
        assert {round(float(box.split()[3])) for box in boxes} == {height}
        counts.append(len(re.findall(rb"/Type\s*/Page\b", data)))
    assert counts[0] >= 4
    assert counts[1] < counts[0]


def test_the_order_of_a_file_is_put_on_paper(jobs: Path, tmp_path: Path) -> None:
    order = tmp_path / "order.txt"
    order.write_text("2\n1\n", encoding="utf-8")
    done = run("paper", jobs, "--day", "2026-11-26", "--order", order, "--out", tmp_path / "a.pdf", "--only", "cards")
    assert done.returncode == cli.DONE
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--out", "none/a.pdf"), "no such folder"),
        (("--out", "a.pdf", "--only", "everything"), "invalid choice"),
        ((), "--out"),
    ],
    ids=["no folder", "no such part", "no file"],
)
def test_what_cannot_be_done_is_told_before_planning(jobs: Path, words: tuple[str, ...], told: str) -> None:
    done = run("paper", jobs, *words)
    assert (done.returncode, done.stdout) == (cli.BAD_INPUT, "")
    assert told in done.stderr
