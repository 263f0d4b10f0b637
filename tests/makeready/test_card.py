"""The settings card: the facts of the trade (common practice, no source), and the laws of scales and pulleys."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from queueplanner.exchange.card_wording import card_rows, value_text, why_text
from queueplanner.exchange.card_words import CAUTIONS, GROUPS, LINES, VALUES, WHYS
from queueplanner.exchange.material_wording import LIFTING_LIMITS
from queueplanner.makeready.card import settings_card
from queueplanner.makeready.card_lines import CardBefore, CardLine, Caution, SettingsCard
from queueplanner.makeready.changeover import Moment, changeover
from queueplanner.makeready.pulleys import place_pulleys
from queueplanner.shop.base import InkId
from queueplanner.shop.card_profile import (
    CardGroup,
    CardProfile,
    GuidePulleys,
    OwnScale,
    OwnStep,
    PositionOrigin,
)
from queueplanner.shop.format import FeedEdge, Format
from queueplanner.shop.job import LaySide, PrintPass, Strip
from queueplanner.shop.plate import PlateMaterial
from queueplanner.shop.press import PressProfile
from queueplanner.shop.scale import Quantity, Scale
from queueplanner.shop.stock import Grain
from tests.card_passes import A3, A4, BLACK, PALE, SLIP, demo_press, ink, print_pass, separation, stock
from tests.published import figures, rows

law = settings(derandomize=True, deadline=None, max_examples=100)
PRESS = demo_press()
TWO = (separation(PALE), separation(BLACK))


def units_of(p: PrintPass) -> dict[InkId, int]:
    """The units in the order of the separations; a lone ink prints in unit 1."""
    return {s.ink.id: number for number, s in enumerate(p.separations, 1)}


def card(now: PrintPass, before: PrintPass | None = None, press: PressProfile = PRESS) -> SettingsCard:
    stood = None if before is None else CardBefore.of_pass(press, before, units_of(before))
    return settings_card(press, now, units_of(now), stood)


def line(of: SettingsCard, key: str, unit: int | None = None) -> CardLine:
    found = of.line(key, unit)
    assert found is not None, f"no line {key}"
    return found


def reads(of: SettingsCard, key: str, unit: int | None = None) -> str:
    return value_text(line(of, key, unit).now)


def with_profile(**parts: Any) -> PressProfile:
    return demo_press(card=PRESS.card.model_copy(update=parts))


# --- feeder: common practice, no source -------------------------------------------------------------------------


def test_side_stops_stand_as_wide_as_the_leading_edge_and_the_rear_stop_at_the_other_side() -> None:
    long, short = card(print_pass(feed_edge=FeedEdge.LONG)), card(print_pass(feed_edge=FeedEdge.SHORT))
    assert (reads(long, "side_stops"), reads(long, "rear_stop")) == ("297 mm apart", "210 mm")
    assert (reads(short, "side_stops"), reads(short, "rear_stop")) == ("210 mm apart", "297 mm")
    assert reads(long, "rear_blowers") == "210 mm"


def test_side_stops_can_be_counted_from_the_centre() -> None:
    press = with_profile(position_origin=PositionOrigin.CENTRE)
    assert reads(card(print_pass(), press=press), "side_stops") == "297 mm apart, 148.5 mm to each side of the centre"


@pytest.mark.parametrize(("caliper", "where"), [(60, "into the pile"), (120, "into the pile"), (200, "clear of")])
def test_separator_fingers_reach_into_thin_stock_and_stay_clear_of_thick(caliper: int, where: str) -> None:
    assert reads(card(print_pass(stock=stock(caliper))), "separator_fingers").startswith(where)


def test_about_ten_sheets_float() -> None:
    assert reads(card(print_pass()), "air") == "about 10 sheets float"


def test_more_air_for_a_thicker_sheet_and_less_for_a_thinner_one() -> None:
    thin, thick = print_pass("thin", stock=stock(70)), print_pass("thick", stock=stock(200))
    does = {(a.id, b.id): row.do for a, b in ((thin, thick), (thick, thin)) for row in card_rows(card(b, a))
            if row.name == "Air"}  # fmt: skip
    assert "more than before" in does["thin", "thick"]
    assert "less than before" in does["thick", "thin"]


@pytest.mark.parametrize(("caliper", "mark"), [(40, 1), (70, 2), (100, 3), (150, 4.5), (200, 6), (350, 9)])
def test_pile_height_is_read_between_the_points_of_the_scale(caliper: int, mark: float) -> None:
    assert reads(card(print_pass(stock=stock(caliper))), "pile_height") == f"mark {mark:g}"


def test_a_caliper_beyond_the_scale_is_warned_of() -> None:
    assert not card(print_pass(stock=stock(350))).warnings
    beyond = card(print_pass(stock=stock(360)))
    assert reads(beyond, "pile_height") == "mark 9"
    assert any("pile height" in why_text(w) for w in beyond.warnings)


def test_the_detector_has_a_range_five_graduations_more_and_two_positioning_sheets() -> None:
    assert reads(card(print_pass(stock=stock(90))), "detector_range") == "thin"
    thick = card(print_pass(stock=stock(250)))
    assert reads(thick, "detector_range") == "thick"
    assert reads(thick, "positioning_sheets") == "2"
    assert reads(thick, "detector_procedure") == "5 graduations more"
    procedure = next(row for row in card_rows(thick) if row.name == "Detector setting")
    down, up, on = (procedure.do.index(word) for word in ("down until the lamp lights", "up until it goes out", "then"))
    assert down < up < on


def test_a_press_whose_detector_is_set_otherwise_says_so_itself() -> None:
    detector = PRESS.card.detector
    assert detector is not None
    press = with_profile(detector=detector.model_copy(update={"procedure": "press the key with one sheet in"}))
    assert reads(card(print_pass(), press=press), "detector_procedure") == "press the key with one sheet in"


def test_the_detector_is_left_alone_when_stock_and_feeder_stay() -> None:
    again = card(print_pass("b"), print_pass("a"))
    assert again.line("detector_procedure") is None
    assert not line(again, "detector_range").changed


@pytest.mark.parametrize(
    ("grain", "edge", "runs"),
    [
        (Grain.LONG, FeedEdge.LONG, "across the travel"),
        (Grain.LONG, FeedEdge.SHORT, "along the travel"),
        (Grain.SHORT, FeedEdge.LONG, "along the travel"),
        (Grain.SHORT, FeedEdge.SHORT, "across the travel"),
    ],
)
def test_grain_runs_along_the_side_it_is_named_after(grain: Grain, edge: FeedEdge, runs: str) -> None:
    of = card(print_pass(stock=stock(grain=grain), feed_edge=edge))
    assert reads(of, "grain").startswith(runs)


# --- delivery: common practice, no source -----------------------------------------------------------------------


def test_the_delivery_stop_stands_at_the_sheets_length_and_is_taken_out_for_small_sheets() -> None:
    assert reads(card(print_pass(format=A3)), "delivery_rear_stop") == "297 mm"
    assert reads(card(print_pass(format=SLIP)), "delivery_rear_stop").startswith("taken out")


def test_joggers_follow_the_lay_side_even_when_the_format_stays() -> None:
    first = print_pass("a", lay_side=LaySide.OPERATOR)
    turned = card(print_pass("b", lay_side=LaySide.DRIVE), first)
    assert line(turned, "delivery_joggers").changed
    assert reads(turned, "delivery_joggers") == "to the drive's side, 297 mm"


def test_front_joggers_are_off_for_stiff_and_for_small_sheets() -> None:
    assert reads(card(print_pass()), "front_joggers") == "on"
    assert reads(card(print_pass(stock=stock(300))), "front_joggers") == "off"
    assert reads(card(print_pass(format=SLIP)), "front_joggers") == "off"


def test_pulleys_are_centred_in_the_strips_of_the_pass() -> None:
    strips = (Strip(from_mm=18, to_mm=34), Strip(from_mm=250, to_mm=270))
    of = card(print_pass(strips=strips))
    assert reads(of, "guide_pulleys") == "26, 260 mm from the sheet's operator edge; lift 1 clear of the sheet"
    assert of.line("pulley_covers") is not None
    assert not of.warnings


def test_pulleys_can_be_counted_from_the_centre() -> None:
    press = with_profile(position_origin=PositionOrigin.CENTRE)
    strips = (Strip(from_mm=138.5, to_mm=158.5), Strip(from_mm=0, to_mm=17))
    assert reads(card(print_pass(strips=strips), press=press), "guide_pulleys").startswith("-140, 0 mm from the centre")


def test_a_warning_comes_where_no_strip_is_wide_enough() -> None:
    of = card(print_pass(strips=(Strip(from_mm=10, to_mm=20),)))
    assert "lift them clear" in reads(of, "guide_pulleys")
    (warning,) = of.warnings
    assert why_text(warning).endswith("the widest has 10 mm, it needs 14 mm")


def test_a_strip_beyond_the_sheet_holds_no_pulley() -> None:
    assert [w.code for w in card(print_pass(strips=(Strip(from_mm=290, to_mm=320),))).warnings] == ["no_strip_fits"]


def test_pulleys_move_when_the_format_moves_the_edge_they_are_counted_from() -> None:
    strips = (Strip(from_mm=18, to_mm=34),)
    wider = card(print_pass("b", format=A3, strips=strips), print_pass("a", strips=strips))
    assert line(wider, "guide_pulleys").changed


@pytest.mark.parametrize(
    ("caliper", "speed", "position"),
    [
        (100, 6000, "middle"),
        (100, 8000, "rather early"),
        (100, 4000, "rather late"),
        (60, 4000, "late"),
        (260, 8000, "early"),
        (260, 4000, "middle"),
    ],
)
def test_grippers_open_earlier_or_later_by_stock_and_speed(caliper: int, speed: int, position: str) -> None:
    # Coverage of 20 per cent runs at nine tenths of the stock's speed.
    light = (separation(BLACK, coverage=10),)
    of = card(print_pass(stock=stock(caliper, speed_sph=speed), separations=light))
    assert reads(of, "gripper_opening") == position
    assert "too early scratches fresh print" in LINES["gripper_opening"].do


@pytest.mark.parametrize(("caliper", "checked"), [(59, True), (60, False), (250, False), (251, True)])
def test_sheet_arrival_is_checked_on_very_thin_or_thick_stock(caliper: int, checked: bool) -> None:
    of = card(print_pass(stock=stock(caliper)))
    assert (of.line("sheet_arrival_check") is not None) == checked


def test_fans_are_set_one_by_one() -> None:
    thin, thick = card(print_pass(stock=stock(60))), card(print_pass(stock=stock(250)))
    assert reads(thin, "fans") == "low: operator's side, middle, drive side"
    assert reads(thick, "fans").startswith("high")
    assert "one by one" in LINES["fans"].do


def test_powder_goes_by_the_coverage_of_all_inks() -> None:
    heavy = print_pass(separations=(separation(PALE, 40), separation(BLACK, 30)))
    assert reads(card(heavy), "powder") == "high"
    assert reads(card(print_pass(separations=(separation(BLACK, 5),))), "powder") == "off"


# --- plates: common practice, no source -------------------------------------------------------------------------


def test_unit_2s_plate_faces_down() -> None:
    of = card(print_pass(separations=TWO))
    assert (reads(of, "plate_face", 1), reads(of, "plate_face", 2)) == ("facing up", "facing down")


def test_only_the_changers_one_length_goes_on_automatically() -> None:
    assert reads(card(print_pass()), "plate_on", 1) == "by the changer"
    other = print_pass(separations=(separation(BLACK, length_mm=450.0),))
    assert reads(card(other), "plate_on", 1) == "by hand"
    assert card(other).line("automatic_fallback") is None


def test_a_failed_automatic_change_is_done_by_hand_rear_edge_first() -> None:
    assert card(print_pass()).line("automatic_fallback") is not None
    assert LINES["automatic_fallback"].do == "Take the plate off by hand, rear edge first"


def test_the_roller_package_is_out_before_a_plate_comes_off_unit_2_by_hand() -> None:
    by_hand = separation(BLACK, length_mm=450.0)
    first = print_pass("a", separations=(separation(PALE), by_hand))
    second = print_pass("b", separations=(separation(PALE, id="q1"), separation(BLACK, id="q2", length_mm=450.0)))
    found = line(card(second, first), "roller_package", 2)
    assert found.changed
    assert set(found.cautions) == {Caution.HANDS, Caution.LOAD}
    automatic = print_pass("a", separations=TWO)
    assert card(second, automatic).line("roller_package", 2) is None


def test_polyester_is_kept_wet_for_its_ejection() -> None:
    polyester = print_pass("a", separations=(separation(BLACK, material=PlateMaterial.POLYESTER),))
    metal = print_pass("b", separations=(separation(BLACK, id="other"),))
    assert line(card(polyester), "polyester_wet").why.code == "polyester_comes_off_later"
    assert line(card(metal, polyester), "polyester_wet").why.code == "polyester_comes_off_now"
    assert card(metal).line("polyester_wet") is None
    assert "wet when it is ejected" in LINES["polyester_wet"].do


def test_new_plates_are_punched_and_laid_on_the_pins_and_one_that_stays_is_not() -> None:
    new, again = card(print_pass()), card(print_pass("b"), print_pass("a"))
    assert new.line("plate_punch") is not None and new.line("register_pins", 1) is not None
    assert again.line("plate_punch") is None and again.line("register_pins", 1) is None
    assert not line(again, "plate", 1).changed


def test_the_plate_is_named_with_material_length_and_thickness() -> None:
    assert reads(card(print_pass()), "plate", 1) == "plate-black, metal, 488 mm, 150 µm"


# --- ink: common practice, no source ----------------------------------------------------------------------------


def test_side_plates_and_spreading_come_with_every_filling_and_only_then() -> None:
    fresh, again = card(print_pass()), card(print_pass("b"), print_pass("a"))
    for key in ("fountain_side_plates", "spread_ink"):
        assert fresh.line(key, 1) is not None
        assert again.line(key, 1) is None
    assert "evenly by hand" in LINES["fountain_side_plates"].do


def test_reducing_oil_is_measured_sparingly_into_unit_2_where_tack_does_not_fall() -> None:
    wrong = print_pass(separations=(separation(ink("weak", 80, 8.0)), separation(ink("strong", 20, 11.0))))
    found = line(card(wrong), "reducing_oil", 2)
    assert value_text(found.now) == "1 % of the ink's weight to begin with, 5 % at most"
    assert Caution.CHEMICALS in found.cautions
    assert "sparingly" in LINES["reducing_oil"].do
    assert card(print_pass(separations=TWO)).line("reducing_oil", 2) is None


def test_tack_is_not_compared_where_it_is_unknown() -> None:
    unknown = print_pass(separations=(separation(ink("a", 80)), separation(ink("b", 20))))
    assert reads(card(unknown), "tack_order").startswith("not comparable")


def test_an_idle_unit_is_oiled_with_resin_free_oil_and_thrown_off() -> None:
    of = card(print_pass())
    assert of.line("idle_oil", 2) is not None
    assert "resin-free" in LINES["idle_oil"].do
    assert (reads(of, "unit_on", 1), reads(of, "unit_on", 2)) == ("on", "off")


def test_an_idle_unit_that_cannot_be_thrown_off_is_not_asked_to_be() -> None:
    assert card(print_pass(), press=demo_press(idle_throw_off=False)).line("unit_on", 2) is None


def test_keys_are_set_for_another_plate_even_of_the_same_coverage() -> None:
    other = print_pass("b", separations=(separation(BLACK, id="other"),))
    assert line(card(other, print_pass("a")), "ink_keys", 1).changed
    assert not line(card(print_pass("b"), print_pass("a")), "ink_keys", 1).changed


def test_a_unit_that_keeps_its_ink_is_not_oiled() -> None:
    both = print_pass("a", separations=TWO)
    one = card(print_pass("b", separations=(separation(PALE),)), both)
    assert one.line("idle_oil", 2) is None
    assert reads(one, "ink", 2) == "black, standing"


# --- dampening --------------------------------------------------------------------------------------------------


def test_the_dampening_mix_goes_by_the_plates_and_its_ph_window_is_the_published_one() -> None:
    of = card(print_pass(separations=(separation(BLACK, material=PlateMaterial.POLYESTER),)), print_pass("a"))
    assert (reads(of, "mix"), value_text(line(of, "mix").before)) == (
        "200 ml in 4 l (5 %), polyester plates",
        "120 ml in 4 l (3 %), metal plates",
    )
    assert line(of, "mix").changed and line(of, "ph").changed
    assert reads(of, "ph") == "4.8 to 5.5"


def test_the_solutions_figures_are_those_of_the_trade_pages() -> None:
    page = {row["topic"]: figures(row, "least", "most") for row in rows("press_practice.csv")}
    d = PRESS.card.dampening
    assert d is not None and d.hardness_dh is not None
    assert (d.ph.least, d.ph.most) == page["fountain pH"]
    assert (d.hardness_dh.least, d.hardness_dh.most) == page["water hardness"]
    assert d.conductivity_rise_us == page["conductivity rise"][0]
    assert d.check_every_h == page["measure every"][0]


def test_a_plate_material_without_a_mix_is_warned_of() -> None:
    d = PRESS.card.dampening
    assert d is not None
    press = with_profile(dampening=d.model_copy(update={"additive_percent": {PlateMaterial.METAL: 3.0}}))
    paper = print_pass(separations=(separation(BLACK, material=PlateMaterial.PAPER),))
    assert [w.code for w in card(paper, press=press).warnings] == ["no_mix"]


# --- what changes -----------------------------------------------------------------------------------------------

formats = st.sampled_from([A4, A3, SLIP, Format(short_mm=210.0, long_mm=297.5)])
passes = st.builds(
    print_pass,
    st.sampled_from(["x", "y"]),
    format=formats,
    feed_edge=st.sampled_from(FeedEdge),
    stock=st.sampled_from([stock(c) for c in (50, 55, 100, 105, 260)]),
    lay_side=st.sampled_from(LaySide),
    strips=st.sampled_from([(), (Strip(from_mm=10.0, to_mm=30.0),)]),
    separations=st.sampled_from([(separation(BLACK),), TWO, (separation(PALE, id="other", length_mm=450.0),)]),
)
#: Settings, and the tasks that may set them.
SET_BY = {
    "side_stops": {"feeder_to_format"},
    "rear_stop": {"feeder_to_format"},
    "lay_side": {"change_lay_side"},
    "pile_height": {"feeder_to_caliper"},
    "air": {"feeder_to_caliper"},
    "detector_range": {"set_double_sheet_detector"},
    "delivery_rear_stop": {"delivery_to_format"},
    "guide_pulleys": {"move_guide_pulleys"},
    "gripper_opening": {"set_gripper_fans_powder"},
    "sheet_arrival": {"retime_sheet_arrival"},
}


@law
@given(before=passes, now=passes)
def test_a_setting_changes_only_with_its_task_and_only_to_another_value(before: PrintPass, now: PrintPass) -> None:
    state = CardBefore.of_pass(PRESS, before, units_of(before)).state
    units = tuple(units_of(now).values())
    came = {t.task for t in changeover(PRESS, state, now, units, Moment(0)).lines}
    of = card(now, before)
    for key, tasks in SET_BY.items():
        found = line(of, key)
        assert found.changed == (bool(tasks & came) and found.now != found.before)


@law
@given(before=passes, now=passes)
def test_every_move_of_the_sheet_is_on_the_card(before: PrintPass, now: PrintPass) -> None:
    of = card(now, before)
    moved = now.format.differs_from(before.format) or now.feed_edge is not before.feed_edge
    assert any(line(of, key).changed for key in ("side_stops", "rear_stop")) == moved
    assert line(of, "lay_side").changed == (now.lay_side is not before.lay_side)


@law
@given(same=passes)
def test_the_same_pass_again_sets_nothing(same: PrintPass) -> None:
    assert not [ln.key for ln in card(same, same).changes if ln.now is not None and ln.before is not None]


@law
@given(before=passes, now=passes)
def test_every_line_and_warning_has_its_words(before: PrintPass, now: PrintPass) -> None:
    of = card(now, before)
    for row in card_rows(of):
        texts = (row.group, row.name, row.now, row.before, row.do, row.why, row.caution)
        assert all(text.count("\n") == 0 and "{" not in text for text in texts)
        assert row.name and row.do and row.why
    assert all(why_text(w) for w in of.warnings)
    assert len(card_rows(of, changes_only=True)) == len(of.changes)


def test_a_scale_by_a_quantity_no_task_watches_is_set_whenever_its_mark_moves() -> None:
    by_weight = Scale(by=Quantity.GRAMMAGE, step=1, points=((40, 1), (240, 21)))
    light, heavy = (print_pass(n, stock=stock(100, grammage_gsm=g)) for n, g in (("a", 80.0), ("b", 120.0)))
    height = line(card(heavy, light, press=with_profile(pile_height=by_weight)), "pile_height")
    assert height.changed
    assert (value_text(height.before), value_text(height.now)) == ("mark 5", "mark 9")
    assert why_text(height.why) == "120 g/m²"


def test_a_polyester_plate_that_has_stood_is_damped_before_it_comes_off() -> None:
    polyester = print_pass("a", separations=(separation(BLACK, material=PlateMaterial.POLYESTER),))
    keys = [ln.key for ln in card(print_pass("b", separations=(separation(BLACK, id="q"),)), polyester).lines]
    assert keys.index("pre_damp") < keys.index("plate_off")


def test_a_step_too_small_for_its_task_is_shown_and_left() -> None:
    of = card(print_pass("b", stock=stock(109)), print_pass("a", stock=stock(100)))
    height = line(of, "pile_height")
    assert (value_text(height.before), value_text(height.now)) == ("mark 3", "mark 3.5")
    assert not height.changed
    assert "left as it is" in why_text(height.why)


def test_with_nothing_known_before_everything_is_set() -> None:
    first = card(print_pass())
    assert all(ln.changed for ln in first.lines if ln.group in (CardGroup.FEEDER, CardGroup.DELIVERY))


def test_the_plans_own_tasks_decide_where_they_are_given() -> None:
    before = CardBefore.of_pass(PRESS, print_pass("a"), {BLACK.id: 1})
    of = settings_card(PRESS, print_pass("b", format=A3), {BLACK.id: 1}, before, tasks=())
    assert not line(of, "side_stops").changed
    assert line(of, "side_stops").why.code == "left_as_set"


def test_a_one_unit_press_has_a_card_of_one_unit() -> None:
    of = card(print_pass(), press=demo_press(units=1))
    assert {ln.unit for ln in of.lines} == {None, 1}


# --- the profile ------------------------------------------------------------------------------------------------


def test_a_press_of_which_nothing_is_known_has_no_settings_of_its_own() -> None:
    bare = card(print_pass(), press=demo_press(card=CardProfile()))
    keys = {ln.key for ln in bare.lines}
    assert not keys & {"side_stops", "pile_height", "air", "guide_pulleys", "gripper_opening", "mix", "plate_face"}
    assert {"stock", "format", "plate", "ink", "speed", "paper_run"} <= keys


def test_a_press_may_have_scales_and_steps_of_its_own() -> None:
    scale = Scale(by=Quantity.GRAMMAGE, unit="bar", step=0.1, points=((40, 0.2), (240, 1.2)))
    press = with_profile(
        scales=(OwnScale(name="Suction", group=CardGroup.FEEDER, scale=scale),),
        steps=(OwnStep(text="Close the dust flap", group=CardGroup.RUN),),
    )
    shown = card_rows(card(print_pass(stock=stock(100, grammage_gsm=140.0)), press=press))
    assert [(r.group, r.now) for r in shown if r.name == "Suction"] == [(GROUPS[CardGroup.FEEDER], "0.7 bar")]
    assert [r.group for r in shown if r.do == "Close the dust flap"] == [GROUPS[CardGroup.RUN]]


@pytest.mark.parametrize("points", [((40.0, 1.0),), ((40.0, 1.0), (40.0, 2.0)), ((1.0, 1.0), (2.0, 3.0), (3.0, 2.0))])
def test_a_scale_that_makes_no_sense_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValidationError, match="points"):
        Scale(step=1, points=points)


def test_a_pulley_that_needs_less_than_its_own_width_is_refused() -> None:
    with pytest.raises(ValidationError, match="least_strip_mm"):
        GuidePulleys(count=1, width_mm=10, least_strip_mm=9)


tenths = st.integers(1, 5000).map(lambda n: n / 10)


@st.composite
def rising_scales(draw: st.DrawFn) -> Scale:
    places = sorted(draw(st.sets(tenths, min_size=2, max_size=6)))
    marks = sorted(draw(st.lists(tenths, min_size=len(places), max_size=len(places))))
    return Scale(step=draw(st.sampled_from([0.1, 0.5, 1, 2])), points=tuple(zip(places, marks, strict=True)))


@law
@given(scale=rising_scales(), first=tenths, second=tenths)
def test_a_scale_never_turns_round_in_caliper(scale: Scale, first: float, second: float) -> None:
    low, high = sorted((first, second))
    assert scale.mark(low) <= scale.mark(high)


@law
@given(scale=rising_scales(), value=tenths)
def test_a_mark_stands_within_half_a_step_of_the_line(scale: Scale, value: float) -> None:
    ends = scale.points[0][1], scale.points[-1][1]
    assert ends[0] - scale.step / 2 - 1e-9 <= scale.mark(value) <= ends[1] + scale.step / 2 + 1e-9
    for quantity, mark in scale.points:
        assert abs(scale.mark(quantity) - mark) <= scale.step / 2 + 1e-9


# --- pulleys: laws ----------------------------------------------------------------------------------------------

pulleys = st.builds(
    lambda count, width, spare: GuidePulleys(count=count, width_mm=width, least_strip_mm=width + spare),
    st.integers(1, 5), st.integers(4, 20).map(float), st.integers(0, 10).map(float),
)  # fmt: skip
strips_of = st.lists(
    st.tuples(st.integers(0, 500), st.integers(1, 60)).map(
        lambda at: Strip(from_mm=float(at[0]), to_mm=float(at[0] + at[1]))
    ),
    max_size=8,
)


def _free(mm: float, strips: list[Strip], width: float) -> bool:
    return mm <= width and any(s.from_mm <= mm <= s.to_mm for s in strips)


@law
@given(kind=pulleys, strips=strips_of, width=st.integers(100, 460).map(float))
def test_every_pulley_lies_whole_inside_an_image_free_strip_of_the_sheet(
    kind: GuidePulleys, strips: list[Strip], width: float
) -> None:
    places = place_pulleys(strips, width, kind)
    for position in places.positions_mm:
        edge = kind.least_strip_mm / 2
        across = [position - edge + k * edge / 20 for k in range(41)]
        assert all(_free(mm, strips, width) for mm in across)


@law
@given(kind=pulleys, strips=strips_of, width=st.integers(100, 460).map(float))
def test_pulleys_are_used_as_far_as_strips_allow(kind: GuidePulleys, strips: list[Strip], width: float) -> None:
    places = place_pulleys(strips, width, kind)
    assert list(places.positions_mm) == sorted(set(places.positions_mm))
    assert len(places.positions_mm) + places.left_over == kind.count
    assert bool(places.positions_mm) == (places.widest_mm >= kind.least_strip_mm)


def test_with_more_strips_than_pulleys_the_outermost_are_taken_and_the_one_furthest_from_them() -> None:
    strips = [Strip(from_mm=float(a), to_mm=float(a + 20)) for a in (0, 40, 150, 200, 280)]
    kind = GuidePulleys(count=3, width_mm=10, least_strip_mm=14)
    assert place_pulleys(strips, 300, kind).positions_mm == (10, 160, 290)


# --- words ------------------------------------------------------------------------------------------------------


def _all_texts() -> list[str]:
    lines = [text for words in LINES.values() for text in (words.name, words.do)]
    templates = [t for table in (VALUES, WHYS) for t in table.values() if isinstance(t, str)]
    shown = [text for row in card_rows(card(print_pass(separations=TWO))) for text in (row.now, row.why, row.caution)]
    return [*GROUPS.values(), *CAUTIONS.values(), *lines, *templates, *shown, LIFTING_LIMITS]


@pytest.mark.parametrize("word", ["safe to", "exempt", "harmless", "no risk", "safely", "is safe"])
def test_no_text_calls_anything_safe_or_exempt(word: str) -> None:
    assert not [text for text in _all_texts() if word in text.casefold()]


@pytest.mark.parametrize("caution", Caution)
def test_every_caution_defers_to_codes_data_sheet_or_manual(caution: Caution) -> None:
    text = CAUTIONS[caution]
    assert any(word in text for word in ("local codes", "local rules", "safety data sheet", "own manual"))
    assert "\n" not in text


def test_instructions_are_one_short_line() -> None:
    for key, words in LINES.items():
        assert len(words.do) <= 90, key
        assert not words.do.endswith(".")
        assert words.do[:1].isupper() or key == "own_step"


@pytest.mark.parametrize(
    ("key", "caution"),
    [
        ("pile", Caution.LOAD),
        ("side_stops", Caution.HANDS),
        ("guide_pulleys", Caution.HANDS),
        ("detector_range", Caution.TURNING),
        ("mix", Caution.CHEMICALS),
        ("wash_blankets", Caution.SOLVENT),
    ],
)
def test_work_with_hands_loads_solvents_and_chemicals_carries_its_caution(key: str, caution: Caution) -> None:
    assert caution in line(card(print_pass()), key).cautions
