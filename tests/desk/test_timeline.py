from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QAccessible, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.day_model import Pick
from queueplanner.desk.figures import Figures
from queueplanner.desk.ink_colour import screen_colour
from queueplanner.desk.paint_labels import lay_out
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline import Timeline
from queueplanner.desk.viewport import Viewport
from queueplanner.planning.plan import Plan
from queueplanner.shop.base import PassId
from tests.desk.example_plan import BLACK, BLUE, BREAK, RED, WHITE, YELLOW, example_plan
from tests.desk.pictures import grey, holds_colour, pixels, share_changed

MENU = Pick(pass_id=PassId("1047"))


@pytest.fixture
def timeline(qtbot, theme: Theme) -> Timeline:
    made = Timeline(theme)
    qtbot.addWidget(made)
    made.set_plan(example_plan())
    made.resize(1300, made.minimumHeight() + 20)
    made.show()
    QApplication.processEvents()
    return made


def view(timeline: Timeline) -> Viewport:
    assert timeline.view is not None
    return timeline.view


def middle_of(timeline: Timeline, pick: Pick) -> QPoint:
    column = view(timeline).column_of(pick)
    assert column is not None
    return QPoint(round(column.center().x()), round(view(timeline).rows.bar.middle))


def test_every_ink_is_seen_in_its_own_colour(timeline: Timeline) -> None:
    picture = pixels(timeline)
    for ink in (BLACK, BLUE, RED, WHITE, YELLOW):
        assert holds_colour(picture, screen_colour(ink)), ink.name


def test_a_click_picks_the_pass_under_the_pointer(timeline: Timeline, qtbot) -> None:
    with qtbot.waitSignal(timeline.picked) as picked:
        QTest.mouseClick(timeline, Qt.MouseButton.LeftButton, pos=middle_of(timeline, MENU))
    assert picked.args == [MENU]


def test_a_click_on_the_evening_wash_picks_it(timeline: Timeline, qtbot) -> None:
    with qtbot.waitSignal(timeline.picked) as picked:
        QTest.mouseClick(timeline, Qt.MouseButton.LeftButton, pos=middle_of(timeline, Pick(evening=0)))
    assert picked.args == [Pick(evening=0)]


def test_nothing_happens_until_the_button_is_let_go_and_sliding_off_cancels(timeline: Timeline, qtbot) -> None:
    start = middle_of(timeline, MENU)
    with qtbot.assertNotEmitted(timeline.picked):
        QTest.mousePress(timeline, Qt.MouseButton.LeftButton, pos=start)
        QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=middle_of(timeline, Pick(pass_id=PassId("1055"))))


def test_the_arrow_keys_ask_for_the_neighbours(timeline: Timeline, qtbot) -> None:
    steps: list[int] = []
    timeline.stepped.connect(steps.append)
    QTest.keyClick(timeline, Qt.Key.Key_Right)
    QTest.keyClick(timeline, Qt.Key.Key_Left)
    assert steps == [1, -1]


def test_enter_opens_the_changeover(timeline: Timeline, qtbot) -> None:
    with qtbot.waitSignal(timeline.opened):
        QTest.keyClick(timeline, Qt.Key.Key_Return)


def wheel(timeline: Timeline, at: QPoint, steps: int, keys: Qt.KeyboardModifier) -> None:
    where = QPointF(at)
    event = QWheelEvent(
        where, timeline.mapToGlobal(where), QPoint(), QPoint(0, 120 * steps), Qt.MouseButton.NoButton, keys,
        Qt.ScrollPhase.NoScrollPhase, False,
    )
    QApplication.sendEvent(timeline, event)


def test_the_wheel_with_ctrl_zooms_and_keeps_the_moment_under_the_pointer(timeline: Timeline) -> None:
    at = QPoint(700, 60)
    before, zoom = view(timeline).moment(700), view(timeline).scale.px_per_hour
    wheel(timeline, at, 3, Qt.KeyboardModifier.ControlModifier)
    assert view(timeline).scale.px_per_hour > zoom * 1.5
    assert abs(view(timeline).moment(700) - before) < 60


