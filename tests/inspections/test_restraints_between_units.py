"""Restraints that tie two units across a hinge see how the two move against each other.

The units are 100 m of 11.7e-6, held at their start, and 60 m of 10.8e-6 beyond the hinge, held
at their far end: for each degC the first grows by 1.17 mm towards the hinge, the second by
0.648 mm.  Hinge restrainers «are installed with a gap to allow for thermal movement of the
bridge»: Vlassis, Maragakis and Saiidi, Transportation Research Record 1770 (2001), introduction,
read in an excerpt.
"""

import datetime as dt

import pytest

from inspections.drawing.place import place_drawing
from inspections.drawing.shapes import Line, Rect, Text
from inspections.exchange.readings_csv import import_readings
from inspections.lookups.field import walk
from inspections.models import AgencySettings, Inspection, Verdict
from inspections.models.choices import VerdictWord
from inspections.selectors.packet_channels import channels_of
from inspections.selectors.plain_place import place_of
from inspections.services import readings
from inspections.wording_capacity import needs_words
from inventory.exchange.problems import ImportRefused
from inventory.units import System
from tests.inspections.capacity_rows import the_check, visit
from tests.inspections.field_pages import form_of, page_of
from tests.inspections.plain_rows import facts, measured
from tests.make import make_bridge, make_concrete, make_element, make_inspection, make_unit

pytestmark = pytest.mark.django_db

BACK, AHEAD = 1.17, 0.648  # mm for each degC
SET_C = 10.0
SETTING = {"setting_source": "measured", "setting_temperature_c": SET_C}
COLDEST_C = -160.0 / 9.0  # 0 degF
ROOM = {"gap_back_mm": 40.0, "gap_ahead_mm": 40.0, "gap_left_mm": 40.0, "gap_right_mm": 40.0}


@pytest.fixture
def back():
    return make_unit(make_bridge("H-1"), deck_type="concrete")


@pytest.fixture
def ahead(back):
    return make_unit(
        back.bridge, "U2", deck_type="concrete", expansion_per_c=10.8e-6,
        start_station_m=100.0, end_station_m=160.0, fixed_station_m=160.0,
    )  # fmt: skip


def tie(back, ahead, device_type="restrainer_cable", design=ROOM, **place):
    return make_element(
        back, device_type, place={"unit_ahead": ahead, **place}, installation=SETTING,
        design=design,
    )  # fmt: skip


def joint_beside(back, ahead):
    return make_element(
        back, "open", place={"unit_ahead": ahead},
        installation=SETTING | {"setting_gap_mm": 50.0, "setting_gap_axis": "road"},
    )  # fmt: skip


def expected(element, quantity, point, back_c, ahead_c=None, axis="") -> float:
    """Return what a reading is held against, each unit at its own temperature."""
    at = dt.datetime(2024, 6, 1, 8, tzinfo=dt.UTC)
    warm = [(element.unit, back_c), (element.unit_ahead, back_c if ahead_c is None else ahead_c)]
    readings.record(
        inspection=Inspection.objects.first() or make_inspection(element.bridge),
        readings=[readings.NewReading(element, quantity, 30.0, "30", at, point=point, axis=axis)],
        temperatures=[
            readings.NewTemperature("girder_web", warmth, f"{warmth}", at, unit=unit)
            for unit, warmth in warm
            if unit is not None
        ],
    )
    return Verdict.objects.get(element=element, point=point).expected


@pytest.mark.parametrize("temperature_c", [-12.0, 0.0, 10.0, 31.0])
def test_slack_is_taken_up_in_the_cold_by_what_both_units_shorten(back, ahead, temperature_c):
    slack = expected(tie(back, ahead), "slack", "back", temperature_c)
    assert slack == pytest.approx(40.0 + (BACK + AHEAD) * (temperature_c - SET_C))


def test_each_unit_counts_at_its_own_temperature(back, ahead):
    slack = expected(tie(back, ahead), "slack", "back", 0.0, 25.0)
    assert slack == pytest.approx(40.0 - 10.0 * BACK + 15.0 * AHEAD)


@pytest.mark.parametrize("radius_m", [None, 250.0, -400.0])
@pytest.mark.parametrize(("back_c", "ahead_c"), [(-20.0, -20.0), (5.0, 30.0), (35.0, 12.0)])
def test_slack_is_gained_where_the_joint_beside_it_closes(back, ahead, radius_m, back_c, ahead_c):
    # The cable is as long as ever: slack and opening together stay what they were.
    for unit in (back, ahead):
        unit.plan_radius_m = radius_m
        unit.save()
    make_concrete(back)
    make_concrete(ahead, axial_stress_mpa=2.0)
    slack = expected(tie(back, ahead), "slack", "back", back_c, ahead_c)
    opening = expected(joint_beside(back, ahead), "gap", "left", back_c, ahead_c, axis="road")
    assert opening != pytest.approx(50.0, abs=1.0)
    assert slack + opening == pytest.approx(40.0 + 50.0)


@pytest.mark.parametrize("device_type", ["shear_key", "lock_up", "hold_down"])
def test_a_key_or_lock_up_between_two_units_closes_ahead_as_they_grow(back, ahead, device_type):
    key = tie(back, ahead, device_type)
    assert expected(key, "key_gap", "ahead", 20.0) == pytest.approx(40.0 - 10.0 * (BACK + AHEAD))
    assert expected(key, "key_gap", "back", 20.0) == pytest.approx(40.0 + 10.0 * (BACK + AHEAD))
    assert expected(key, "key_gap", "left", 20.0) == pytest.approx(40.0)


