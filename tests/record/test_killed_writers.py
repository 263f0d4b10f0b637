"""Writers killed as `kill -9` does, at random moments: nothing told as committed is lost, nothing doubled or torn."""

from __future__ import annotations

from pathlib import Path

from benchmarks.torture import Tally, count, event, take_step, torture

from tests.record.rig import open_record


def test_killed_writers_lose_nothing_that_was_committed(tmp_path: Path) -> None:
    tally = torture(str(tmp_path / "record.sqlite"), kills=30, actions=4, seed=3)
    assert (tally.lost, tally.doubled, tally.torn, tally.damage, tally.lives) == (0, 0, 0, None, 30)
    assert len(tally.told) >= 60
    assert tally.found >= len(tally.told)
    open_record(tmp_path).close()


def test_the_count_sees_what_is_lost(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        told = [word for step in range(5) for word in take_step(record, 1, step)]
        tally = Tally(told)
        count(record, tally, {"life 1"})
        assert (len(told), tally.found, tally.lost, tally.doubled) == (11, 5 + 1 + 10, 0, 0)
        tally = Tally([*told, ("act", 1_000_005), ("undo", 1_000_000), ("events", 1_000_005)])
        count(record, tally, {"life 1"})
        assert tally.lost == 4


def test_the_count_sees_what_is_doubled(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        told = list(take_step(record, 1, 0))
        list(take_step(record, 1, 0))
        record.add_events([event(1, 0)])
        tally = Tally(told)
        count(record, tally, {"life 1"})
        assert (tally.lost, tally.doubled) == (0, 1)
