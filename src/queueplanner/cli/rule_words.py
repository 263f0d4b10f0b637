"""Words of the command line that fix something of an order, and moments of the plan's day."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, time
from itertools import pairwise
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from queueplanner.shop.errors import BadInput, Problem

if TYPE_CHECKING:
    from queueplanner.planning.instance import Instance
    from queueplanner.planning.order_rules import OrderRules
    from queueplanner.shop.base import PassId

_CLOCK = re.compile(r"(\d{1,2}):(\d\d)")


def add_rule_words(command: argparse.ArgumentParser) -> None:
    """The options that fix something of an order."""
    rules = command.add_argument_group("what is fixed of the order (each may be given again)")
    rules.add_argument("--pin", action="append", default=[], metavar="ID=PLACE", help="a pass at a place, 1 first")
    rules.add_argument("--together", action="append", default=[], metavar="ID,ID", help="these passes side by side")
    rules.add_argument("--in-turn", action="append", default=[], metavar="ID,ID", help="the second after the first")
    rules.add_argument(
        "--not-before", action="append", default=[], metavar="ID=MOMENT", help="set up no sooner than HH:MM that day"
    )


def moment_of(text: str, day: date, zone: ZoneInfo, option: str) -> int:
    """HH:MM of a day, or a whole local date and time, in epoch seconds. Raises BadInput."""
    from queueplanner.exchange.local_time import LocalTimeError, local_moment

    try:
        written = text.strip()
        clock = _CLOCK.fullmatch(written)
        local = datetime.combine(day, time(int(clock[1]), int(clock[2]))) if clock else None
        moment = local or datetime.fromisoformat(written)
        return int((moment if moment.tzinfo is not None else local_moment(moment, zone)).timestamp())
    except LocalTimeError as error:
        raise BadInput([Problem(option, None, None, f"'{text}'", error.wanted)]) from None
    except ValueError:
        wanted = "write a time of the plan's day as HH:MM, or YYYY-MM-DD HH:MM"
        raise BadInput([Problem(option, None, None, f"'{text}'", wanted)]) from None


def rules_of(words: argparse.Namespace, instance: Instance) -> OrderRules:
    """The rules that some words fix. Raises BadInput with all that is wrong with them."""
    from queueplanner.planning.order_rules import OrderRules

    reading = _Reading(instance)
    rules = OrderRules(
        places=dict(reading.places(words.pin)),
        together=tuple(reading.groups(words.together)),
        turns=tuple(reading.turns(words.in_turn)),
        not_before=dict(reading.moments(words.not_before)),
    )
    if reading.problems:
        raise BadInput(reading.problems)
    return rules


class _Reading:
    """Reads rules and notes every problem."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.problems: list[Problem] = []

    def _note(self, option: str, found: str, wanted: str) -> None:
        self.problems.append(Problem(option, None, None, found, wanted))

    def pass_called(self, text: str, option: str) -> PassId | None:
        """The pass of a name; a problem is noted where there is none."""
        from queueplanner.exchange.near import folded, shown, suggestion

        names = {folded(p): p for p in self.instance.passes}
        found = names.get(folded(text))
        if found is None:
            self._note(option, f"no pass {shown(text)} in the job list", suggestion(text, names.values(), "pass"))
        return found

    def _split(self, text: str, option: str) -> tuple[PassId, str] | None:
        name, sign, value = text.rpartition("=")
        if not sign:
            self._note(option, f"'{text}'", "write the pass, an equals sign and the value")
            return None
        found = self.pass_called(name, option)
        return None if found is None else (found, value)

    def places(self, texts: Iterable[str]) -> Iterator[tuple[PassId, int]]:
        """Pins; places are counted from 1."""
        most, taken = len(self.instance.unstarted), set[int]()
        for text in texts:
            told = self._split(text, "--pin")
            if told is None:
                continue
            pass_id, place = told
            if not place.strip().isdecimal() or not 1 <= int(place) <= most:
                self._note("--pin", f"place '{place}'", f"write a place from 1 to {most}")
            elif int(place) in taken:
                self._note("--pin", f"place {place} twice", "pin one pass to a place")
            else:
                taken.add(int(place))
                yield pass_id, int(place) - 1

    def _row(self, text: str, option: str) -> list[PassId]:
        names = [name.strip() for name in text.split(",") if name.strip()]
        passes = [p for p in (self.pass_called(name, option) for name in names) if p is not None]
        if len(passes) == len(names) and len(set(passes)) < max(2, len(passes)):
            self._note(option, f"'{text}'", "write two passes or more, each once, with commas between")
            return []
        return passes if len(passes) == len(names) else []

    def groups(self, texts: Iterable[str]) -> Iterator[frozenset[PassId]]:
        """Passes kept together; groups that share a pass become one."""
        groups: list[frozenset[PassId]] = []
        for text in texts:
            new = frozenset(self._row(text, "--together"))
            if new:
                shared = [group for group in groups if group & new]
                groups = [group for group in groups if not group & new] + [new.union(*shared)]
        yield from groups

    def turns(self, texts: Iterable[str]) -> Iterator[tuple[PassId, PassId]]:
        """Pairs in turn; a longer row is each with the next."""
        for text in texts:
            passes = self._row(text, "--in-turn")
            yield from pairwise(passes)

    def moments(self, texts: Iterable[str]) -> Iterator[tuple[PassId, int]]:
        """Earliest moments."""
        zone = self.instance.shop.calendar.zone
        day = datetime.fromtimestamp(self.instance.start_at, zone).date()
        for text in texts:
            told = self._split(text, "--not-before")
            if told is None:
                continue
            try:
                yield told[0], moment_of(told[1], day, zone, "--not-before")
            except BadInput as error:
                self.problems += error.problems


def passes_called(instance: Instance, texts: Sequence[str], option: str) -> list[PassId]:
    """The passes of some names. Raises BadInput with all that are not in the list."""
    reading = _Reading(instance)
    found = [reading.pass_called(text, option) for text in texts]
    if reading.problems:
        raise BadInput(reading.problems)
    return [p for p in found if p is not None]
