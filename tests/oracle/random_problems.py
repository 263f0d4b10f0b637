"""Small varied problems by seed, made to meet every rule: odd calendars, old inks, shared plates, unknowns.

The same seed always gives the same problem; minutes are such that every duration is whole seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from fractions import Fraction
from random import Random

from tests.oracle.problem import (
    DEFAULT_MINUTES,
    Ink,
    Job,
    Order,
    OwnTask,
    Pass,
    Plate,
    PressState,
    Problem,
    Profile,
    Separation,
    Settings,
    Shift,
    Stock,
    Task,
    TaskId,
    UnitState,
)

MIDNIGHT = 20_833 * 86_400
HOUR = 3600
INKS = ("black", "blue", "red", "navy", "pale")
LIGHTNESS = {"black": "16", "blue": "48", "red": "48.1", "navy": "16.05", "pale": "89"}
FORMATS = (("320", "450"), ("320", "450.5"), ("320", "451"), ("297", "420"), ("210", "297"))
CALIPERS = {"bond": 100, "offset": 110, "coated": 111, "bible": 58, "film": 60, "board": 250, "card": 270}
SHIFTS: tuple[tuple[tuple[int, int], ...], ...] = (
    ((8, 17),),
    ((8, 12),),
    ((6, 14), (14, 22)),
    ((7, 11), (13, 18)),
    ((6, 10), (15, 20)),
    ((0, 12), (12, 24)),
)
"""Hours of a date's shifts: long, short, touching, a gap within the day, two working days a date, no night."""
BREAKS: tuple[tuple[tuple[float, float], ...], ...] = (
    (),
    ((9, 0.25), (12, 0.5)),
    ((12, 1.5),),
    ((10, 0.5), (10.5, 0.5)),
    ((11.5, 0.5), (8, 0.25)),
    ((16.5, 0.5), (13, 0.75)),
)
"""Hour a break begins and hours it lasts: short, long, touching each other, at a shift's start or end."""
OWN_FACTS = ("stock", "format", "lay_side", "caliper", "plate", "ink_filled", "backs_up")


def random_case(seed: int) -> tuple[Problem, Order]:
    """A problem and one order for it; about one in ten is to be refused."""
    rng = Random(seed)
    problem = random_problem(rng)
    return problem, random_order(problem, rng)


def random_problem(rng: Random) -> Problem:
    """Two to nine passes with everything they need."""
    profile = random_profile(rng)
    inks = random_inks(rng)
    plates = random_plates(rng)
    speeds = {name: rng.choice(("3000", "4000", "5000", "7200")) for name in CALIPERS}
    shifts, breaks = random_calendar(rng)
    start = MIDNIGHT + rng.choice((0, 7, 8, 9, 12, 13, 16, 17, 21)) * HOUR + rng.randrange(0, 3600, 300)
    jobs, passes = random_passes(rng, profile, plates, start)
    problem = Problem(
        profile=profile,
        inks=inks,
        plates=plates,
        stocks={name: Stock(name, CALIPERS[name], speed) for name, speed in speeds.items()},
        jobs=jobs,
        passes=passes,
        washes={(old, new): rng.choice((1, 1, 2, 2, 3, 4)) for old in inks for new in inks if old != new},
        start=start,
        state=random_state(rng, profile, plates, start),
        shifts=shifts,
        breaks=breaks,
        printed={
            one.first_side: rng.choice((None, start - rng.randrange(8 * HOUR)))
            for one in passes.values()
            if one.first_side and one.first_side not in passes
        },
    )
    return with_begun_day(rng, problem) if rng.random() < 0.3 else problem


