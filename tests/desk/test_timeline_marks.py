"""The timeline's marks of the moment, of what is fixed, and of tasks; and how far its zoom goes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from queueplanner.desk.canvas import Canvas
from queueplanner.desk.day_model import Pick
from queueplanner.desk.figures import Figures
from queueplanner.desk.paint_fixed import groups_of
from queueplanner.desk.paint_tasks import lay_out_tasks
from queueplanner.desk.theme import Theme
from queueplanner.desk.timeline import Timeline
from queueplanner.desk.viewport import Viewport
from queueplanner.planning.order_rules import OrderRules
from queueplanner.shop.base import PassId
from tests.desk.example_plan import START, example_plan
from tests.desk.pictures import grey, pixels, share_changed

WEEK = 7 * 24 * 3600


@pytest.fixture
def timeline(qtbot, theme: Theme) -> Timeline:
    made = Timeline(theme)
    qtbot.addWidget(made)
    made.set_plan(example_plan())
    made.resize(1300, made.minimumHeight() + 150)
    made.show()
    QApplication.processEvents()
    return made


def view(timeline: Timeline) -> Viewport:
    assert timeline.view is not None
    return timeline.view


def in_sight(timeline: Timeline) -> float:
    """Seconds from the left to the right end of the chart."""
    v = view(timeline)
    return v.moment(v.left + v.chart_width) - v.moment(v.left)


def test_the_minus_key_goes_out_to_a_week_and_no_farther(timeline: Timeline) -> None:
    for _ in range(60):
        QTest.keyClick(timeline, Qt.Key.Key_Minus)
    assert in_sight(timeline) == pytest.approx(WEEK, abs=60)
    QTest.keyClick(timeline, Qt.Key.Key_0)
    assert view(timeline).overhang == 0
    assert in_sight(timeline) < WEEK / 4


def test_the_plus_key_goes_in_to_an_hour_and_closer(timeline: Timeline) -> None:
    for _ in range(60):
        QTest.keyClick(timeline, Qt.Key.Key_Plus)
    assert in_sight(timeline) < 3600


def test_zooming_out_and_in_stops_at_the_whole_plan_on_the_way(timeline: Timeline) -> None:
    timeline.zoom(1.1)
    timeline.zoom_out()
    assert view(timeline).wish is None
    timeline.zoom_out()
    assert view(timeline).wish is not None
    timeline.zoom(1.2)
    timeline.zoom(1.2)
    assert view(timeline).wish is None


def test_page_keys_move_along_by_most_of_a_page(timeline: Timeline) -> None:
    timeline.zoom(6)
    timeline.scroll_to(0)
    QTest.keyClick(timeline, Qt.Key.Key_PageDown)
    assert view(timeline).offset == pytest.approx(0.9 * view(timeline).chart_width, abs=1)
    QTest.keyClick(timeline, Qt.Key.Key_PageUp)
    assert view(timeline).offset == 0


def test_the_line_of_the_moment_moves_with_the_clock(timeline: Timeline) -> None:
    bare, now = pixels(timeline), [START + 3600.0]
    timeline.set_clock(lambda: now[0])
    first = pixels(timeline)
    now[0] += 1800
    second = pixels(timeline)
    x, y = round(view(timeline).x(START + 3600)), round(view(timeline).rows.bottom) - 8
    assert (first[y, x - 1 : x + 2] != bare[y, x - 1 : x + 2]).any()
    assert (second[y, x - 1 : x + 2] == bare[y, x - 1 : x + 2]).all()
    assert (first != second).any()


@pytest.mark.parametrize("away", [-3600, 30 * 24 * 3600], ids=["before", "after"])
def test_a_moment_outside_the_plan_is_not_drawn(timeline: Timeline, away: int) -> None:
    bare = pixels(timeline)
    timeline.set_clock(lambda: START + away)
    assert (pixels(timeline) == bare).all()


def test_without_a_clock_there_is_no_line(timeline: Timeline) -> None:
    bare = pixels(timeline)
    timeline.set_clock(lambda: START + 3600)
    timeline.set_clock(None)
    assert (pixels(timeline) == bare).all()


def test_a_row_for_what_is_fixed_is_there_only_when_something_is(timeline: Timeline) -> None:
    assert view(timeline).rows.fixed is None
    timeline.set_rules(OrderRules(places={PassId("1047"): 2}))
    assert view(timeline).rows.fixed is not None
    timeline.set_rules(OrderRules())
    assert view(timeline).rows.fixed is None


@pytest.mark.parametrize(
    "rules",
    [OrderRules(places={PassId("1047"): 2}), OrderRules(together=(frozenset({PassId("1047"), PassId("1044")}),))],
    ids=["pinned", "together"],
)
def test_pins_and_groups_are_told_without_colour(timeline: Timeline, rules: OrderRules) -> None:
    timeline.set_rules(OrderRules(places={PassId("1055"): 6}))
    before = grey(pixels(timeline))
    timeline.set_rules(OrderRules({**rules.places, PassId("1055"): 6}, rules.together))
    fixed = view(timeline).rows.fixed
    column = view(timeline).column_of(Pick(pass_id=PassId("1047")))
    assert fixed is not None
    assert column is not None
    box = (slice(round(fixed.top), round(fixed.bottom)), slice(round(column.left()), round(column.right())))
    assert share_changed(before[box], grey(pixels(timeline))[box]) > 0.02


def test_a_group_reaches_from_its_first_pass_to_its_last() -> None:
    from queueplanner.desk.picture import make_picture

    picture = make_picture(example_plan())
    rules = OrderRules(together=(frozenset({PassId("1052"), PassId("1044"), PassId("1047")}),))
    (group,) = groups_of(picture, rules)
    assert (group.first.planned.id, group.last.planned.id) == ("1044", "1052")


def test_a_rule_about_passes_that_are_not_on_show_marks_nothing(timeline: Timeline) -> None:
    timeline.set_rules(OrderRules(together=(frozenset({PassId("gone"), PassId("1044")}),)))
    assert list(groups_of(view(timeline).picture, view(timeline).rules)) == []
    assert not timeline.grab().isNull()


def canvas_of(timeline: Timeline) -> Canvas:
    v = view(timeline)
    return Canvas(None, v.theme, v.scale, v.rows, Figures(v.picture.plan.zone), v.offset, v.left + v.chart_width)  # type: ignore[arg-type]


def test_t_splits_make_readies_into_their_tasks_and_joins_them_again(timeline: Timeline) -> None:
    assert not view(timeline).is_split
    QTest.keyClick(timeline, Qt.Key.Key_T)
    assert view(timeline).is_split
    QTest.keyClick(timeline, Qt.Key.Key_T)
    assert not view(timeline).is_split


def test_close_enough_the_tasks_show_by_themselves_and_t_takes_them_away(timeline: Timeline) -> None:
    timeline.zoom(40)
    assert view(timeline).is_split
    QTest.keyClick(timeline, Qt.Key.Key_T)
    assert not view(timeline).is_split


def test_a_timeline_with_little_room_to_spare_need_not_grow_to_show_tasks_from_near(timeline: Timeline) -> None:
    timeline.resize(1300, timeline.minimumHeight() + 30)
    height = timeline.height()
    timeline.zoom(40)
    assert view(timeline).is_split
    assert timeline.height() == height
    assert view(timeline).rows.bottom <= height


def test_a_low_timeline_grows_when_tasks_are_asked_for(timeline: Timeline) -> None:
    timeline.resize(1300, timeline.minimumHeight())
    low = timeline.minimumHeight()
    QTest.keyClick(timeline, Qt.Key.Key_T)
    assert timeline.minimumHeight() > low
    assert view(timeline).rows.bottom <= timeline.height()


def test_from_near_tasks_are_named_with_their_numbers_and_no_two_names_overlap(timeline: Timeline) -> None:
    timeline.set_pick(Pick(pass_id=PassId("1047")))
    timeline.zoom(100)
    timeline.set_pick(Pick(pass_id=PassId("1047")))
    labels = lay_out_tasks(canvas_of(timeline), view(timeline).picture)
    assert "6 Empty the ink fountain, unit 1" in [label.words for label in labels]
    for line in range(len(view(timeline).rows.tasks)):
        in_line = sorted((label for label in labels if label.line == line), key=lambda label: label.left)
        assert all(a.right < b.left for a, b in pairwise(in_line))


def test_a_name_never_stands_across_the_leader_of_another(timeline: Timeline) -> None:
    timeline.split_tasks(True)
    for zoom in (4, 3, 3):
        timeline.zoom(zoom)
        labels = lay_out_tasks(canvas_of(timeline), view(timeline).picture)
        for label in labels:
            crossing = [o for o in labels if o.line > label.line and label.left < o.left - 4 < label.right]
            assert crossing == []


def test_the_middle_button_moves_the_picture_wherever_it_is_pressed(timeline: Timeline) -> None:
    timeline.zoom(4)
    before, y = view(timeline).offset, round(view(timeline).rows.bar.middle)
    QTest.mousePress(timeline, Qt.MouseButton.MiddleButton, pos=QPoint(800, y))
    QTest.mouseMove(timeline, QPoint(700, y))
    QTest.mouseRelease(timeline, Qt.MouseButton.MiddleButton, pos=QPoint(700, y))
    assert view(timeline).offset == pytest.approx(before + 100)