def test_across_the_units_only_what_they_differ_by_closes_a_side(back, ahead):
    # Both are read along an axis turned 30 degrees to the left: what moves along the road by
    # 1.818 mm moves across that axis by half of it, to the right.
    key = tie(back, ahead, "shear_key", axis_angle_deg=30.0)
    assert expected(key, "key_gap", "right", 20.0) == pytest.approx(
        40.0 - 10.0 * (BACK + AHEAD) / 2.0
    )


def test_a_unit_ahead_that_is_held_at_the_hinge_changes_nothing(back, ahead):
    ahead.fixed_station_m = 100.0
    ahead.save()
    alone = make_element(back, "restrainer_cable", installation=SETTING, design=ROOM)
    assert expected(tie(back, ahead), "slack", "back", 25.0) == expected(
        alone, "slack", "back", 25.0
    )


def test_what_is_not_known_of_the_unit_ahead_is_not_known_of_the_slack(back, ahead):
    ahead.fixed_station_m = None
    ahead.save()
    assert expected(tie(back, ahead), "slack", "back", 25.0) is None


def test_a_cable_that_both_units_would_draw_taut_is_out_of_range(back, ahead):
    cable = tie(back, ahead, design={"gap_back_mm": 50.0, "gap_min_mm": 5.0})
    visit(cable, [("slack", 50.0, "back")])
    verdict = Verdict.objects.get(element=cable)
    drawn = (BACK + AHEAD) * (SET_C - COLDEST_C)
    assert verdict.carried_to_min == pytest.approx(50.0 - drawn)
    assert verdict.verdict == VerdictWord.OUT_OF_RANGE
    check = the_check(cable, "Slack remains, back", when="at_min")
    assert check.use == pytest.approx((drawn + 5.0) / 50.0)
    # One unit alone would have left 17.5 mm.
    assert 50.0 - BACK * (SET_C - COLDEST_C) > 17.0


class TestItIsAskedForOnce:
    def test_the_form_and_the_tablet_ask_for_the_slack_as_the_units_part(
        self, back, ahead, as_role
    ):
        cable = tie(back, ahead, design={})
        inspection = make_inspection(back.bridge)
        page = page_of(as_role("inspector").get(form_of(inspection, cable)))
        assert "Slack" in page
        assert 'name="slack-back' in page
        assert 'name="slack-ahead' not in page
        ((_, channels),) = channels_of(
            inspection, walk(inspection), AgencySettings.current()
        ).items()
        assert [(each["label"], each["point"]) for each in channels] == [("Slack", "back")]

    def test_the_tablet_gets_the_part_of_each_unit(self, back, ahead):
        tie(back, ahead)
        inspection = make_inspection(back.bridge)
        (((channel,)),) = channels_of(
            inspection, walk(inspection), AgencySettings.current()
        ).values()
        assert [each["unit_id"] for each in channel["sides"]] == [back.pk, ahead.pk]
        assert [each["b"] for each in channel["sides"]] == pytest.approx([BACK, AHEAD])

    def test_without_a_reading_the_slack_of_no_other_side_is_asked_for(self, back, ahead):
        cable = tie(back, ahead, design={"horizontal_demand_kn": 100.0})
        asked = cable.capacity_checks.filter(name__startswith="Slack").values_list("name")
        assert {name for (name,) in asked} == {"Slack remains, back"}
        told = needs_words(the_check(cable, "Slack remains, back"))
        assert told == "cannot check: needs a reading of the slack, back"

    def test_a_file_that_gives_it_on_another_side_is_refused_with_the_way_out(self, back, ahead):
        alone = make_element(back, "restrainer_cable", installation=SETTING, design=ROOM)
        cable = tie(back, ahead)
        head = "bridge_code,inspection_date,team,taken_at,element_code,point,slack_mm"
        rows = [
            f"H-1,2024-06-01,two,2024-06-01 08:30,{each.code},ahead,40" for each in (alone, cable)
        ]
        with pytest.raises(ImportRefused) as refused:
            import_readings("\n".join([head, *rows]) + "\n")
        (problem,) = refused.value.problems
        assert (problem.line, problem.column) == (3, "point")
        assert "as they part: give its slack at «back»" in problem.message


class TestItsPlaceInPlainWords:
    @pytest.mark.parametrize("device_type", ["restrainer_cable", "shear_key", "clamp"])
    def test_it_is_drawn_between_the_ends_of_two_decks(self, back, ahead, device_type):
        where = place_of(tie(back, ahead, device_type))
        drawing = place_drawing(facts(place=where, measured=None), System.SI)
        decks = [
            (each.x, each.x + each.width)
            for each in drawing.shapes
            if isinstance(each, Rect) and each.style == "deck" and each.width > 100.0
        ]
        assert len(decks) == 2
        assert decks[0][1] < decks[1][0]
        words = [each.text for each in drawing.shapes if isinstance(each, Text)]
        assert words.count("deck") == 2

    def test_its_cable_goes_from_one_deck_to_the_other(self, back, ahead):
        where = place_of(tie(back, ahead))
        drawing = place_drawing(
            facts(place=where, measured=measured("slack", value=20.0, expected=40.0)), System.SI
        )
        ends = [
            x
            for each in drawing.shapes
            if isinstance(each, Line) and each.style == "cable"
            for x in (each.x1, each.x2)
        ]
        left, right = (
            each
            for each in drawing.shapes
            if isinstance(each, Rect) and each.style == "deck" and each.width > 100.0
        )
        assert min(ends) < left.x + left.width
        assert max(ends) > right.x

    def test_one_that_ties_a_single_unit_is_drawn_as_ever(self, back):
        assert not place_of(make_element(back, "restrainer_cable")).ties
