"""The command line: plan, score and compare in the terminal, the window without any of these words.

Exit codes: 0 done, 2 bad input, 3 no plan meets a hard rule. Everything heavy is imported where it is used, so that
a word of help or of refusal comes at once.
"""

from __future__ import annotations

import argparse
import math
import os
import signal
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from queueplanner import __version__
from queueplanner.cli.again import actual_of, add_replan_words, why_lines, with_rush_jobs
from queueplanner.cli.rule_words import add_rule_words, passes_called, rules_of
from queueplanner.shop.errors import BadInput, NoPlan, Problem, Refused

if TYPE_CHECKING:
    from queueplanner.planning.instance import Instance, UnitChoice
    from queueplanner.planning.plan import Plan
    from queueplanner.planning.progress import CancelToken, Progress
    from queueplanner.shop.base import PassId
    from queueplanner.shop.shop import Shop

DONE, BAD_INPUT, NO_PLAN = 0, 2, 3

DEFAULT_SECONDS = 10.0
LONGEST_SECONDS = 86_400.0
#: What can be put on paper.
PAPER_PARTS = ("run-sheet", "cards", "pull-list")
#: The years a plan may begin in, as a job list may name them.
YEARS = range(2000, 2200)

Now = Callable[[], datetime]


def entry() -> None:
    """Run the command line of this process and end it with the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = main(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our output has had enough of it; the interpreter must not try to write the rest.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = DONE
    except KeyboardInterrupt:
        code = 128 + signal.SIGINT
    engine = sys.modules.get("queueplanner.planning.engine")
    if engine is not None and engine.is_warming():
        # A compiler at work on its thread must not meet the interpreter's end.
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


def main(argv: Sequence[str], *, now: Now | None = None) -> int:
    """Do what some words ask for and return the exit code; `now` tells the present moment, aware or local."""
    words = _parser().parse_args(argv)
    clock = now or (lambda: datetime.now().astimezone())
    try:
        return _COMMANDS[words.command](words, clock)
    except BadInput as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        if len(error.problems) > 1:
            print(f"{len(error.problems)} problems; nothing was done.", file=sys.stderr)
        return BAD_INPUT
    except Refused as error:
        print(error, file=sys.stderr)
        return BAD_INPUT
    except NoPlan as error:
        print(f"No plan: {error}", file=sys.stderr)
        return NO_PLAN


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="queueplanner",
        description="Puts a press's jobs in the order that loses the fewest minutes to make-ready. "
        "Without a command it opens the window.",
        epilog="Exit codes: 0 done, 2 bad input, 3 no plan meets a hard rule.",
    )
    parser.add_argument("--version", action="version", version=f"queueplanner {__version__}")
    parser.add_argument("--shop", dest="shop_folder", type=Path, metavar="FOLDER", help="open the window on this shop")
    _add_record(parser)
    parser.set_defaults(command="window")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_plan(commands)
    _add_score(commands)
    _add_compare(commands)
    _add_papers(commands)
    _add_again(commands)
    demo = commands.add_parser("demo", help="plan the demo day, in the window or else in the terminal")
    demo.add_argument("--seconds", type=_seconds, default=DEFAULT_SECONDS, metavar="S", help="time to search")
    _add_record(demo, argparse.SUPPRESS)  # else it would overrule what stands before the command
    demo.set_defaults(command="demo")
    warm = commands.add_parser("warm", help="compile the planning engine now, so that no plan waits for it")
    warm.set_defaults(command="warm")
    return parser


def _add_record(command: argparse.ArgumentParser, default: str | None = None) -> None:
    told = "where the window keeps what is done: a file or a database's address (else in the user's data folder)"
    command.add_argument("--record", metavar="PATH|URL", default=default, help=told)


def _add_plan(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = commands.add_parser("plan", help="plan a job list and print the run order")
    _add_shared(plan)
    plan.add_argument("--seconds", type=_seconds, default=DEFAULT_SECONDS, metavar="S", help="time to search")
    _add_outputs(plan)
    plan.add_argument("--save-order", type=Path, metavar="FILE", help="write the order as score reads it")
    add_rule_words(plan)
    beside = plan.add_argument_group("a second press beside the first; each job goes to one that can run it")
    beside.add_argument("--second-press", type=Path, metavar="FILE", help="its press file")
    beside.add_argument("--second-shop", type=Path, metavar="FOLDER", help="its folder of files (else the first's)")
    beside.add_argument("--second-start", type=Path, metavar="FILE", help="its state at the plan's start")
    plan.set_defaults(command="plan")


def _add_score(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    score = commands.add_parser("score", help="reckon a given order and print the same table")
    _add_shared(score)
    score.add_argument("--order", type=Path, required=True, metavar="FILE", help="one pass id a line")
    _add_outputs(score)
    add_rule_words(score)
    score.set_defaults(command="score")


def _add_outputs(command: argparse.ArgumentParser) -> None:
    command.add_argument("--out", type=Path, metavar="PLAN.json", help="write the plan as JSON")
    command.add_argument("--ics", type=Path, metavar="FILE", help="write changeovers and runs as a calendar")
    command.add_argument("--csv", type=Path, metavar="FILE", help="write the run order as a table for spreadsheets")


def _add_compare(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    compare = commands.add_parser("compare", help="as received, by due time, light to dark and planned, side by side")
    _add_shared(compare)
    compare.add_argument("--seconds", type=_seconds, default=DEFAULT_SECONDS, metavar="S", help="time to search")
    compare.add_argument("--json", type=Path, metavar="FILE", help="write the totals as JSON")
    add_rule_words(compare)
    compare.set_defaults(command="compare")


def _add_again(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    replan = commands.add_parser("replan", help="plan the rest of a day anew, from now, near the known order")
    _add_shared(replan)
    add_replan_words(replan)
    replan.add_argument("--seconds", type=_seconds, default=1.0, metavar="S", help="time to search (else 1)")
    _add_outputs(replan)
    replan.add_argument("--save-order", type=Path, metavar="FILE", help="write the order as score reads it")
    relief = commands.add_parser("relief", help="what would help when not everything is on time")
    why = commands.add_parser("why", help="why a pass stands where it does; without one, the costliest due times")
    why.add_argument("--pass", dest="pass_id", metavar="ID", help="the pass")
    for command, name in ((replan, "replan"), (relief, "relief"), (why, "why")):
        add_rule_words(command)
        command.set_defaults(command=name)
        if command is not replan:
            _add_shared(command)
            command.add_argument("--order", type=Path, metavar="FILE", help="one pass id a line (else it is planned)")
            command.add_argument(
                "--seconds", type=_seconds, default=DEFAULT_SECONDS, metavar="S", help="time to search"
            )


def _add_papers(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    card = commands.add_parser("card", help="print the settings card of a pass, planned or in a given order")
    card.add_argument("--pass", dest="pass_id", required=True, metavar="ID", help="the pass")
    card.add_argument("--changes", action="store_true", help="only what changes against the pass before")
    materials = commands.add_parser("materials", help="print the paper, ink, solvent and dampening of a day")
    materials.add_argument("--pull-list", action="store_true", help="what to fetch and make, and by what hour, instead")
    paper = commands.add_parser("paper", help="write run sheet, settings cards and pull list as a PDF to print")
    paper.add_argument("--out", type=Path, required=True, metavar="FILE.pdf", help="the PDF file")
    paper.add_argument("--letter", action="store_true", help="on US Letter paper (else A4)")
    paper.add_argument("--only", action="append", choices=PAPER_PARTS, default=[], help="a part; may be given again")
    for command, name in ((card, "card"), (materials, "materials"), (paper, "paper")):
        _add_shared(command)
        command.add_argument("--order", type=Path, metavar="FILE", help="one pass id a line (else it is planned)")
        command.add_argument("--seconds", type=_seconds, default=DEFAULT_SECONDS, metavar="S", help="time to search")
        command.set_defaults(command=name)
    washes = commands.add_parser("washes", help="print the washes from every ink to every other, or why of one pair")
    washes.add_argument("--shop", type=Path, metavar="FOLDER", help="the folder of the shop's own files")
    washes.add_argument("--press", type=Path, metavar="FILE", help="a press file; it need hold only what differs")
    washes.add_argument("--from", dest="old", metavar="INK", help="the ink that comes out")
    washes.add_argument("--to", dest="new", metavar="INK", help="the ink that goes in")
    washes.set_defaults(command="washes")


def _add_shared(command: argparse.ArgumentParser) -> None:
    command.add_argument("jobs", type=Path, metavar="JOBS.csv", help="the job list")
    command.add_argument("--press", type=Path, metavar="FILE", help="a press file; it need hold only what differs")
    command.add_argument("--shop", type=Path, metavar="FOLDER", help="the folder of the shop's own files")
    command.add_argument("--start", type=Path, metavar="FILE", help="the press at the plan's start")
    command.add_argument("--crew", type=int, choices=(1, 2), help="persons at the press all day (else as shifts say)")
    command.add_argument("--day", type=_day, metavar="YYYY-MM-DD", help="the plan's day (else the next working day)")


def _seconds(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 <= value <= LONGEST_SECONDS:
        raise argparse.ArgumentTypeError(f"found '{text}'; write seconds from 0 to {LONGEST_SECONDS:.0f}")
    return value


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"found '{text}'; write a day as YYYY-MM-DD") from None
    if day.year not in YEARS:
        raise argparse.ArgumentTypeError(f"found '{text}'; write a year from {YEARS[0]} to {YEARS[-1]}")
    return day


def _window(words: argparse.Namespace, now: Now) -> int:
    del now
    if has_display() and (run := _desk()) is not None:
        return run(shop_folder=words.shop_folder, record=words.record)
    print("The window cannot be opened here. In the terminal: queueplanner plan JOBS.csv", file=sys.stderr)
    return BAD_INPUT


def _demo(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.demo import DEMO_DAY, demo_jobs

    if has_display() and (run := _desk()) is not None:
        return run(record=words.record, demo=True)
    asked = ["plan", str(demo_jobs()), "--day", DEMO_DAY.isoformat(), "--seconds", str(words.seconds)]
    code = _plan(_parser().parse_args(asked), now)
    print("\nPlanned in the terminal, since no window can be opened here. On a desktop this opens it:")
    print("  python3 start.py" if (demo_jobs().parents[1] / "start.py").is_file() else "  queueplanner demo")
    return code


def _warm(words: argparse.Namespace, now: Now) -> int:
    """Compile with the demo day at hand; kept on disk, it is there for every later plan."""
    from queueplanner.exchange.demo import DEMO_DAY, demo_jobs
    from queueplanner.planning.engine import warm_up
    from queueplanner.planning.search import Numbered

    words.jobs, words.day = demo_jobs(), DEMO_DAY
    words.press = words.shop = words.start = words.crew = None
    warm_up(Numbered.of(_instance(words, now)).tables)
    return DONE


def _desk() -> Callable[..., int] | None:
    """What opens the window; None, with a word about it, where the window library cannot be loaded."""
    try:
        from queueplanner.desk.app import run
    except ImportError as error:
        print(f"The window library cannot be loaded: {error}", file=sys.stderr)
        return None
    return run


def _plan(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.order_file import order_text
    from queueplanner.exchange.run_order_text import run_order_text
    from queueplanner.planning.planner import plan_day

    if words.second_press or words.second_shop:
        return _plan_two(words, now)
    _check_writable(words.out, words.save_order, words.ics, words.csv)
    instance = _ruled(words, now)
    with _searching() as (told, cancel):
        plan = plan_day(instance, words.seconds, on_better=told, cancel=cancel)
    print(run_order_text(plan), end="")
    _write(words.save_order, lambda: order_text(plan))
    _write_outputs(words, plan, now)
    return DONE


def _plan_two(words: argparse.Namespace, now: Now) -> int:
    """Plan two presses side by side."""
    from queueplanner.exchange.job_csv import read_jobs
    from queueplanner.exchange.plan_json import presses_to_json
    from queueplanner.exchange.run_order_text import run_order_text
    from queueplanner.exchange.shop_files import load_shop
    from queueplanner.exchange.start_file import load_start
    from queueplanner.planning.presses import make_presses, plan_presses

    _check_one_press_only(words)
    _check_writable(words.out)
    second_folder = words.second_shop or words.shop
    shops = [load_shop(words.shop, words.press), load_shop(second_folder, words.second_press)]
    if words.crew is not None:
        shops = [s.model_copy(update={"calendar": s.calendar.with_crew(words.crew)}) for s in shops]
    files = words.start or _own_start(words.shop), words.second_start or _own_start(words.second_shop)
    starts = [load_start(file, shop) for file, shop in zip(files, shops, strict=True)]
    begins = [_begins(shop, words.day, now) for shop in shops]
    jobs = read_jobs(words.jobs, shops[0], begins[0].date())
    with _searching() as (_told, cancel):
        found = plan_presses(make_presses(shops, jobs, starts, begins), words.seconds, cancel=cancel)
    print("\n".join(run_order_text(plan) for plan in found.plans), end="")
    _write(words.out, lambda: presses_to_json(found.plans))
    return DONE


def _check_one_press_only(words: argparse.Namespace) -> None:
    """Refuse what two presses cannot be asked together. Raises BadInput."""
    asked = {"--save-order": words.save_order, "--ics": words.ics, "--csv": words.csv}
    asked |= {"--pin": words.pin, "--together": words.together, "--in-turn": words.in_turn}
    asked |= {"--not-before": words.not_before}
    problems = [
        Problem(option, None, None, "with a second press", "it is for one press: leave it out, or use --out")
        for option, value in asked.items()
        if value
    ]
    if problems:
        raise BadInput(problems)


def _score(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.order_file import read_order
    from queueplanner.exchange.run_order_text import run_order_text

    _check_writable(words.out, words.ics, words.csv)
    instance = _ruled(words, now)
    plan = _scored(instance, *read_order(words.order, instance))
    print(run_order_text(plan), end="")
    _write_outputs(words, plan, now)
    return DONE


def _write_outputs(words: argparse.Namespace, plan: Plan, now: Now) -> None:
    """The files of a plan that the words name."""
    from queueplanner.exchange.icalendar import plan_to_icalendar
    from queueplanner.exchange.plan_json import plan_to_json
    from queueplanner.exchange.run_order_csv import plan_to_csv

    _write(words.out, lambda: plan_to_json(plan))
    _write(words.ics, lambda: plan_to_icalendar(plan, now()))
    _write(words.csv, lambda: plan_to_csv(plan))


def _scored(instance: Instance, order: Sequence[PassId], units: Mapping[PassId, UnitChoice]) -> Plan:
    """The plan of a given order: with the units told, or, where none is told at all, with the best found."""
    from queueplanner.planning.evaluate import evaluate
    from queueplanner.planning.planner import best_units

    return evaluate(instance, order, units) if units else best_units(instance, order)


def _compare(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.compare_text import compare_text
    from queueplanner.exchange.plan_json import compare_to_json
    from queueplanner.planning.compare import compare

    _check_writable(words.json)
    instance = _ruled(words, now)
    with _searching() as (told, cancel):
        plans = compare(instance, words.seconds, on_better=told, cancel=cancel)
    print(compare_text(plans), end="")
    _write(words.json, lambda: compare_to_json(plans))
    return DONE


def _replan(words: argparse.Namespace, now: Now) -> int:
    """Plan the rest of a day anew."""
    from queueplanner.exchange.job_csv import read_jobs
    from queueplanner.exchange.order_file import order_text, read_order
    from queueplanner.exchange.replan_text import moved_text
    from queueplanner.exchange.run_order_text import run_order_text
    from queueplanner.planning.replan import queue_from_now, replan

    _check_writable(words.out, words.save_order, words.ics, words.csv)
    instance = _instance(words, now)
    known = _scored(instance, *read_order(words.order, instance))
    actual = actual_of(words, instance, known)
    jobs = list(instance.jobs)
    if words.rush is not None:
        day = datetime.fromtimestamp(instance.start_at, instance.shop.calendar.zone).date()
        jobs = with_rush_jobs(instance.jobs, tuple(read_jobs(words.rush, instance.shop, day)))
    rest = queue_from_now(instance, known, actual, jobs=jobs, near=not words.free)
    rest = rest.with_rules(rules_of(words, rest).with_known(rest.rules.known))
    with _searching() as (told, cancel):
        found = replan(rest, known, words.seconds, on_better=told, cancel=cancel)
    print(run_order_text(found.plan), end="")
    print("\n" + moved_text(found), end="")
    _write(words.save_order, lambda: order_text(found.plan))
    _write_outputs(words, found.plan, now)
    return DONE


def _relief(words: argparse.Namespace, now: Now) -> int:
    """What would help a late day."""
    from queueplanner.exchange.relief_text import relief_text
    from queueplanner.planning.relax import what_would_help

    instance = _ruled(words, now)
    plan = _ordered(words, instance)
    with _searching() as (_told, cancel):
        relief = what_would_help(instance, plan, seconds_each=max(0.3, words.seconds / 20), cancel=cancel)
    print(relief_text(instance, plan, relief), end="")
    return DONE


def _why(words: argparse.Namespace, now: Now) -> int:
    """Why a pass stands where it does, or which due times cost most."""
    from queueplanner.exchange.why_text import due_text
    from queueplanner.planning.explain import costliest_due_times, why_here

    instance = _ruled(words, now)
    if words.pass_id is not None:
        (pass_id,) = passes_called(instance, [words.pass_id], "--pass")
        plan = _ordered(words, instance)
        print(why_lines(instance, plan, why_here(instance, plan, pass_id)), end="")
        return DONE
    plan = _ordered(words, instance)
    with _searching() as (_told, cancel):
        reasons = costliest_due_times(instance, plan, max(0.3, words.seconds / 20), cancel=cancel)
    print(due_text(reasons), end="")
    return DONE


def _card(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.card_text import card_text
    from queueplanner.exchange.near import shown, suggestion
    from queueplanner.planning.cards import plan_cards

    instance = _instance(words, now)
    if words.pass_id not in instance.passes:
        wanted = suggestion(words.pass_id, instance.passes, "pass")
        raise BadInput([Problem("--pass", None, None, f"no pass {shown(words.pass_id)} in the job list", wanted)])
    plan = _ordered(words, instance)
    cards = plan_cards(plan, instance.shop.press, instance.state)
    place = plan.order.index(words.pass_id)
    print(card_text(cards[place], plan.passes[place], changes_only=words.changes), end="")
    return DONE


def _materials(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.figure_sources import figure_sources
    from queueplanner.exchange.materials_text import materials_text
    from queueplanner.exchange.profile_files import shop_material_figures
    from queueplanner.exchange.pull_list_text import pull_list_text
    from queueplanner.planning.cards import plan_materials
    from queueplanner.planning.pull_list import pull_list

    instance = _instance(words, now)
    figures = shop_material_figures(words.shop, words.press)
    sources = figure_sources(instance.shop.press, figures, words.shop, words.press)
    plan = _ordered(words, instance)
    used = plan_materials(plan, instance.shop.press, figures)
    if words.pull_list:
        print(pull_list_text(plan, pull_list(plan, used, instance.state)), end="")
    else:
        print(materials_text(plan, used, instance.shop, sources), end="")
    return DONE


def _paper(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.profile_files import shop_material_figures

    _check_writable(words.out)
    try:
        from queueplanner.desk.paper_file import paper_file
    except ImportError as error:
        print(f"The library that makes pages cannot be loaded: {error}", file=sys.stderr)
        return BAD_INPUT
    instance = _instance(words, now)
    figures = shop_material_figures(words.shop, words.press)
    plan = _ordered(words, instance)
    _write_data(words.out, paper_file(plan, instance, figures, now(), letter=words.letter, only=words.only))
    return DONE


def _ordered(words: argparse.Namespace, instance: Instance) -> Plan:
    """The plan of the order in a file, else the best one found."""
    from queueplanner.exchange.order_file import read_order
    from queueplanner.planning.planner import plan_day

    if words.order is not None:
        return _scored(instance, *read_order(words.order, instance))
    with _searching() as (told, cancel):
        return plan_day(instance, words.seconds, on_better=told, cancel=cancel)


def _washes(words: argparse.Namespace, now: Now) -> int:
    from queueplanner.exchange.shop_files import load_shop
    from queueplanner.exchange.wash_words import ink_called, pair_text, wash_table_text

    del now
    shop = load_shop(words.shop, words.press)
    if (words.old is None) != (words.new is None):
        missing = "--from" if words.old is None else "--to"
        raise BadInput([Problem(missing, None, None, "nothing", "name both inks of the pair, or neither")])
    if words.old is None:
        print(wash_table_text(shop), end="")
    else:
        pair = ink_called(words.old, shop.inks, "--from"), ink_called(words.new, shop.inks, "--to")
        print(pair_text(shop, *pair), end="")
    return DONE


_COMMANDS: Mapping[str, Callable[[argparse.Namespace, Now], int]] = {
    "window": _window,
    "demo": _demo,
    "warm": _warm,
    "plan": _plan,
    "score": _score,
    "replan": _replan,
    "relief": _relief,
    "why": _why,
    "compare": _compare,
    "card": _card,
    "materials": _materials,
    "paper": _paper,
    "washes": _washes,
}


def _instance(words: argparse.Namespace, now: Now) -> Instance:
    """Shop, jobs and starting state as the words name them. Raises BadInput, Refused or NoPlan."""
    from queueplanner.exchange.job_csv import read_jobs
    from queueplanner.exchange.shop_files import load_shop
    from queueplanner.exchange.start_file import load_start
    from queueplanner.planning.instance import make_instance

    shop = load_shop(words.shop, words.press)
    if words.crew is not None:
        shop = shop.model_copy(update={"calendar": shop.calendar.with_crew(words.crew)})
    start = load_start(words.start or _own_start(words.shop), shop)
    begins = _begins(shop, words.day, now)
    jobs = read_jobs(words.jobs, shop, begins.date())
    return make_instance(shop, jobs, start, begins)


def _ruled(words: argparse.Namespace, now: Now) -> Instance:
    """The instance with what the words fix of its order."""
    instance = _instance(words, now)
    return instance.with_rules(rules_of(words, instance))


def _own_start(folder: Path | None) -> Path | None:
    own = None if folder is None else folder / "start.toml"
    return own if own is not None and own.exists() else None


def _begins(shop: Shop, day: date | None, now: Now) -> datetime:
    """When the plan begins: with the first shift of the day, or of the next working day after today."""
    first = day or now().astimezone(shop.calendar.zone).date() + timedelta(days=1)
    for later in range(366):
        begins = shop.calendar.first_shift_start(first + timedelta(days=later))
        if begins is not None and (day is None or later == 0):
            return begins
        if begins is not None:
            found, wanted = f"{day}, a day without shifts", f"the next working day is {begins:%Y-%m-%d}"
            raise BadInput([Problem("--day", None, None, found, wanted)])
    raise BadInput([Problem("shifts.toml", None, "closed", "no shift within a year", "give the shop a working day")])


@contextmanager
def _searching() -> Iterator[tuple[Callable[[Progress], None], CancelToken]]:
    """Progress on a terminal, and Ctrl+C as "stop and keep the best"; a second one ends the program."""
    from queueplanner.planning.progress import CancelToken

    cancel = CancelToken()
    show = _Ticker(sys.stderr)

    def stop(number: int, frame: object) -> None:
        del number, frame
        if cancel.cancelled:
            raise KeyboardInterrupt
        cancel.cancel()

    try:
        before = signal.signal(signal.SIGINT, stop)
    except ValueError:  # not the main thread: then Ctrl+C is not ours to take
        yield show, cancel
        return
    try:
        yield show, cancel
    finally:
        signal.signal(signal.SIGINT, before)
        show.clear()


class _Ticker:
    """One line on a terminal that tells how the search is getting on; nothing elsewhere."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.shown = ""

    def __call__(self, progress: Progress) -> None:
        if not self.stream.isatty() or progress.plan is None:
            return
        totals = progress.plan.totals
        line = (
            f"{progress.seconds:5.1f} s  {totals.makeready_seconds / 60:.0f} min make-ready, "
            f"{totals.wash_ups} wash-ups, {totals.late_passes} late"
        )
        if progress.bound is not None and not totals.late_passes:
            line += f"; not below {progress.bound / totals.objective:.0%} of that"
        print("\r" + line.ljust(len(self.shown)), end="", file=self.stream, flush=True)
        self.shown = line

    def clear(self) -> None:
        """Take the line away."""
        if self.shown:
            print("\r" + " " * len(self.shown) + "\r", end="", file=self.stream, flush=True)
            self.shown = ""


