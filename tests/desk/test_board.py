"""The board: every command does what it says in one action, can be taken back, or is refused with the rule named."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from queueplanner.desk import board_commands as do
from queueplanner.desk.board import Board
from queueplanner.desk.board_commands import AS_RECEIVED, MINE, PLANNED
from queueplanner.desk.board_refusals import Done, Refusal, Why
from queueplanner.desk.board_words import order_name, refusal_text
from queueplanner.exchange.shop_files import load_shop
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import solution_of
from queueplanner.planning.planner import plan_day
from queueplanner.record.record import Record
from queueplanner.record.row import Row
from queueplanner.shop.base import JobId
from tests.desk.board_rig import (
    COLOURS,
    DAY,
    board_with_jobs,
    check_truth,
    done,
    everything,
    job,
    open_board,
    open_record,
    p,
    refused,
)
from tests.small_shop import at, moment, one

A, B1, B2, C, D = p("A"), p("B"), p("B back"), p("C"), p("D")


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with open_record(tmp_path) as opened:
        yield opened


@pytest.fixture
def board(record: Record) -> Board:
    return board_with_jobs(record)


# What stands


def test_a_blank_board_has_no_jobs_and_no_plan(record: Record) -> None:
    board = open_board(record)
    assert (board.jobs, board.order, board.plan, board.orders) == ((), (), None, (AS_RECEIVED,))
    assert board.undo_text() == board.redo_text() == ""
    assert board.undo() == Refusal(Why.NOTHING_LEFT)


def test_jobs_stand_as_received_with_the_evaluators_plan(board: Board) -> None:
    assert board.order == (A, B1, B2, C, D)
    assert board.plan == evaluate(board.instance, board.order, {})
    assert board.rules == OrderRules()


def test_what_was_done_is_there_when_the_record_is_opened_again(board: Board, tmp_path: Path) -> None:
    done(board, do.MovePass(D, 0))
    done(board, do.Pin(C, 2))
    board.record.close()
    with open_record(tmp_path) as record:
        again = open_board(record)
        assert (again.shown, again.order, again.rules) == (MINE, board.order, board.rules)
        assert everything(again) == everything(board)
        assert again.undo_text() == "undo pin of C to place 3"


def test_listeners_hear_of_every_change_and_of_nothing_else(board: Board) -> None:
    heard: list[str] = []
    board.listen(lambda: heard.append(board.shown))
    done(board, do.MovePass(D, 0))
    board.do(do.MovePass(B2, 0))
    board.show(AS_RECEIVED)
    board.undo()
    board.redo()
    assert heard == [MINE, AS_RECEIVED, AS_RECEIVED, MINE]


# Moving


def test_a_move_of_the_order_as_received_makes_ones_own_order_beside_it(board: Board) -> None:
    done(board, do.MovePass(D, 1))
    assert board.orders == (AS_RECEIVED, MINE)
    assert board.shown == MINE
    assert board.order == (A, D, B1, B2, C)
    board.show(AS_RECEIVED)
    assert board.order == (A, B1, B2, C, D)


def test_ones_own_order_is_not_overwritten_from_the_order_as_received(board: Board) -> None:
    done(board, do.MovePass(D, 1))
    board.show(AS_RECEIVED)
    done(board, do.MovePass(C, 0))
    assert board.orders == (AS_RECEIVED, MINE, f"{MINE} 2")


@pytest.mark.parametrize(("place", "order"), [(0, (C, A, B1, B2, D)), (4, (A, B1, B2, D, C)), (99, (A, B1, B2, D, C))])
def test_a_pass_moves_to_a_place_as_the_order_stands_afterwards(board: Board, place: int, order: tuple) -> None:
    done(board, do.MovePass(C, place))
    assert board.order == order


def test_a_move_to_where_a_pass_stands_is_no_action(board: Board) -> None:
    done(board, do.MovePass(D, 1))
    last = board.record.last_action()
    assert done(board, do.MovePass(D, 1)) == Done("move_pass", None)
    assert board.record.last_action() == last


def test_a_second_side_cannot_come_before_its_first(board: Board) -> None:
    answer = refused(board, do.MovePass(B2, 0))
    assert (answer.why, answer.passes) == (Why.FIRST_SIDE, (B1, B2))
    assert refusal_text(answer) == "B back backs up B: a second side comes after its first."
    assert refused(board, do.MovePass(B1, 4)).why is Why.FIRST_SIDE


def test_a_pass_that_is_not_there_is_named(board: Board) -> None:
    answer = refused(board, do.MovePass(p("Z"), 0))
    assert (answer.why, answer.passes) == (Why.NO_SUCH_PASS, (p("Z"),))


# Rules


def test_a_pinned_pass_stays_when_others_move_past_it(board: Board) -> None:
    done(board, do.Pin(C, 3))
    done(board, do.MovePass(D, 0))
    assert board.order == (D, A, B1, C, B2)
    assert board.rules.places == {C: 3}


def test_a_pinned_pass_cannot_be_moved_nor_its_place_taken(board: Board) -> None:
    done(board, do.Pin(C, 3))
    answer = refused(board, do.MovePass(C, 0))
    assert (answer.why, answer.passes, answer.facts) == (Why.PIN, (C,), {"place": 4})
    assert refusal_text(answer) == "C is pinned to place 4. Unpin it first."
    assert refused(board, do.MovePass(A, 3)).passes == (C,)
    done(board, do.Unpin(C))
    done(board, do.MovePass(C, 0))
    assert board.order[0] == C


def test_a_pin_without_a_place_holds_a_pass_where_it_stands(board: Board) -> None:
    done(board, do.Pin(D))
    assert board.rules.places == {D: 4}
    assert board.undo_text() == "undo pin of D to place 5"


def test_a_pin_can_be_laid_on_another_place(board: Board) -> None:
    done(board, do.Pin(D, 4))
    done(board, do.Pin(D, 0))
    assert (board.order[0], board.rules.places) == (D, {D: 0})


def test_passes_kept_together_come_together_and_cannot_be_moved_apart(board: Board) -> None:
    done(board, do.KeepTogether((A, D)))
    where = [board.order.index(A), board.order.index(D)]
    assert abs(where[0] - where[1]) == 1
    assert board.rules.together == (frozenset({A, D}),)
    away = do.MovePass(A, 4 if where[0] < 2 else 0)
    assert refused(board, away).why is Why.TOGETHER
    done(board, do.PartPasses((A,)))
    assert board.rules.together == ()
    done(board, away)


def test_groups_that_share_a_pass_become_one(board: Board) -> None:
    done(board, do.KeepTogether((A, D)))
    done(board, do.KeepTogether((D, C)))
    assert board.rules.together == (frozenset({A, C, D}),)


def test_a_pass_that_runs_after_another_is_put_after_it_and_stays_so(board: Board) -> None:
    done(board, do.RunAfter(D, A))
    assert board.order.index(D) < board.order.index(A)
    assert refused(board, do.MovePass(A, 0)).why is Why.TURN
    done(board, do.RunFreely(D, A))
    done(board, do.MovePass(A, 0))


def test_rules_that_contradict_each_other_are_named(board: Board) -> None:
    done(board, do.RunAfter(D, A))
    answer = refused(board, do.RunAfter(A, D))
    assert answer.why is Why.CONTRADICTION
    assert set(answer.passes) == {A, D}
    assert "A comes after D" in refusal_text(answer)
    assert refused(board, do.RunAfter(A, A)).why is Why.TURN


def test_an_earliest_start_binds_the_changeover_until_it_is_lifted(board: Board) -> None:
    done(board, do.NotBefore(A, moment(11)))
    assert board.plan is not None
    assert board.plan.passes[0].makeready_start == at(11)
    assert board.rules.not_before == {A: at(11)}
    assert board.undo_text() == "undo earliest start of A"
    done(board, do.NotBefore(A, None))
    assert board.rules.not_before == {}
    assert board.plan is not None
    assert board.plan.passes[0].makeready_start == at(8)


def test_an_earliest_start_that_no_day_holds_is_refused(board: Board) -> None:
    answer = refused(board, do.NotBefore(A, moment(8, day=400)))
    assert answer.why is Why.NO_PLAN
    assert A in answer.passes


def test_a_moment_without_a_zone_is_a_mistake_of_the_program(board: Board) -> None:
    with pytest.raises(ValueError, match="zone"):
        board.do(do.NotBefore(A, moment(11).replace(tzinfo=None)))


# Jobs


def test_a_changed_job_changes_the_plan_and_not_the_order(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    before = board.plan
    done(board, do.EditJobs(changed=(job("D", "red", sheets=1200),)))
    assert board.order == (D, A, B1, B2, C)
    assert before is not None
    assert board.plan is not None
    assert board.plan.totals.run_seconds == before.totals.run_seconds + 600
    assert board.undo_text() == "undo change of D"


def test_gone_passes_leave_every_order_and_new_ones_come_last(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    done(board, do.EditJobs(added=(job("E"),), removed=(JobId("C"),)))
    assert board.order == (D, A, B1, B2, p("E"))
    assert [j.id for j in board.jobs] == ["A", "B", "E", "D"]
    board.show(AS_RECEIVED)
    assert board.order == (A, B1, B2, p("E"), D)


def test_a_job_that_becomes_two_sided_keeps_its_place(board: Board) -> None:
    done(board, do.MovePass(C, 0))
    done(board, do.EditJobs(changed=(job("A", "red", two_sided=True),)))
    assert board.order == (C, A, B1, B2, D, p("A back"))
    done(board, do.EditJobs(changed=(job("B", "black"),)))
    assert board.order == (C, A, B1, D, p("A back"))


def test_passes_with_other_names_stand_where_those_of_their_job_stood(board: Board) -> None:
    done(board, do.MovePass(C, 0))
    renamed = job("C").model_copy(update={"passes": (one("C new", 600, job=JobId("C")),)})
    done(board, do.EditJobs(changed=(renamed,)))
    assert board.order == (p("C new"), A, B1, B2, D)


def test_pins_keep_their_place_or_the_last_one_when_jobs_go(board: Board) -> None:
    done(board, do.Pin(D, 4))
    done(board, do.Pin(C, 3))
    done(board, do.EditJobs(removed=(JobId("A"),)))
    assert board.rules.places == {C: 3, D: 2}
    assert board.order == (B1, B2, D, C)


def test_rules_no_order_can_keep_any_more_are_let_go(board: Board) -> None:
    """A new first side would have to stand where two sides of another job are pinned."""
    done(board, do.MovePass(B1, 0))
    done(board, do.MovePass(B2, 1))
    done(board, do.Pin(B2))
    done(board, do.Pin(A))
    front, back = job("A", "red", two_sided=True).passes
    first = front.model_copy(update={"id": p("A front")})
    second = back.model_copy(update={"id": A, "first_side": first.id})
    done(board, do.EditJobs(changed=(job("A").model_copy(update={"passes": (first, second)}),)))
    assert board.rules.places == {}
    check_truth(board)


def test_a_job_the_press_cannot_run_is_refused_with_the_reason(board: Board) -> None:
    front = job("A").passes[0]
    wide = front.model_copy(update={"format": front.format.model_copy(update={"long_mm": 900.0})})
    answer = refused(board, do.EditJobs(changed=(job("A").model_copy(update={"passes": (wide,)}),)))
    assert (answer.why, answer.passes) == (Why.NOT_PRINTABLE, (A,))
    assert "small press takes sheets" in refusal_text(answer)


def test_names_that_are_taken_or_unknown_are_refused(board: Board) -> None:
    assert refused(board, do.EditJobs(added=(job("A"),))).why is Why.NAME_TAKEN
    assert refused(board, do.EditJobs(added=(job("E"), job("E")))).why is Why.NAME_TAKEN
    twin = job("E").model_copy(update={"passes": job("A").passes})
    assert refused(board, do.EditJobs(added=(twin,))).passes == (A,)
    assert refused(board, do.EditJobs(removed=(JobId("Z"),))).why is Why.NO_SUCH_JOB
    assert refused(board, do.ToTomorrow(JobId("Z"))).why is Why.NO_SUCH_JOB


def test_a_job_moves_to_tomorrows_board_and_back_by_undo(board: Board) -> None:
    start = everything(board)
    done(board, do.ToTomorrow(JobId("B")))
    assert [j.id for j in board.jobs] == ["A", "C", "D"]
    assert board.undo_text() == "undo move of job B to 03.03."
    board.go_to(DAY + timedelta(days=1))
    assert [j.id for j in board.jobs] == ["B"]
    assert board.order == (B1, B2)
    assert refused(board, do.EditJobs(added=(job("A"),))).why is Why.NAME_TAKEN
    board.undo()
    assert board.day == DAY
    assert everything(board) == start
    board.go_to(DAY + timedelta(days=1))
    assert board.jobs == ()


def test_a_list_read_again_changes_adds_and_takes_away_its_own_jobs_only(board: Board) -> None:
    done(board, do.ImportJobs("day.csv", DAY, (job("K"), job("L"))))
    done(board, do.ImportJobs("day.csv", DAY, (job("L", "blue"), job("M"))))
    assert [j.id for j in board.jobs] == ["A", "B", "C", "D", "L", "M"]
    assert board.undo_text() == "undo reading of day.csv"
    board.undo()
    assert [j.id for j in board.jobs] == ["A", "B", "C", "D", "K", "L"]


def test_a_job_moved_to_tomorrow_does_not_come_back_with_the_list(board: Board) -> None:
    done(board, do.ImportJobs("day.csv", DAY, (job("K"), job("L"))))
    done(board, do.ToTomorrow(JobId("K")))
    done(board, do.ImportJobs("day.csv", DAY, (job("K"), job("L"))))
    assert [j.id for j in board.jobs] == ["A", "B", "C", "D", "L"]


def test_a_list_for_another_day_brings_that_day_on_the_desk(board: Board) -> None:
    other = DAY + timedelta(days=3)
    done(board, do.ImportJobs("week.csv", other, (job("K"),)))
    assert (board.day, [j.id for j in board.jobs]) == (other, ["K"])
    board.undo()
    assert (board.day, len(board.jobs)) == (DAY, 4)
    board.go_to(other)
    assert board.jobs == ()


# The demo


def demo_board(record: Record) -> tuple[Board, tuple]:
    shop = load_shop(None)
    board = Board.open(record, day=DAY)
    inks = tuple(shop.inks.values())
    assert len(inks) > 3
    from queueplanner.exchange.demo import demo_jobs
    from queueplanner.exchange.job_csv import read_jobs

    made = tuple(read_jobs(demo_jobs(), shop, DAY))
    done(board, do.PutDemo(DAY, made, shop))
    return board, made


def test_the_demo_day_is_the_first_action_and_marked_as_such(record: Record) -> None:
    board, made = demo_board(record)
    assert board.is_demo
    assert board.jobs == made
    assert board.undo_text() == "undo the demo day"
    assert record.get(Row.day(board.press, DAY)).version == 1
    board.undo()
    assert (board.is_demo, board.jobs) == (False, ())


def test_an_own_day_takes_the_demo_out_and_can_be_taken_back(record: Record) -> None:
    board, made = demo_board(record)
    done(board, do.StartOwnDay(DAY + timedelta(days=1)))
    assert (board.is_demo, board.jobs, board.day) == (False, (), DAY + timedelta(days=1))
    assert record.get(Row.job(made[0].id)).body is None
    board.undo()
    assert (board.day, board.jobs) == (DAY, made)


def test_an_own_day_on_the_demos_date_is_blank(record: Record) -> None:
    board, _ = demo_board(record)
    done(board, do.StartOwnDay(DAY))
    assert (board.is_demo, board.jobs) == (False, ())


def test_an_own_list_ends_the_demo_even_with_the_same_job_numbers(record: Record) -> None:
    board, made = demo_board(record)
    other = DAY + timedelta(days=1)
    done(board, do.ImportJobs("day.csv", other, made[:2]))
    assert (board.day, board.jobs, board.is_demo) == (other, made[:2], False)
    assert Board.open(record, day=other).jobs == made[:2]
    board.go_to(DAY)
    assert board.jobs == ()


def test_the_station_comes_back_to_where_it_left_off(record: Record) -> None:
    board, _ = demo_board(record)
    first = board.order[0]
    done(board, do.MovePass(first, 3))
    again = Board.open(record)
    assert (again.day, again.order) == (DAY, board.order)


def test_a_day_that_is_over_gives_way_to_the_next_working_day(record: Record) -> None:
    board = open_board(record, day=date(2026, 2, 20))
    done(board, do.EditJobs(added=(job("A"),)))
    assert open_board(record, day=None).day == DAY


# Orders


def test_a_planned_order_stands_beside_ones_own(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    mine = board.order
    found = plan_day(board.instance, 0.2, threads=1)
    done(board, do.TakePlanned(*solution_of(found)))
    assert board.orders == (AS_RECEIVED, MINE, PLANNED)
    assert board.shown == PLANNED
    assert board.plan is not None
    assert board.plan.totals == found.totals
    board.show(MINE)
    assert board.order == mine


def test_a_second_planned_order_gets_a_number_and_the_same_one_is_not_kept_twice(board: Board) -> None:
    done(board, do.TakePlanned((A, B1, B2, D, C), {A: (2,)}))
    done(board, do.TakePlanned((D, A, B1, B2, C)))
    assert board.orders == (AS_RECEIVED, PLANNED, f"{PLANNED} 2")
    done(board, do.TakePlanned((A, B1, B2, D, C), {A: (2,)}))
    assert (len(board.orders), board.shown) == (3, PLANNED)


def test_planning_takes_the_rules_of_the_order_on_show_along(board: Board) -> None:
    done(board, do.Pin(D, 0))
    done(board, do.NotBefore(C, moment(10)))
    found = plan_day(board.instance, 0.2, threads=1)
    rules = board.rules
    done(board, do.TakePlanned(*solution_of(found)))
    assert board.order[0] == D
    assert board.rules == rules


def test_a_planned_order_of_other_jobs_is_refused(board: Board) -> None:
    order = board.order
    done(board, do.EditJobs(removed=(JobId("C"),)))
    assert refused(board, do.TakePlanned(order)).why is Why.OTHER_PASSES


def test_orders_are_made_renamed_and_dropped(board: Board) -> None:
    done(board, do.NewOrder("least washing"))
    done(board, do.MovePass(D, 0))
    done(board, do.RenameOrder("least washing", "light first"))
    assert (board.orders, board.shown) == ((AS_RECEIVED, "light first"), "light first")
    assert board.order[0] == D
    assert board.undo_text() == "undo renaming of “least washing” to “light first”"
    done(board, do.DropOrder("light first"))
    assert (board.orders, board.shown) == ((AS_RECEIVED,), AS_RECEIVED)
    board.undo()
    assert (board.shown, board.order[0]) == ("light first", D)


def test_names_of_orders_are_checked(board: Board) -> None:
    done(board, do.NewOrder("x"))
    assert refused(board, do.NewOrder("X ")).why is Why.NAME_TAKEN
    assert refused(board, do.NewOrder(" ")).why is Why.NAME_WRONG
    assert refused(board, do.RenameOrder(AS_RECEIVED, "y")).why is Why.ORDER_FIXED
    assert refused(board, do.DropOrder(AS_RECEIVED)).why is Why.ORDER_FIXED
    assert refused(board, do.DropOrder("z")).why is Why.NO_SUCH_ORDER


def test_names_the_program_gives_are_words_and_others_stay() -> None:
    assert [order_name(n) for n in (MINE, "planned 2", "light first 3")] == ["mine", "planned 2", "light first 3"]


def test_a_released_order_has_a_number_and_later_changes_show(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    assert board.changed_since_release() is None
    done(board, do.Release(by="Kim"))
    (released,) = board.releases
    assert (released.number, released.name, released.by) == (1, MINE, "Kim")
    assert not board.changed_since_release()
    done(board, do.MovePass(C, 0))
    done(board, do.EditJobs(changed=(job("A", "blue"),), added=(job("E"),)))
    found = board.changed_since_release()
    assert found is not None
    assert (found.number, found.moved, found.new, found.gone, found.jobs) == (1, (C,), (p("E"),), (), (JobId("A"),))
    done(board, do.Release())
    assert [r.number for r in board.releases] == [1, 2]
    assert not board.changed_since_release()


def test_a_release_is_not_taken_back_by_undo(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    done(board, do.Release())
    assert board.undo_text() == "undo move of D"


def test_an_order_without_a_plan_cannot_be_released(record: Record) -> None:
    assert refused(open_board(record), do.Release()).why is Why.NO_PLAN


# Others


def test_what_another_station_has_changed_is_not_overwritten(board: Board) -> None:
    other = open_board(board.record, station="office")
    done(other, do.EditJobs(changed=(job("A", "blue"),)))
    answer = board.do(do.EditJobs(changed=(job("A", "black"),)))
    assert isinstance(answer, Refusal)
    assert answer.why is Why.CHANGED_MEANWHILE
    assert board.jobs == other.jobs
    done(board, do.EditJobs(changed=(job("A", "black"),)))


def test_a_record_that_cannot_be_written_changes_nothing(board: Board, monkeypatch) -> None:
    from queueplanner.record.errors import CannotWrite, Hindrance

    def full(*_: object, **__: object) -> None:
        raise CannotWrite("record.sqlite", Hindrance.DISK_FULL, "no room")

    monkeypatch.setattr(board.record, "act", full)
    answer = refused(board, do.MovePass(D, 0))
    assert answer.why is Why.NOT_WRITTEN
    assert "no room" in refusal_text(answer)


def test_a_job_the_press_can_run_no_more_is_left_out_of_the_plan_and_named(board: Board) -> None:
    done(board, do.MovePass(D, 0))
    narrow = board.shop.press.model_copy(update={"ink_families": frozenset({"uv"})})
    assert board.left_out == {}
    board.use_shop(board.shop.model_copy(update={"press": narrow}))
    assert set(board.left_out) == {"A", "B", "C", "D"}
    assert (board.order, board.plan) == ((), None)
    assert len(board.jobs) == 4


# Anything in any order


class AnyBoard(RuleBasedStateMachine):
    """Random commands; the plan is always the evaluator's, and undo leads back to the start."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.record = open_record(Path(self.folder.name))
        self.board = open_board(self.record)
        self.start = everything(self.board)
        self.fresh = 0

    def teardown(self) -> None:
        self.check_undo_to_the_start()
        self.record.close()
        self.folder.cleanup()

    def check_undo_to_the_start(self) -> None:
        self.board.go_to(DAY)
        end = everything(self.board)
        taken = 0
        while isinstance(self.board.undo(), Done):
            taken += 1
        self.board.go_to(DAY)
        assert everything(self.board) == self.start
        for _ in range(taken):
            assert isinstance(self.board.redo(), Done)
        self.board.go_to(DAY)
        assert everything(self.board) == end

    def some_pass(self, data: st.DataObject) -> object:
        return data.draw(st.sampled_from(self.board.order))

    @rule(ink=st.sampled_from(COLOURS), two_sided=st.booleans())
    def add_a_job(self, ink: str, two_sided: bool) -> None:
        if len(self.board.jobs) < 4:
            self.fresh += 1
            done(self.board, do.EditJobs(added=(job(f"J{self.fresh}", ink, two_sided=two_sided),)))

    @rule(data=st.data(), ink=st.sampled_from(COLOURS), two_sided=st.booleans())
    def change_a_job(self, data: st.DataObject, ink: str, two_sided: bool) -> None:
        if self.board.jobs:
            name = data.draw(st.sampled_from([j.id for j in self.board.jobs]))
            done(self.board, do.EditJobs(changed=(job(name, ink, two_sided=two_sided),)))

    @rule(data=st.data(), tomorrow=st.booleans())
    def take_a_job_away(self, data: st.DataObject, tomorrow: bool) -> None:
        if self.board.jobs:
            name = data.draw(st.sampled_from([j.id for j in self.board.jobs]))
            done(self.board, do.ToTomorrow(name) if tomorrow else do.EditJobs(removed=(name,)))

    @rule(data=st.data(), kind=st.sampled_from(["move", "pin", "unpin", "wait", "free"]), place=st.integers(0, 7))
    def change_the_order(self, data: st.DataObject, kind: str, place: int) -> None:
        if not self.board.order:
            return
        chosen = self.some_pass(data)
        wait = do.NotBefore(chosen, moment(9, place))
        made = {
            "move": do.MovePass(chosen, place), "pin": do.Pin(chosen, place), "unpin": do.Unpin(chosen), "wait": wait,
            "free": do.NotBefore(chosen, None),
        }[kind]  # fmt: skip
        self.either_way(made)

    @rule(data=st.data(), kind=st.sampled_from(["together", "part", "after", "freely"]))
    def bind_passes(self, data: st.DataObject, kind: str) -> None:
        if len(self.board.order) < 2:
            return
        one_, two = data.draw(st.lists(st.sampled_from(self.board.order), min_size=2, max_size=2, unique=True))
        made = {
            "together": do.KeepTogether((one_, two)), "part": do.PartPasses((one_,)), "after": do.RunAfter(one_, two),
            "freely": do.RunFreely(one_, two),
        }[kind]  # fmt: skip
        self.either_way(made)

    @rule(data=st.data(), kind=st.sampled_from(["new", "drop", "show", "planned", "rename"]))
    def turn_to_orders(self, data: st.DataObject, kind: str) -> None:
        name = data.draw(st.sampled_from(self.board.orders))
        if kind == "show":
            self.board.show(name)
            return
        made = {
            "new": do.NewOrder(f"{name} again"), "drop": do.DropOrder(name), "rename": do.RenameOrder(name, "another"),
            "planned": do.TakePlanned(self.board.order),
        }[kind]  # fmt: skip
        self.either_way(made)

    @rule(times=st.integers(1, 3))
    def take_back(self, times: int) -> None:
        for _ in range(times):
            self.board.undo()

    @rule()
    def bring_back(self) -> None:
        self.board.redo()

    @rule()
    def open_again(self) -> None:
        before, day = everything(self.board), self.board.day
        self.board = open_board(self.record, day=day)
        assert everything(self.board) == before

    def either_way(self, made: do.Command) -> None:
        before = everything(self.board)
        if isinstance(self.board.do(made), Refusal):
            assert everything(self.board) == before

    @invariant()
    def every_order_is_true(self) -> None:
        shown = self.board.shown
        check_truth(self.board)
        self.board.show(shown)


AnyBoard.TestCase.settings = settings(
    max_examples=12, stateful_step_count=25, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
test_any_commands_in_any_order_leave_a_true_board_and_can_all_be_taken_back = AnyBoard.TestCase
