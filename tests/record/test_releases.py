"""Released orders: numbered for each day, kept as they were, beside undo."""

from __future__ import annotations

from datetime import date

import pytest

from queueplanner.record.errors import Conflict
from queueplanner.record.record import Record
from queueplanner.record.row import Row
from queueplanner.shop.job import epoch
from tests.record.rig import JOB, START, ToldClock, set_row

MONDAY, TUESDAY = date(2026, 3, 2), date(2026, 3, 3)
ORDER = Row.order("small", MONDAY, "fewest wash-ups")


def release(record: Record, row: Row = ORDER, by: str = "the planner") -> int:
    stands = record.get(row)
    facts = {"by": by, "station": "desk", "expected_versions": {row: stands.version}}
    return record.release("release_order", row, stands.body or {}, **facts).number  # type: ignore[arg-type]


def test_releases_are_numbered_for_each_day_and_stay_as_they_were(record: Record, clock: ToldClock) -> None:
    set_row(record, ORDER, {"passes": ["a", "b"]})
    assert release(record) == 1
    set_row(record, ORDER, {"passes": ["b", "a"]})
    clock.go_on(hours=1)
    assert release(record, by="the foreman") == 2
    assert release(record, Row.order("small", TUESDAY, "first")) == 1
    first, second = record.releases("small", MONDAY)
    assert (first.number, first.body, first.by, first.name) == (
        1,
        {"passes": ["a", "b"]},
        "the planner",
        "fewest wash-ups",
    )
    assert (second.number, second.body, second.by) == (2, {"passes": ["b", "a"]}, "the foreman")
    assert [r.moment - epoch(START) for r in (first, second)] == [0, 3600]


def test_a_release_is_an_action_outside_undo(record: Record) -> None:
    set_row(record, ORDER, {"passes": ["a"]})
    release(record)
    action = record.changes_since(0)[-1]
    assert (action.name, action.facts["number"], action.id) == (
        "release_order",
        1,
        record.releases("small", MONDAY)[0].action,
    )
    assert record.undo_name("desk") == "change"
    record.undo("desk")
    assert [r.number for r in record.releases("small", MONDAY)] == [1]


def test_an_order_changed_meanwhile_is_not_released(record: Record) -> None:
    set_row(record, ORDER, {"passes": ["a"]})
    with pytest.raises(Conflict):
        record.release("release_order", ORDER, {}, by="me", station="desk", expected_versions={ORDER: 0})
    assert record.releases("small", MONDAY) == []


def test_only_an_order_can_be_released(record: Record) -> None:
    with pytest.raises(ValueError, match="an order can be released, not jobs 1047"):
        record.release("release_order", JOB, {}, by="me", station="desk", expected_versions={})
