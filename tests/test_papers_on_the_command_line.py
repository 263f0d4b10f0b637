"""The commands card, materials and washes print what they promise and refuse what makes no sense."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from queueplanner import cli
from tests.exchange.job_lists import list_text

ROOT = Path(__file__).resolve().parents[1]
SMALL = ({"inks": "harbour-blue"}, {"inks": "black"}, {"inks": "amber"})


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text(*SMALL), encoding="utf-8")
    return path


def run(*words: object) -> subprocess.CompletedProcess[str]:
    """The program with some words, in a process of its own."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT / "src"),
        "PYTHONIOENCODING": "utf-8",
        "QUEUEPLANNER_UNCOMPILED": "1",
    }
    command = [sys.executable, "-m", "queueplanner", *map(str, words)]
    return subprocess.run(
        command, capture_output=True, text=True, check=False, env=environment, encoding="utf-8", cwd=ROOT
    )


def test_the_card_of_a_pass_in_a_given_order_tells_the_ink_before(jobs: Path, tmp_path: Path) -> None:
    order = tmp_path / "order.txt"
    order.write_text("2 black=1\n3 amber=1\n1 harbour-blue=1\n", encoding="utf-8")
    given = ("card", jobs, "--day", "2026-11-26", "--order", order)
    done = run(*given, "--pass", "3")
    assert (done.returncode, done.stderr) == (cli.DONE, "")
    assert "Settings card of pass 3" in done.stdout
    assert "Black → Amber" in done.stdout
    assert "Cautions" in done.stdout
    short = run(*given, "--pass", "3", "--changes")
    assert len(short.stdout) < len(done.stdout)


def test_the_card_of_a_planned_day(jobs: Path) -> None:
    done = run("card", jobs, "--day", "2026-11-26", "--seconds", "0", "--pass", "2")
    assert (done.returncode, done.stderr) == (cli.DONE, "")
    assert "unit 1: Black" in done.stdout or "unit 2: Black" in done.stdout


def test_a_pass_that_is_not_in_the_list_is_refused_before_planning(jobs: Path) -> None:
    done = run("card", jobs, "--day", "2026-11-26", "--pass", "9")
    assert (done.returncode, done.stdout) == (cli.BAD_INPUT, "")
    assert "no pass '9'" in done.stderr


def test_materials_of_a_day(jobs: Path) -> None:
    done = run("materials", jobs, "--day", "2026-11-26", "--seconds", "0")
    assert (done.returncode, done.stderr) == (cli.DONE, "")
    for told in ("Paper from the store", "Harbour blue", "Wash solvent", "Where the figures come from"):
        assert told in done.stdout


def test_washes_of_a_shop_and_of_a_pair(tmp_path: Path) -> None:
    (tmp_path / "press.toml").write_text('[[wash_overrides]]\nold = "black"\nnew = "sand"\nwashes = 4\n')
    table = run("washes", "--shop", tmp_path)
    assert (table.returncode, table.stderr) == (cli.DONE, "")
    assert "o  set by the shop" in table.stdout
    pair = run("washes", "--shop", tmp_path, "--from", "Black", "--to", "sand")
    assert "Black to Sand: 4 washes, set by the shop" in pair.stdout
    assert "reckoned without that: 2 washes" in pair.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [(("--from", "blak", "--to", "sand"), "did you mean black"), (("--to", "sand"), "--from")],
    ids=["no such ink", "one ink alone"],
)
def test_a_pair_that_cannot_be_told_is_refused(words: tuple[str, ...], told: str) -> None:
    done = run("washes", *words)
    assert (done.returncode, done.stdout) == (cli.BAD_INPUT, "")
    assert told in done.stderr


def test_the_window_is_opened_on_a_shops_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    asked: dict[str, object] = {}
    monkeypatch.setattr(cli, "has_display", lambda: True)
    monkeypatch.setattr(cli, "_desk", lambda: lambda **given: asked.update(given) or 0)
    assert cli.main(["--shop", str(tmp_path)]) == cli.DONE
    assert asked == {"shop_folder": tmp_path, "record": None}


def test_the_pull_list_of_a_day(jobs: Path) -> None:
    done = run("materials", jobs, "--day", "2026-11-26", "--seconds", "0", "--pull-list")
    assert (done.returncode, done.stderr) == (cli.DONE, "")
    for told in ("Pull list", "Bond 75", "3/amber", "Dampening additive"):
        assert told in done.stdout