def random_profile(rng: Random) -> Profile:
    """One unit or two, by hand or automatic, with a few of the shop's own tasks and external marks."""
    own = tuple(
        OwnTask(
            name=name,
            place=rng.choice(("feeder", "delivery", "unit 1", "blanket", "mixing table")),
            state=state,
            minutes=rng.choice(("0.5", "2", "4.5")),
            facts=frozenset(rng.sample(OWN_FACTS, rng.choice((0, 1, 2)))),
        )
        for name, state in (("numbering", "stopped"), ("perforating", "turning"), ("labels", "outside"))
        if rng.random() < 0.5
    )
    own_marks = [f"own:{one.name}" for one in own if one.state == "outside"]
    external = {mark for mark in ("load_pile", "turn_pile", "reduce_tack", *own_marks) if rng.random() < 0.4}
    if rng.random() < 0.01:
        external.add(rng.choice(("take_off_delivery_pile", "wash_rollers")))
    minutes = dict(DEFAULT_MINUTES)
    for key in rng.sample(sorted(minutes), 5):
        minutes[key] = rng.choice(("0.5", "1.25", "3", "6.75"))
    return Profile(
        units=1 if rng.random() < 0.15 else 2,
        minutes=minutes,
        separate_blankets=rng.random() < 0.5,
        idle_unit_thrown_off=rng.random() < 0.75,
        automatic_length_um=rng.choice((None, 400_000, 459_000)),
        may_cross_nights=rng.random() < 0.5,
        external=frozenset(external),
        own_tasks=own,
        feeder_pile_um=rng.choice((120_000, 500_000)),
        delivery_pile_um=rng.choice((90_000, 400_000)),
    )


def random_inks(rng: Random) -> dict[str, Ink]:
    """Inks that stand twenty minutes or two nights; tack known or not, on one instrument or two."""
    hours = ("1/3", "2/3", "1", "2", "5", "11", "15", "17", "40", "90")
    return {
        name: Ink(
            id=name,
            lightness=LIGHTNESS[name],
            open_seconds=int(Fraction(rng.choice(hours)) * HOUR),
            tack=rng.choice((None, "11", "12.5", "12.5", "14")),
            instrument=rng.choice(("A", "A", "A", "B")),
            family="UV" if rng.random() < 0.004 else "conventional",
        )
        for name in INKS
    }


def random_plates(rng: Random) -> dict[str, Plate]:
    """A few plates of each material, so that passes share them."""
    found = {}
    lengths_of = {"metal": (400_000, 459_000), "polyester": (400_000, 405_000), "paper": (400_000,)}
    for material, lengths in lengths_of.items():
        for number in range(rng.choice((2, 3, 4))):
            thickness = rng.choice((100, 120, 121, 150, 200, 300))
            if rng.random() < 0.002:
                thickness = 320
            plate = Plate(f"{material} {number}", material, rng.choice(lengths), thickness)
            found[plate.id] = plate
    return found


def random_calendar(rng: Random) -> tuple[tuple[Shift, ...], tuple[tuple[int, int], ...]]:
    """Fourteen dates of one shape, some of them closed."""
    shape, pauses = rng.choice(SHIFTS), rng.choice(BREAKS)
    shifts: list[Shift] = []
    breaks: list[tuple[int, int]] = []
    for date in range(14):
        midnight = MIDNIGHT + date * 24 * HOUR
        if date and rng.random() < 0.15:
            continue
        shifts += [Shift(midnight + a * HOUR, midnight + b * HOUR, rng.choice((1, 1, 2))) for a, b in shape]
        breaks += [(midnight + int(a * HOUR), midnight + int((a + b) * HOUR)) for a, b in pauses]
    return tuple(shifts), tuple(breaks)


def random_passes(
    rng: Random, profile: Profile, plates: dict[str, Plate], start: int
) -> tuple[dict[str, Job], dict[str, Pass]]:
    """Jobs of one or two passes; the second side dries, and may have had its first side printed before."""
    jobs: dict[str, Job] = {}
    passes: dict[str, Pass] = {}
    target = rng.randint(2, 9)
    formats = rng.sample(FORMATS, rng.choice((1, 2, 3)))
    stocks = rng.sample(sorted(CALIPERS), rng.choice((1, 2, 4)))
    while len(passes) < target:
        due = rng.choice((None, start + rng.randrange(2 * HOUR, 60 * HOUR)))
        job = Job(f"job {len(jobs) + 1}", due, rng.choice((1, 1, 2, 5)))
        jobs[job.id] = job
        front = random_pass(rng, profile, plates, job.id, start)
        short, long = rng.choice(formats)
        front = replace(front, stock=rng.choice(stocks), short_mm=short, long_mm=long)
        fronts = [one for one in passes.values() if one.first_side is None]
        if fronts and rng.random() < 0.25:
            front = replace(rng.choice(fronts), id=front.id, job=job.id, sheets=front.sheets)
        kind = rng.choice(("one side", "one side", "sheetwise", "work-and-turn", "second side only"))
        second = second_side(rng, profile, plates, front, kind, start)
        for one in (front, second):
            if one is not None and not (kind == "second side only" and one is front):
                passes[one.id] = one
    return jobs, passes


