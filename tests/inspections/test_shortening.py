"""Creep and shrinkage since the setting are part of what a reading is compared with."""

import datetime as dt

import pytest

from inspections.lookups.field import walk
from inspections.models import AgencySettings, ElementHistory, Verdict
from inspections.selectors.packet_channels import channels_of
from movement.concrete import ShorteningNote
from movement.history.findings import Finding
from tests.inspections.over_years import MEASURED, visit
from tests.make import make_bridge, make_concrete, make_element, make_unit

pytestmark = pytest.mark.django_db

AT = 20.0  # degC: the setting temperature, so that nothing but shortening moves a reading


@pytest.fixture
def unit():
    """100 m of prestressed concrete held at its start, cast on the first of 2010."""
    return make_unit(make_bridge(), deck_type="concrete", expansion_per_c=10.8e-6)


def make_joint(unit, installed_on=dt.date(2010, 2, 1), **known):
    return make_element(
        unit,
        "strip_seal",
        installation={"installed_on": installed_on, **(known or MEASURED | {"setting_gap_mm": 60})},
        design={"opening_min_mm": 5.0, "opening_max_mm": 150.0},
    )


def verdict_of(element) -> Verdict:
    return Verdict.objects.filter(element=element).latest("taken_at")


def read_gap(unit, joint, date, gap_mm):
    visit(unit.bridge, date, AT, [(joint, "gap", gap_mm, "left")])
    return verdict_of(joint)


def test_a_wide_gap_is_as_expected_once_the_concrete_of_the_deck_is_on_record(unit):
    joint = make_joint(unit)
    assert read_gap(unit, joint, dt.date(2024, 6, 1), 99.0).get_verdict_display() == "Out of range"
    assert verdict_of(joint).shortening is None

    make_concrete(unit)
    verdict = read_gap(unit, joint, dt.date(2025, 6, 1), 99.0)
    assert verdict.get_verdict_display() == "In range"
    # A deck that shortens opens the gap at its free end: 0.3 to 0.5 mm/m is usual where the
    # prestress is 5 MPa
    assert 30.0 < verdict.shortening < 50.0
    assert verdict.expected == pytest.approx(60.0 + verdict.shortening)
    assert 0.0 < verdict.u_shortening < verdict.shortening / 2.0
    assert verdict.u_residual > verdict.u_shortening
    # carried along with what it has shortened so far
    assert verdict.a + verdict.b * AT == pytest.approx(verdict.expected)
    assert verdict.carried_to_max == pytest.approx(99.0 + verdict.b * (verdict.design_max_c - AT))


def test_a_deck_that_has_not_shortened_as_its_concrete_must_is_out_of_range(unit):
    make_concrete(unit)
    joint = make_joint(unit)
    verdict = read_gap(unit, joint, dt.date(2025, 6, 1), 40.0)
    assert verdict.get_verdict_display() == "Out of range"
    assert verdict.residual < -40.0  # though 20 mm only beside the setting


def test_shortening_counts_from_the_baseline_where_that_stands_for_the_setting(unit):
    make_concrete(unit)
    since_set, since_baseline = make_joint(unit), make_joint(unit, setting_source="unknown")
    for year in (2020, 2025):
        rows = [(each, "gap", 80.0, "left") for each in (since_set, since_baseline)]
        visit(unit.bridge, dt.date(year, 6, 1), AT, rows)
    first, last = Verdict.objects.filter(element=since_baseline).order_by("taken_at")
    assert first.shortening == 0.0
    assert 0.0 < last.shortening < verdict_of(since_set).shortening / 4.0


def test_a_device_set_before_its_deck_was_cast_counts_from_the_casting(unit):
    make_concrete(unit)
    long_before = make_joint(unit, installed_on=dt.date(2009, 3, 1))
    on_the_day = make_joint(unit, installed_on=dt.date(2010, 1, 1))
    rows = [(each, "gap", 80.0, "left") for each in (long_before, on_the_day)]
    visit(unit.bridge, dt.date(2025, 6, 1), AT, rows)
    assert verdict_of(long_before).shortening == pytest.approx(verdict_of(on_the_day).shortening)


