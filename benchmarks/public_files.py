"""Public scheduling problems as their files give them, and the plain check of an answer against a file's own numbers.

Three kinds, told by their content: weighted tardiness with sequence-dependent set-ups (a text with headed columns),
asymmetric tours with time windows (a count, a matrix, a window a node), and TSPLIB's asymmetric tours, full matrix.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

Row = tuple[int, ...]

#: Where the public files can be got.
WHERE = {
    "weighted tardiness, .instance": "github.com/cicirello/scheduling-benchmarks, folder wtsds",
    "tours with time windows": "github.com/DDOLIB-CETIC-UCL/DDOLib, folder data/TSPTW/AFG",
    "TSPLIB asymmetric tours, .atsp": "github.com/rhgrant10/tsplib95, folder archives/problems/atsp",
}


class NotReadable(ValueError):
    """A file that is none of the three kinds, or not whole."""


@dataclass(frozen=True)
class Verdict:
    """What an answer is worth; None, and why, where it is not allowed."""

    value: int | None
    why: str = ""


@dataclass(frozen=True)
class Tardiness:
    """Jobs on one machine: weights times lateness, summed. `first` is the set-up of a job that comes first."""

    process: Row
    weight: Row
    due: Row
    first: Row
    setup: tuple[Row, ...]

    @property
    def size(self) -> int:
        """How many jobs there are."""
        return len(self.process)

    def check(self, sequence: Sequence[int]) -> Verdict:
        """The weighted tardiness of jobs in this order."""
        if sorted(sequence) != list(range(self.size)):
            return Verdict(None, "not every job stands in the order once")
        clock, late, before = 0, 0, None
        for job in sequence:
            clock += self.first[job] if before is None else self.setup[before][job]
            clock += self.process[job]
            late += self.weight[job] * max(0, clock - self.due[job])
            before = job
        return Verdict(late)


@dataclass(frozen=True)
class Tour:
    """A closed tour from node 0 through all others; a node's window, where there are any, is for the arrival there.

    Who comes before a window waits; waiting costs nothing.
    """

    travel: tuple[Row, ...]
    windows: tuple[tuple[int, int], ...] = ()

    @property
    def size(self) -> int:
        """How many nodes there are, node 0 included."""
        return len(self.travel)

    def check(self, sequence: Sequence[int]) -> Verdict:
        """The travel of a tour that begins in node 0; no value if a window is missed."""
        if sorted(sequence) != list(range(self.size)) or sequence[0] != 0:
            return Verdict(None, "not every node stands in the tour once, node 0 first")
        travel, clock = 0, self.windows[0][0] if self.windows else 0
        for here, there in zip(sequence, [*sequence[1:], 0], strict=True):
            travel += self.travel[here][there]
            clock += self.travel[here][there]
            if self.windows:
                earliest, latest = self.windows[there]
                if clock > latest:
                    return Verdict(None, f"node {there} is reached at {clock}, after its window's end at {latest}")
                clock = max(clock, earliest if there else clock)
        return Verdict(travel)


Problem = Tardiness | Tour


def read_problem(path: Path) -> Problem:
    """Read a file of any of the three kinds. Raises NotReadable, or OSError where there is no such file."""
    text = path.read_text(encoding="utf-8", errors="replace")
    try:
        if "Process Times:" in text:
            return _tardiness(text)
        if "EDGE_WEIGHT_SECTION" in text:
            return _tsplib(text)
        return _windows(text)
    except (ValueError, IndexError, KeyError) as error:
        raise NotReadable(f"{path.name} is none of the three kinds of files, or not whole") from error


def _tardiness(text: str) -> Tardiness:
    parts: dict[str, list[list[int]]] = {"": []}
    head = ""
    for line in text.partition("Begin Problem Specification")[2].splitlines():
        if line.startswith("End Problem"):
            break
        if line.strip().endswith(":"):
            head = line.strip()
            parts[head] = []
        elif line.strip():
            parts[head].append([int(figure) for figure in line.split()])
    process, weight, due = (tuple(row[0] for row in parts[k]) for k in ("Process Times:", "Weights:", "Duedates:"))
    seconds = {(i, j): s for i, j, s in parts["Setup Times:"]}
    jobs = range(len(process))
    setup = tuple(tuple(0 if i == j else seconds[i, j] for j in jobs) for i in jobs)
    if not len(process) == len(weight) == len(due):
        raise ValueError("columns of different length")
    return Tardiness(process, weight, due, tuple(seconds[-1, j] for j in jobs), setup)


def _square(figures: Sequence[int], n: int) -> tuple[Row, ...]:
    if n < 2 or len(figures) != n * n:
        raise ValueError("not a square matrix")
    return tuple(tuple(0 if i == j else figures[n * i + j] for j in range(n)) for i in range(n))


def _tsplib(text: str) -> Tour:
    head, _, body = text.partition("EDGE_WEIGHT_SECTION")
    keys = {key.strip(): value.strip() for key, _, value in (line.partition(":") for line in head.splitlines())}
    if keys.get("EDGE_WEIGHT_FORMAT") != "FULL_MATRIX":
        raise ValueError("not a full matrix")
    return Tour(_square([int(figure) for figure in body.replace("EOF", " ").split()], int(keys["DIMENSION"])))


def _windows(text: str) -> Tour:
    figures = [int(figure) for line in text.splitlines() for figure in line.partition("#")[0].split()]
    n = figures[0]
    ends = figures[1 + n * n :]
    if len(ends) != 2 * n:
        raise ValueError("not a window for each node")
    return Tour(_square(figures[1 : 1 + n * n], n), tuple(zip(ends[::2], ends[1::2], strict=True)))
