"""How fast the two-person schedule is: sizes, gain over one person, times compiled and plain, ratio to CP-SAT.

Run in the checkout: PYTHONPATH=src python -m benchmarks.crew [--sets 3000] [--cp-sat 60]
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from statistics import fmean, median

import numpy as np

from queueplanner.makeready.compiled import IS_COMPILED
from queueplanner.makeready.crew import CrewTask, critical_path, makespan
from queueplanner.makeready.crew_kernel import Ints, two_person_seconds
from queueplanner.makeready.uncompiled import plain
from tests.crew_oracle import cp_sat_makespan
from tests.generated_changeovers import changeovers

SEED = 2
CP_SAT_LIMIT_S = 20.0
DAY = 1500  # distinct sets of tasks that a day of 40 passes asks for

Arrays = tuple[int, Ints, Ints, Ints, Ints]


def arrays(tasks: Sequence[CrewTask]) -> Arrays:
    columns = (
        [t.seconds for t in tasks],
        [t.place for t in tasks],
        [int(t.mode) for t in tasks],
        [sum(1 << j for j in t.after) for t in tasks],
    )
    seconds, place, mode, before = (np.array(c, dtype=np.int64) for c in columns)
    return len(tasks), seconds, place, mode, before


def timed(solve: Callable[..., int], sets: Sequence[Arrays]) -> list[float]:
    """Milliseconds of processor time for each."""
    taken = []
    for each in sets:
        begin = time.thread_time()
        solve(*each)
        taken.append(1000 * (time.thread_time() - begin))
    return taken


def print_sizes(sets: Sequence[Sequence[CrewTask]]) -> None:
    sizes = [len(tasks) for tasks in sets]
    two = [makespan(tasks, 2) for tasks in sets]
    one = [makespan(tasks, 1) for tasks in sets]
    floor = [max(critical_path(tasks), (alone + 1) // 2) for tasks, alone in zip(sets, one, strict=True)]
    print(f"  tasks            {min(sizes)} to {max(sizes)}, mean {fmean(sizes):.1f}")
    print(f"  26 or more tasks {sum(size >= 26 for size in sizes)} of {len(sizes)} sets")
    print(f"  two / one person {sum(two) / sum(one):.3f}")
    print(f"  two / max(critical path, half the work) {sum(two) / sum(floor):.3f}")


def print_times(name: str, taken: Sequence[float]) -> None:
    tail = np.quantile(taken, [0.99, 0.999])
    print(
        f"  {name:<9} {len(taken):>6} sets: median {median(taken):.3f}, mean {fmean(taken):.3f}, 99 % {tail[0]:.2f}, "
        f"99.9 % {tail[1]:.1f}, most {max(taken):.1f} ms"
    )


def print_ratio_to_cp_sat(sets: Sequence[Sequence[CrewTask]]) -> None:
    """Wall time on one thread each; a set that CP-SAT leaves open counts with its limit."""
    ours, theirs, left_open = 0.0, 0.0, 0
    for tasks in sets:
        begin = time.perf_counter()
        found = two_person_seconds(*arrays(tasks))
        ours += time.perf_counter() - begin
        begin = time.perf_counter()
        proven = cp_sat_makespan(tasks, CP_SAT_LIMIT_S)
        theirs += time.perf_counter() - begin
        if proven is None:
            left_open += 1
        elif proven != found:
            raise SystemExit(f"CP-SAT finds {proven} s where the search finds {found} s: {tasks}")
    print(f"  CP-SAT takes {theirs / ours:.0f} times as long on {len(sets)} sets; {left_open} left open")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sets", type=int, default=3000, help="changeovers timed compiled")
    parser.add_argument("--cp-sat", type=int, default=60, help="of those, how many CP-SAT has to solve too")
    wanted = parser.parse_args()
    for title, spread in (("default minutes", 0.0), ("a shop's own seconds, up to 30 % off", 0.3)):
        sets = list(changeovers(SEED, wanted.sets, spread))
        coded = [arrays(tasks) for tasks in sets]
        two_person_seconds(*coded[0])
        print(title)
        print_sizes(sets)
        taken = timed(two_person_seconds, coded)
        print_times("compiled" if IS_COMPILED else "plain", taken)
        print(f"  a day of {DAY} distinct sets: {fmean(taken) * DAY / 1000:.2f} s")
        print_times("plain", timed(plain(two_person_seconds), coded[: max(1, wanted.sets // 20)]))
        if wanted.cp_sat:
            print_ratio_to_cp_sat(sets[: wanted.cp_sat])


if __name__ == "__main__":
    main()