def random_pass(rng: Random, profile: Profile, plates: dict[str, Plate], job: str, start: int) -> Pass:
    """One pass of one or two separations, of the common format."""
    sheets = rng.choice((200, 600, 900, 1500, 3000, 6000)) + rng.randrange(50)
    if rng.random() < 0.02:
        sheets = 60_000
    return Pass(
        id=f"{job}, front",
        job=job,
        sheets=sheets,
        stock=rng.choice(sorted(CALIPERS)),
        separations=random_separations(rng, profile, plates),
        feed_edge=rng.choice(("long", "long", "long", "short")),
        lay_side=rng.choice(("operator", "operator", "drive")),
        strips=rng.choice(((), (), (100,), (100, 210))),
        overprint=rng.random() < 0.6,
        units_free=rng.random() < 0.5,
        earliest_start=start + rng.randrange(-HOUR, 30 * HOUR) if rng.random() < 0.15 else None,
        own_tasks=tuple(one.name for one in profile.own_tasks if rng.random() < 0.2),
    )


def random_separations(rng: Random, profile: Profile, plates: dict[str, Plate]) -> tuple[Separation, ...]:
    """One or two inks, mostly black among them, on plates of (nearly always) one material."""
    two = rng.random() < (0.6 if profile.units == 2 else 0.01)
    material = rng.choice(("metal", "metal", "polyester", "polyester", "paper"))
    fitting = [name for name in sorted(plates) if plates[name].material == material or rng.random() < 0.002]
    chosen = rng.sample(fitting, 2 if two else 1)
    inks = [rng.choice(INKS[:3] if rng.random() < 0.6 else INKS) for _ in chosen]
    if rng.random() < 0.5:
        inks[-1] = "black"
    return tuple(
        Separation(ink, plate, rng.choice(("light", "normal", "heavy")))
        for ink, plate in zip(inks, chosen, strict=True)
    )


def second_side(
    rng: Random, profile: Profile, plates: dict[str, Plate], front: Pass, kind: str, start: int
) -> Pass | None:
    """The pass that backs a first side up: own plates and the other lay side, or the same plates turned."""
    if kind == "one side":
        return None
    own_plates = kind != "work-and-turn"
    return replace(
        front,
        id=f"{front.job}, back",
        separations=random_separations(rng, profile, plates) if own_plates else front.separations,
        lay_side="drive" if front.lay_side == "operator" else "operator",
        earliest_start=start + rng.randrange(40 * HOUR) if rng.random() < 0.1 else None,
        first_side=front.id,
        drying_seconds=rng.choice((0, 600, HOUR, 3 * HOUR, 8 * HOUR, 20 * HOUR, 50 * HOUR)),
    )


def random_state(rng: Random, profile: Profile, plates: dict[str, Plate], start: int) -> PressState:
    """What the press holds: inks old or young, residues, plates, settings known, half known or unknown."""
    mounted = rng.sample(sorted(plates), profile.units)
    units = {}
    for unit in range(1, profile.units + 1):
        ink = rng.choice((None, "black", rng.choice(INKS)))
        units[unit] = UnitState(
            ink=ink,
            plate=mounted[unit - 1] if rng.random() < 0.6 else None,
            reduced=ink is not None and rng.random() < 0.2,
            last_end=rng.choice((None, start - rng.choice((600, 1800, 1801, 2 * HOUR, 15 * HOUR)))),
            residue=None if ink or rng.random() < 0.5 else (rng.choice(INKS), rng.choice((1, 1, 2))),
            oiled=ink is None and rng.random() < 0.5,
        )
    solution = rng.choice((None, "metal", "polyester"))
    return PressState(units, random_settings(rng), solution, rng.random() < 0.5)


