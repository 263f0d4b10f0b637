"""Press events: once each, in order, in a chain that shows what was changed."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from queueplanner.record.errors import Damaged, EventClash
from queueplanner.record.record import Record
from queueplanner.shop.job import epoch
from tests.record.rig import START, ToldClock, event, open_record, swap_bytes


def test_events_come_back_in_the_order_they_were_handed_in(record: Record, clock: ToldClock) -> None:
    assert record.add_events([event(3), event(1)]) == [1, 2]
    clock.go_on(minutes=5)
    assert record.add_events([event(2, "large")]) == [3]
    found = record.events()
    assert [(e.seq, e.event) for e in found] == [(1, event(3)), (2, event(1)), (3, event(2, "large"))]
    assert [e.received - epoch(START) for e in found] == [0, 0, 300]


def test_events_of_one_press_after_a_number(record: Record) -> None:
    record.add_events([event(1), event(2, "large"), event(3), event(4)])
    assert [e.seq for e in record.events(after=1, press="small")] == [3, 4]
    assert [e.seq for e in record.events(limit=2)] == [1, 2]


def test_an_event_handed_in_twice_is_stored_once(record: Record) -> None:
    record.add_events([event(1), event(2)])
    assert record.add_events([event(2), event(3), event(3), event(1)]) == [2, 3, 3, 1]
    assert [e.event for e in record.events()] == [event(1), event(2), event(3)]
    assert record.verify_events() is None


def test_another_content_under_a_known_id_is_refused_with_all_that_came_along(record: Record) -> None:
    record.add_events([event(1)])
    with pytest.raises(EventClash) as refused:
        record.add_events([event(2), replace(event(1), body={"count": 99})])
    assert (refused.value.own_id, refused.value.seq) == (event(1).own_id, 1)
    assert [e.event for e in record.events()] == [event(1)]
    assert record.add_events([event(2)]) == [2]


def test_a_clock_that_is_put_back_leaves_the_order_alone(record: Record, clock: ToldClock) -> None:
    record.add_events([event(1)])
    clock.go_on(days=-3650)
    record.add_events([event(2)])
    assert [e.event for e in record.events()] == [event(1), event(2)]
    assert record.verify_events() is None


@pytest.mark.parametrize(
    ("words", "broken"),
    [
        (
            "update events set body = replace(body, '2', '7') where seq = 2",
            (2, "its content does not fit its checksum"),
        ),
        ("update events set moment = moment + 1 where seq = 3", (3, "its content does not fit its checksum")),
        ("update events set checksum = lower(hex(randomblob(32))) where seq = 1", (1, "does not fit its checksum")),
        ("delete from events where seq = 2", (2, "missing")),
        ("delete from events where seq = 4", (4, "missing")),
        ("delete from events", (1, "missing")),
        ("update meta set value = '[3,\"\"]' where name = 'events_end'", (5, "not where the chain ends")),
        ("update meta set value = 'x' where name = 'events_end'", (5, "where their chain ends is lost")),
        ("delete from meta where name = 'events_end'", (5, "where their chain ends is lost")),
    ],
)
def test_what_was_done_to_the_events_behind_the_programs_back_is_named(
    tmp_path: Path, record: Record, words: str, broken: tuple[int, str]
) -> None:
    record.add_events([event(n) for n in (1, 2, 3, 4)])
    with sqlite3.connect(tmp_path / "record.sqlite") as behind:
        behind.execute(words)
    behind.close()
    found = record.verify_events()
    assert found is not None
    assert found.seq == broken[0]
    assert broken[1] in found.what


def test_events_exchanged_in_place_are_named(tmp_path: Path, record: Record) -> None:
    record.add_events([event(n) for n in (1, 2, 3)])
    with sqlite3.connect(tmp_path / "record.sqlite") as behind:
        for old, new in ((1, 9), (2, 1), (9, 2)):
            behind.execute("update events set seq = ? where seq = ?", (new, old))
    behind.close()
    found = record.verify_events()
    assert found is not None
    assert (found.seq, found.own_id) == (1, event(2).own_id)


def test_a_byte_flipped_inside_an_event_is_named_when_the_record_is_opened(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        record.add_events([event(1), event(2, note="first good sheet"), event(3)])
    swap_bytes(tmp_path / "record.sqlite", b"first good sheet", b"first food sheet")
    with pytest.raises(Damaged) as refused:
        open_record(tmp_path)
    assert refused.value.what == "events 2: its content does not fit its checksum"
    assert refused.value.place == str(tmp_path / "record.sqlite")


@pytest.mark.parametrize("own_id", ["", "x" * 37, "a\0b"])
def test_an_own_id_that_cannot_be_kept_is_refused(own_id: str) -> None:
    with pytest.raises(ValueError, match=r"characters|character"):
        replace(event(1), own_id=own_id)
