"""From readings in the ledger to verdicts: what an engineer relies on."""

import datetime as dt

import pytest

from inspections.models import ElementStatus, Verdict
from inspections.services.judge import judge_bridges
from inspections.wording import sentence
from inventory.units import System
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db

JOINT = {
    "installation": {
        "setting_source": "measured",
        "setting_temperature_c": 20.0,
        "setting_gap_mm": 50.0,
    },
    "design": {"opening_min_mm": 5.0, "opening_max_mm": 130.0},
}


def verdict_of(element) -> Verdict:
    return Verdict.objects.filter(element=element).latest("taken_at")


def test_a_gap_that_follows_the_temperature_is_in_range():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    # 100 m of steel, 11.7e-6, 10 K colder than at setting: 11.7 mm wider (hand calculation)
    read(make_inspection(unit.bridge), joint, "gap", 61.7, 10.0, point="left", axis="square")
    verdict = verdict_of(joint)
    assert verdict.get_verdict_display() == "In range"
    assert verdict.expected == pytest.approx(61.7)


def test_a_gap_that_stays_when_it_is_cold_is_out_of_range_and_says_so():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 50.0, -10.0, point="left", axis="square")
    verdict = verdict_of(joint)
    assert verdict.get_verdict_display() == "Out of range"
    text = sentence(verdict, System.SI)
    assert "35.1\u202fmm narrower than the 85.1\u202fmm expected" in text


def test_without_a_temperature_a_gap_cannot_be_judged_and_the_sentence_says_what_to_measure():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 50.0, None, point="left", axis="square")
    verdict = verdict_of(joint)
    assert verdict.get_verdict_display() == "Cannot judge"
    assert "no temperature was taken" in sentence(verdict, System.SI)


def test_a_closed_gap_is_out_of_range_even_without_a_temperature():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 4.0, None, point="left", axis="square")
    assert verdict_of(joint).get_verdict_display() == "Out of range"


def test_the_first_accepted_reading_is_the_baseline_where_no_setting_is_known():
    unit = make_unit(make_bridge())
    bearing = make_element(unit, design={"movement_back_mm": 90.0, "movement_ahead_mm": 90.0})
    first = make_inspection(unit.bridge, dt.date(2023, 2, 1))
    read(first, bearing, "offset_along", 7.0, 0.0, accept=True)
    assert verdict_of(bearing).get_verdict_display() == "Cannot judge"
    read(make_inspection(unit.bridge, dt.date(2024, 2, 1)), bearing, "offset_along", 30.4, 20.0)
    verdict = verdict_of(bearing)
    assert verdict.setting_from == "baseline"
    assert verdict.expected == pytest.approx(7.0 + 23.4)
    assert verdict.get_verdict_display() == "In range"


def test_an_open_inspection_neither_sets_a_baseline_nor_the_status():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 4.0, None, point="left", axis="square")
    status = ElementStatus.objects.get(element=joint)
    assert status.get_verdict_display() == "Cannot judge"
    assert status.deciding is None


def test_a_visit_that_tells_nothing_does_not_hide_what_an_earlier_one_found():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    point = {"point": "left", "axis": "square"}
    read(make_inspection(unit.bridge, dt.date(2023, 2, 1)), joint, "gap", 40.0, -15.0,
         accept=True, **point)  # fmt: skip
    read(make_inspection(unit.bridge, dt.date(2024, 2, 1)), joint, "gap", 60.0, None,
         accept=True, **point)  # fmt: skip
    status = ElementStatus.objects.get(element=joint)
    assert status.get_verdict_display() == "Out of range"
    assert status.last_seen_on == dt.date(2024, 2, 1)


def test_judging_again_changes_nothing():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", **JOINT)
    read(make_inspection(unit.bridge), joint, "gap", 50.0, -10.0, point="left", axis="square")
    before = Verdict.objects.values("verdict", "expected", "residual", "reasons").get()
    judge_bridges([unit.bridge_id])
    assert Verdict.objects.values("verdict", "expected", "residual", "reasons").get() == before


def test_a_gap_taken_along_the_road_is_judged_as_one_taken_square():
    unit = make_unit(make_bridge())
    joint = make_element(unit, "strip_seal", place={"skew_deg": 60.0}, **JOINT)
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 44.15, 30.0, point="left", axis="square")
    read(visit, joint, "gap", 88.30, point="left", axis="road")
    square, road = Verdict.objects.order_by("-axis")
    assert (square.axis, road.axis) == ("square", "road")
    assert square.residual_in_u == pytest.approx(0.0, abs=1e-9)
    assert road.residual == pytest.approx(0.0, abs=1e-9)
    assert road.use_at_max == pytest.approx(square.use_at_max)
