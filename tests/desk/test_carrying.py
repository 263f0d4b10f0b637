from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from queueplanner.desk.day_model import Pick
from queueplanner.desk.drop_places import gap_moment, place_at
from queueplanner.desk.drop_words import Line, Tone, answer_lines, label_sentence
from queueplanner.desk.figures import Figures
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline import Timeline
from queueplanner.desk.timeline_drag import DayTables, Drop, Forbidden, Forbids, Lateness, PassDrag, moved_order
from queueplanner.planning.evaluate import evaluate
from queueplanner.planning.instance import Instance
from queueplanner.planning.order_rules import OrderRules
from queueplanner.planning.plan import Plan
from queueplanner.shop.base import JobId, PassId
from queueplanner.shop.errors import NoPlan
from tests.desk.pictures import grey, pixels, share_changed
from tests.generated_days import random_day


@pytest.fixture(scope="module")
def day() -> tuple[Instance, Plan]:
    """Six one-sided passes, all on one plan."""
    for seed in range(400):
        instance = random_day(seed, 6)
        if all(p.first_side is None for p in instance.passes.values()):
            try:
                return instance, evaluate(instance, list(instance.passes), {})
            except NoPlan:
                continue  # this day's hours do not hold it; another's will
    raise AssertionError


@pytest.fixture
def timeline(qtbot, theme: Theme, day) -> Iterator[Timeline]:
    made = Timeline(theme)
    qtbot.addWidget(made)
    made.set_instance(day[0])
    made.set_plan(day[1])
    made.resize(1300, made.minimumHeight() + 20)
    made.show()
    made.activateWindow()
    made.setFocus()
    QApplication.processEvents()
    yield made
    made.carrier.give_up()


def pick_of(timeline: Timeline, place: int) -> Pick:
    assert timeline.view is not None
    return timeline.view.picture.passes[place].pick


def bar_of(timeline: Timeline, place: int, share: float = 0.5) -> QPoint:
    """A point on the bar of the pass at a place."""
    view = timeline.view
    assert view is not None
    shape = view.picture.passes[place]
    x = view.x(shape.start) + share * (view.x(shape.end) - view.x(shape.start))
    return QPoint(round(x), round(view.rows.bar.middle))


def known(timeline: Timeline) -> bool:
    drag = timeline.carrier.drag
    return drag is not None and drag.answer() is not None


def take_by_mouse(timeline: Timeline, place: int, over: int) -> None:
    """Press on a bar and move until the pass is held over another, in steps as a hand does."""
    start, end = bar_of(timeline, place), bar_of(timeline, over, 0.8 if over > place else 0.2)
    QTest.mousePress(timeline, Qt.MouseButton.LeftButton, pos=start)
    for step in (1, 2, 3, 4):
        QTest.mouseMove(timeline, start + (end - start) * step / 4)


def drops_of(timeline: Timeline) -> list[tuple[PassId, int]]:
    dropped: list[tuple[PassId, int]] = []
    timeline.dropped.connect(lambda pass_id, place: dropped.append((pass_id, place)))
    return dropped


def test_dragging_a_bar_to_another_place_and_letting_go_drops_it_there(timeline: Timeline, day) -> None:
    dropped = drops_of(timeline)
    take_by_mouse(timeline, 1, 4)
    QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=bar_of(timeline, 4, 0.8))
    assert dropped == [(day[1].order[1], 4)]
    assert timeline.carrier.drag is None


def test_keys_alone_do_what_the_mouse_does(timeline: Timeline, day) -> None:
    dropped = drops_of(timeline)
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    for _ in range(3):
        QTest.keyClick(timeline, Qt.Key.Key_Right)
    QTest.keyClick(timeline, Qt.Key.Key_Return)
    assert dropped == [(day[1].order[1], 4)]
    assert timeline.carrier.drag is None


def test_keys_and_mouse_show_the_same_label(timeline: Timeline, day, qtbot) -> None:
    figures = Figures(day[1].zone)
    said: list[str] = []
    take_by_mouse(timeline, 1, 3)
    qtbot.waitUntil(lambda: known(timeline))
    said.append(label_sentence(figures, timeline.carrier.drag))
    QTest.keyClick(timeline, Qt.Key.Key_Escape)
    QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton)
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    QTest.keyClick(timeline, Qt.Key.Key_Right)
    QTest.keyClick(timeline, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: known(timeline))
    said.append(label_sentence(figures, timeline.carrier.drag))
    assert said[0] == said[1]


