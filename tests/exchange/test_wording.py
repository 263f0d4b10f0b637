"""Every task and every reason has its words, in plain language and without promises of safety."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from queueplanner.exchange.wording import (
    TASKS,
    WORDING,
    claim_in_words,
    sentence,
    task_name,
    task_words,
)
from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import Claim, ClaimKind
from queueplanner.shop.press import TASK_TABLE, TaskState
from tests.exchange.plans import plans

SOURCE = Path(__file__).resolve().parents[2] / "src" / "queueplanner"


def reason_codes() -> Iterator[tuple[str, bool]]:
    """Every code a plan's reason is made with, and whether it is only the beginning of one.

    Settings cards have words of their own, and the slots of the search need none.
    """
    files = [*(SOURCE / "makeready").glob("*.py"), *(SOURCE / "planning").glob("*.py")]
    for path in [file for file in files if not file.name.startswith(("card", "slots"))]:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and (code := _code_argument(node)) is not None:
                yield from _texts(code)


def _code_argument(call: ast.Call) -> ast.expr | None:
    name = ast.unparse(call.func)
    if name in ("Reason", "Reason.of") and call.args:
        return call.args[0]
    if name == "replace":
        return next((k.value for k in call.keywords if k.arg == "code"), None)
    return None


def _texts(code: ast.expr) -> Iterator[tuple[str, bool]]:
    for node in [code.body, code.orelse] if isinstance(code, ast.IfExp) else [code]:
        if isinstance(node, ast.Constant):
            yield str(node.value), False
        if isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
            yield str(node.values[0].value), True


def test_every_code_in_the_source_has_a_wording() -> None:
    found = set(reason_codes())
    assert len(found) > 30
    missing = {
        code
        for code, begins in found
        if not (any(key.startswith(code) for key in WORDING) if begins else code in WORDING)
    }
    assert missing == set()


def test_every_reason_of_real_plans_makes_a_sentence() -> None:
    for plan in plans():
        tasks = [t for p in plan.passes for t in p.tasks] + [t for e in plan.evenings for t in e.tasks]
        reasons = [t.why for t in tasks] + [w for p in plan.passes for w in p.warnings] + list(plan.notes)
        for reason in reasons:
            text = sentence(reason)
            assert text
            assert "{" not in text
            assert not text.endswith(".")


def test_an_unknown_code_has_no_words() -> None:
    with pytest.raises(KeyError):
        sentence(Reason("nonsense"))


def test_washes_are_explained_by_what_the_residue_does() -> None:
    facts = {"old": "Black", "new": "Warm yellow", "washes": 2, "done": 0, "tolerance": 1.5}
    reason = Reason("wash_colour", (*facts.items(), ("differences", (4.4212, 0.4439))))
    assert sentence(reason) == (
        "2 washes: after one, Black in Warm yellow reads ΔE00 4.4, after two 0.4; tolerance 1.5"
    )


def test_facts_are_shown_letter_by_letter() -> None:
    assert sentence(Reason.of("stock", new="{0.__class__} %s <b>")) == "other stock: {0.__class__} %s <b>"


def test_every_task_of_a_press_has_a_short_name() -> None:
    assert set(TASKS) == set(TASK_TABLE)
    for key, (place, _) in TASK_TABLE.items():
        name = task_name(key, 2 if place.startswith("unit") else None, 3 if key == "wash_rollers" else 0)
        assert len(name) <= 44
        assert name[0].isupper()
    assert len({words.name for words in TASKS.values()}) == len(TASKS)


def test_names_tell_the_unit_and_how_often() -> None:
    assert task_name("wash_rollers", 1, 2) == "Wash the rollers twice, unit 1"
    assert task_name("wash_rollers", 2, 1) == "Wash the rollers, unit 2"
    assert task_name("load_pile") == "Load the pile"
    assert task_name("own:numbering") == "Numbering"
    with pytest.raises(KeyError):
        task_words("no_such_task")


def test_where_hands_solvents_or_loads_are_involved_a_caution_defers_to_those_who_rule() -> None:
    for key, (_, state) in TASK_TABLE.items():
        caution = task_words(key).caution
        if state is not TaskState.OUTSIDE or "pile" in key:
            assert caution is not None, key
            assert re.search(r"local (codes|rules)|manual|safety data sheet", caution), key
    for key in ("wash_rollers", "wash_blankets"):
        assert "safety data sheet" in str(task_words(key).caution)
    assert task_words("own:perforating").caution is not None


def test_no_word_calls_anything_safe() -> None:
    texts = [(SOURCE / "exchange" / f"{name}.py").read_text(encoding="utf-8") for name in ("wording", "run_order_text")]
    assert [m for text in texts for m in re.findall(r"\b(?:un)?safe(?:ly)?\b|\bexempt\b", text, re.IGNORECASE)] == []


def test_claims_say_no_more_than_is_known() -> None:
    assert "Proven" in claim_in_words(Claim(ClaimKind.PROVEN_BEST))
    assert "3.2 %" in claim_in_words(Claim(ClaimKind.WITHIN, 3.21))
    for kind in (ClaimKind.BEST_FOUND, ClaimKind.GIVEN):
        assert "roven" not in claim_in_words(Claim(kind))
