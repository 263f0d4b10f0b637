"""A run order in a file: read strictly, every fault at once, and written so that it reads back the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from queueplanner.exchange.order_file import order_text, read_order
from queueplanner.planning.evaluate import evaluate
from queueplanner.shop.errors import BadInput
from tests.exchange.plans import demo_instance, demo_plan

ORDER = demo_plan().order


def read(folder: Path, text: str) -> tuple[list[str], dict[str, tuple[int, ...]]]:
    path = folder / "order.txt"
    path.write_text(text, encoding="utf-8")
    order, units = read_order(path, demo_instance())
    return list(order), {str(k): v for k, v in units.items()}


def problems(folder: Path, text: str) -> list[tuple[int | None, str]]:
    with pytest.raises(BadInput) as caught:
        read(folder, text)
    return [(p.row, f"{p.found}; {p.wanted}") for p in caught.value.problems]


def with_line(number: int, line: str) -> str:
    lines = [str(name) for name in ORDER]
    lines[number - 1] = line
    return "\n".join(lines)


def test_an_order_is_one_pass_a_line_with_remarks_and_empty_lines(tmp_path: Path) -> None:
    text = "# Thursday\n\n" + "\r\n".join(f"  {name}   # a remark" for name in ORDER)
    assert read(tmp_path, text) == (list(ORDER), {})


def test_units_may_be_told_for_some_passes(tmp_path: Path) -> None:
    at = ORDER.index("1047") + 1
    order, units = read(tmp_path, with_line(at, "1047 harbour-blue=2  Warm-Grey=1"))
    assert (order, units) == (list(ORDER), {"1047": (2, 1)})


def test_what_is_written_reads_back_as_the_same_plan(tmp_path: Path) -> None:
    plan = demo_plan()
    path = tmp_path / "order.txt"
    path.write_text(order_text(plan), encoding="utf-8")
    assert evaluate(demo_instance(), *read_order(path, demo_instance())) == plan


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    lines = [str(name) for name in ORDER if name not in ("1049", "1053")]
    lines[0] = "1047 harbour-blue=3 warm-grey=1"
    lines += ["1047", "10499", "1048/1"]
    found = problems(tmp_path, "\n".join(lines))
    rows = [row for row, _ in found]
    assert rows == [1, len(lines) - 2, len(lines) - 1, len(lines), None, None]
    told = "\n".join(text for _, text in found)
    for words in ("unit '3'", "line 1 has it already", "did you mean 1049", "no line for pass 1049", "pass 1053"):
        assert words in told


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("1047 harbour-blue=1 warm-grey=2", "harbour-blue=2 warm-grey=1"),
        ("1047 harbour-blue=2", "no unit for warm-grey"),
        ("1047 harbour-blue=2 harbour-blue=2", "twice"),
        ("1047 harbour-blue=2 black=1", "prints harbour-blue and warm-grey"),
        ("1047 harbour-blue=two warm-grey=1", "write 1 or 2"),
        ("1047 left", "no pass '1047 left'"),
    ],
)
def test_units_that_cannot_be_are_told(tmp_path: Path, line: str, words: str) -> None:
    found = problems(tmp_path, with_line(ORDER.index("1047") + 1, line))
    assert any(words in text and row == ORDER.index("1047") + 1 for row, text in found)


def test_a_second_side_before_its_first_is_told(tmp_path: Path) -> None:
    names = list(ORDER)
    first, second = names.index("1048/1"), names.index("1048/2")
    names[first], names[second] = names[second], names[first]
    found = problems(tmp_path, "\n".join(names))
    assert [(row, "put 1048/1 before it" in text) for row, text in found] == [(first + 1, True)]


def test_an_order_that_is_no_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput):
        read_order(tmp_path / "nothing", demo_instance())
