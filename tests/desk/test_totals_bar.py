from __future__ import annotations

from queueplanner.desk.day_model import DayModel, Saving
from queueplanner.desk.theme import Theme
from queueplanner.desk.totals_bar import TotalsBar
from tests.desk.example_plan import example_plan, jobs


def shown(qtbot, theme: Theme, model: DayModel) -> TotalsBar:
    bar = TotalsBar(theme)
    qtbot.addWidget(bar)
    bar.resize(1300, 100)
    bar.show_totals(model.plan, model.savings)
    return bar


def planned() -> DayModel:
    model = DayModel()
    model.loaded(jobs(), example_plan(extra_washes=9))
    model.planned(example_plan(), stopped=False)
    return model


def test_every_total_comes_from_the_plan_and_is_compared_with_as_received(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    figures = bar.figures
    totals = example_plan().totals
    assert figures["makeready_seconds"].texts()[1:] == ("2 h 41 min", "1 h 30 min less than received (35.9 %)")
    assert figures["wash_ups"].texts()[1:] == (str(totals.wash_ups), "9 fewer")
    assert figures["plate_swaps"].texts()[1:] == (str(totals.plate_swaps), "unchanged")
    assert figures["end"].texts()[1:] == ("Thu 13:30", "1 h 30 min sooner")


def test_late_passes_are_marked_by_more_than_colour(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    assert bar.figures["late_passes"].texts()[1].startswith("!")


def test_the_order_as_received_is_not_compared_with_itself(qtbot, light: Theme) -> None:
    model = DayModel()
    model.loaded(jobs(), example_plan(extra_washes=9))
    bar = shown(qtbot, light, model)
    assert all(figure.texts()[2] == "" for figure in bar.figures.values())


def test_a_total_that_got_worse_is_said_so(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    bar.show_totals(example_plan(), {**planned().savings, "plate_swaps": Saving(12, 10)})
    assert bar.figures["plate_swaps"].texts()[2] == "2 more"


def test_the_whole_total_is_read_aloud(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    assert bar.figures["wash_ups"].accessibleName() == "Wash-ups: 7, 9 fewer"


def test_in_a_low_window_each_total_takes_one_line_and_loses_nothing(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    bar.show()
    high, texts = bar.height(), [figure.texts() for figure in bar.figures.values()]
    bar.set_compact(True)
    assert bar.height() < high
    assert [figure.texts() for figure in bar.figures.values()] == texts
    bar.set_compact(False)
    assert bar.height() == high


def test_totals_go_on_in_the_next_line_when_the_window_is_narrow(qtbot, light: Theme) -> None:
    bar = shown(qtbot, light, planned())
    one_line = bar.height()
    bar.resize(500, bar.height())
    bar.show()
    bar.arrange()
    assert bar.height() > one_line
    assert all(figure.geometry().right() <= 500 for figure in bar.figures.values())
