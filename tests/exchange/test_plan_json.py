"""Plans as JSON: by the published schema, and with the evaluator's own figures."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import jsonschema
import pytest

from queueplanner.exchange.plan_json import (
    CompareOut,
    PlanOut,
    PressesOut,
    compare_to_json,
    moment_text,
    plan_to_json,
    schema_text,
)
from queueplanner.planning.plan import Claim, ClaimKind
from tests.exchange.plans import demo_plan, plans

DOCS = Path(__file__).resolve().parents[2] / "docs"
SCHEMAS = {"plan.schema.json": PlanOut, "compare.schema.json": CompareOut, "presses.schema.json": PressesOut}


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_published_schema_is_the_models(name: str) -> None:
    text = (DOCS / name).read_text(encoding="utf-8")
    assert text == schema_text(SCHEMAS[name])
    jsonschema.Draft202012Validator.check_schema(json.loads(text))


def validated(text: str, name: str) -> dict[str, object]:
    data = json.loads(text)
    schema = json.loads((DOCS / name).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    return data  # type: ignore[no-any-return]


def test_every_plan_is_written_by_the_schema() -> None:
    for plan in plans():
        validated(plan_to_json(plan), "plan.schema.json")


def test_a_comparison_is_written_by_the_schema() -> None:
    plan = demo_plan()
    names = ("as_received", "by_due_time", "light_to_dark", "planned")
    data = validated(compare_to_json(dict.fromkeys(names, plan)), "compare.schema.json")
    for name in names:
        assert data[name]["totals"]["makeready_seconds"] == plan.totals.makeready_seconds  # type: ignore[index]


def test_the_schema_refuses_what_is_no_plan() -> None:
    data = json.loads(plan_to_json(demo_plan()))
    data["claim"] = "surely the best"
    schema = json.loads((DOCS / "plan.schema.json").read_text(encoding="utf-8"))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(data)


def test_figures_are_the_evaluators() -> None:
    plan = demo_plan()
    data = json.loads(plan_to_json(plan.claimed(Claim(ClaimKind.WITHIN, 2.5))))
    assert (data["claim"], data["claim_percent"]) == ("within", 2.5)
    assert [p["id"] for p in data["passes"]] == list(plan.order)
    for written, planned in zip(data["passes"], plan.passes, strict=True):
        for field in ("makeready_start", "makeready_end", "run_start", "run_end"):
            assert datetime.fromisoformat(written[field]).timestamp() == getattr(planned, field)
        assert written["makeready_seconds"] == planned.makeready_seconds
        assert written["unit_of"] == planned.unit_of
        inside = [t["seconds"] for t in written["tasks"] if not t["external"]]
        assert sum(inside) == planned.makeready_seconds
    for name in ("makeready_seconds", "wash_ups", "plate_swaps", "feeder_resets", "late_passes"):
        assert data["totals"][name] == getattr(plan.totals, name)


def test_moments_carry_the_offset_of_their_day() -> None:
    zone = ZoneInfo("Europe/Amsterdam")
    summer = int(datetime(2026, 10, 25, 2, 30, fold=0, tzinfo=zone).timestamp())
    winter = int(datetime(2026, 10, 25, 2, 30, fold=1, tzinfo=zone).timestamp())
    assert moment_text(summer, zone) == "2026-10-25T02:30:00+02:00"
    assert moment_text(winter, zone) == "2026-10-25T02:30:00+01:00"
    assert moment_text(0, ZoneInfo("America/New_York")) == "1969-12-31T19:00:00-05:00"
