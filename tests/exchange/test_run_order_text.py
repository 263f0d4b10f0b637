"""The terminal's tables: everything of the plan, within a hundred columns."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from queueplanner.exchange.compare_text import compare_text
from queueplanner.exchange.run_order_text import run_order_text
from queueplanner.exchange.text_table import COLUMNS, duration, fitted, minutes, width
from queueplanner.exchange.wording import claim_in_words
from queueplanner.planning.plan import Claim, ClaimKind, Plan
from tests.exchange.plans import demo_plan, plans


def renamed(plan: Plan, title: str) -> Plan:
    """The same plan with every job under a long foreign title."""
    passes = [replace(p, job=p.job.model_copy(update={"title": title})) for p in plan.passes]
    return replace(plan, passes=tuple(passes))


def test_no_line_is_wider_than_a_hundred_columns() -> None:
    long_title = "日本語のタイトル, a title that goes on and on, 日本語"
    for plan in [*plans(), renamed(demo_plan(), long_title)]:
        for line in run_order_text(plan).splitlines():
            assert width(line) <= COLUMNS, line


def test_every_pass_task_and_total_is_told() -> None:
    plan = demo_plan()
    text = run_order_text(plan)
    for number, planned in enumerate(plan.passes, 1):
        head = f"{number}. {planned.id}: "
        assert head in text
        told = text.split(head)[1].split(" min", 1)[0].rsplit(" ", 1)[1]
        assert float(told) == round(planned.makeready_seconds / 60, 2)
    assert f"{plan.totals.wash_ups} wash-ups ({plan.totals.washes} washes)" in text
    assert f"{plan.totals.late_passes} passes late" in text
    assert text.count("Evening of ") == len(plan.evenings)
    assert "Thursday 26 November 2026" in text
    assert text.count("Check the first sheets") == len(plan.passes)
    assert "local codes" in text


def test_the_claim_stands_below_and_claims_nothing_unproven() -> None:
    plan = demo_plan()
    assert claim_in_words(plan.claim) in run_order_text(plan)
    assert "Proven" not in run_order_text(plan)
    assert "Proven" in run_order_text(plan.claimed(Claim(ClaimKind.PROVEN_BEST)))


def test_a_comparison_shows_four_orders_and_the_saving() -> None:
    plan = demo_plan()
    less = replace(plan.totals, makeready_seconds=plan.totals.makeready_seconds * 3 // 4)
    better = replace(plan, totals=less)
    orders = {"as_received": plan, "by_due_time": plan, "light_to_dark": plan, "planned": better}
    text = compare_text(orders)
    assert "25 % less" in text
    assert [line for line in text.splitlines() if width(line) > COLUMNS] == []
    for name in ("as received", "by due time", "light to dark", "planned"):
        assert name in text
    assert "no less make-ready" in compare_text(dict.fromkeys(orders, plan))


def test_minutes_lose_nothing_that_matters() -> None:
    assert [minutes(s) for s in (60, 90, 720, 20, 0)] == ["1", "1.5", "12", "0.33", "0"]
    assert [duration(s) for s in (90, 3600, 22320, 3599)] == ["1.5 min", "1 h 00 min", "6 h 12 min", "59.98 min"]


@given(st.text(), st.integers(min_value=1, max_value=40), st.booleans())
def test_fitted_text_takes_exactly_its_columns(text: str, columns: int, right: bool) -> None:
    assert width(fitted(text, columns, right=right)) == columns
