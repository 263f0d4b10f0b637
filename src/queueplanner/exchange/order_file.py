"""A run order as a text file: one pass id a line, and where wanted the unit of each of its inks.

# Thursday, as the foreman had it
1047   harbour-blue=2 warm-grey=1
1053/1 black=1
1053/2
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from queueplanner.exchange.near import folded, shown, suggestion
from queueplanner.exchange.text_file import read_text, split_lines
from queueplanner.planning.instance import Instance, UnitChoice
from queueplanner.planning.plan import Plan
from queueplanner.shop.base import PassId
from queueplanner.shop.errors import BadInput, Problem
from queueplanner.shop.job import PrintPass

_UNIT = re.compile(r"\s+(\S+)=(\S*)\s*$")
_REMARK = re.compile(r"(?:^|\s)#.*$")


def read_order(path: Path, instance: Instance) -> tuple[list[PassId], dict[PassId, UnitChoice]]:
    """The order in a file, and the unit of each separation for every pass that names them.

    Every pass of the instance stands in it once. Raises BadInput with every problem of the file.
    """
    reading = _Reading(str(path), instance)
    for number, line in enumerate(split_lines(read_text(path, "a text file with one pass id a line")), 1):
        reading.take(number, _REMARK.sub("", line).strip())
    for pass_id in instance.passes:
        if pass_id not in reading.rows:
            reading.note(None, f"no line for pass {pass_id}", "name every pass of the job list once")
    if reading.problems:
        raise BadInput(reading.problems)
    return list(reading.rows), reading.units


def order_text(plan: Plan) -> str:
    """A plan's order as such a file, with every unit named."""
    lines = []
    for planned in plan.passes:
        units = " ".join(f"{ink}={unit}" for ink, unit in planned.unit_of.items())
        lines.append(f"{planned.id} {units}\n")
    return "".join(lines)


@dataclass
class _Reading:
    """The reading of a file: the row of each pass in order, the units told, and every problem met."""

    file: str
    instance: Instance
    rows: dict[PassId, int] = field(default_factory=dict)
    units: dict[PassId, UnitChoice] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def note(self, row: int | None, found: str, wanted: str) -> None:
        """Note a problem."""
        self.problems.append(Problem(self.file, row, None, found, wanted))

    def take(self, row: int, line: str) -> None:
        """Take one line, without remarks."""
        if not line:
            return
        name, told = self._split(line)
        print_pass = self._pass_named(name)
        if print_pass is None:
            wanted = suggestion(name, self.instance.passes, "pass")
            self.note(row, f"no pass {shown(name)} in the job list", wanted)
        elif print_pass.id in self.rows:
            found = f"pass {print_pass.id} again"
            self.note(row, found, f"line {self.rows[print_pass.id]} has it already: name it once")
        else:
            self.rows[print_pass.id] = row
            self._first_side_comes_first(row, print_pass)
            if told:
                self._take_units(row, print_pass, told)

    def _split(self, line: str) -> tuple[str, list[tuple[str, str]]]:
        """The pass id of a line, which may hold spaces, and the units told after it."""
        told: list[tuple[str, str]] = []
        while self._pass_named(line) is None and (match := _UNIT.search(line)):
            told.insert(0, (match.group(1), match.group(2)))
            line = line[: match.start()]
        return line.strip(), told

    def _pass_named(self, name: str) -> PrintPass | None:
        return self.instance.passes.get(PassId(" ".join(name.split())))

    def _first_side_comes_first(self, row: int, print_pass: PrintPass) -> None:
        first = print_pass.first_side
        if first is not None and first in self.instance.passes and first not in self.rows:
            self.note(row, f"pass {print_pass.id} before its first side", f"put {first} before it")

    def _take_units(self, row: int, print_pass: PrintPass, told: list[tuple[str, str]]) -> None:
        units = dict(self._units_told(row, print_pass, told))
        inks = [s.ink.id for s in print_pass.separations]
        if len(units) < len(told):
            return
        if missing := [ink for ink in inks if ink not in units]:
            self.note(row, f"no unit for {' and '.join(missing)}", "name the unit of every ink of the pass, or of none")
            return
        chosen = tuple(units[ink] for ink in inks)
        allowed = self.instance.choices[print_pass.id]
        if chosen not in allowed:
            found = f"pass {print_pass.id} with {_told(print_pass, chosen)}"
            wanted = f"it can be printed with {' or '.join(_told(print_pass, c) for c in allowed)}"
            self.note(row, found, wanted)
        else:
            self.units[print_pass.id] = chosen

    def _units_told(self, row: int, print_pass: PrintPass, told: list[tuple[str, str]]) -> Iterator[tuple[str, int]]:
        names: Mapping[str, str] = {folded(s.ink.id): s.ink.id for s in print_pass.separations}
        seen: set[str] = set()
        for ink, unit in told:
            key = folded(ink)
            if key not in names:
                self.note(row, f"ink {shown(ink)}", f"pass {print_pass.id} prints {' and '.join(names.values())}")
            elif key in seen:
                self.note(row, f"ink {shown(ink)} twice", "name each ink once")
            elif unit not in ("1", "2"):
                self.note(row, f"unit {shown(unit)}", "write 1 or 2")
            else:
                seen.add(key)
                yield names[key], int(unit)


def _told(print_pass: PrintPass, choice: UnitChoice) -> str:
    return " ".join(f"{s.ink.id}={u}" for s, u in zip(print_pass.separations, choice, strict=True))
