"""Plan and score write a calendar and a table, whole, or say beforehand why they cannot."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from queueplanner import cli
from tests.exchange.calendar_reader import events
from tests.exchange.job_lists import list_text

WEDNESDAY_EVENING = datetime(2026, 11, 25, 20, 0, tzinfo=UTC)
SMALL = ({"inks": "harbour-blue"}, {"inks": "black", "due": "20:00"})


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text(*SMALL), encoding="utf-8")
    return path


def run(*words: object) -> int:
    return cli.main([str(word) for word in words], now=lambda: WEDNESDAY_EVENING)


def test_plan_and_score_write_the_same_calendar_and_table(jobs: Path, tmp_path: Path) -> None:
    order = tmp_path / "order.txt"
    planned = ("--ics", tmp_path / "a.ics", "--csv", tmp_path / "a.csv", "--save-order", order)
    assert run("plan", jobs, "--seconds", "0", *planned) == cli.DONE
    assert run("score", jobs, "--order", order, "--ics", tmp_path / "b.ics", "--csv", tmp_path / "b.csv") == cli.DONE
    for kind in ("ics", "csv"):
        first, second = ((tmp_path / f"{name}.{kind}").read_bytes() for name in "ab")
        assert first == second
        assert b"\r\n" in first
        assert b"\r\r" not in first
    read = events((tmp_path / "a.ics").read_bytes().decode())
    assert {e["DTSTAMP"] for e in read} == {"20261125T200000Z"}
    assert sorted(e["CATEGORIES"] for e in read)[:4] == ["Changeover", "Changeover", "Evening wash", "Run"]


@pytest.mark.parametrize("option", ["--ics", "--csv"])
def test_a_file_that_cannot_be_written_is_told_before_planning(
    jobs: Path, tmp_path: Path, option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("plan", jobs, option, tmp_path / "none" / "file") == cli.BAD_INPUT
    told = capsys.readouterr()
    assert told.out == ""
    assert "no such folder" in told.err
