"""How long the timeline takes for a frame: moving along, zooming and dragging a pass, with many passes and bars.

A frame is everything between the user's move and the painted widget, without a screen. Processor time of the window's
thread counts, so that other work on the machine does not; the clock's time stands beside it.
Run in the checkout: python -m benchmarks.timeline [--passes 500] [--seed 1] [--frames 120]
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from benchmarks.machine import print_machine, warm_engine
from benchmarks.shop_days import shop_day
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QApplication

from queueplanner.desk.picture import make_picture
from queueplanner.desk.theme import Appearance, apply_theme, make_theme
from queueplanner.desk.timeline import Timeline
from queueplanner.desk.timeline_drag import DayTables, PassDrag
from queueplanner.exchange.start_file import load_start
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.plan import Plan, PlannedPass
from queueplanner.planning.rules import by_due_time
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.job import Job

#: What is wanted: 60 frames a second, of which 95 in a hundred are in time.
FRAME_MS, SHARE = 16.7, 0.95
WIDTH, HEIGHT = 1600, 480
#: Zooms a frame is timed at, as multiples of the whole plan; each further one shows less.
ZOOMS = (1.0, 2.0, 5.0, 10.0, 25.0, 60.0)
PASSES_A_DAY = 50
#: What is painted on.
PAPER: list[QPixmap] = []


@dataclass(frozen=True)
class Frames:
    """Milliseconds of each frame: of the thread's processor time, and by the clock."""

    busy: Sequence[float]
    clock: Sequence[float]


def timed(moves: Iterator[Callable[[], object]]) -> Frames:
    """Make one move after the other and time each."""
    busy, clock = [], []
    for move in moves:
        began, at = time.thread_time(), time.perf_counter()
        move()
        busy.append(1000 * (time.thread_time() - began))
        clock.append(1000 * (time.perf_counter() - at))
    return Frames(busy, clock)


