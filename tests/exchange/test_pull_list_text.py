"""The pull list in the terminal names all that is pulled, in lines that fit."""

from __future__ import annotations

from queueplanner.exchange.pull_list_text import pull_list_text
from queueplanner.exchange.text_table import COLUMNS, width
from tests.exchange.plans import demo_plan
from tests.planning.test_pull_list import pulled


def test_everything_is_named_with_its_hour_and_nothing_is_too_wide() -> None:
    plan, listed = demo_plan(), pulled(demo_plan())
    text = pull_list_text(plan, listed)
    assert max(width(line) for line in text.splitlines()) <= COLUMNS
    for word in ("Pull list of Thursday 26 November 2026", f"{listed.sheets:,}", f"{len(listed.plates)} plates"):
        assert word in text
    for name in (*(p.stock.name for p in listed.papers), *(i.ink.name for i in listed.inks)):
        assert name in text
    for pass_id in (pass_id for paper in listed.papers for pass_id in paper.passes):
        assert pass_id in text
    first = [i for items in (listed.papers, listed.plates, listed.inks) for i in items if i.ready_by == plan.start]
    assert text.count("Thu 06:30") == len(first) > 2
