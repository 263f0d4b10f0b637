"""An evaluator written apart from the program, from the trade's rules alone, agrees to the second."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise

import pytest

from queueplanner.makeready.inking import residue_model
from queueplanner.makeready.residue import wash_count
from queueplanner.makeready.state import PressState
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.shop.errors import NoPlan
from queueplanner.shop.ink import Ink
from queueplanner.shop.job import PrintPass, epoch
from queueplanner.shop.plate import Plate
from queueplanner.shop.press import PressProfile
from tests.generated_days import random_day
from tests.oracle import evaluator as oracle
from tests.oracle import problem as told
from tests.planning.test_kernel import shuffled

MINUTES_KEYS = {
    ("take_plate_off", "minutes"): "take_plate_off.hand",
    ("take_plate_off", "automatic"): "take_plate_off.automatic",
    ("put_plate_on", "minutes"): "put_plate_on.hand",
    ("put_plate_on", "automatic"): "put_plate_on.automatic",
    ("wash_rollers", "minutes"): "wash_rollers.first",
    ("wash_rollers", "each_more"): "wash_rollers.more",
    ("register_and_colour", "minutes"): "register_and_colour.once",
    ("register_and_colour", "second_unit"): "register_and_colour.second_unit",
}


def told_profile(press: PressProfile) -> told.Profile:
    """The press in the other evaluator's terms."""
    minutes = {}
    for task, figures in press.tasks.items():
        for variant, value in figures.model_dump().items():
            if value is not None:
                minutes[MINUTES_KEYS.get((task, variant), task)] = repr(value)
    return told.Profile(
        units=press.units,
        minutes=minutes,
        coverage=tuple((c.name, repr(c.speed_factor)) for c in press.coverage_classes),
        separate_blankets=not press.common_blanket,
        idle_unit_thrown_off=press.idle_throw_off,
        automatic_length_um=None
        if press.automatic_plate_length_mm is None
        else round(press.automatic_plate_length_mm * 1000),
        plate_length_um=(0, 10**7),
        plate_thickness_um=(0, 10**7),
        may_cross_nights=press.runs_cross_days,
        external=frozenset(press.external),
        own_tasks=tuple(
            told.OwnTask(
                t.name,
                t.place.value,
                t.state.value,
                repr(t.minutes),
                frozenset(w.value.replace(" ", "_") for w in t.when),
            )
            for t in press.own_tasks
        ),
        feeder_pile_um=round(press.feed_pile_mm * 1000),
        feeder_reload_minutes=repr(press.feed_reload_min),
        delivery_pile_um=round(press.delivery_pile_mm * 1000),
        delivery_reload_minutes=repr(press.delivery_reload_min),
        ink_families=press.ink_families,
    )


def told_pass(instance: Instance, p: PrintPass) -> told.Pass:
    """A pass in the other evaluator's terms."""
    classes = instance.shop.press.coverage_classes

    def coverage(percent: float) -> str:
        return next(c.name for c in classes if percent <= c.up_to_percent)

    return told.Pass(
        id=p.id,
        job=p.job,
        sheets=p.sheets + p.running_waste,
        stock=p.stock.id,
        separations=tuple(told.Separation(s.ink.id, s.plate.id, coverage(s.coverage_percent)) for s in p.separations),
        short_mm=repr(p.format.short_mm),
        long_mm=repr(p.format.long_mm),
        feed_edge=p.feed_edge.value,
        lay_side=p.lay_side.value,
        strips=tuple(int(x) for s in p.strips for x in (s.from_mm, s.to_mm)),
        overprint=p.overprint,
        units_free=p.units_free,
        earliest_start=None if p.earliest is None else epoch(p.earliest),
        first_side=p.first_side,
        drying_seconds=p.drying_s,
        own_tasks=p.own_tasks,
    )


def told_ink(ink: Ink) -> told.Ink:
    """An ink in the other evaluator's terms."""
    tack = ink.tack
    return told.Ink(
        id=ink.id,
        lightness=repr(ink.colour.L),
        open_seconds=ink.open_seconds,
        tack=None if tack is None else repr(tack.value),
        instrument=None if tack is None else tack.instrument,
        family=ink.family,
    )


def told_plate(plate: Plate, press: PressProfile) -> told.Plate:
    """A plate; one whose length agrees with the changer's within the rounding of inches gets that very length."""
    length = plate.length_mm
    if press.automatic_plate_length_mm is not None and press.changes_automatically(plate):
        length = press.automatic_plate_length_mm
    return told.Plate(plate.id, plate.material.value, round(length * 1000), plate.thickness_um)


