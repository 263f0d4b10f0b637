"""The documents name every column and key there is, with the defaults the program takes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pydantic import BaseModel

from queueplanner.exchange.job_csv import COLUMNS, REQUIRED
from queueplanner.exchange.shop_files import SHOP_FILES, load_shop
from queueplanner.exchange.wording import task_words
from queueplanner.shop.calendar import Break, Calendar, Shift
from queueplanner.shop.ink import Ink
from queueplanner.shop.press import TASK_TABLE, OwnTask, Place, PressProfile, Rates, TaskState, WasteFigures
from queueplanner.shop.start import PressStart, SettingsStart, UnitStart
from queueplanner.shop.stock import Stock
from queueplanner.shop.weights import Weights

DOCS = Path(__file__).resolve().parents[1] / "docs"
JOB_LIST = (DOCS / "job-list.md").read_text(encoding="utf-8")
SHOP_FILES_TEXT = (DOCS / "shop-files.md").read_text(encoding="utf-8")


def test_the_job_lists_columns_are_told_in_their_order() -> None:
    told = re.findall(r"^\| `(\w+)` \|", JOB_LIST, re.MULTILINE)
    assert told == list(COLUMNS)


def test_needed_columns_are_told_as_needed() -> None:
    needed = re.findall(r"^\| `(\w+)` \| yes \|", JOB_LIST, re.MULTILINE)
    assert sorted(needed) == sorted(REQUIRED)


@pytest.mark.parametrize("name", SHOP_FILES)
def test_every_file_is_told(name: str) -> None:
    assert f"`{name}`" in SHOP_FILES_TEXT


@pytest.mark.parametrize(
    "model",
    [
        Ink,
        Stock,
        PressProfile,
        WasteFigures,
        Rates,
        OwnTask,
        Calendar,
        Shift,
        Weights,
        PressStart,
        UnitStart,
        SettingsStart,
    ],
)
def test_every_key_is_told(model: type[BaseModel]) -> None:
    given_by_heading = {"id"} if model in (Ink, Stock) else set()
    for key in set(model.model_fields) - given_by_heading:
        assert re.search(rf"[`\[]{key}[`\]]", SHOP_FILES_TEXT), key
    assert set(Break.model_fields) == {"start", "end"}


@pytest.mark.parametrize("key", TASK_TABLE)
def test_every_task_is_told_with_its_name_and_minutes(key: str) -> None:
    minutes = load_shop().press.tasks[key]
    variants = {"automatic": minutes.automatic, "each more": minutes.each_more, "second unit": minutes.second_unit}
    told = f"{minutes.minutes:g}" + "".join(f"; {n} {m:g}" for n, m in variants.items() if m is not None)
    row = next(line for line in SHOP_FILES_TEXT.splitlines() if line.startswith(f"| `{key}` |"))
    assert row.endswith(f"| {told} |")
    assert task_words(key).name.casefold() in row.casefold()


def test_places_and_states_are_told() -> None:
    for word in (*Place, *TaskState):
        assert f"`{word}`" in SHOP_FILES_TEXT
