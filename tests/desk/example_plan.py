"""A small plan built by hand, so that the desk's tests depend on no evaluator: seven passes, two units, one break."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from queueplanner.makeready.reasons import Reason
from queueplanner.planning.plan import (
    Claim,
    ClaimKind,
    Evening,
    Holding,
    Plan,
    PlannedPass,
    PlannedTask,
    Stretch,
    Totals,
    UnitSpan,
)
from queueplanner.shop.base import InkId, JobId, PassId, PlateId, StockId
from queueplanner.shop.format import NAMED_FORMATS, FeedEdge
from queueplanner.shop.ink import Ink, InkKind
from queueplanner.shop.job import Job, LaySide, PrintPass, Separation, WorkStyle
from queueplanner.shop.plate import Plate, PlateMaterial
from queueplanner.shop.press import TASK_TABLE, Place
from queueplanner.shop.stock import Coating, Grain, Stock

ZONE = ZoneInfo("Europe/Amsterdam")
START = int(datetime(2026, 11, 26, 6, 0, tzinfo=UTC).timestamp())  # 07:00 in the shop
BREAK: Stretch = (START + 150 * 60, START + 165 * 60)


def _ink(name: str, srgb: str, kind: InkKind = InkKind.SPOT) -> Ink:
    return Ink(
        id=InkId(name.lower().replace(" ", "-")), name=name, kind=kind, srgb=srgb, open_time_h=4.0, drying_time_h=2.0
    )


BLACK = _ink("Black", "#1c1b1a", InkKind.PROCESS)
WHITE = _ink("Opaque white", "#fbfbf8", InkKind.OPAQUE_WHITE)
BLUE = _ink("Harbour blue", "#1d4f9c")
RED = _ink("Brick red", "#b8352a")
YELLOW = _ink("Warm yellow", "#f6c51b")
SILVER = _ink("Silver", "#a3a6a8", InkKind.METALLIC)

SILK = Stock(
    id=StockId("silk-135"), name="Silk 135", grammage_gsm=135, caliper_um=110, coating=Coating.COATED,
    grain=Grain.LONG, speed_sph=8000,
)
BOARD = Stock(
    id=StockId("board-300"), name="Board 300", grammage_gsm=300, caliper_um=380, coating=Coating.UNCOATED,
    grain=Grain.SHORT, speed_sph=6000,
)


@dataclass(frozen=True, slots=True)
class Step:
    """One pass of the example: who, which inks in units 1 and 2 (None: idle), tasks, run minutes, due hour."""

    job: str
    title: str
    inks: tuple[Ink | None, Ink | None]
    tasks: tuple[tuple[str, int | None, float], ...]
    run_min: int
    due_min: int | None = None
    stock: Stock = SILK
    size: str = "sra3"
    side: int = 1
    wait_min: int = 0


_NEXT = (("take_off_delivery_pile", None, 1.0), ("load_pile", None, 2.0))
_OK = (("register_and_colour", None, 3.0), ("check_first_sheets", None, 1.0))


def _plate(unit: int) -> tuple[tuple[str, int | None, float], ...]:
    return (("take_plate_off", unit, 0.5), ("put_plate_on", unit, 0.5))


def _wash(unit: int, minutes: float) -> tuple[tuple[str, int | None, float], ...]:
    return (("empty_fountain", unit, 2.0), ("wash_rollers", unit, minutes), ("fill_fountain", unit, 3.0))


_FORMAT = (("feeder_to_format", None, 3.0), ("delivery_to_format", None, 1.5), ("set_double_sheet_detector", None, 1.0))

_FIRST = (("fill_fountain", 1, 3.0), ("put_plate_on", 1, 0.5), ("put_plate_on", 2, 0.5))
_TURN = (("turn_pile", None, 3.0),)
_BOTH = (*_plate(1), *_plate(2))
_TWO_SIDED = "Programme, two sides"

STEPS = (
    Step("1041", "Letterheads, Alder & Finch", (BLUE, BLACK), (*_NEXT, *_FIRST, *_OK), 25, 120),
    Step("1044", "Delivery notes", (None, BLACK), (*_NEXT, *_plate(2), *_OK), 32, 200),
    Step("1047", "Menu cards", (WHITE, BLACK), (*_NEXT, *_FORMAT, *_wash(1, 13.0), *_BOTH, *_OK), 20, 115, BOARD, "a3"),
    Step("1050", _TWO_SIDED, (YELLOW, BLACK), (*_NEXT, *_wash(1, 5.0), *_BOTH, *_OK), 38, 400),
    Step("1052", "Invitations", (SILVER, None), (*_NEXT, *_wash(1, 9.0), *_plate(1), *_OK), 18, 300, BOARD, "a3"),
    Step("1050", _TWO_SIDED, (YELLOW, BLACK), (*_NEXT, *_TURN, *_FORMAT, *_wash(1, 9.0), *_OK), 38, 400,
         side=2, wait_min=15),
    Step("1055", "Posters", (RED, BLACK), (*_NEXT, *_wash(1, 9.0), *_BOTH, *_OK), 44, None),
)


def _pass(step: Step) -> PrintPass:
    separations = tuple(
        Separation(
            ink=ink,
            plate=Plate(
                id=PlateId(f"{step.job}-{ink.id}"), material=PlateMaterial.METAL, length_mm=505, thickness_um=150
            ),
            coverage_percent=30,
        )
        for ink in step.inks
        if ink is not None
    )
    return PrintPass(
        id=PassId(f"{step.job}-{step.side}" if step.job == "1050" else step.job), job=JobId(step.job), side=step.side,
        sheets=step.run_min * 120, running_waste=40, makeready_waste=60, format=NAMED_FORMATS[step.size],
        feed_edge=FeedEdge.LONG, stock=step.stock, lay_side=LaySide.OPERATOR, separations=separations,
    )


def jobs() -> tuple[Job, ...]:
    """The jobs in the order received."""
    made: dict[str, Job] = {}
    for step in STEPS:
        passes = tuple(_pass(s) for s in STEPS if s.job == step.job)
        due = None if step.due_min is None else datetime.fromtimestamp(START, UTC) + timedelta(minutes=step.due_min)
        style = WorkStyle.ONE_SIDE if len(passes) == 1 else WorkStyle.WORK_AND_TURN
        made[step.job] = Job(id=JobId(step.job), title=step.title, due=due, work_style=style, passes=passes)
    return tuple(made.values())


def _tasks(lines: tuple[tuple[str, int | None, float], ...], late_start: int = 0) -> tuple[PlannedTask, ...]:
    tasks, at = [], late_start
    for key, unit, minutes in lines:
        place, state = TASK_TABLE[key]
        seconds = round(minutes * 60)
        where = Place(f"unit {unit}") if place == "unit" else Place(place)
        washes = round((minutes - 1) / 4) if key == "wash_rollers" else 0
        tasks.append(
            PlannedTask(
                key, unit, where, state, seconds, Reason.of("feeder_was_set"), frozenset(), washes, False, 1, at
            )
        )
        at += seconds
    return tuple(tasks)


def _pieces(start: int, seconds: int) -> tuple[Stretch, ...]:
    end = start + seconds
    if end <= BREAK[0] or start >= BREAK[1]:
        return ((start, end),)
    if start >= BREAK[0]:
        return ((BREAK[1], BREAK[1] + seconds),)
    return ((start, BREAK[0]), (BREAK[1], end + BREAK[1] - BREAK[0]))


@dataclass(slots=True)
class _Builder:
    at: int = START
    passes: list[PlannedPass] = field(default_factory=list)
    events: dict[int, list[tuple[int, Holding, Ink | None, PassId | None]]] = field(
        default_factory=lambda: {1: [(START, Holding.CLEAN, None, None)], 2: [(START, Holding.STANDING, BLACK, None)]}
    )

    def add(self, step: Step, job: Job) -> None:
        tasks = _tasks(step.tasks)
        ready = _pieces(self.at, sum(t.seconds for t in tasks))
        run_start = ready[-1][1] + step.wait_min * 60
        run = _pieces(run_start, step.run_min * 60)
        print_pass = _pass(step)
        last = print_pass.id == job.passes[-1].id
        late = max(0, run[-1][1] - job.due_s) if job.due_s is not None and last else 0
        self._follow(step, tasks, ready, run, print_pass.id)
        self.passes.append(
            PlannedPass(
                print_pass=print_pass, job=job,
                unit_of={ink.id: u for u, ink in enumerate(step.inks, 1) if ink is not None},
                tasks=tasks, crew=1, makeready_seconds=sum(t.seconds for t in tasks), makeready_start=ready[0][0],
                makeready_end=ready[-1][1], run_start=run[0][0], run_end=run[-1][1], makeready_pieces=ready,
                run_pieces=run, waits_seconds=step.wait_min * 60, late_seconds=late,
            )
        )
        self.at = run[-1][1]

    def _follow(
        self, step: Step, tasks: tuple[PlannedTask, ...], ready: tuple[Stretch, ...], run: tuple[Stretch, ...],
        key: PassId,
    ) -> None:
        for task in tasks:
            assert task.start is not None
            if task.unit is not None and task.task in ("empty_fountain", "fill_fountain"):
                ink = step.inks[task.unit - 1] if task.task == "fill_fountain" else None
                end = task.start + (task.seconds if task.task == "empty_fountain" else 0)
                holding = Holding.STANDING if ink is not None else Holding.CLEAN
                self.events[task.unit].append((ready[0][0] + end, holding, ink, None))
        for unit, ink in enumerate(step.inks, 1):
            if ink is not None:
                self.events[unit] += [
                    (run[0][0], Holding.PRINTING, ink, key), (run[-1][1], Holding.STANDING, ink, None)
                ]


def _spans(builder: _Builder, end: int) -> Iterator[UnitSpan]:
    for unit, events in builder.events.items():
        for event, following in zip(events, [*events[1:], (end, Holding.CLEAN, None, None)], strict=True):
            if event[0] < following[0]:
                yield UnitSpan(unit, event[0], following[0], event[1], event[2], None, event[3])


def example_plan(*, extra_washes: int = 0, claim: Claim | None = None) -> Plan:
    """The plan; `extra_washes` makes its totals worse by so many wash-ups of ten minutes."""
    builder = _Builder()
    by_id = {job.id: job for job in jobs()}
    for step in STEPS:
        builder.add(step, by_id[JobId(step.job)])
    wash = _tasks((("empty_fountain", 1, 2.0), ("wash_rollers", 1, 5.0), ("oil_rollers", 1, 1.0),
                   ("empty_fountain", 2, 2.0), ("wash_rollers", 2, 5.0), ("oil_rollers", 2, 1.0)))
    seconds = sum(t.seconds for t in wash)
    evening = Evening(0, builder.at, builder.at + seconds, seconds, 1, wash)
    for unit, end_min in ((1, 2), (2, 10)):
        builder.events[unit].append((builder.at + end_min * 60, Holding.CLEAN, None, None))
    return Plan(
        press_name="Demo press", zone=ZONE, start=START, passes=tuple(builder.passes), evenings=(evening,),
        spans=tuple(_spans(builder, evening.end)), closed=(BREAK,),
        totals=_totals(builder.passes, evening, extra_washes), claim=claim or Claim(ClaimKind.BEST_FOUND),
    )


def _totals(passes: list[PlannedPass], evening: Evening, extra_washes: int) -> Totals:
    tasks = [t for p in passes for t in p.tasks] + list(evening.tasks)
    makeready = sum(p.makeready_seconds for p in passes) + evening.seconds + extra_washes * 600
    return Totals(
        makeready_seconds=makeready,
        run_seconds=sum(b - a for p in passes for a, b in p.run_pieces),
        waiting_seconds=sum(p.waits_seconds for p in passes),
        wash_ups=sum(t.task == "empty_fountain" for t in tasks) + extra_washes,
        washes=sum(t.washes for t in tasks) + extra_washes,
        plate_swaps=sum(t.task == "put_plate_on" for t in tasks),
        feeder_resets=sum(t.task == "feeder_to_format" for t in tasks),
        waste_sheets=sum(p.print_pass.running_waste + p.print_pass.makeready_waste for p in passes),
        late_passes=sum(p.late_seconds > 0 for p in passes),
        late_seconds=sum(p.late_seconds for p in passes),
        weighted_late_seconds=sum(p.late_seconds for p in passes),
        objective=10 * makeready + 1000 * sum(p.late_seconds for p in passes),
        end=passes[-1].run_end + extra_washes * 600,
    )