def random_settings(rng: Random) -> Settings:
    """Settings all known, all unknown or some of each."""
    stock = rng.choice(sorted(CALIPERS))
    short, long = rng.choice(FORMATS)
    settings = Settings(
        short_mm=short,
        long_mm=long,
        feed_edge=rng.choice(("long", "short")),
        lay_side=rng.choice(("operator", "drive")),
        stock=stock,
        caliper_um=CALIPERS[stock],
        strips=rng.choice(((), (100,))),
        speed=Fraction(rng.choice(("3000", "5000"))),
    )
    share = rng.choice((0.0, 0.0, 0.3, 1.0))
    unknown = {field.name: None for field in fields(Settings) if rng.random() < share}
    return replace(settings, **unknown)


def with_begun_day(rng: Random, problem: Problem) -> Problem:
    """The same problem when a day has begun: an order everyone knows, passes begun, a pinned place."""
    known = [name for name, _ in random_order(problem, rng)]
    started = known[: rng.choice((0, 0, 1))]
    pinned = {}
    if rng.random() < 0.3:
        place = rng.randrange(len(known) - len(started))
        pinned[known[len(started) + place]] = place
    return replace(problem, known_order=tuple(known), started=tuple(started), pinned=pinned)


def random_order(problem: Problem, rng: Random) -> Order:
    """An order and its units, mostly a lawful one: shuffled, then mended."""
    names = sorted(problem.passes)
    rng.shuffle(names)
    if rng.random() < 0.97:
        names = mended(problem, names)
    return tuple((name, random_units(problem, problem.passes[name], rng)) for name in names)


def mended(problem: Problem, names: list[str]) -> list[str]:
    """First sides before second sides, started passes first, pinned ones in their places."""

    def place(name: str) -> tuple[int, bool]:
        front = problem.passes[name].first_side
        return max(names.index(name), names.index(front) if front in names else 0), front is not None

    fronts_first = sorted(names, key=place)
    rest = [name for name in fronts_first if name not in problem.started and name not in problem.pinned]
    for name, pinned_place in sorted(problem.pinned.items(), key=lambda pin: pin[1]):
        rest.insert(pinned_place, name)
    return [*problem.started, *rest]


def random_units(problem: Problem, job_pass: Pass, rng: Random) -> tuple[int, ...]:
    """Units that put the lighter ink in unit 1, and now and then the other way round."""
    if len(job_pass.separations) == 1:
        return (rng.randint(1, problem.profile.units),)
    first, second = (Fraction(problem.inks[one.ink].lightness) for one in job_pass.separations)
    free = job_pass.units_free and not job_pass.overprint and problem.profile.separate_blankets
    if rng.random() < 0.005:
        return (1, 2) if first < second else (2, 1)
    if free or abs(first - second) <= Fraction(1, 10):
        return rng.choice(((1, 2), (2, 1)))
    return (1, 2) if first > second else (2, 1)


def stand_in_makespan(tasks: Sequence[Task], pairs: frozenset[tuple[TaskId, TaskId]], crew: int) -> int:
    """Seconds that any evaluator can reckon from tasks, places, precedence and crew: a floor, not a schedule.

    One person: the sum. More: the largest of a share of the sum, the longest chain and the busiest place.
    """
    total = sum(task.seconds for task in tasks)
    if crew == 1 or not tasks:
        return total
    places = {task.place for task in tasks}
    busiest = max(sum(task.seconds for task in tasks if task.place == place) for place in places)
    return max(-(-total // crew), longest_chain(tasks, pairs), busiest)


def longest_chain(tasks: Sequence[Task], pairs: frozenset[tuple[TaskId, TaskId]]) -> int:
    """Seconds of the longest run of tasks that wait for each other."""
    done: dict[TaskId, int] = {}
    waiting = list(tasks)
    while waiting:
        task = next(t for t in waiting if all(a in done for a, b in pairs if b == t.id))
        done[task.id] = task.seconds + max((done[a] for a, b in pairs if b == task.id), default=0)
        waiting.remove(task)
    return max(done.values(), default=0)
