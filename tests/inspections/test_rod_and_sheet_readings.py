"""Rods and sliding sheets: read without a temperature, judged by their limits alone."""

import datetime as dt

import pytest

from inspections.exchange.readings_csv import import_readings
from inspections.models import Reading, Verdict
from inspections.services.readings import RowsRefused
from inspections.wording import sentence
from inventory.units import System
from tests.inspections.field_pages import enter, form_of, page_of
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db
KN_PER_KIP = 4.4482216152605  # NIST SP 811, appendix B.8: 1 kip of force


@pytest.fixture
def rods():
    design = {"rod_count": 4, "rod_pretension_kn": 500.0}
    return make_element(make_unit(make_bridge("B-1")), "anchor_rods", code="A", design=design)


@pytest.fixture
def pot():
    return make_element(make_unit(make_bridge("B-1")), "pot", code="P")


def verdict_of(element, quantity, value, point="", day=dt.date(2024, 6, 1), **how) -> Verdict:
    visit = make_inspection(element.bridge, day)
    read(visit, element, quantity, value, point=point, **how)
    return Verdict.objects.get(inspection=visit, quantity=quantity)


def test_whole_rods_are_in_range_without_a_setting_or_a_temperature(rods):
    verdict = verdict_of(rods, "broken_rods", 0)
    assert verdict.get_verdict_display() == "In range"


def test_one_broken_rod_is_out_of_range_and_says_so(rods):
    verdict = verdict_of(rods, "broken_rods", 1)
    assert verdict.get_verdict_display() == "Out of range"
    assert "Broken rods 1: 1 more than the 0 expected" in sentence(verdict, System.SI)
    assert "reached its limit" in sentence(verdict, System.SI)


def test_a_part_of_a_rod_is_no_count(rods):
    with pytest.raises(RowsRefused) as refused:
        read(make_inspection(rods.bridge), rods, "broken_rods", 0.5)
    assert "whole number" in refused.value.readings[0].message


@pytest.mark.parametrize(
    ("gap_mm", "word"),
    # Approval practice for sliding bearings, from memory: watch from 1.0 mm, act from 0.2 mm.
    [(2.2, "In range"), (1.1, "In range"), (0.9, "Watch"), (0.3, "Watch"), (0.2, "Out of range")],
)
def test_a_sheet_is_watched_below_1_mm_and_spent_at_0_2_mm(pot, gap_mm, word):
    verdict = verdict_of(pot, "sliding_gap", gap_mm)
    assert verdict.get_verdict_display() == word
    assert verdict.expected is None
    assert ("shorter intervals" in sentence(verdict, System.SI)) == (word == "Watch")


@pytest.mark.parametrize(
    ("tension_kn", "word"),
    [(495.0, "In range"), (390.0, "Watch"), (0.0, "Out of range")],
)
def test_a_rod_is_held_against_its_pretension(rods, tension_kn, word):
    verdict = verdict_of(rods, "rod_tension", tension_kn, "rod 2")
    assert verdict.get_verdict_display() == word


def test_the_sentence_of_a_slack_rod_says_how_much_it_has_lost(rods):
    verdict = verdict_of(rods, "rod_tension", 390.0, "mean")
    assert "it has lost 22% of its pretension" in sentence(verdict, System.SI)  # 110 of 500 kN


def test_a_rod_is_never_compared_with_what_was_first_read(rods):
    verdict_of(rods, "rod_tension", 430.0, "rod 1", dt.date(2022, 6, 1), accept=True)
    later = verdict_of(rods, "rod_tension", 480.0, "rod 1")
    assert (later.expected, later.setting_value) == (None, None)
    assert later.get_verdict_display() == "In range"


def test_without_a_pretension_on_record_a_tension_cannot_be_judged_and_says_why():
    rods = make_element(make_unit(make_bridge()), "anchor_rods")
    verdict = verdict_of(rods, "rod_tension", 430.0, "mean")
    assert verdict.get_verdict_display() == "Cannot judge"
    assert "enter the device's capacity" in sentence(verdict, System.SI)


