"""Actions: all or nothing, at the versions that were read; taken back and brought back for each station."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from queueplanner.record.actions import Standing
from queueplanner.record.errors import Conflict
from queueplanner.record.record import Record
from queueplanner.record.row import NEVER, Row, Stored, Table
from queueplanner.shop.job import epoch
from tests.record.rig import JOB, OTHER_JOB, START, ToldClock, open_record, set_row


def test_an_action_writes_every_row_and_itself(record: Record) -> None:
    changes = {JOB: {"title": "Menu"}, OTHER_JOB: {"title": "Poster"}}
    done = record.act(
        "import_jobs",
        {"count": 2},
        changes,
        station="desk",
        role="planner",
        expected_versions=dict.fromkeys(changes, 0),
    )
    assert record.all(Table.JOBS) == {row: Stored(body, 1) for row, body in changes.items()}
    assert (done.id, done.name, done.facts, done.station, done.role) == (
        1,
        "import_jobs",
        {"count": 2},
        "desk",
        "planner",
    )
    assert done.moment == epoch(START)
    assert [(c.row, c.before, c.after, c.version_before, c.version) for c in done.changes] == [
        (row, None, body, 0, 1) for row, body in changes.items()
    ]
    assert record.changes_since(0) == [done]


def test_a_row_that_was_never_there_has_version_nought(record: Record) -> None:
    assert record.get(JOB) == NEVER


def test_a_row_taken_away_keeps_its_count_of_versions(record: Record) -> None:
    set_row(record, JOB, {"title": "Menu"})
    set_row(record, JOB, None)
    assert record.get(JOB) == Stored(None, 2)
    assert record.all(Table.JOBS) == {}
    set_row(record, JOB, {"title": "Menu again"})
    assert record.get(JOB).version == 3


def test_a_stale_version_is_refused_and_nothing_is_written(record: Record) -> None:
    set_row(record, JOB, {"title": "Menu"}, station="desk")
    theirs = set_row(record, JOB, {"title": "Menu, two sides"}, station="office")
    changes = {OTHER_JOB: {"title": "Poster"}, JOB: {"title": "Menu, one side"}}
    with pytest.raises(Conflict) as refused:
        record.act("change", {}, changes, station="desk", expected_versions={OTHER_JOB: 0, JOB: 1})
    clash = refused.value.clashes[0]
    assert [(clash.row, clash.expected, clash.found)] == [(JOB, 1, 2)]
    assert (clash.theirs, clash.ours) == ({"title": "Menu, two sides"}, {"title": "Menu, one side"})
    assert (clash.station, clash.action) == ("office", theirs.id)
    assert record.get(OTHER_JOB) == NEVER
    assert record.last_action() == theirs.id


def test_a_row_that_was_only_read_is_checked_too(record: Record) -> None:
    set_row(record, JOB, {"title": "Menu"})
    with pytest.raises(Conflict):
        record.act("change", {}, {OTHER_JOB: {}}, station="desk", expected_versions={OTHER_JOB: 0, JOB: 0})


def test_a_change_without_its_version_is_a_mistake(record: Record) -> None:
    with pytest.raises(ValueError, match="no expected version for jobs 1047"):
        record.act("change", {}, {JOB: {}}, station="desk", expected_versions={})


@pytest.mark.parametrize("body", [{"a": float("nan")}, {"a": (1, 2)}, {"a": {1: 2}}, {"a": START}])
def test_what_json_cannot_hold_is_refused_and_nothing_is_written(record: Record, body: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"JSON|must be text|no plain data"):
        set_row(record, JOB, body)
    assert (record.get(JOB), record.last_action()) == (NEVER, 0)


@pytest.mark.parametrize("key", ["", "a\0b", "a\nb", "\ud800", "x" * 201])
def test_a_key_that_cannot_be_kept_is_refused(key: str) -> None:
    with pytest.raises(ValueError, match="a name"):
        Row.job(key)


@pytest.mark.parametrize("text", ["'; drop table jobs; --", "{0.__class__}", "<img src=x>", "a\nb\0c", "½ 😀 \ud800"])
def test_text_comes_back_as_it_went_in(record: Record, text: str) -> None:
    set_row(record, JOB, {"title": text, text: [text]})
    assert record.get(JOB).body == {"title": text, text: [text]}


def test_undo_and_redo_walk_through_what_a_station_did(record: Record) -> None:
    bodies = [{"step": 1}, {"step": 2}, None, {"step": 4}]
    for body in bodies:
        set_row(record, JOB, body)
    for body in [None, {"step": 2}, {"step": 1}, None]:
        assert record.undo("desk") is not None
        assert record.get(JOB).body == body
    assert record.undo("desk") is None
    for body in bodies:
        assert record.redo("desk") is not None
        assert record.get(JOB).body == body
    assert record.redo("desk") is None


def test_undo_is_an_action_that_others_see(record: Record) -> None:
    done = set_row(record, JOB, {"title": "Menu"})
    undone = record.undo("desk", role="planner")
    assert undone is not None
    assert (undone.undoes, undone.role, undone.standing) == (done.id, "planner", Standing.FIXED)
    assert [(c.before, c.after, c.version) for c in undone.changes] == [({"title": "Menu"}, None, 2)]
    assert [a.standing for a in record.changes_since(0)] == [Standing.UNDONE, Standing.FIXED]


def test_the_names_of_what_can_be_undone_and_redone(record: Record) -> None:
    assert (record.undo_name("desk"), record.redo_name("desk")) == (None, None)
    record.act("rename_job", {}, {JOB: {}}, station="desk", expected_versions={JOB: 0})
    assert (record.undo_name("desk"), record.redo_name("desk")) == ("rename_job", None)
    record.undo("desk")
    assert (record.undo_name("desk"), record.redo_name("desk")) == (None, "rename_job")


def test_going_on_after_an_undo_buries_what_was_undone(record: Record) -> None:
    set_row(record, JOB, {"step": 1})
    record.undo("desk")
    set_row(record, JOB, {"step": 2})
    assert record.redo_name("desk") is None
    record.undo("desk")
    record.redo("desk")
    assert record.get(JOB).body == {"step": 2}


def test_an_action_that_changes_no_row_stands_beside_undo(record: Record) -> None:
    set_row(record, JOB, {"step": 1})
    record.undo("desk")
    record.act("print_day", {"copies": 2}, {}, station="desk", expected_versions={})
    assert (record.undo_name("desk"), record.redo_name("desk")) == (None, "change")


def test_each_station_undoes_its_own(record: Record) -> None:
    set_row(record, JOB, {"by": "desk"}, "desk")
    set_row(record, OTHER_JOB, {"by": "office"}, "office")
    record.undo("desk")
    assert (record.get(JOB).body, record.get(OTHER_JOB).body) == (None, {"by": "office"})


def test_undo_is_refused_where_somebody_else_went_on(record: Record) -> None:
    set_row(record, JOB, {"by": "desk"}, "desk")
    theirs = set_row(record, JOB, {"by": "office"}, "office")
    with pytest.raises(Conflict) as refused:
        record.undo("desk")
    (clash,) = refused.value.clashes
    assert (clash.expected, clash.found, clash.theirs, clash.ours) == (1, 2, {"by": "office"}, None)
    assert (clash.station, clash.action) == ("office", theirs.id)
    assert record.get(JOB) == Stored({"by": "office"}, 2)


def test_undo_is_free_again_once_the_other_took_theirs_back(record: Record) -> None:
    set_row(record, JOB, {"by": "desk"}, "desk")
    set_row(record, JOB, {"by": "office"}, "office")
    record.undo("office")
    assert record.undo("desk") is not None
    assert record.get(JOB).body is None
    with pytest.raises(Conflict):
        record.redo("office")


def test_the_same_words_written_by_another_are_still_theirs(record: Record) -> None:
    set_row(record, JOB, {"by": "desk"}, "desk")
    set_row(record, JOB, {"by": "office"}, "office")
    set_row(record, JOB, {"by": "desk"}, "office")
    with pytest.raises(Conflict):
        record.undo("desk")


def test_an_undo_that_is_given_up_frees_the_one_before(record: Record) -> None:
    set_row(record, OTHER_JOB, {"by": "desk"}, "desk")
    set_row(record, JOB, {"by": "desk"}, "desk")
    set_row(record, JOB, {"by": "office"}, "office")
    given_up = record.give_up_undo("desk")
    assert given_up is not None
    assert given_up.changes[0].row == JOB
    record.undo("desk")
    assert (record.get(OTHER_JOB).body, record.get(JOB).body) == (None, {"by": "office"})


def test_a_redo_that_is_given_up_frees_the_one_after(record: Record) -> None:
    set_row(record, JOB, {"by": "desk"}, "desk")
    set_row(record, OTHER_JOB, {"by": "desk"}, "desk")
    record.undo("desk")
    record.undo("desk")
    set_row(record, JOB, {"by": "office"}, "office")
    with pytest.raises(Conflict):
        record.redo("desk")
    record.give_up_redo("desk")
    record.redo("desk")
    assert (record.get(OTHER_JOB).body, record.get(JOB).body) == ({"by": "desk"}, {"by": "office"})


def test_undo_outlives_the_program(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        set_row(record, JOB, {"step": 1})
        set_row(record, JOB, {"step": 2})
        record.undo("desk")
    with open_record(tmp_path) as record:
        record.redo("desk")
        assert record.get(JOB).body == {"step": 2}
        record.undo("desk")
        record.undo("desk")
        assert record.get(JOB).body is None


def test_others_ask_only_for_what_came_after(record: Record) -> None:
    actions = [set_row(record, JOB, {"step": step}) for step in range(5)]
    assert record.changes_since(actions[1].id) == actions[2:]
    assert record.changes_since(actions[1].id, limit=2) == actions[2:4]
    assert record.changes_since(record.last_action()) == []


def test_a_look_tells_whether_anybody_wrote(tmp_path: Path, record: Record) -> None:
    seen = record.look()
    assert record.look() == seen
    with open_record(tmp_path) as other:
        set_row(other, JOB, {})
    assert record.look() != seen
    seen = record.look()
    set_row(record, OTHER_JOB, {})
    assert record.look() != seen


def test_keys_of_several_parts_find_their_rows(record: Record) -> None:
    monday, tuesday = date(2026, 3, 2), date(2026, 3, 3)
    orders = [Row.order("small", d, name) for d in (monday, tuesday) for name in ("first", "second")]
    record.act(
        "plan", {}, {row: {"n": str(row)} for row in orders}, station="desk", expected_versions=dict.fromkeys(orders, 0)
    )
    assert list(record.all(Table.ORDERS, "small", tuesday.isoformat())) == orders[2:]
    assert list(record.all(Table.ORDERS)) == orders
    assert record.all(Table.ORDERS, "other") == {}


def test_a_learned_figure_keeps_its_history_and_undoes_like_the_rest(record: Record) -> None:
    figure = Row.learned("wash_rollers.minutes")
    for minutes in (6.0, 6.5):
        set_row(record, figure, {"minutes": minutes})
    record.undo("desk")
    assert record.get(figure) == Stored({"minutes": 6.0}, 3)
    assert record.all(Table.LEARNED) == {figure: Stored({"minutes": 6.0}, 3)}
    history = [{"minutes": 6.0}, {"minutes": 6.5}, {"minutes": 6.0}]
    assert record.learned_history("wash_rollers.minutes") == [Stored(body, n) for n, body in enumerate(history, 1)]


def test_a_clock_without_a_zone_is_a_mistake(tmp_path: Path) -> None:
    with open_record(tmp_path, ToldClock(datetime(2026, 3, 2, tzinfo=UTC).replace(tzinfo=None))) as record:
        with pytest.raises(ValueError, match="aware"):
            set_row(record, JOB, {})
        assert record.get(JOB) == NEVER