def test_home_and_end_carry_to_the_first_and_the_last_place(timeline: Timeline) -> None:
    timeline.set_pick(pick_of(timeline, 2))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    QTest.keyClick(timeline, Qt.Key.Key_End)
    assert timeline.carrier.drag.place == 5
    QTest.keyClick(timeline, Qt.Key.Key_Home)
    assert timeline.carrier.drag.place == 0


@pytest.mark.parametrize("by_mouse", [True, False], ids=["mouse", "keys"])
def test_esc_leaves_all_as_it_was(timeline: Timeline, qtbot, by_mouse: bool) -> None:
    timeline.set_pick(pick_of(timeline, 1))
    QApplication.processEvents()
    before, plan = pixels(timeline), timeline.view.picture.plan
    with qtbot.assertNotEmitted(timeline.dropped), qtbot.assertNotEmitted(timeline.picked):
        if by_mouse:
            take_by_mouse(timeline, 1, 3)
        else:
            QTest.keyClick(timeline, Qt.Key.Key_M)
            QTest.keyClick(timeline, Qt.Key.Key_Right)
        assert (pixels(timeline) != before).any()
        QTest.keyClick(timeline, Qt.Key.Key_Escape)
        QTest.mouseMove(timeline, bar_of(timeline, 4))
        QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=bar_of(timeline, 4))
    timeline._set_hover(None)
    assert timeline.carrier.drag is None
    assert timeline.view.picture.plan is plan
    assert (pixels(timeline) == before).all()


def test_letting_go_off_the_timeline_leaves_the_pass_where_it_was(timeline: Timeline, qtbot) -> None:
    take_by_mouse(timeline, 1, 3)
    off = QPoint(bar_of(timeline, 3).x(), timeline.height() + 200)
    QTest.mouseMove(timeline, off)
    with qtbot.assertNotEmitted(timeline.dropped):
        QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=off)
    assert timeline.carrier.drag is None


def test_nothing_is_dropped_before_the_button_is_let_go(timeline: Timeline, qtbot) -> None:
    with qtbot.assertNotEmitted(timeline.dropped):
        take_by_mouse(timeline, 1, 3)
        take_by_mouse(timeline, 1, 1)


def test_a_small_move_is_still_a_click(timeline: Timeline, qtbot) -> None:
    start = bar_of(timeline, 2)
    with qtbot.waitSignal(timeline.picked) as picked:
        QTest.mousePress(timeline, Qt.MouseButton.LeftButton, pos=start)
        QTest.mouseMove(timeline, start + QPoint(3, 0))
        QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=start + QPoint(3, 0))
    assert picked.args == [pick_of(timeline, 2)]


def test_dragging_outside_the_passes_moves_the_picture(timeline: Timeline) -> None:
    timeline.zoom(4)
    assert timeline.view is not None
    before, y = timeline.view.offset, round(timeline.view.rows.hours.middle)
    QTest.mousePress(timeline, Qt.MouseButton.LeftButton, pos=QPoint(800, y))
    QTest.mouseMove(timeline, QPoint(700, y))
    QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=QPoint(700, y))
    assert timeline.view.offset == pytest.approx(before + 100)
    assert timeline.carrier.drag is None


def test_a_drop_where_a_rule_forbids_it_does_nothing_and_tells_the_rule(timeline: Timeline, day, qtbot) -> None:
    instance, plan = day
    timeline.set_instance(instance.with_rules(OrderRules(places={plan.order[3]: 3})))
    said: list[str] = []
    timeline.pointed.connect(said.append)
    timeline.set_pick(pick_of(timeline, 1))
    with qtbot.assertNotEmitted(timeline.dropped):
        QTest.keyClick(timeline, Qt.Key.Key_M)
        QTest.keyClick(timeline, Qt.Key.Key_Right)
        QTest.keyClick(timeline, Qt.Key.Key_Right)
        QTest.keyClick(timeline, Qt.Key.Key_Return)
    assert said[-1] == f"{plan.order[1]} to place 4 of 6: Not here: {plan.order[3]} is pinned to place 4"
    assert timeline.carrier.drag is not None


def test_a_forbidden_place_is_told_by_shape_too(timeline: Timeline, day) -> None:
    instance, plan = day
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    timeline.carrier.go_to(3)
    allowed = grey(pixels(timeline))
    QTest.keyClick(timeline, Qt.Key.Key_Escape)
    timeline.set_instance(instance.with_rules(OrderRules(turns=((plan.order[1], plan.order[2]),))))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    timeline.carrier.go_to(3)
    assert share_changed(allowed, grey(pixels(timeline))) > 0.004


