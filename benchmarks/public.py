"""The planner's search on public scheduling problems: value, bound and time of each, and how near the best known.

Run in the checkout: python benchmarks/public.py FILE... --seconds 10 [--peers] [--json OUT] (or -m benchmarks.public).
Every value is that of a plain check on the file's own numbers. `best_known.csv` beside a file (columns instance and
best...) is read to print the gap and for nothing else. Compiling is not counted; the bound has its own seconds.
"""

from __future__ import annotations

import argparse
import csv
import json
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "src")]

from benchmarks.public_bound import bound_of  # noqa: E402
from benchmarks.public_days import PublicDay, day_of  # noqa: E402
from benchmarks.public_files import WHERE, NotReadable, Problem, Verdict, read_problem  # noqa: E402
from benchmarks.public_peers import PEERS  # noqa: E402

from queueplanner.planning.engine import warm_up_pairs  # noqa: E402
from queueplanner.planning.progress import CancelToken  # noqa: E402
from queueplanner.planning.search import search  # noqa: E402

SEED = 1
BOUND_SECONDS = 5.0


@dataclass(frozen=True)
class Result:
    """One file's answer. `value` is None where no allowed answer was found; `why` tells what is wrong with the best."""

    file: str
    value: int | None
    bound: int | None
    seconds: float
    sequence: list[int]
    proven: bool = False
    why: str = ""
    threads: int = 0
    bound_seconds: float = 0.0
    best_known: int | None = None
    peers: dict[str, int | None] = field(default_factory=dict)


@dataclass(frozen=True)
class Tables:
    """What the search asks of a numbered day."""

    tables: object


def solve(day: PublicDay, seconds: float, threads: int, seed: int) -> tuple[list[int], Verdict, float]:
    """The planner's search: its best order in the file's numbers, the check of it, and the seconds it took."""
    began = time.perf_counter()
    found = search(
        Tables(day.tables),  # type: ignore[arg-type]
        day.starts(),
        seconds,
        seed,
        lambda _rows, _bound: None,
        CancelToken(),
        threads,
    )
    took = time.perf_counter() - began
    sequence = day.sequence(found.rows)
    return sequence, day.problem.check(sequence), took


def best_known(path: Path) -> int | None:
    """The published value of a file, from the table beside it."""
    table = path.parent / "best_known.csv"
    if not table.is_file():
        return None
    with table.open(encoding="utf-8", newline="") as rows:
        for row in csv.DictReader(rows):
            if row["instance"] == path.stem:
                return int(next(row[column] for column in row if column.startswith("best")))
    return None


def measure(path: Path, problem: Problem, wanted: argparse.Namespace) -> Result:
    """Search a file's problem, check the answer, bound it, and ask the peers if they are wanted."""
    day = day_of(problem)
    sequence, verdict, took = solve(day, wanted.seconds, wanted.threads, wanted.seed)
    began = time.perf_counter()
    bound = bound_of(problem, sequence, verdict.value, wanted.bound_seconds, wanted.threads)
    bound_took = time.perf_counter() - began
    peers = {}
    for name, ask in PEERS.items() if wanted.peers else ():
        answer = ask(problem, wanted.seconds, wanted.threads)
        peers[name] = None if answer is None else problem.check(answer).value
    return Result(
        file=str(path),
        value=verdict.value,
        bound=bound,
        seconds=round(took, 3),
        sequence=sequence,
        proven=bound is not None and bound == verdict.value,
        why=verdict.why,
        threads=wanted.threads,
        bound_seconds=round(bound_took, 3),
        best_known=best_known(path),
        peers=peers,
    )


def lines_of(results: Sequence[Result]) -> Iterator[str]:
    """The table: a line a file, gaps in per cent of the best known, a peer's value over ours."""
    peers = [name for name in PEERS if any(result.peers for result in results)]
    titles = ["file", "value", "bound", "best known", "gap %", "s", *(f"{peer} (ratio)" for peer in peers)]
    rows = [titles, *(_cells(result, peers) for result in results)]
    widths = [max(len(row[k]) for row in rows) for k in range(len(titles))]
    for row in rows:
        yield "  ".join([row[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True))])
    for result in results:
        if result.value is None:
            yield f"{Path(result.file).stem}: no allowed answer; in the best found {result.why}"


def _cells(result: Result, peers: Sequence[str]) -> list[str]:
    own = [_figure(x) for x in (result.value, result.bound, result.best_known)]
    theirs = [f"{_figure(result.peers[p])} ({_ratio(result.peers[p], result.value)})" for p in peers]
    return [Path(result.file).stem, *own, _gap(result), f"{result.seconds:.1f}", *theirs]


def _figure(value: int | None) -> str:
    return "–" if value is None else str(value)


def _ratio(theirs: int | None, ours: int | None) -> str:
    if theirs is None or ours is None:
        return "–"
    return f"{theirs / ours:.3f}" if ours else ("1.000" if theirs == 0 else "∞")


def _gap(result: Result) -> str:
    if result.value is None or result.best_known is None:
        return "–"
    if result.best_known == 0:
        return "0.00" if result.value == 0 else "∞"
    return f"{100 * (result.value / result.best_known - 1):.2f}"


def print_means(results: Sequence[Result]) -> None:
    """The mean gap where the best known is above nothing, and how many are reached."""
    known = [r for r in results if r.value is not None and r.best_known is not None]
    gaps = [100 * (r.value / r.best_known - 1) for r in known if r.best_known and r.value is not None]
    reached = sum(r.value <= r.best_known for r in known if r.value is not None and r.best_known is not None)
    if gaps:
        print(f"mean gap to the best known {sum(gaps) / len(gaps):.2f} % on {len(gaps)} files")
    if known:
        print(f"best known reached on {reached} of {len(known)} files")


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    parser.add_argument("--seconds", type=float, default=10.0, help="of search a file, compiling not counted")
    parser.add_argument("--bound-seconds", type=float, default=BOUND_SECONDS, help="for a tour's lower bound, after it")
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--json", type=Path, metavar="OUT", help="write all results to a file")
    parser.add_argument("--peers", action="store_true", help=f"run {', '.join(PEERS)} as long and on as many threads")
    return parser.parse_args()


def read_all(files: Sequence[Path]) -> list[tuple[Path, Problem]]:
    """All files read; leaves the program, and tells where files can be got, when one cannot be."""
    try:
        found = [(path, read_problem(path)) for path in files]
    except (NotReadable, OSError) as error:
        sys.exit(f"{error}\n{_where()}")
    if not found:
        sys.exit(f"No file was named.\n{_where()}")
    return found


def _where() -> str:
    return "\n".join(["The public files can be got from", *(f"  {what}: {where}" for what, where in WHERE.items())])


def main() -> None:
    wanted = arguments()
    problems = read_all(wanted.files)
    for _, problem in problems[:1]:
        warm_up_pairs(day_of(problem).tables)
    results = []
    for path, problem in problems:
        results.append(measure(path, problem, wanted))
        last = results[-1]
        print(f"{path.name}: {_figure(last.value)}, gap {_gap(last)} %, {last.seconds:.1f} s", flush=True)
        if wanted.json:
            written = {"results": [asdict(result) for result in results]}
            wanted.json.write_text(json.dumps(written, indent=1), encoding="utf-8")
    print(*lines_of(results), sep="\n")
    print_means(results)


if __name__ == "__main__":
    main()
