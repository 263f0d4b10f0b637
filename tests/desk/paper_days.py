"""Days for the papers: the demo day, one job, a hundred, titles without end, two persons, work done while running."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

from queueplanner.desk.paper_day import DayPaper
from queueplanner.exchange.demo import DEMO_DAY
from queueplanner.exchange.profile_files import shop_material_figures
from queueplanner.exchange.start_file import load_start
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance, make_instance
from queueplanner.planning.rules import as_received
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.job import Job
from tests.exchange.plans import demo_instance

MADE = datetime(2026, 11, 25, 15, 4, tzinfo=UTC)
LONG_TITLE = "Donaudampfschiffahrtsgesellschaftskapitaensmuetzenabzeichenverordnungsblattsammelmappe " * 2 + "the end"


@cache
def paper_of(name: str) -> DayPaper:
    """The papers of a day by its name."""
    instance = INSTANCES[name]()
    plan = evaluate(instance, as_received(instance), {})
    if name == "loaded while running":
        plan = replace(plan, passes=tuple(_loaded_beforehand(p) if n else p for n, p in enumerate(plan.passes)))
    if name == "begun":
        plan = replace(plan, passes=(_begun(plan.passes[0]), *plan.passes[1:]))
    return DayPaper.of(plan, instance, shop_material_figures(), MADE)


def _begun(planned):
    at = planned.makeready_end
    return replace(planned, tasks=(), started=True, makeready_seconds=0, makeready_start=at, makeready_pieces=())


def _loaded_beforehand(planned):
    tasks = tuple(
        replace(t, external=True, person=None, start=None) if t.task == "load_pile" else t for t in planned.tasks
    )
    return replace(planned, tasks=tasks)


def _with_jobs(jobs: list[Job], crew: int = 1) -> Instance:
    shop = demo_instance().shop
    shop = shop.model_copy(update={"calendar": shop.calendar.with_crew(crew)})
    begins = shop.calendar.first_shift_start(DEMO_DAY)
    assert begins is not None
    return make_instance(shop, jobs, load_start(None, shop), begins)


def _copies(count: int) -> list[Job]:
    """So many jobs, made of the demo day's over and over."""
    models = list(demo_instance().jobs)
    return [_copy(models[number % len(models)], f"{number + 1:03}") for number in range(count)]


def _copy(job: Job, name: str) -> Job:
    """The same job under another id."""

    def renamed(old: PassId) -> PassId:
        return PassId(str(old).replace(str(job.id), name, 1))

    passes = tuple(
        p.model_copy(
            update={
                "id": renamed(p.id),
                "job": JobId(name),
                "first_side": None if p.first_side is None else renamed(p.first_side),
            }
        )
        for p in job.passes
    )
    return job.model_copy(update={"id": JobId(name), "passes": passes})


def _long_titles() -> Instance:
    jobs = [job.model_copy(update={"title": LONG_TITLE[:200]}) for job in demo_instance().jobs]
    return _with_jobs(jobs)


INSTANCES = {
    "demo": demo_instance,
    "one job": lambda: _with_jobs(_copies(1)),
    "a hundred jobs": lambda: _with_jobs(_copies(100)),
    "long titles": _long_titles,
    "two persons": lambda: _with_jobs(list(demo_instance().jobs), crew=2),
    "begun": lambda: _with_jobs(_copies(2)),
    "loaded while running": demo_instance,
}
