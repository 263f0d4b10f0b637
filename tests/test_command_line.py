"""The command line does what it says and ends with the exit code it promises: 0 done, 2 bad input, 3 no plan."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from queueplanner import cli
from queueplanner.planning import planner
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from tests.exchange.job_lists import list_text

ROOT = Path(__file__).resolve().parents[1]
WEDNESDAY_EVENING = datetime(2026, 11, 25, 20, 0, tzinfo=UTC)
SMALL = ({"inks": "harbour-blue"}, {"inks": "black"}, {"inks": "harbour-blue", "due": "20:00"})


@pytest.fixture
def small_list(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text(*SMALL), encoding="utf-8")
    return path


def run(*words: object, now: datetime = WEDNESDAY_EVENING) -> int:
    return cli.main([str(word) for word in words], now=lambda: now)


def test_plan_prints_the_run_order_and_writes_the_plan(
    small_list: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, order = tmp_path / "plan.json", tmp_path / "order.txt"
    assert run("plan", small_list, "--seconds", "0.2", "--out", out, "--save-order", order) == cli.DONE
    told = capsys.readouterr()
    data = json.loads(out.read_text(encoding="utf-8"))
    assert "Make-ready" in told.out
    assert told.err == ""
    assert {p["id"] for p in data["passes"]} == {"1", "2", "3"}
    assert len(order.read_text(encoding="utf-8").splitlines()) == 3


def test_the_plan_begins_with_the_next_working_days_first_shift(small_list: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.json"
    friday_evening = datetime(2026, 11, 27, 21, 30, tzinfo=UTC)
    for now, start in ((WEDNESDAY_EVENING, "2026-11-26T06:30:00+01:00"), (friday_evening, "2026-11-30T06:30:00+01:00")):
        assert run("plan", small_list, "--seconds", "0", "--out", out, now=now) == cli.DONE
        assert json.loads(out.read_text(encoding="utf-8"))["start"] == start


def test_score_of_a_saved_order_gives_the_planned_figures_again(small_list: Path, tmp_path: Path) -> None:
    planned, order, scored = (tmp_path / name for name in ("plan.json", "order.txt", "score.json"))
    assert run("plan", small_list, "--seconds", "0.2", "--out", planned, "--save-order", order) == cli.DONE
    assert run("score", small_list, "--order", order, "--out", scored) == cli.DONE
    before, after = (json.loads(path.read_text(encoding="utf-8")) for path in (planned, scored))
    assert after.pop("claim") == "given order"
    before.pop("claim")
    before.pop("claim_percent")
    after.pop("claim_percent")
    assert after == before


def test_score_without_units_takes_the_best_found(small_list: Path, tmp_path: Path) -> None:
    order, out = tmp_path / "order.txt", tmp_path / "score.json"
    order.write_text("1\n2\n3\n", encoding="utf-8")
    assert run("score", small_list, "--order", order, "--out", out) == cli.DONE
    data = json.loads(out.read_text(encoding="utf-8"))
    units = {p["id"]: next(iter(p["unit_of"].values())) for p in data["passes"]}
    # The blue ink waits in its unit while the black prints in the other: no wash-up before the evening.
    assert units["1"] == units["3"] != units["2"]
    assert [p["id"] for p in data["passes"]] == ["1", "2", "3"]


def test_compare_shows_four_orders_and_writes_their_totals(
    small_list: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "compare.json"
    assert run("compare", small_list, "--seconds", "0.2", "--json", out) == cli.DONE
    data = json.loads(out.read_text(encoding="utf-8"))
    names = ("as_received", "by_due_time", "light_to_dark", "planned")
    made = [data[name]["totals"]["makeready_seconds"] for name in names]
    assert made[3] <= min(made[:3])
    assert "light to dark" in capsys.readouterr().out


def test_a_press_file_a_shop_folder_and_a_start_are_taken(small_list: Path, tmp_path: Path) -> None:
    folder, out = tmp_path / "shop", tmp_path / "plan.json"
    folder.mkdir()
    (folder / "press.toml").write_text('name = "Ours"\n', encoding="utf-8")
    (folder / "start.toml").write_text('[[units]]\nink = "black"\n[[units]]\n', encoding="utf-8")
    press, start = tmp_path / "tonight.toml", tmp_path / "start.toml"
    press.write_text("[tasks.load_pile]\nminutes = 100\n", encoding="utf-8")
    start.write_text('[[units]]\nink = "harbour-blue"\n[[units]]\n', encoding="utf-8")
    words = ("plan", small_list, "--seconds", "0", "--shop", folder, "--out", out)

    def filled() -> tuple[str, int]:
        data = json.loads(out.read_text(encoding="utf-8"))
        keys = [t["task"] for p in data["passes"] for t in p["tasks"]]
        return data["press"], keys.count("fill_fountain")

    assert run(*words) == cli.DONE
    assert filled() == ("Ours", 1)  # black stands already: only blue goes in
    assert run(*words, "--start", start, "--press", press) == cli.DONE
    assert filled() == ("Ours", 1)  # blue stands already: only black goes in
    data = json.loads(out.read_text(encoding="utf-8"))
    assert all(t["seconds"] == 6000 for p in data["passes"] for t in p["tasks"] if t["task"] == "load_pile")


@pytest.mark.parametrize(
    "words",
    [
        ("plan", "nowhere.csv"),
        ("plan", "JOBS", "--day", "2026-11-28"),
        ("plan", "JOBS", "--press", "nowhere.toml"),
        ("plan", "JOBS", "--shop", "nowhere"),
        ("plan", "JOBS", "--start", "nowhere.toml"),
        ("plan", "JOBS", "--out", "no/such/folder/plan.json"),
        ("compare", "JOBS", "--json", "."),
        ("score", "JOBS", "--order", "nowhere.txt"),
    ],
)
def test_bad_input_ends_with_2_and_a_plain_word(
    small_list: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    given = [small_list if word == "JOBS" else word for word in words]
    assert run(*given, "--seconds", "0") == cli.BAD_INPUT if words[0] != "score" else run(*given) == cli.BAD_INPUT
    told = capsys.readouterr()
    assert "found" in told.err
    assert "Traceback" not in told.err
    assert told.out == ""


@pytest.mark.parametrize(
    "words",
    [
        ("plan",),
        ("score", "x.csv"),
        ("plan", "x.csv", "--seconds", "-1"),
        ("plan", "x.csv", "--day", "tomorrow"),
        ("plan", "x.csv", "--day", "1999-12-31"),
        ("plan", "x.csv", "--day", "2200-01-01"),
        ("fly",),
    ],
)
def test_words_that_make_no_sense_end_with_2(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        run(*words)
    assert caught.value.code == cli.BAD_INPUT
    assert "usage" in capsys.readouterr().err


def test_every_problem_of_a_list_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text({"sheets": "0"}, {"inks": "blak"}, {"format": "A99"}), encoding="utf-8")
    assert run("plan", path) == cli.BAD_INPUT
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 4
    assert all(f"row {row}, column" in line for row, line in zip((2, 3, 4), told, strict=False))
    assert told[3].startswith("3 problems")


def test_a_rule_that_no_plan_can_meet_ends_with_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "jobs.csv"
    path.write_text(list_text({"sheets": "900000"}), encoding="utf-8")
    assert run("plan", path, "--seconds", "0") == cli.NO_PLAN
    assert "No plan" in capsys.readouterr().err


def test_a_stop_keeps_the_best_found(small_list: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = planner.plan_day
    asked = []

    def stopped(instance: Instance, seconds: float, **more: object) -> Plan:
        os.kill(os.getpid(), signal.SIGINT)
        asked.append(more["cancel"].cancelled)  # type: ignore[attr-defined]
        return real(instance, seconds, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(planner, "plan_day", stopped)
    assert run("plan", small_list, "--seconds", "60") == cli.DONE
    assert asked == [True]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_without_a_display_the_demo_is_planned_in_the_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "has_display", lambda: False)
    assert run("demo", "--seconds", "0.2") == cli.DONE
    out = capsys.readouterr().out
    assert "Thursday 26 November 2026" in out
    assert "Changeovers" in out
    assert "python3 start.py" in out
    assert run() == cli.BAD_INPUT
    assert "queueplanner plan" in capsys.readouterr().err


def test_where_the_window_library_is_missing_the_demo_is_planned_in_the_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "has_display", lambda: True)
    monkeypatch.setitem(sys.modules, "queueplanner.desk.app", None)
    assert run("demo", "--seconds", "0") == cli.DONE
    told = capsys.readouterr()
    assert "cannot be loaded" in told.err
    assert "Changeovers" in told.out


def test_with_a_display_the_demo_opens_the_window_on_the_demo_day(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[dict[str, object]] = []

    def open_window(**given: object) -> int:
        opened.append(given)
        return 0

    monkeypatch.setattr(cli, "has_display", lambda: True)
    monkeypatch.setattr(cli, "_desk", lambda: open_window)
    assert run("demo") == cli.DONE
    assert run() == cli.DONE
    assert run("--record", "mine.sqlite", "demo") == cli.DONE
    assert opened[0] == {"record": None, "demo": True}
    assert opened[1] == {"record": None, "shop_folder": None}
    assert opened[2] == {"record": "mine.sqlite", "demo": True}


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="these always have a display")
def test_a_display_is_there_where_one_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert not cli.has_display()
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert cli.has_display()


def started(*words: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-X", "importtime", "-m", "queueplanner", *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, env=environment, cwd=ROOT)


def test_a_word_of_help_loads_nothing_heavy() -> None:
    done = started("--help")
    assert done.returncode == 0
    for heavy in ("numpy", "numba", "ortools", "PySide6", "pydantic", "coloraide"):
        assert f" {heavy}\n" not in done.stderr, heavy


def test_bad_words_end_the_process_with_2() -> None:
    assert started("plan").returncode == cli.BAD_INPUT
