"""What would help a late day, for the terminal."""

from __future__ import annotations

from collections.abc import Iterator

from queueplanner.exchange.difference_words import difference_words
from queueplanner.exchange.text_table import day_name, duration, wrapped
from queueplanner.planning.instance import Instance
from queueplanner.planning.plan import Plan
from queueplanner.planning.relax import Effect, Help, Relaxation, Relief

#: How many relaxations are told.
_MOST_TOLD = 8


def relief_text(instance: Instance, plan: Plan, relief: Relief) -> str:
    """Which passes are late and by how much, what each help brings, and the smallest set that is enough."""
    return "\n".join(_lines(instance, plan, relief)) + "\n"


def _lines(instance: Instance, plan: Plan, relief: Relief) -> Iterator[str]:
    if not relief.late:
        yield "Nothing is late."
        return
    yield "Late"
    for pass_id, seconds in relief.late:
        yield f"  {pass_id} by {duration(seconds)}"
    if relief.longer.objective < plan.totals.objective:
        better = difference_words(plan.totals, relief.longer)
        yield from wrapped(f"Searched longer, with nothing given: {better}.", "", "")
    yield ""
    if not relief.single:
        yield "No single thing that could be given was found to make it less late."
    else:
        yield "What one thing would bring, each planned anew"
        for effect in relief.single[:_MOST_TOLD]:
            yield from wrapped(_effect(instance, relief, effect), "  ", "    ")
    yield ""
    if relief.enough is None:
        yield "No set of up to three of these was found with which nothing is late."
    else:
        together = " and ".join(given(instance, r) for r in relief.enough.relaxations)
        yield from wrapped(f"Enough, as far as was found: {together}. Then nothing that has a weight is late.", "", "")


def _effect(instance: Instance, relief: Relief, effect: Effect) -> str:
    (relaxation,) = effect.relaxations
    return f"{given(instance, relaxation)}: {difference_words(relief.longer, effect.totals)}"


def given(instance: Instance, relaxation: Relaxation) -> str:
    """A relaxation in words."""
    if relaxation.help is Help.DUE_LATER:
        return f"job {relaxation.job} due a day later"
    if relaxation.help is Help.START_EARLIER:
        return f"pass {relaxation.pass_id} without its earliest start"
    if relaxation.help is Help.OVERTIME and relaxation.day is not None:
        starts = instance.clock.day_starts[relaxation.day]
        return f"{day_name(starts, instance.shop.calendar.zone)} an hour longer"
    return "a second person at the press"