def test_the_wheel_alone_moves_along(timeline: Timeline) -> None:
    timeline.zoom(3)
    before = view(timeline).offset
    wheel(timeline, QPoint(700, 60), -1, Qt.KeyboardModifier.NoModifier)
    assert view(timeline).offset > before


def test_dragging_moves_the_picture_with_the_pointer_and_picks_nothing(timeline: Timeline, qtbot) -> None:
    timeline.zoom(4)
    before = view(timeline).offset
    with qtbot.assertNotEmitted(timeline.picked):
        QTest.mousePress(timeline, Qt.MouseButton.LeftButton, pos=QPoint(800, 120))
        QTest.mouseMove(timeline, QPoint(700, 120))
        QTest.mouseRelease(timeline, Qt.MouseButton.LeftButton, pos=QPoint(700, 120))
    assert view(timeline).offset == pytest.approx(before + 100)


def test_keys_zoom_and_show_the_whole_plan(timeline: Timeline) -> None:
    whole = view(timeline).scale.px_per_hour
    QTest.keyClick(timeline, Qt.Key.Key_Plus)
    assert view(timeline).scale.px_per_hour > whole
    QTest.keyClick(timeline, Qt.Key.Key_0)
    assert view(timeline).scale.px_per_hour == pytest.approx(whole)
    assert view(timeline).overhang == 0


def test_what_is_picked_is_brought_into_sight(timeline: Timeline) -> None:
    timeline.zoom(20)
    last = Pick(pass_id=PassId("1055"))
    timeline.set_pick(last)
    assert view(timeline).column_of(last) is not None


def test_a_better_plan_of_the_same_day_keeps_the_zoom_and_place(timeline: Timeline) -> None:
    timeline.zoom(5)
    zoom, offset = view(timeline).scale.px_per_hour, view(timeline).offset
    timeline.set_plan(example_plan(extra_washes=1))
    assert (view(timeline).scale.px_per_hour, view(timeline).offset) == (zoom, offset)


def test_pointing_tells_what_is_there(timeline: Timeline) -> None:
    assert "Menu cards" in timeline.words_at(QPointF(middle_of(timeline, MENU)))
    ribbon = QPointF(middle_of(timeline, MENU).x(), view(timeline).rows.units[1].ribbon.middle)
    assert timeline.words_at(ribbon).startswith("Unit 2 · Black")


def test_pointing_at_a_break_tells_when_nobody_works(timeline: Timeline) -> None:
    in_break = QPointF(view(timeline).x(BREAK[0] + 60), view(timeline).rows.bar.middle)
    assert timeline.words_at(in_break) == "Nobody works from Thu 09:30 to Thu 09:45"


def test_the_selection_is_told_to_assistive_technology(timeline: Timeline) -> None:
    timeline.set_pick(MENU)
    spoken = QAccessible.queryAccessibleInterface(timeline)
    assert spoken.text(QAccessible.Text.Name) == "Timeline of the day"
    assert "1047 Menu cards" in spoken.text(QAccessible.Text.Description)


@pytest.mark.parametrize("sign", ["late", "washing", "standing"])
def test_no_state_is_told_by_colour_alone(timeline: Timeline, sign: str) -> None:
    """In grey, each state still differs from its opposite within the rows that show it."""
    before = grey(pixels(timeline))
    timeline.set_plan(without(sign))
    after = grey(pixels(timeline))
    column = view(timeline).column_of(MENU)
    assert column is not None
    box = (slice(None), slice(round(column.left()), round(column.right())))
    assert share_changed(before[box], after[box]) > 0.004


def without(sign: str) -> Plan:
    """The example with one state taken away from the menu cards' changeover."""
    plan = example_plan()
    menu = plan.passes[2]
    if sign == "late":
        passes = (*plan.passes[:2], replace(menu, late_seconds=0), *plan.passes[3:])
        return replace(plan, passes=passes)
    if sign == "washing":
        tasks = tuple(replace(t, task="set_printing_pressure") if t.washes else t for t in menu.tasks)
        return replace(plan, passes=(*plan.passes[:2], replace(menu, tasks=tasks), *plan.passes[3:]))
    low = next(s for s in plan.spans if s.unit == 2 and s.start == menu.run_start)
    printing = next(s for s in plan.spans if s.unit == 2 and s.end == menu.run_start)
    return replace(
        plan, spans=tuple(replace(s, holding=printing.holding) if s is low else s for s in plan.spans)
    )