def test_what_a_drop_would_change_is_announced(timeline: Timeline, qtbot, monkeypatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(QAccessible, "updateAccessibility", lambda event: told.append(event.message()))
    timeline.set_pick(None)
    timeline._pick = pick_of(timeline, 1)
    QTest.keyClick(timeline, Qt.Key.Key_M)
    QTest.keyClick(timeline, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: known(timeline) and "reckoning" not in told[-1])
    assert "to place 3 of 6: " in told[-1]


def test_without_a_day_to_reckon_with_nothing_can_be_taken_up(timeline: Timeline) -> None:
    timeline.set_instance(None)
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    take_by_mouse(timeline, 1, 3)
    assert timeline.carrier.drag is None


def test_another_plan_takes_the_pass_out_of_the_hand(timeline: Timeline, day) -> None:
    instance, plan = day
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    assert timeline.carrier.drag is not None
    order = moved_order(instance, plan.order, plan.order[0], 1)
    timeline.set_plan(evaluate(instance, order, {}))
    assert timeline.carrier.drag is None


def test_the_keys_leave_a_pass_in_the_hand_when_the_focus_goes(timeline: Timeline) -> None:
    timeline.set_pick(pick_of(timeline, 1))
    QTest.keyClick(timeline, Qt.Key.Key_M)
    timeline.clearFocus()
    assert timeline.carrier.drag is None


def test_every_place_has_a_point_that_means_it(timeline: Timeline) -> None:
    assert timeline.view is not None
    picture = timeline.view.picture
    for own in range(6):
        meant = set()
        for shape in picture.passes:
            meant |= {place_at(picture, own, shape.start + 1), place_at(picture, own, shape.end - 1)}
        assert meant == set(range(6))
        assert [gap_moment(picture, own, place) for place in range(6)] == [
            picture.passes[place].end if place > own else picture.passes[place].start for place in range(6)
        ]


# The words of the label


def lines(day, **changes) -> list[str]:
    made = Drop(3, (1,), **changes)
    return [line.text for line in answer_lines(Figures(day[1].zone), made)]


@pytest.mark.parametrize(
    ("seconds", "washes", "text"),
    [
        (-720, -1, "saves 12 min, 1 wash-up"),
        (90, 2, "costs 1.5 min, 2 wash-ups"),
        (-720, 1, "saves 12 min; costs 1 wash-up"),
        (3900, 0, "costs 1 h 05 min"),
        (0, 0, "same make-ready, same wash-ups"),
    ],
)
def test_savings_and_costs_in_words(day, seconds: int, washes: int, text: str) -> None:
    assert lines(day, makeready_seconds=seconds, wash_ups=washes) == [text]


def late(job: str, now: int, then: int) -> Lateness:
    return Lateness(JobId(job), now * 60, then * 60)


@pytest.mark.parametrize(
    ("lateness", "line"),
    [
        ((late("1052", 0, 25),), Line("1052 late by 25 min", Tone.LATE)),
        ((late("1052", 5, 25),), Line("1052 late by 25 min, 20 min more", Tone.LATE)),
        ((late("1052", 0, 25), late("1053", 0, 5)), Line("1052 late by 25 min, and 1 other job", Tone.LATE)),
        ((late("1047", 30, 0),), Line("1047 on time", Tone.BETTER)),
        ((late("1047", 30, 10),), Line("1047 less late by 20 min", Tone.BETTER)),
    ],
)
def test_lateness_in_words_with_its_sign(day, lateness, line: Line) -> None:
    drop = Drop(3, (1,), 0, 0, 0, lateness)
    assert answer_lines(Figures(day[1].zone), drop)[1] == line


@pytest.mark.parametrize("rule", list(Forbids))
def test_every_rule_in_the_way_has_a_sentence_that_names_its_passes(day, rule: Forbids) -> None:
    answer = Forbidden(rule, (PassId("1047"), PassId("1048")), 2)
    (line,) = answer_lines(Figures(day[1].zone), answer)
    assert line.tone is Tone.FORBIDDEN
    assert line.text.startswith("Not here: ")
    assert "1047" in line.text or rule is Forbids.CALENDAR


def test_until_figures_are_there_the_label_says_that_it_reckons(day) -> None:
    instance, plan = day
    drag = PassDrag(instance, plan, plan.order[1])
    drag.go_to(4)
    assert label_sentence(Figures(plan.zone), drag) == f"{plan.order[1]} to place 5 of 6: reckoning…"
    drag.use(DayTables().of(instance))
    drag.reckon(4)
    assert "reckoning" not in label_sentence(Figures(plan.zone), drag)
