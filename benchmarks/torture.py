"""What is left of a record whose writers are killed at random moments: committed, lost and doubled, counted.

Run in the checkout: PYTHONPATH=src python -m benchmarks.torture --kills 30 --actions 40 [--url URL]

Each life opens the record, acts on two rows at once, now and then takes that back, and hands in events, the last of
them twice; after each commit it tells so. It is killed, as `kill -9` does, some time after a number of commits.
A server's record is written to as it is: give one that may be filled.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from pathlib import Path
from uuid import UUID

from queueplanner.record.events import PressEvent
from queueplanner.record.record import Record
from queueplanner.record.row import Row

#: Two rows that every act changes together.
LEFT, RIGHT = Row.job("left"), Row.job("right")
#: Longest wait after the last commit that a life is let live to see, seconds: about two commits.
LINGER_S = 0.003
#: A life that tells nothing for so long has hung, seconds.
HUNG_S = 60.0

Told = tuple[str, int]


def now() -> datetime:
    return datetime.now(UTC)


def live(where: str, number: int, actions: int, teller: Connection) -> None:
    """One life: so many steps, each told when it is committed."""
    with Record.open(where, clock=now, check=False) as record:
        teller.send(("born", number))
        for step in range(actions):
            for told in take_step(record, number, step):
                teller.send(told)
        teller.send(("done", number))


def take_step(record: Record, number: int, step: int) -> Iterator[Told]:
    """One step of a life: an act, sometimes its undo, two events of which the second is handed in again."""
    versions = {row: stored.version for row, stored in record.get_many([LEFT, RIGHT]).items()}
    body = {"life": number, "step": step}
    facts = {"code": 1_000_000 * number + step}
    record.act("step", facts, {LEFT: body, RIGHT: body}, station=f"life {number}", expected_versions=versions)
    yield "act", facts["code"]
    if step % 5 == 4:
        undone = record.undo(f"life {number}")
        assert undone is not None
        yield "undo", facts["code"]
    events = [event(number, 2 * step), event(number, 2 * step + 1)]
    record.add_events(events)
    yield "events", facts["code"]
    record.add_events(events[1:])


def event(number: int, serial: int) -> PressEvent:
    own_id = str(UUID(int=(number << 64) + serial))
    return PressEvent(own_id, "press", int(now().timestamp()), "sheets", {"serial": serial}, f"life {number}")


@dataclass
class Tally:
    """What was told as committed, what was found, and what is wrong with it."""

    told: list[Told] = field(default_factory=list)
    found: int = 0
    lost: int = 0
    doubled: int = 0
    torn: int = 0
    damage: str | None = None
    lives: int = 0

    def __str__(self) -> str:
        return (
            f"lives {self.lives}, told {len(self.told)}, committed {self.found}, lost {self.lost}, "
            f"doubled {self.doubled}, torn {self.torn}, damage {self.damage or 'none'}"
        )


def torture(where: str, kills: int, actions: int, seed: int) -> Tally:
    """Let so many lives begin and kill each; then count."""
    chance = random.Random(seed)
    context = writers()
    tally = Tally()
    first = int(time.time()) << 16  # a server's record may hold lives of another run
    for number in range(first, first + kills):
        tally.told += killed_life(context, where, number, actions, chance)
        tally.lives += 1
        check(where, tally, range(first, number + 1), whole=number == first + kills - 1)
    return tally


def writers() -> BaseContext:
    """How processes begin: from one that has loaded everything, where that can be had."""
    if sys.platform == "win32":
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["queueplanner.record.record"])
    return context


def killed_life(context: BaseContext, where: str, number: int, actions: int, chance: random.Random) -> list[Told]:
    """What one life told before it was killed."""
    ear, teller = context.Pipe(duplex=False)
    process = context.Process(target=live, args=(where, number, actions, teller))  # type: ignore[attr-defined]
    process.start()
    teller.close()
    told: list[Told] = []
    wait_for = chance.randrange(1, 2 * actions)
    linger = chance.uniform(0, LINGER_S)
    for word in heard(ear):
        told.append(word)
        if len(told) > wait_for:
            break
    time.sleep(linger)
    process.kill()
    told += heard(ear)
    process.join()
    ear.close()
    return [word for word in told if word[0] not in ("born", "done")]


def heard(ear: Connection) -> Iterator[Told]:
    """What a life tells, to its end."""
    try:
        while ear.poll(HUNG_S):
            yield ear.recv()
    except (EOFError, OSError):
        return


def check(where: str, tally: Tally, lives: range, *, whole: bool) -> None:
    """Open the record as a start after a crash would; at the end, count what is there."""
    with Record.open(where, clock=now, check=whole) as record:
        stored = record.get_many([LEFT, RIGHT])
        tally.torn += stored[LEFT] != stored[RIGHT]
        if whole:
            count(record, tally, {f"life {number}" for number in lives})


def count(record: Record, tally: Tally, stations: set[str]) -> None:
    """Hold what is there against what was told."""
    found: Counter[Told] = Counter()
    last = 0
    while actions := record.changes_since(last):
        last = actions[-1].id
        ours = [a for a in actions if a.station in stations]
        found.update(("undo" if a.undoes else "act", a.facts["code"]) for a in ours)
    events: Counter[str] = Counter()
    seq = 0
    while stored := record.events(seq):
        seq = stored[-1].seq
        events.update(e.event.own_id for e in stored if e.event.station in stations)
    tally.found = found.total() + events.total()
    tally.doubled = sum(n - 1 for n in (*found.values(), *events.values()))
    for kind, code in tally.told:
        number, step = divmod(code, 1_000_000)
        if kind != "events":
            tally.lost += (kind, code) not in found
        else:
            tally.lost += sum(event(number, 2 * step + k).own_id not in events for k in (0, 1))
    broken = record.verify_events()
    tally.damage = None if broken is None else str(broken)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=30, help="how many writers are killed")
    parser.add_argument("--actions", type=int, default=40, help="the most steps a writer takes")
    parser.add_argument("--url", help="address of the record; without one, a file in a folder of its own")
    parser.add_argument("--seed", type=int, default=1, help="of the moments of killing")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        where = asked.url or str(Path(folder) / "record.sqlite")
        begin = time.perf_counter()
        print(torture(where, asked.kills, asked.actions, asked.seed))
        print(f"{time.perf_counter() - begin:.1f} s")


if __name__ == "__main__":
    main()
