"""Random acts, undos and redos of two stations end where a plain dictionary ends; undo to the start is the start."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from queueplanner.record import connection
from queueplanner.record.errors import Conflict
from queueplanner.record.record import Record
from queueplanner.record.row import Row
from tests.record.rig import open_record

ROWS = (Row.job("1047"), Row.job("1053"), Row.learned("wash_rollers.minutes"))
STATIONS = ("desk", "office")
stations = st.sampled_from(STATIONS)
bodies = st.none() | st.fixed_dictionaries({"n": st.integers(0, 3)})
changes = st.dictionaries(st.sampled_from(ROWS), bodies, min_size=1)
#: A body, and a number for whose hand it is from: the same words of another hand are another content.
Content = tuple[dict[str, int] | None, int]


class Acts(RuleBasedStateMachine):
    """The record beside a dictionary, and for each station the lists of what it did and what it took back."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.record = open_record(self.folder)
        self.model: dict[Row, Content] = dict.fromkeys(ROWS, (None, 0))
        self.versions = dict.fromkeys(ROWS, 0)
        self.hands = 0
        self.done: dict[str, list[Any]] = {s: [] for s in STATIONS}
        self.taken_back: dict[str, list[Any]] = {s: [] for s in STATIONS}

    @initialize()
    def start(self) -> None:
        assert self.record.last_action() == 0

    @rule(station=stations, changes=changes)
    def act(self, station: str, changes: dict[Row, dict[str, int] | None]) -> None:
        self.hands += 1
        before = {row: self.model[row] for row in changes}
        after = {row: (body, self.hands) for row, body in changes.items()}
        expected = {row: self.versions[row] for row in changes}
        self.record.act("change", {}, changes, station=station, expected_versions=expected)
        self.done[station].append((before, after))
        self.taken_back[station].clear()
        self._put(after)

    @rule(station=stations, row=st.sampled_from(ROWS), off=st.sampled_from((-1, 1)))
    def act_on_a_stale_version(self, station: str, row: Row, off: int) -> None:
        with pytest.raises(Conflict):
            self.record.act("change", {}, {row: {}}, station=station, expected_versions={row: self.versions[row] + off})

    @rule(station=stations)
    def undo(self, station: str) -> None:
        self._walk(station, self.done, self.taken_back, self.record.undo, back=True)

    @rule(station=stations)
    def redo(self, station: str) -> None:
        self._walk(station, self.taken_back, self.done, self.record.redo, back=False)

    @rule()
    def reopen(self) -> None:
        self.record.close()
        self.record = open_record(self.folder)

    @invariant()
    def agrees(self) -> None:
        found = self.record.get_many(ROWS)
        assert {row: s.body for row, s in found.items()} == {row: body for row, (body, _) in self.model.items()}
        assert {row: s.version for row, s in found.items()} == self.versions
        for station in STATIONS:
            assert (self.record.next_undo(station) is None) == (not self.done[station])
            assert (self.record.next_redo(station) is None) == (not self.taken_back[station])

    def teardown(self) -> None:
        try:
            self._undo_to_the_start()
        finally:
            self.record.close()
            shutil.rmtree(self.folder)

    def _undo_to_the_start(self) -> None:
        """Each station in turn, as far as the other's work allows; nothing is in the way of both at once."""
        while any(self.done.values()):
            left = sum(map(len, self.done.values()))
            for station in STATIONS:
                self.undo(station)
            self.agrees()
            if sum(map(len, self.done.values())) == left:
                for station in STATIONS:  # crossed: each stands on the other's work
                    assert self.record.give_up_undo(station) is not None
                return
        assert {row: body for row, (body, _) in self.model.items()} == dict.fromkeys(ROWS)

    def _walk(self, station: str, of: Any, to: Any, walk: Any, *, back: bool) -> None:
        if not of[station]:
            assert walk(station) is None
            return
        start, end = of[station][-1] if not back else of[station][-1][::-1]
        if any(self.model[row] != content for row, content in start.items()):
            with pytest.raises(Conflict):
                walk(station)
            return
        assert walk(station) is not None
        to[station].append(of[station].pop())
        self._put(end)

    def _put(self, contents: dict[Row, Content]) -> None:
        self.model |= contents
        for row in contents:
            self.versions[row] += 1


class Alone(RuleBasedStateMachine):
    """One station: undo as often as there were acts, and everything is as it was at the start."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.record: Record = open_record(self.folder)
        self.states: list[dict[Row, object]] = [dict.fromkeys(ROWS)]
        self.place = 0

    @rule(changes=changes)
    def act(self, changes: dict[Row, dict[str, int] | None]) -> None:
        expected = {row: s.version for row, s in self.record.get_many(list(changes)).items()}
        self.record.act("change", {}, changes, station="desk", expected_versions=expected)
        self.states[self.place + 1 :] = [self.states[self.place] | changes]
        self.place += 1

    @rule()
    def undo(self) -> None:
        assert (self.record.undo("desk") is None) == (self.place == 0)
        self.place = max(0, self.place - 1)

    @rule()
    def redo(self) -> None:
        assert (self.record.redo("desk") is None) == (self.place == len(self.states) - 1)
        self.place = min(len(self.states) - 1, self.place + 1)

    @invariant()
    def agrees(self) -> None:
        assert {row: s.body for row, s in self.record.get_many(ROWS).items()} == self.states[self.place]

    def teardown(self) -> None:
        try:
            while self.record.undo("desk") is not None:
                pass
            self.place = 0
            self.agrees()
        finally:
            self.record.close()
            shutil.rmtree(self.folder)


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without waiting for the disk: what is tested here does not hang on it."""
    settings_here = tuple((n, v, w) if n != "synchronous" else (n, "OFF", 0) for n, v, w in connection.SETTINGS)
    monkeypatch.setattr(connection, "SETTINGS", settings_here)


class TestActs(Acts.TestCase):  # type: ignore[misc]
    settings = settings(max_examples=15, stateful_step_count=20)


class TestAlone(Alone.TestCase):  # type: ignore[misc]
    settings = settings(max_examples=10, stateful_step_count=15)
