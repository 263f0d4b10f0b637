"""Changeovers made up at random: realistic ones after the task table, and abstract ones of any shape."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from queueplanner.makeready.crew import CrewTask, Mode

FEEDER, DELIVERY, UNIT_1, UNIT_2, BLANKET, DAMPENING, MIXING_TABLE, ELSEWHERE = range(8)

#: Place, mode and default minutes of the tasks that are not done in a unit (judgement, no source).
SHEET_TASKS = {
    "pile off": (DELIVERY, Mode.OUTSIDE, 1),
    "load": (FEEDER, Mode.OUTSIDE, 2),
    "turn": (FEEDER, Mode.OUTSIDE, 3),
    "feeder to format": (FEEDER, Mode.STOPPED, 3),
    "lay side": (FEEDER, Mode.STOPPED, 1.5),
    "feeder to caliper": (FEEDER, Mode.STOPPED, 2),
    "detector": (FEEDER, Mode.TURNING, 1),
    "delivery to format": (DELIVERY, Mode.STOPPED, 1.5),
    "pulleys": (DELIVERY, Mode.STOPPED, 1),
    "gripper": (DELIVERY, Mode.TURNING, 1),
    "retime": (DELIVERY, Mode.TURNING, 2),
    "blankets": (BLANKET, Mode.TURNING, 1.5),
    "dampening": (DAMPENING, Mode.STOPPED, 10),
    "tack": (MIXING_TABLE, Mode.OUTSIDE, 1.5),
    "register": (DELIVERY, Mode.TURNING, 3),
    "check": (DELIVERY, Mode.TURNING, 1),
}

#: Mode and default minutes of those that are.
UNIT_TASKS = {
    "pressure": (Mode.STOPPED, 1),
    "lift": (Mode.STOPPED, 4),
    "off": (Mode.STOPPED, 1.5),
    "on": (Mode.STOPPED, 2),
    "packing": (Mode.STOPPED, 2),
    "pre-damp": (Mode.TURNING, 0.5),
    "gum": (Mode.TURNING, 0.5),
    "empty": (Mode.STOPPED, 2),
    "wash": (Mode.TURNING, 5),
    "oil": (Mode.TURNING, 1),
    "fill": (Mode.TURNING, 3),
}

_SAME_UNIT = (
    ("lift", "off"),
    ("pre-damp", "off"),
    ("off", "packing"),
    ("off", "wash"),
    ("off", "on"),
    ("packing", "on"),
    ("wash", "on"),
    ("empty", "wash"),
    ("wash", "fill"),
    ("wash", "oil"),
)
_SHEET = (
    *(("pile off", later) for later in ("delivery to format", "pulleys", "gripper", "retime")),
    ("feeder to format", "load"),
    ("lay side", "load"),
    ("load", "turn"),
    *((earlier, "detector") for earlier in ("feeder to format", "lay side", "feeder to caliper", "load", "turn")),
    ("tack", "fill 2"),
    ("register", "check"),
)
_BINDINGS = (*_SHEET, *((f"{a} {unit}", f"{b} {unit}") for unit in (1, 2) for a, b in _SAME_UNIT))

_Row = tuple[int, int, Mode]


class _Changeover:
    """The tasks of one changeover, by name, as they come together."""

    def __init__(self, rng: Random, spread: float) -> None:
        self.rng, self.spread = rng, spread
        self.busy = rng.choice([0.2, 0.35, 0.5, 0.7, 0.9])
        self.rows: dict[str, _Row] = {}

    def likely(self, chance: float | None = None) -> bool:
        """A throw of the dice; how much of everything changes decides where no chance is given."""
        return self.rng.random() < (self.busy if chance is None else chance)

    def add(self, name: str, place: int, mode: Mode, minutes: float) -> None:
        seconds = int(minutes * 60 + 0.5)
        if self.spread:
            seconds = max(1, int(seconds * (1 + self.rng.uniform(-self.spread, self.spread)) + 0.5))
        self.rows[name] = (seconds, place, mode)

    def sheet(self, *names: str) -> None:
        for name in names:
            self.add(name, *SHEET_TASKS[name])

    def unit(self, number: int, *names: str) -> None:
        for name in names:
            mode, minutes = UNIT_TASKS[name]
            self.add(f"{name} {number}", UNIT_1 + number - 1, mode, minutes)


def changeover(rng: Random, spread: float = 0.0) -> list[CrewTask]:
    """A realistic changeover. `spread` alters every task's seconds by up to that share, as a shop's own figures do."""
    made = _Changeover(rng, spread)
    _sheet_tasks(made)
    used = rng.choice([(1, 2), (1, 2), (1, 2), (1,), (2,)])
    by_hand = made.likely(0.6)
    for number in (1, 2):
        _unit_tasks(made, number, number in used, by_hand)
    if "fill 2" in made.rows and made.likely(0.15):
        made.sheet("tack")
    if "feeder to format" in made.rows or any(name[:2] in ("of", "on", "fi") for name in made.rows):
        made.sheet("blankets")
    if made.likely(0.08 * made.busy):
        made.sheet("dampening")
    for k in range(rng.choice([0, 0, 0, 0, 1, 1, 2])):
        place = rng.choice([FEEDER, DELIVERY, UNIT_1, UNIT_2, ELSEWHERE])
        made.add(f"own {k}", place, rng.choice(list(Mode)), rng.choice([1, 2, 3, 4, 5, 8, 10]))
    return _bound(made)


def _sheet_tasks(made: _Changeover) -> None:
    likely, sheet = made.likely, made.sheet
    sheet("load")
    if likely(0.95):
        sheet("pile off")
    if likely(0.6 * made.busy):
        sheet("turn")
    if likely():
        sheet("feeder to format", "delivery to format", "pulleys")
    elif likely():
        sheet("pulleys")
    if likely(0.6 * made.busy):
        sheet("lay side")
    if likely():
        sheet("feeder to caliper", "gripper")
        made.unit(1, "pressure")
        made.unit(2, "pressure")
        if likely():
            sheet("retime")
    if likely() or {"feeder to format", "lay side", "feeder to caliper"} & made.rows.keys():
        sheet("detector")


def _unit_tasks(made: _Changeover, number: int, used: bool, by_hand: bool) -> None:
    likely = made.likely
    off = likely(max(made.busy, 0.6) if used else 0.2)
    if off:
        made.unit(number, "off", *(["lift"] if by_hand and number == 2 else []))
    if used and (off or likely(0.15)):
        made.unit(number, "on", *(["packing"] if off and likely(0.25) else []))
    if likely(0.1):
        made.unit(number, "pre-damp")
    elif not used and not off and likely(0.4):
        made.unit(number, "gum")
    emptied = likely(max(0.4, 0.8 * made.busy) if used else 0.25)
    if emptied:
        made.unit(number, "empty")
        washes = made.rng.choice([1, 1, 1, 2, 2, 3, 4])
        made.add(f"wash {number}", UNIT_1 + number - 1, Mode.TURNING, 5 + 4 * (washes - 1))
    if not used and emptied:
        made.unit(number, "oil")
    if used and (emptied or likely(0.15)):
        made.unit(number, "fill")
    if not by_hand:
        for name in [n for n in (f"off {number}", f"on {number}") if n in made.rows]:
            made.add(name, UNIT_1 + number - 1, Mode.STOPPED, 0.5)


def _bound(made: _Changeover) -> list[CrewTask]:
    """The tasks as one person does them, with what binds them; register and check last."""
    made.sheet(*(["register"] if made.likely(0.9) else []), "check")
    names = list(made.rows)
    offs, ons = ([n for n in names if n.startswith(word)] for word in ("off ", "on "))
    bindings = [
        *_BINDINGS,
        *((off, "blankets") for off in offs),
        *(("blankets", on) for on in ons),
        *((name, last) for name in names for last in ("register", "check") if name not in ("register", "check")),
    ]
    before = {name: [a for a, b in bindings if b == name and a in made.rows] for name in names}
    order: list[str] = []
    while len(order) < len(names):
        order.append(next(n for n in names if n not in order and all(a in order for a in before[n])))
    return [CrewTask(*made.rows[n], frozenset(order.index(a) for a in before[n])) for n in order]


def abstract_tasks(rng: Random, n: int) -> list[CrewTask]:
    """n tasks of any shape: few or many places, short or long, loosely or closely bound, some of 0 s."""
    longest = rng.choice([4, 20, 300])
    places = rng.choice([1, 2, 3, 5, 9])
    share = rng.choice([0.05, 0.15, 0.3, 0.6])
    modes = rng.choices(list(Mode), rng.choice([(1, 1, 1), (1, 0, 0), (1, 3, 3), (0, 1, 1)]), k=n)
    rank = rng.sample(range(n), n)
    return [
        CrewTask(
            rng.randint(0 if rng.random() < 0.1 else 1, longest),
            rng.randrange(places),
            modes[i],
            frozenset(j for j in range(n) if rank[j] < rank[i] and rng.random() < share),
        )
        for i in range(n)
    ]


def changeovers(seed: int, count: int, spread: float = 0.0) -> Iterable[list[CrewTask]]:
    """Some realistic changeovers, always the same for a seed."""
    rng = Random(seed)
    return (changeover(rng, spread) for _ in range(count))