def test_the_form_offers_the_mean_and_as_many_rods_as_there_are(as_role, rods):
    page = page_of(as_role("inspector").get(form_of(make_inspection(rods.bridge), rods)))
    assert "Mean [kN]" in page
    assert "Rod tension, </span>Rod 4 [kN]" in page
    assert "Rod tension, </span>Rod 5" not in page
    assert "Broken rods</label>" in page
    assert "<strong>0</strong> ±0" in page  # whole rods are expected, whatever the hour
    assert "Instrument for forces" in page


def test_rods_are_taken_by_form_as_people_write_them(as_role, rods):
    visit = make_inspection(rods.bridge, dt.date(2024, 6, 1))
    enter(
        as_role("inspector"), visit, rods,
        **{"rod_tension-mean-1": "100 kip", "broken_rods-only-1": "1"},
    )  # fmt: skip
    tension = Reading.objects.get(quantity="rod_tension")
    assert tension.value == pytest.approx(100 * KN_PER_KIP)
    assert tension.typed == "100 kip"
    broken = Reading.objects.get(quantity="broken_rods")
    assert (broken.value, broken.typed) == (1.0, "1")


def test_what_few_carry_the_device_for_does_not_hold_a_visit_up(as_role, pot):
    visit = make_inspection(pot.bridge, dt.date(2024, 6, 1))
    enter(
        as_role("inspector"), visit, pot,
        **{"offset_along-only-1": "3", "offset_across-only-1": "0", "rotation-only-1": "2"},
    )  # fmt: skip
    page = page_of(as_role("inspector").get(form_of(visit, pot)))
    assert "Still to be read here" not in page
    assert "Sliding gap" in page


def test_rods_and_sheets_come_in_by_file(rods):
    make_element(rods.unit, "pot", code="P")
    import_readings(
        "bridge_code,inspection_date,team,taken_at,element_code,point,"
        "rod_tension_kip,broken_rods_count,sliding_gap_mm\n"
        "B-1,2024-06-01,two,2024-06-01 08:30,A,mean,100,,\n"
        "B-1,2024-06-01,two,2024-06-01 08:30,A,,,2,\n"
        "B-1,2024-06-01,two,2024-06-01 08:30,P,,,,1.9\n"
    )
    values = dict(Reading.objects.values_list("quantity", "value"))
    assert values == pytest.approx(
        {"rod_tension": 100 * KN_PER_KIP, "broken_rods": 2.0, "sliding_gap": 1.9}
    )


@pytest.mark.parametrize(
    ("bulge_mm", "word"), [(0.5, "In range"), (1.7, "Watch"), (1.8, "Out of range")]
)
def test_a_bulge_of_15_percent_of_its_layer_is_past_its_limit(bulge_mm, word):
    # AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), defect 2230, read in a copy:
    # 15 % of the thickness, here of a layer of 12 mm.
    pad = make_element(
        make_unit(make_bridge("B-1")), "reinforced_elastomeric", design={"layer_thickness_mm": 12.0}
    )
    assert verdict_of(pad, "bulge", bulge_mm).get_verdict_display() == word


@pytest.mark.parametrize(
    ("left_mm", "word"), [(40.0, "In range"), (3.0, "Watch"), (0.0, "Out of range")]
)
def test_a_sliding_plate_must_reach_beyond_its_sheet(left_mm, word):
    design = {"sliding_plate_length_mm": 500.0, "ptfe_length_mm": 400.0}
    slider = make_element(make_unit(make_bridge("B-1")), "flat_sliding", design=design)
    assert verdict_of(slider, "plate_overlap", left_mm, "ahead").get_verdict_display() == word


def test_an_overlap_without_lengths_on_record_is_still_held_against_zero(pot):
    assert verdict_of(pot, "plate_overlap", 0.0, "back").get_verdict_display() == "Out of range"
