"""The calendar of a plan: lines, escapes, times, identifiers, and everything in it that is in the plan."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange.icalendar import LINE_OCTETS, escaped, folded, plan_to_icalendar
from queueplanner.planning.plan import Plan
from tests.exchange.calendar_reader import events, plain, unfolded
from tests.exchange.plans import demo_plan, plans

STAMPED = datetime(2026, 11, 25, 15, 4, 5, tzinfo=UTC)
#: Any text but halves of letters, which no file can hold.
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=300)


def calendar_moment(text: str) -> int:
    assert re.fullmatch(r"\d{8}T\d{6}Z", text)
    return int(datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC).timestamp())


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r\n"), max_size=400))
def test_a_folded_line_is_short_whole_and_read_back_the_same(line: str) -> None:
    pieces = folded(line).split("\r\n")
    assert pieces.pop() == ""
    assert all(len(piece.encode()) <= LINE_OCTETS for piece in pieces)
    assert all(piece.startswith(" ") for piece in pieces[1:])
    assert pieces[0] + "".join(piece[1:] for piece in pieces[1:]) == line


def test_a_line_is_folded_only_where_it_must_be() -> None:
    assert folded("x" * 75) == "x" * 75 + "\r\n"
    assert folded("x" * 76) == "x" * 75 + "\r\n x\r\n"
    assert folded("x" * 74 + "é") == "x" * 74 + "\r\n é\r\n"


@given(TEXTS)
def test_an_escaped_text_reads_back_with_line_ends_of_one_kind_and_no_control_letters(text: str) -> None:
    wanted = text.replace("\r\n", "\n").replace("\r", "\n")
    wanted = re.sub(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", " ", wanted)
    assert plain(escaped(text)) == wanted
    assert "\n" not in escaped(text)


def test_marks_are_escaped_as_the_standard_says() -> None:
    assert escaped("a,b;c\\d\ne:f") == "a\\,b\\;c\\\\d\\ne:f"


@pytest.mark.parametrize("plan", plans(), ids=lambda plan: str(plan.start))
def test_every_pass_has_its_changeover_and_its_run_at_the_plans_times(plan: Plan) -> None:
    read = events(plan_to_icalendar(plan, STAMPED))
    times = [
        (e["CATEGORIES"], calendar_moment(e["DTSTART"]), calendar_moment(e.get("DTEND", e["DTSTART"]))) for e in read
    ]
    wanted = [("Changeover", p.makeready_start, p.makeready_end) for p in plan.passes]
    wanted += [("Run", p.run_start, p.run_end) for p in plan.passes]
    wanted += [("Evening wash", e.start, e.end) for e in plan.evenings if e.tasks]
    assert sorted(times) == sorted(wanted)
    assert [start for _, start, _ in times] == sorted(start for _, start, _ in times)
    for event in read:
        assert event["DTSTAMP"] == "20261125T150405Z"
        assert len(event["UID"]) == 36


def test_every_line_is_short_and_the_head_is_that_of_version_two() -> None:
    text = plan_to_icalendar(demo_plan(), STAMPED)
    assert max(len(line.encode()) for line in text.split("\r\n")) <= LINE_OCTETS
    head = unfolded(text)[:5]
    assert head[1] == "VERSION:2.0"
    assert head[2].startswith("PRODID:-//queueplanner//")
    assert head[3] == "CALSCALE:GREGORIAN"


def test_runs_tell_inks_stock_due_time_and_lateness() -> None:
    plan = demo_plan()
    runs = [e for e in events(plan_to_icalendar(plan, STAMPED)) if e["CATEGORIES"] == "Run"]
    for planned, event in zip(plan.passes, runs, strict=True):
        told = plain(event["DESCRIPTION"])
        assert plain(event["SUMMARY"]).startswith(f"Run {planned.id}, {planned.job.title}")
        assert all(s.ink.name in told for s in planned.print_pass.separations)
        assert planned.print_pass.stock.name in told
        assert ("Due " in told) == (planned.job.due_s is not None)
        assert ("late by" in plain(event["SUMMARY"])) == (planned.late_seconds > 0)
    assert any(p.late_seconds for p in plan.passes)


def test_an_event_keeps_its_identifier_when_it_moves_and_no_two_share_one() -> None:
    plan = demo_plan()
    later = replace(plan, passes=tuple(replace(p, run_start=p.run_start + 60) for p in reversed(plan.passes)))
    first, second = (events(plan_to_icalendar(p, STAMPED)) for p in (plan, later))
    assert {e["UID"] for e in first} == {e["UID"] for e in second}
    assert len({e["UID"] for e in first}) == len(first)
    tomorrow = events(plan_to_icalendar(replace(plan, start=plan.start + 86400), STAMPED))
    assert not {e["UID"] for e in first if e["CATEGORIES"] == "Run"} & {e["UID"] for e in tomorrow}


def test_a_pass_that_stands_on_the_press_ready_to_run_has_no_changeover() -> None:
    plan = demo_plan()
    first = replace(plan.passes[0], tasks=(), makeready_seconds=0, started=True)
    read = events(plan_to_icalendar(replace(plan, passes=(first,), evenings=()), STAMPED))
    assert [event["CATEGORIES"] for event in read] == ["Run"]


def test_an_event_that_takes_no_time_has_no_end() -> None:
    plan = demo_plan()
    first = replace(plan.passes[0], makeready_end=plan.passes[0].makeready_start)
    read = events(plan_to_icalendar(replace(plan, passes=(first,), evenings=()), STAMPED))
    assert "DTEND" not in read[0]


def test_a_moment_without_a_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        plan_to_icalendar(demo_plan(), STAMPED.replace(tzinfo=None))