def test_late_passes_differ_from_those_on_time_in_grey(timeline: Timeline) -> None:
    column = view(timeline).column_of(MENU)
    assert column is not None
    rows = view(timeline).rows
    box = (slice(round(rows.bar.top), round(rows.bar.bottom)), slice(round(column.left()), round(column.right())))
    before = grey(pixels(timeline))[box]
    timeline.set_plan(without("late"))
    assert share_changed(before, grey(pixels(timeline))[box]) > 0.02


def test_labels_do_not_overlap_at_any_zoom(timeline: Timeline) -> None:
    for factor in (0.001, 2.0, 2.0, 3.0):
        timeline.zoom(factor)
        labels = lay_out(canvas_of(timeline), view(timeline).picture, "Evening wash")
        for line in (0, 1):
            in_line = [label for label in labels if label.line == line]
            for label, following in pairwise(in_line):
                assert label.right <= following.left


def canvas_of(timeline: Timeline) -> Canvas:
    v = view(timeline)
    figures = Figures(v.picture.plan.zone)
    return Canvas(None, v.theme, v.scale, v.rows, figures, v.offset, v.left + v.chart_width)  # type: ignore[arg-type]


def test_focus_is_shown_by_a_ring(timeline: Timeline, qtbot) -> None:
    with qtbot.waitActive(timeline):
        timeline.activateWindow()
    timeline.clearFocus()
    QApplication.processEvents()
    before = pixels(timeline)
    timeline.setFocus()
    QApplication.processEvents()
    after = pixels(timeline)
    changed = (before != after).any(axis=2)
    assert changed[0:2, 40:-40].all()


def test_an_empty_timeline_paints_and_ignores_keys_and_clicks(qtbot, light: Theme) -> None:
    empty = Timeline(light)
    qtbot.addWidget(empty)
    empty.resize(800, 400)
    empty.show()
    QTest.mouseClick(empty, Qt.MouseButton.LeftButton, pos=QPoint(400, 100))
    empty.zoom_in()
    empty.whole_day()
    assert empty.words_at(QPointF(400, 100)) == ""
    assert not empty.grab().isNull()


def crowd(days: int) -> Plan:
    """The example day over and over: seven passes and fourteen spans a day."""
    plan = example_plan()
    day = plan.evenings[0].end - plan.start
    passes, spans = [], []
    for number in range(days):
        by = number * day
        for p in plan.passes:
            moved = p.print_pass.model_copy(update={"id": PassId(f"{p.id}.{number}")})
            passes.append(
                replace(
                    p, print_pass=moved, makeready_start=p.makeready_start + by, makeready_end=p.makeready_end + by,
                    run_start=p.run_start + by, run_end=p.run_end + by,
                    makeready_pieces=tuple((a + by, b + by) for a, b in p.makeready_pieces),
                    run_pieces=tuple((a + by, b + by) for a, b in p.run_pieces),
                )
            )
        spans += [replace(s, start=s.start + by, end=s.end + by) for s in plan.spans]
    return replace(plan, passes=tuple(passes), spans=tuple(spans), evenings=(), closed=())


def test_of_ten_thousand_bars_only_those_in_sight_are_painted(qtbot, light: Theme) -> None:
    timeline = Timeline(light)
    qtbot.addWidget(timeline)
    timeline.resize(1300, 420)
    timeline.set_plan(crowd(720))
    timeline.show()
    assert len(view(timeline).picture.passes) > 5000
    assert holds_colour(pixels(timeline), screen_colour(BLACK))
    timeline.zoom(5000)
    canvas = canvas_of(timeline)
    assert len(view(timeline).picture.passes_between(canvas.first, canvas.last)) < 20
    assert all(len(canvas.in_sight(shapes)) < 20 for shapes in view(timeline).picture.spans.values())
    assert holds_colour(pixels(timeline), screen_colour(BLACK))