def share_below(values: Sequence[float], share: float = SHARE) -> float:
    """The value that a share of them does not exceed."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


def print_frames(name: str, frames: Frames) -> None:
    """One line: the 95th per cent, the worst, and whether it is what is wanted."""
    most = share_below(frames.busy)
    verdict = "met" if most <= FRAME_MS else f"NOT MET by {most - FRAME_MS:.1f} ms"
    clock = share_below(frames.clock)
    print(f"  {name:<34}{most:7.1f} ms  (worst {max(frames.busy):6.1f}, clock {clock:6.1f})  {verdict}", flush=True)


def long_day(seed: int, passes: int) -> Instance:
    """Many passes: days of an invented shop, one after the other."""
    days = [shop_day(seed + i, PASSES_A_DAY) for i in range(max(1, passes // PASSES_A_DAY))]
    jobs = [renamed(job, i) for i, day in enumerate(days) for job in day.instance.jobs]
    first = days[0].instance
    start = datetime.fromtimestamp(first.start_at, first.shop.calendar.zone)
    return make_instance(first.shop, jobs, load_start(None, first.shop), start, days=1000)


def renamed(job: Job, day: int) -> Job:
    """A job of the list of another day: with ids of its own, due so many weeks later."""
    mark = f"d{day}-"
    passes = tuple(
        p.model_copy(
            update={
                "id": PassId(mark + p.id), "job": JobId(mark + p.job),
                "first_side": None if p.first_side is None else PassId(mark + p.first_side),
            }
        )
        for p in job.passes
    )  # fmt: skip
    due = None if job.due is None else job.due + timedelta(weeks=day)
    return job.model_copy(update={"id": JobId(mark + job.id), "passes": passes, "due": due})


def many_times(plan: Plan, times: int) -> Plan:
    """A plan over and over, each time after the last: for more bars than anybody plans."""
    length = plan.passes[-1].run_end - plan.start + 12 * 3600
    passes = [moved_pass(p, n, n * length) for n in range(times) for p in plan.passes]
    spans = [replace(s, start=s.start + n * length, end=s.end + n * length) for n in range(times) for s in plan.spans]
    totals = replace(plan.totals, end=passes[-1].run_end)
    return replace(plan, passes=tuple(passes), spans=tuple(spans), evenings=(), closed=(), totals=totals)


def moved_pass(p: PlannedPass, number: int, by: int) -> PlannedPass:
    """The same pass again, so many seconds later."""
    return replace(
        p,
        print_pass=p.print_pass.model_copy(update={"id": PassId(f"{p.id}.{number}")}),
        makeready_start=p.makeready_start + by,
        makeready_end=p.makeready_end + by,
        run_start=p.run_start + by,
        run_end=p.run_end + by,
        makeready_pieces=tuple((a + by, b + by) for a, b in p.makeready_pieces),
        run_pieces=tuple((a + by, b + by) for a, b in p.run_pieces),
    )


def bars(plan: Plan) -> int:
    """How many shapes there are to draw: runs, tasks and stretches of ink."""
    return len(plan.passes) + sum(len(p.tasks) for p in plan.passes) + len(plan.spans)


def shown(plan: Plan, instance: Instance | None) -> Timeline:
    """A timeline that shows a plan, painted once."""
    timeline = Timeline(make_theme(Appearance.LIGHT))
    timeline.set_instance(instance)
    timeline.set_clock(lambda: plan.start + 3600.0)
    timeline.set_plan(plan)
    timeline.resize(WIDTH, HEIGHT)
    timeline.show()
    PAPER[:] = [QPixmap(timeline.size())]
    return timeline


def painted(timeline: Timeline, act: Callable[[], object]) -> Callable[[], object]:
    """A move and the paint that follows, onto a picture in memory: without a screen a window may leave paints out."""

    def move() -> None:
        act()
        timeline.render(PAPER[0])

    return move


def along(timeline: Timeline, frames: int) -> Iterator[Callable[[], object]]:
    """From one end to the other and on, as a wheel or a hand does."""
    assert timeline.view is not None
    for i in range(frames):
        offset = (i * 37) % max(1, timeline.view.overhang or 1)
        yield painted(timeline, lambda offset=offset: timeline.scroll_to(offset))  # type: ignore[misc]


def closer_and_back(timeline: Timeline, frames: int) -> Iterator[Callable[[], object]]:
    """From the whole plan to under an hour and back."""
    for i in range(frames):
        factor = 1.15 if i % 100 < 50 else 1 / 1.15
        yield painted(timeline, lambda factor=factor: timeline.zoom(factor, WIDTH / 2))  # type: ignore[misc]


def dragging(timeline: Timeline, frames: int) -> Iterator[Callable[[], object]]:
    """A pass carried over the others; the chart follows, as it does at its edges."""
    assert timeline.view is not None
    carrier, picture = timeline.carrier, timeline.view.picture
    carrier.take(picture.passes[len(picture.passes) // 2].planned.id, by_keys=True)
    assert carrier.drag is not None
    for i in range(frames):
        place = (carrier.drag.own + 7 * i) % len(picture.passes)
        yield painted(timeline, lambda place=place: carrier.go_to(place))  # type: ignore[misc]
    carrier.give_up()


def print_plan(name: str, plan: Plan, instance: Instance | None, frames: int) -> None:
    """Every kind of move on one plan."""
    began = time.thread_time()
    make_picture(plan)
    print(f"{name}: {len(plan.passes)} passes, {bars(plan)} bars; shapes made in {time.thread_time() - began:.2f} s")
    timeline = shown(plan, instance)
    for zoom in ZOOMS:
        timeline.whole_day()
        timeline.zoom(zoom, WIDTH / 2)
        print_frames(f"moving along, zoomed {zoom:g} times", timed(along(timeline, frames)))
    timeline.whole_day()
    print_frames("zooming in and out", timed(closer_and_back(timeline, frames)))
    if instance is not None:
        for zoom in (1.0, 10.0):
            timeline.whole_day()
            timeline.zoom(zoom, WIDTH / 2)
            print_frames(f"dragging, zoomed {zoom:g} times", timed(dragging(timeline, frames)))
    timeline.close()


def print_drops(plan: Plan, instance: Instance) -> None:
    """How soon the figures of a drop are there."""
    began = time.thread_time()
    tables = DayTables().of(instance)
    built = time.thread_time() - began
    drag = PassDrag(instance, plan, plan.order[len(plan.order) // 2])
    began = time.thread_time()
    drag.use(tables)
    places = [timed(iter([lambda place=place: drag.reckon(place)])).busy[0] for place in range(len(plan.order))]  # type: ignore[misc]
    print(
        f"figures of a drop among {len(plan.order)} passes: tables built once in {built:.2f} s, then "
        f"{share_below(places):.2f} ms a place (95 in a hundred), all places in {time.thread_time() - began:.2f} s",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--passes", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--frames", type=int, default=120)
    wish = parser.parse_args()
    print_machine()
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    apply_theme(app, make_theme(Appearance.LIGHT))
    warm_engine()
    instance = long_day(wish.seed, wish.passes)
    plan = evaluate(instance, by_due_time(instance), {})
    print(f"a frame of {WIDTH} × {HEIGHT} px: 95 in a hundred within, wanted up to {FRAME_MS} ms")
    print_plan("a long list", plan, instance, wish.frames)
    print_plan("the same twenty times", many_times(plan, 20), None, wish.frames)
    for size in (100, wish.passes):
        day = instance if size == wish.passes else long_day(wish.seed, size)
        print_drops(plan if size == wish.passes else evaluate(day, by_due_time(day), {}), day)


if __name__ == "__main__":
    main()