def test_a_reading_before_the_baseline_found_the_deck_longer(unit):
    make_concrete(unit)
    joint = make_joint(unit, setting_source="unknown")
    visit(unit.bridge, dt.date(2012, 6, 1), AT, [(joint, "gap", 70.0, "left")], state="submitted")
    read_gap(unit, joint, dt.date(2020, 6, 1), 80.0)
    assert Verdict.objects.earliest("taken_at").shortening < 0.0


def test_what_the_rule_cannot_answer_is_noted_and_the_verdict_stands_without_it(unit):
    # AASHTO LRFD 5.4.2.3.1 goes up to 15 ksi, 103 MPa, here at loading
    make_concrete(unit, strength_at_loading_mpa=110.0, concrete_strength_mpa=130.0)
    joint = make_joint(unit)
    verdict = read_gap(unit, joint, dt.date(2025, 6, 1), 61.0)
    assert verdict.shortening is None
    assert verdict.u_shortening is None
    assert verdict.shortening_notes & ShorteningNote.STRENGTH_OUTSIDE
    assert verdict.expected == pytest.approx(60.0)
    assert verdict.get_verdict_display() == "In range"


def test_a_gap_between_two_units_opens_by_what_both_have_shortened(unit):
    make_concrete(unit)
    ahead = make_unit(
        unit.bridge, "U2", deck_type="concrete", expansion_per_c=10.8e-6,
        start_station_m=100.0, end_station_m=200.0, fixed_station_m=200.0,
    )  # fmt: skip
    alone = make_joint(unit)
    between = make_element(
        unit, "strip_seal", place={"unit_ahead": ahead},
        installation={"installed_on": dt.date(2010, 2, 1), **MEASURED, "setting_gap_mm": 60},
        design={"opening_min_mm": 5.0, "opening_max_mm": 250.0},
    )  # fmt: skip
    rows = [(each, "gap", 95.0, "left") for each in (alone, between)]
    visit(unit.bridge, dt.date(2024, 6, 1), AT, rows)
    assert verdict_of(between).shortening == pytest.approx(verdict_of(alone).shortening)
    make_concrete(ahead)
    visit(unit.bridge, dt.date(2024, 6, 2), AT, rows)
    assert verdict_of(between).shortening == pytest.approx(
        2.0 * verdict_of(alone).shortening, rel=1e-3
    )


def test_a_drift_that_creep_and_shrinkage_explain_is_no_drift(unit):
    make_concrete(unit, shortening_rule="en_2004")
    joint = make_joint(unit)
    years = range(2011, 2026, 2)
    for year in years:
        read_gap(unit, joint, dt.date(year, 6, 1), 60.0)
    foretold = [each.shortening for each in Verdict.objects.order_by("taken_at")]
    other = make_joint(unit)
    for year, shortening in zip(years, foretold, strict=True):
        rows = [(other, "gap", round(60.0 + shortening), "left")]
        visit(unit.bridge, dt.date(year, 6, 2), AT, rows)
    follows = ElementHistory.objects.get(element=other)
    stays = ElementHistory.objects.get(element=joint)
    assert not follows.findings & Finding.DRIFT
    assert follows.drift_per_year == pytest.approx(0.0, abs=0.2)
    assert stays.drift_per_year < -0.5


def test_the_tablet_expects_what_the_judge_expects(unit):
    make_concrete(unit)
    joint = make_joint(unit)
    verdict = read_gap(unit, joint, dt.date(2025, 6, 1), 99.0)
    told = channels_of(verdict.inspection, walk(verdict.inspection), AgencySettings.current())
    left = next(each for each in told[joint.pk] if each["point"] == "left")
    assert left["a"] + left["b"] * AT == pytest.approx(verdict.expected, abs=0.01)
