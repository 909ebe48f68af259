"""Every rule of a row holds twice: told at its field, and kept by the database behind it.

The limits of single figures are in test_bounds, the rules that span rows in
test_cross_row_rules, the cases of the engineer's desk in constraints_desk.
"""

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, models, transaction

from inspections.form_spec import FIELDS
from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    CapacityCheck,
    ComponentRating,
    Condition,
    ElementDataRow,
    ElementHistory,
    Explanation,
    Inspection,
    LeftOut,
    Reading,
    TabletRecord,
    TemperatureReading,
)
from inspections.models.choices import ReadingQuantity
from inventory.models import (
    BearingDesign,
    Bridge,
    Drawing,
    Element,
    Installation,
    JointDesign,
    RestraintDesign,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from tests.inventory.constraint_case import Broken, Case, change, second_of
from tests.inventory.constraints_desk import DESK, DESK_DERIVED
from tests.make import make_element, make_inspection, make_support, make_unit
from tests.rows import valid_row

pytestmark = pytest.mark.django_db


def bridge_of_the_same_inventory_key() -> Broken:
    Bridge.objects.filter(pk=valid_row(Bridge).pk).update(
        inventory_state_code="54", inventory_number="A1"
    )
    return valid_row(Bridge), {"inventory_state_code": "54", "inventory_number": "A1"}


def unit_without_a_fixed_point(**changes: Any) -> Callable[[], Broken]:
    return lambda: (make_unit(valid_row(Bridge), fixed_station_m=None), changes)


def second_unit() -> Broken:
    unit = valid_row(Unit)
    return make_unit(unit.bridge, "U2"), {"code": unit.code}


def second_support() -> Broken:
    support = valid_row(Support)
    return make_support(support.bridge, "P1", 50.0), {"code": support.code}


def second_element() -> Broken:
    element = valid_row(Element)
    return make_element(element.unit), {"code": element.code}


def joint_of_one_unit() -> Element:
    unit = make_unit(valid_row(Bridge))
    return make_element(unit, "strip_seal")


def bearing_with_a_unit_ahead() -> Broken:
    bearing = valid_row(Element)
    return bearing, {"unit_ahead": make_unit(bearing.bridge, "U2")}


def restraint_with_a_unit_ahead_alone() -> Broken:
    unit = make_unit(valid_row(Bridge))
    return make_element(unit, "lock_up"), {
        "unit": None,
        "unit_ahead": make_unit(unit.bridge, "U2"),
    }


def restraint_between_one_unit() -> Broken:
    restraint = make_element(make_unit(valid_row(Bridge)), "restrainer_cable")
    return restraint, {"unit_ahead": restraint.unit}


def joint_between_one_unit() -> Broken:
    joint = joint_of_one_unit()
    return joint, {"unit_ahead": joint.unit}


def ended_installation(**changes: Any) -> Broken:
    """Return an earlier device of a place that has its current one."""
    element = valid_row(Element)
    earlier = Installation.objects.create(
        element=element,
        device_type="pot",
        installed_on=dt.date(2000, 1, 1),
        removed_on=dt.date(2009, 1, 1),
        end_reason="replaced",
    )
    return earlier, changes


def second_reading() -> Broken:
    first = Reading.objects.get(pk=valid_row(Reading).corrects_id)
    second = Reading.objects.create(
        **{
            name: getattr(first, name)
            for name in ("inspection", "element", "installation", "quantity", "taken_at")
        },
        value=6.0,
        typed="6",
        repeat=2,
    )
    return second, {"repeat": 1}


def second_element_data_on_no_other() -> Broken:
    row = valid_row(ElementDataRow)
    row.parent_number = None
    row.save()
    row.pk = None
    row.element_number += 1
    row.save()
    return row, {"element_number": row.element_number - 1}


def second_temperature(**first: Any) -> Broken:
    row = TemperatureReading.objects.get(pk=valid_row(TemperatureReading).corrects_id)
    TemperatureReading.objects.filter(pk=row.pk).update(**first)
    row.refresh_from_db()
    values = {name: getattr(row, name) for name in ("inspection", "unit", "taken_at")}
    second = TemperatureReading.objects.create(
        **values, place="deck_top", temperature_c=9.0, typed="9"
    )
    return second, {"place": row.place}


def second_hour() -> Broken:
    hour = valid_row(AirTemperature)
    other = AirTemperature.objects.create(
        station=hour.station, time_utc=hour.time_utc + dt.timedelta(hours=1), temperature_c=1.0
    )
    return other, {"time_utc": hour.time_utc}


def second_year() -> Broken:
    year = valid_row(StationYear)
    other = StationYear.objects.create(
        station=year.station, year=year.year + 1, year_min_c=-9.0, year_max_c=31.0
    )
    return other, {"year": year.year}


def second_air_day() -> Broken:
    first = valid_row(AirDay)
    other = AirDay.objects.create(
        station=first.station, day=first.day + dt.timedelta(days=1), min_c=7.0, max_c=19.0
    )
    return other, {"day": first.day}


def second_inspection() -> Broken:
    first = valid_row(Inspection)
    return make_inspection(first.bridge, first.date, kind="event"), {"kind": first.kind}


def impossible_reading(quantity: ReadingQuantity, value: float) -> Callable[[], Broken]:
    axis = "square" if quantity == ReadingQuantity.GAP else ""
    point = FIELDS[quantity].points[0]
    return change(Reading, quantity=quantity, point=point, axis=axis, value=value)


def second_of_a_sheet() -> Broken:
    first = valid_row(Drawing)
    second = Drawing.objects.get(pk=first.pk)
    second.pk, second.revision, second._state.adding = None, "B", True
    second.save()
    return second, {"revision": first.revision}


KNOWN_WORDS = {
    "drawing_format_known": (Drawing, "format"),
    "element_kind_known": (Element, "kind"),
    "unit_deck_type_known": (Unit, "deck_type"),
    "support_kind_known": (Support, "kind"),
    "installation_device_known": (Installation, "device_type"),
    "temperature_place_known": (TemperatureReading, "place"),
    "inspection_state_known": (Inspection, "state"),
    "inspection_kind_known": (Inspection, "kind"),
    "record_kind_known": (TabletRecord, "kind"),
    "left_out_reason_known": (LeftOut, "reason"),
    "concrete_rule_known": (UnitConcrete, "shortening_rule"),
    "concrete_cement_known": (UnitConcrete, "cement_class"),
    "section_form_known": (UnitSection, "section_form"),
    "basis_surfacing_rule_known": (TemperatureBasis, "surfacing_rule"),
    "bearing_ptfe_known": (BearingDesign, "ptfe_kind"),
    "bearing_sliding_surface_known": (BearingDesign, "sliding_surface"),
}
ORDERED = {
    "basis_shade_air_min_c_below_shade_air_max_c": (
        TemperatureBasis,
        "shade_air_min_c",
        "shade_air_max_c",
    ),
    "basis_entered_min_c_below_entered_max_c": (
        TemperatureBasis,
        "entered_min_c",
        "entered_max_c",
    ),
    "basis_map_min_c_below_map_max_c": (TemperatureBasis, "map_min_c", "map_max_c"),
    "station_year_year_min_c_below_year_max_c": (StationYear, "year_min_c", "year_max_c"),
    "bearing_vertical_service_min_kn_below_vertical_service_max_kn": (
        BearingDesign,
        "vertical_service_min_kn",
        "vertical_service_max_kn",
    ),
    "bearing_vertical_strength_min_kn_below_vertical_strength_max": (
        BearingDesign,
        "vertical_strength_min_kn",
        "vertical_strength_max_kn",
    ),
    "joint_opening_min_mm_below_opening_max_mm": (
        JointDesign,
        "opening_min_mm",
        "opening_max_mm",
    ),
}
CASES = [
    *(
        Case(name, field, change(model, **{field: "?"}))
        for name, (model, field) in KNOWN_WORDS.items()
    ),
    *(
        Case(name[:60], low, change(model, **{low: above, high: 25.0}))
        for name, (model, low, high) in ORDERED.items()
        for above in (25.0, 25.5)
    ),
    Case("bridge_inventory_key", "inventory_number", bridge_of_the_same_inventory_key),
    Case("unit_code_once_a_bridge", NON_FIELD_ERRORS, second_unit),
    Case("support_code_once_a_bridge", NON_FIELD_ERRORS, second_support),
    Case("element_code_once_a_bridge", NON_FIELD_ERRORS, second_element),
    Case(
        "unit_start_station_m_below_end_station_m",
        "start_station_m",
        unit_without_a_fixed_point(end_station_m=0.0),
    ),
    Case(
        "unit_start_station_m_below_end_station_m",
        "start_station_m",
        unit_without_a_fixed_point(start_station_m=100.5),
    ),
    Case("unit_fixed_point_inside", "fixed_station_m", change(Unit, fixed_station_m=100.1)),
    Case("unit_fixed_point_inside", "fixed_station_m", change(Unit, fixed_station_m=-0.1)),
    Case("unit_plan_radius_not_zero", "plan_radius_m", change(Unit, plan_radius_m=0.0)),
    Case("element_units_fit_kind", "unit", change(Element, unit=None)),
    Case("element_units_fit_kind", "unit_ahead", bearing_with_a_unit_ahead),
    Case("element_units_fit_kind", "unit", lambda: (joint_of_one_unit(), {"unit": None})),
    Case("element_units_fit_kind", "unit", restraint_with_a_unit_ahead_alone),
    Case("element_units_differ", "unit_ahead", joint_between_one_unit),
    Case("element_units_differ", "unit_ahead", restraint_between_one_unit),
    Case(
        "installation_installed_on_below_removed_on",
        "installed_on",
        lambda: ended_installation(removed_on=dt.date(2000, 1, 1)),
    ),
    Case("installation_end_has_reason", "end_reason", change(Installation, end_reason="replaced")),
    Case("installation_end_has_reason", "end_reason", lambda: ended_installation(end_reason="")),
    Case(
        "installation_one_current_a_place",
        "installed_on",
        lambda: ended_installation(removed_on=None, end_reason=""),
    ),
    Case(
        "installation_setting_has_temperature",
        "setting_temperature_c",
        change(Installation, setting_source="measured"),
    ),
    Case(
        "bearing_round_or_rectangular",
        "plan_diameter_mm",
        change(BearingDesign, plan_diameter_mm=400.0, plan_length_mm=300.0),
    ),
    Case(
        "bearing_round_or_rectangular",
        "plan_diameter_mm",
        change(BearingDesign, plan_diameter_mm=400.0, plan_width_mm=300.0),
    ),
    *(
        Case(
            f"bearing_plates_within_{size}",
            "side_cover_mm",
            change(BearingDesign, **{size: 100.0, "side_cover_mm": cover}),
        )
        for size in ("plan_length_mm", "plan_width_mm", "plan_diameter_mm")
        for cover in (50.0, 51.0)
    ),
    Case(
        "bearing_ptfe_length_mm_below_sliding_plate_length_mm",
        "ptfe_length_mm",
        change(BearingDesign, ptfe_length_mm=400.0, sliding_plate_length_mm=400.0),
    ),
    Case(
        "bearing_contact_yield_mpa_below_contact_ultimate_mpa",
        "contact_yield_mpa",
        change(BearingDesign, contact_yield_mpa=400.0, contact_ultimate_mpa=350.0),
    ),
    Case(
        "concrete_stress_has_loading_age",
        "loading_d",
        change(UnitConcrete, axial_stress_mpa=5.0, loading_d=None),
    ),
    Case(
        "section_slab_mm_below_depth_mm",
        "slab_mm",
        change(UnitSection, slab_mm=800.0, depth_mm=800.0),
    ),
    Case(
        "section_web_mm_below_girder_spacing_mm",
        "web_mm",
        change(UnitSection, web_mm=900.0, girder_spacing_mm=800.0),
    ),
    Case("drawing_revision_once_a_bridge", "revision", second_of_a_sheet),
    Case("drawing_sheets_bounds", "sheets", change(Drawing, sheets=0)),
    Case("drawing_sheets_bounds", "sheets", change(Drawing, sheets=201)),
    Case(
        "drawing_withdrawn_says_why",
        NON_FIELD_ERRORS,
        change(Drawing, withdrawn_why="Wrong bridge"),
    ),
    Case(
        "drawing_withdrawn_says_why",
        NON_FIELD_ERRORS,
        change(Drawing, withdrawn_at=dt.datetime(2024, 7, 1, tzinfo=dt.UTC)),
    ),
    Case("station_year_once", NON_FIELD_ERRORS, second_year),
    Case("joint_cells_bounds", "cells", change(JointDesign, cells=0)),
    Case("joint_cells_bounds", "cells", change(JointDesign, cells=41)),
    Case("restraint_rod_count_bounds", "rod_count", change(RestraintDesign, rod_count=0)),
    Case("restraint_rod_count_bounds", "rod_count", change(RestraintDesign, rod_count=1001)),
    Case("restraint_faces_bounds", "faces", change(RestraintDesign, faces=0)),
    Case("restraint_faces_bounds", "faces", change(RestraintDesign, faces=11)),
    Case(
        "bearing_elastomer_grade_bounds",
        "elastomer_grade",
        change(BearingDesign, elastomer_grade=39),
    ),
    Case(
        "bearing_elastomer_grade_bounds",
        "elastomer_grade",
        change(BearingDesign, elastomer_grade=76),
    ),
    Case("basis_has_what_its_method_needs", "climate", change(TemperatureBasis, climate="")),
    Case(
        "basis_has_what_its_method_needs",
        "shade_air_max_c",
        change(TemperatureBasis, method="en_1991_1_5", shade_air_min_c=-20.0),
    ),
    Case(
        "basis_has_what_its_method_needs",
        "source",
        change(TemperatureBasis, method="entered", entered_min_c=-20.0, entered_max_c=40.0),
    ),
    Case(
        "basis_has_what_its_method_needs",
        "source",
        change(TemperatureBasis, method="aashto_b", map_min_c=-30.0, map_max_c=45.0),
    ),
    Case(
        "basis_has_what_its_method_needs",
        "map_max_c",
        change(TemperatureBasis, method="aashto_b", map_min_c=-30.0, source="Map, sheet 2"),
    ),
    Case("basis_has_what_its_method_needs", "method", change(TemperatureBasis, method="guess")),
    Case("agency_one_row", NON_FIELD_ERRORS, change(AgencySettings, id=2)),
    *(
        Case("agency_response_bounds_rise", "free_above", change(AgencySettings, **wrong))
        for wrong in (
            {"frozen_below": 0.8, "free_above": 0.7, "sluggish_below": 0.9},
            {"frozen_below": 0.2, "free_above": 0.9, "sluggish_below": 0.8},
        )
    ),
    Case("agency_watch_below_out", "watch_k", change(AgencySettings, watch_k=3.0, out_k=3.0)),
    *(
        Case("reading_value_possible", "value", impossible_reading(quantity, value))
        for quantity, field in FIELDS.items()
        for value in (field.low - 0.1, field.high + 0.1)
    ),
    Case("reading_value_possible", "quantity", change(Reading, quantity="colour")),
    Case("reading_axis_for_gaps_only", "axis", change(Reading, axis="square")),
    Case(
        "reading_axis_for_gaps_only",
        "axis",
        change(Reading, quantity="gap", point="left", value=10.0),
    ),
    Case("reading_repeat_from_1", "repeat", change(Reading, repeat=0)),
    Case("reading_once", NON_FIELD_ERRORS, second_reading),
    Case("temperature_once_a_unit", NON_FIELD_ERRORS, second_temperature),
    Case("temperature_once_for_all_units", NON_FIELD_ERRORS, lambda: second_temperature(unit=None)),
    Case("air_hour_once", NON_FIELD_ERRORS, second_hour),
    Case("air_day_once", NON_FIELD_ERRORS, second_air_day),
    Case("air_day_min_below_max", NON_FIELD_ERRORS, change(AirDay, min_c=22.0)),
    Case("condition_states_sum", "cs1", change(Condition, cs2=2)),
    Case("condition_total_bounds", "total", change(Condition, cs1=0, cs2=0, total=0)),
    Case("condition_defect_known", "defect", change(Condition, defect=1)),
    Case("inspection_once_a_day_and_kind", NON_FIELD_ERRORS, second_inspection),
    *DESK,
]
DERIVED = [
    # rows that the judge writes, which no form offers
    Case(
        "history_once_a_channel",
        NON_FIELD_ERRORS,
        second_of(ElementHistory, "point", "left"),
    ),
    Case("explanation_rank_once", NON_FIELD_ERRORS, second_of(Explanation, "rank", 2)),
    Case("check_order_once", NON_FIELD_ERRORS, second_of(CapacityCheck, "order", 30_000)),
    Case("check_has_use_or_says_why_not", NON_FIELD_ERRORS, change(CapacityCheck, use=None)),
    *DESK_DERIVED,
    Case("rating_item_known", "item", change(ComponentRating, item="?")),
    Case("rating_code_known", "code", change(ComponentRating, code="?")),
    Case("rating_poor_says_why", "reason", change(ComponentRating, code="3")),
    # rows that a file brings, which no form offers
    Case(
        "element_data_once",
        NON_FIELD_ERRORS,
        second_element_data_on_no_other,
    ),
    Case(
        "element_data_once_a_parent",
        NON_FIELD_ERRORS,
        second_of(ElementDataRow, "element_number", 511),
    ),
    Case("element_data_states_sum", NON_FIELD_ERRORS, change(ElementDataRow, cs1=8)),
]
BY_NAME, ALL_BY_NAME = (
    [pytest.param(case, id=f"{case.constraint}-{number}") for number, case in enumerate(cases)]
    for cases in (CASES, CASES + DERIVED)
)
TABLES = [
    model
    for label in ("inventory", "inspections")
    for model in apps.get_app_config(label).get_models()
    if not model.__name__.startswith("Historical")
]


def test_every_constraint_of_every_table_is_tried_here_or_among_the_bounds():
    declared = {each.name for model in TABLES for each in model._meta.constraints}
    tried = {case.constraint for case in CASES + DERIVED}
    assert tried <= declared
    assert {name for name in declared - tried if not name.endswith("_bounds")} == set()


@pytest.mark.parametrize("case", BY_NAME)
def test_a_broken_rule_is_told_at_its_field_in_words(case):
    row, changes = case.make()
    row.full_clean()
    for name, value in changes.items():
        setattr(row, name, value)
    with pytest.raises(ValidationError) as refusal:
        row.full_clean()
    told = refusal.value.message_dict
    assert case.field in told
    if case.constraint != "agency_one_row":  # no form offers its key
        assert "Constraint “" not in told[case.field][0]


@pytest.mark.parametrize("case", ALL_BY_NAME)
def test_a_broken_rule_written_past_the_form_is_refused_by_the_database(case):
    row, changes = case.make()
    constraint = next(each for each in type(row)._meta.constraints if each.name == case.constraint)
    # SQLite names the columns of a broken unique constraint, not the constraint.
    unique = isinstance(constraint, models.UniqueConstraint)
    told = r"(?i)unique" if unique else case.constraint
    with pytest.raises(IntegrityError, match=told), transaction.atomic():
        type(row).objects.filter(pk=row.pk).update(**changes)


def test_a_measured_reading_at_its_limit_is_taken():
    row = valid_row(Reading)
    row.value = FIELDS[ReadingQuantity.OFFSET_ALONG].high
    row.full_clean()
    row.save()
    assert Reading.objects.get(pk=row.pk).value == FIELDS[ReadingQuantity.OFFSET_ALONG].high


def test_the_checks_of_a_row_are_one_question_and_all_that_fail_are_told(
    django_assert_num_queries,
):
    design = valid_row(BearingDesign)
    with django_assert_num_queries(3):  # within a savepoint
        design.validate_constraints(exclude={"installation"})
    design.movement_back_mm = design.vertical_service_max_kn = -1e9
    with pytest.raises(ValidationError) as refused:
        design.validate_constraints()
    told = " ".join(refused.value.messages)
    assert "movement_back_mm" in told
    assert "vertical_service_max_kn" in told