def _check_writable(*paths: Path | None) -> None:
    """Refuse a file that cannot be written before any time is spent. Raises BadInput."""
    problems = []
    for path in paths:
        if path is not None and path.is_dir():
            problems.append(Problem(str(path), None, None, "a folder", "name a file in it"))
        elif path is not None and not path.parent.is_dir():
            problems.append(Problem(str(path), None, None, "no such folder", f"make the folder {path.parent} first"))
    if problems:
        raise BadInput(problems)


def _write(path: Path | None, text: Callable[[], str]) -> None:
    """Write a file, whole or not at all. Raises BadInput when it cannot be written."""
    if path is not None:
        _write_data(path, text().encode("utf-8"))


def _write_data(path: Path, data: bytes) -> None:
    """Write a file, whole or not at all. Raises BadInput when it cannot be written."""
    from queueplanner.exchange.text_file import write_bytes_whole

    try:
        write_bytes_whole(path, data)
    except OSError as error:
        found = (error.strerror or type(error).__name__).lower()
        wanted = "nothing was written; name a file that can be"
        raise BadInput([Problem(str(path), None, None, found, wanted)]) from None


def has_display() -> bool:
    """Whether a window can be opened: on Windows and macOS yes, else where a display is named or Qt is told where."""
    if sys.platform in ("win32", "darwin"):
        return True
    return any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))
