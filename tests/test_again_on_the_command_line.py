"""A day that does not go by plan, in the terminal: fixed places, the rest planned anew, what would help, and why."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from queueplanner import cli
from tests.exchange.job_lists import list_text

WEDNESDAY_EVENING = datetime(2026, 11, 25, 20, 0, tzinfo=UTC)
ROWS = (
    {"job": "1", "inks": "harbour-blue"},
    {"job": "2", "inks": "black"},
    {"job": "3", "inks": "harbour-blue"},
    {"job": "4", "inks": "black"},
)


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text(*ROWS), encoding="utf-8")
    return path


def run(*words: object) -> int:
    return cli.main([str(word) for word in words], now=lambda: WEDNESDAY_EVENING)


def order_in(path: Path) -> list[str]:
    return [line.split()[0] for line in path.read_text(encoding="utf-8").splitlines()]


def planned(jobs: Path, tmp_path: Path, *rules: object) -> list[str]:
    saved = tmp_path / "order.txt"
    assert run("plan", jobs, "--seconds", "0.1", "--save-order", saved, *rules) == cli.DONE
    return order_in(saved)


def test_what_is_fixed_of_an_order_is_kept(jobs: Path, tmp_path: Path) -> None:
    assert planned(jobs, tmp_path, "--pin", "4=1", "--pin", "1=2")[:2] == ["4", "1"]
    together = planned(jobs, tmp_path, "--together", "1,2")
    assert abs(together.index("1") - together.index("2")) == 1
    in_turn = planned(jobs, tmp_path, "--in-turn", "4,3,2")
    assert in_turn.index("4") < in_turn.index("3") < in_turn.index("2")
    out = tmp_path / "plan.json"
    planned(jobs, tmp_path, "--not-before", "3=16:00", "--out", out)
    starts = {p["id"]: p["makeready_start"] for p in json.loads(out.read_text(encoding="utf-8"))["passes"]}
    assert starts["3"] == "2026-11-26T16:00:00+01:00"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--pin", "9=1"], "--pin: found no pass '9' in the job list"),
        (["--pin", "1=9"], "--pin: found place '9'; write a place from 1 to 4"),
        (["--pin", "1"], "--pin: found '1'; write the pass, an equals sign and the value"),
        (["--pin", "1=2", "--pin", "2=2"], "--pin: found place 2 twice"),
        (["--together", "1"], "--together: found '1'; write two passes or more"),
        (["--in-turn", "1,1"], "--in-turn: found '1,1'; write two passes or more"),
        (["--not-before", "1=noon"], "--not-before: found 'noon'; write a time of the plan's day as HH:MM"),
    ],
)
def test_a_rule_that_cannot_be_read_is_told(
    jobs: Path, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("plan", jobs, "--seconds", "0", *words) == cli.BAD_INPUT
    assert told in capsys.readouterr().err


def test_rules_that_contradict_each_other_are_named(jobs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", jobs, "--in-turn", "1,2", "--in-turn", "2,1", "--pin", "4=1") == cli.NO_PLAN
    told = capsys.readouterr().err
    assert "2 comes after 1; 1 comes after 2" in told
    assert "4" not in told.split("(")[1].split(")")[0]


def test_the_rest_of_a_day_is_planned_from_the_press_as_it_is(
    jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    known = planned(jobs, tmp_path)
    out, saved = tmp_path / "rest.json", tmp_path / "rest.txt"
    words = ["--order", tmp_path / "order.txt", "--now", "08:00", "--seconds", "0.1"]
    told = ["--done", f"{known[0]}=07:30", "--on-press", f"{known[1]}=12", "--makeready-left", "5"]
    assert run("replan", jobs, *words, *told, "--down-until", "8:30", "--out", out, "--save-order", saved) == cli.DONE
    plan = json.loads(out.read_text(encoding="utf-8"))
    first = plan["passes"][0]
    assert first["id"] == known[1]
    assert first["started"]
    assert first["makeready_seconds"] == 300
    assert first["makeready_start"].endswith("T08:30:00+01:00")
    assert first["run_end"].endswith("T08:47:00+01:00")
    assert sorted(order_in(saved)) == sorted(known[1:])
    assert "The known order holds: nothing moved." in capsys.readouterr().out


def test_a_rush_job_comes_into_the_known_order(jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    planned(jobs, tmp_path)
    rush, saved = tmp_path / "rush.csv", tmp_path / "rest.txt"
    rush.write_text(list_text({"job": "9", "inks": "black", "due": "07:25"}), encoding="utf-8")
    words = ["--order", tmp_path / "order.txt", "--now", "06:30", "--rush", rush, "--save-order", saved]
    assert run("replan", jobs, *words, "--seconds", "0.2") == cli.DONE
    assert sorted(order_in(saved)) == ["1", "2", "3", "4", "9"]
    assert order_in(saved)[-1] != "9"
    capsys.readouterr()
    rush.write_text(list_text({"job": "1", "inks": "black"}), encoding="utf-8")
    assert run("replan", jobs, *words) == cli.BAD_INPUT
    assert "--rush: found job 1; it is in the job list already" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--now", "05:00"], "before the plan begins"),
        (["--now", "later"], "--now: found 'later'"),
        (["--now", "08:00", "--down-until", "07:00"], "write a moment after --now"),
        (["--now", "08:00", "--done", "1", "--on-press", "1"], "1 twice"),
        (["--now", "08:00", "--on-press", "1=x"], "--on-press: found 'x'; write minutes from 0"),
        (["--now", "08:00", "--done", "7"], "--done: found no pass '7'"),
    ],
)
def test_what_cannot_be_about_the_day_is_told(
    jobs: Path, tmp_path: Path, words: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    planned(jobs, tmp_path)
    assert run("replan", jobs, "--order", tmp_path / "order.txt", *words) == cli.BAD_INPUT
    assert told in capsys.readouterr().err


def test_relief_tells_who_is_late_and_what_would_help(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "late.csv"
    path.write_text(list_text(*({**row, "due": "07:10"} for row in ROWS[:2])), encoding="utf-8")
    assert run("relief", path, "--seconds", "0.2") == cli.DONE
    told = capsys.readouterr().out
    assert re.search(r"Late\n  \d by ", told)
    assert re.search(r"job \d due a day later: .*less lateness", told)
    assert "Enough, as far as was found: job " in told
    path.write_text(list_text(*ROWS), encoding="utf-8")
    assert run("relief", path, "--seconds", "0.1") == cli.DONE
    assert capsys.readouterr().out == "Nothing is late.\n"


def test_why_tells_what_a_place_is_worth(jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order = planned(jobs, tmp_path)
    capsys.readouterr()
    assert run("why", jobs, "--order", tmp_path / "order.txt", "--pass", order[1]) == cli.DONE
    told = capsys.readouterr().out
    assert told.startswith(f"{order[1]} stands behind {order[0]}, place 2 of 4.")
    assert "Its best other place is" in told
    assert f"Were it and {order[0]} to change places:" in told
    assert f"Were it and {order[2]} to change places:" in told
    assert run("why", jobs, "--order", tmp_path / "order.txt", "--seconds", "0.1") == cli.DONE
    assert "No due time was found to cost anything" in capsys.readouterr().out


def test_two_presses_share_the_jobs(jobs: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    second, out = tmp_path / "second.toml", tmp_path / "two.json"
    second.write_text('name = "Single-unit press"\nunits = 1\n', encoding="utf-8")
    assert run("plan", jobs, "--seconds", "0.3", "--second-press", second, "--out", out) == cli.DONE
    both = json.loads(out.read_text(encoding="utf-8"))["presses"]
    assert [plan["press"] for plan in both][1] == "Single-unit press"
    assert sorted(p["id"] for plan in both for p in plan["passes"]) == ["1", "2", "3", "4"]
    assert "Single-unit press" in capsys.readouterr().out
    assert run("plan", jobs, "--second-press", second, "--pin", "1=1") == cli.BAD_INPUT
    assert "--pin: found with a second press; it is for one press" in capsys.readouterr().err