def told_state(state: PressState) -> told.PressState:
    """The starting state in the other evaluator's terms."""
    given = state.settings
    units = {
        number: told.UnitState(
            ink=None if u.ink is None else u.ink.id,
            plate=None if u.plate is None else u.plate.id,
            reduced=u.reduced,
            last_end=u.last_run_end,
            residue=None if u.residue is None else (u.residue.ink.id, u.residue.washes),
            oiled=u.oiled,
        )
        for number, u in enumerate(state.units, 1)
    }
    strips = None if given.strips is None else tuple(int(x) for s in given.strips for x in (s.from_mm, s.to_mm))
    settings = told.Settings(
        short_mm=None if given.format is None else repr(given.format.short_mm),
        long_mm=None if given.format is None else repr(given.format.long_mm),
        feed_edge=given.feed_edge and given.feed_edge.value,
        lay_side=given.lay_side and given.lay_side.value,
        stock=given.stock,
        caliper_um=given.caliper_um,
        strips=strips,
        speed=None if given.speed_sph is None else Fraction(given.speed_sph),
    )
    return told.PressState(units, settings, state.solution and state.solution.value, state.delivery_pile)


def told_problem(instance: Instance) -> told.Problem:
    """A whole instance in the other evaluator's terms."""
    shop = instance.shop
    inks = {s.ink.id: s.ink for p in instance.passes.values() for s in p.separations} | dict(shop.inks)
    plates = {s.plate.id: s.plate for p in instance.passes.values() for s in p.separations}
    plates |= {u.plate.id: u.plate for u in instance.state.units if u.plate is not None}
    model, overrides = residue_model(shop.press), shop.press.overrides
    return told.Problem(
        profile=told_profile(shop.press),
        inks={i.id: told_ink(i) for i in inks.values()},
        plates={p.id: told_plate(p, shop.press) for p in plates.values()},
        stocks={s.id: told.Stock(s.id, s.caliper_um, repr(s.speed_sph)) for s in shop.stocks.values()},
        jobs={j.id: told.Job(j.id, j.due_s, j.weight) for j in instance.jobs},
        passes={p.id: told_pass(instance, p) for p in instance.passes.values()},
        washes={
            (a.id, b.id): wash_count(a, b, model, overrides).washes
            for a in inks.values()
            for b in inks.values()
            if a.id != b.id
        },
        start=instance.start_at,
        state=told_state(instance.state),
        shifts=told_shifts(instance),
        breaks=told_breaks(instance),
    )


def told_shifts(instance: Instance) -> tuple[told.Shift, ...]:
    """Each window of working time as part of the shift it belongs to."""
    clock = instance.clock
    shifts = []
    for i, start in enumerate(clock.shift_starts):
        following = clock.shift_starts[i + 1] if i + 1 < len(clock.shift_starts) else 2**60
        end = max(w.end for w in clock.windows if start <= w.start < following)
        shifts.append(told.Shift(start, end, clock.shift_crews[i]))
    return tuple(shifts)


def told_breaks(instance: Instance) -> tuple[tuple[int, int], ...]:
    """The gaps between windows of one shift."""
    inside = []
    for shift in told_shifts(instance):
        windows = [w for w in instance.clock.windows if shift.start <= w.start < shift.end]
        inside += [(a.end, b.start) for a, b in pairwise(windows) if a.end < b.start]
    return tuple(inside)


def summary(plan: Plan) -> list[object]:
    """Everything of a plan that the other evaluator also reckons."""
    rows: list[object] = [
        (
            p.id,
            sorted((t.task, t.unit if not t.task.startswith("own:") else None, t.seconds, t.external) for t in p.tasks),
            p.makeready_seconds,
            p.makeready_start,
            p.run_start,
            p.run_end,
            p.late_seconds,
        )
        for p in plan.passes
    ]
    rows += [(e.start, sorted((t.task, t.unit, t.seconds) for t in e.tasks), e.seconds) for e in plan.evenings]
    totals = plan.totals
    rows.append((totals.makeready_seconds, totals.wash_ups, totals.plate_swaps, totals.objective))
    return rows


def told_summary(result: told.Evaluation) -> list[object]:
    """The same of the other evaluator's answer."""
    rows: list[object] = [
        (
            p.pass_id,
            sorted((t.key, t.unit if not t.key.startswith("own:") else None, t.seconds, t.external) for t in p.tasks),
            p.makeready_seconds,
            p.start,
            p.run_start,
            p.run_end,
            p.late_seconds,
        )
        for p in result.passes
    ]
    rows += [(e.start, sorted((t.key, t.unit, t.seconds) for t in e.tasks), e.seconds) for e in result.evenings]
    rows.append((result.makeready_seconds, result.wash_ups, result.plate_swaps, result.objective))
    return rows


@pytest.mark.parametrize("seed", range(120))
def test_evaluator_agrees_with_one_written_apart(seed: int) -> None:
    instance = random_day(5000 + seed, 1 + seed % 9, crew=1)
    problem = told_problem(instance)
    rng = random.Random(seed)
    for _ in range(2):
        order, units = shuffled(instance, rng)
        answer = oracle.evaluate(problem, tuple((p, units[p]) for p in order))
        try:
            plan = evaluate(instance, order, units)
        except NoPlan:
            assert isinstance(answer, told.Refusal)
            continue
        assert isinstance(answer, told.Evaluation), answer
        assert summary(plan) == told_summary(answer)
