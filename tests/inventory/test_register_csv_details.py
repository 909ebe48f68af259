"""Concrete and section on the rows of units, and years of air stations, in the register's file."""

import pytest

from inventory.exchange.problems import ImportRefused
from inventory.exchange.register_csv import import_register
from inventory.exchange.register_guide import described
from inventory.models import (
    Bridge,
    Element,
    RestraintDesign,
    StationYear,
    Unit,
    UnitConcrete,
    UnitSection,
)
from inventory.services import changes
from inventory.services.changes import subscribe
from tests.inventory.register_file import (
    BRIDGE,
    DISTRICT,
    JOINT,
    SEAL,
    SUPPORT,
    UNIT,
    empty_the_register,
    exported,
    file_of,
    history_rows,
    take,
)
from tests.make import make_bridge, make_concrete, make_element, make_section, make_unit

pytestmark = pytest.mark.django_db

COMPOSITE = {**UNIT, "deck_type": "composite"}
CONCRETE = {
    "shortening_rule": "aashto_2015",
    "cast_on": "1998-05-04",
    "concrete_strength_mpa": "40",
    "humidity_percent": "70",
    "notional_size_mm": "300",
}
SECTION = {"section_form": "composite_girders", "depth_mm": "1800"}
WITH_BOTH = {**COMPOSITE, **CONCRETE, **SECTION}
YEAR = {
    "record": "station_year",
    "station": "VALE",
    "year": "2003",
    "year_min_c": "-11.5",
    "year_max_c": "35",
}


def problems_of(*rows) -> list[str]:
    with pytest.raises(ImportRefused) as refused:
        take(*rows)
    return [str(each) for each in refused.value.problems]


@pytest.fixture
def bridge():
    take(DISTRICT, BRIDGE)


def test_a_units_row_brings_its_concrete_and_its_section(bridge):
    result = take(WITH_BOTH)
    assert result.created == {"unit": 1}
    unit = Unit.objects.get()
    assert unit.concrete.concrete_strength_mpa == 40.0
    assert (unit.concrete.curing_end_d, unit.concrete.cement_class) == (7.0, "N")
    assert (unit.section.depth_mm, unit.section.surfacing_mm) == (1800.0, 100.0)
    assert unit.section.history.get().history_change_reason == "Register file"


def test_figures_of_concrete_and_section_may_come_in_other_units(bridge):
    # NIST SP 811: 1 in = 25.4 mm exactly, 1 psi = 6.894757 kPa, so 1 in2 = 645.16 mm2 exactly.
    row = {**WITH_BOTH, "depth_in": "72", "concrete_strength_psi": "5000", "girder_steel_in2": "60"}
    del row["depth_mm"], row["concrete_strength_mpa"]
    take(row)
    unit = Unit.objects.get()
    assert unit.section.depth_mm == pytest.approx(1828.8)
    assert unit.section.girder_steel_mm2 == pytest.approx(38_709.6)
    assert unit.concrete.concrete_strength_mpa == pytest.approx(34.473785)


def test_humidity_is_told_in_per_cent_and_ages_in_days():
    units = {each.name: each.unit for each in described()}
    assert units["humidity_percent"] == "%"
    assert units["curing_end_d"] == units["loading_d"] == "d"
    told = {each.name: each for each in described()}
    assert "Needed if any other column of the concrete is filled." in told["cast_on"].meaning
    assert "From 1 to 10." in told["faces"].meaning
    assert told["station"].needed == "yes"


def test_a_unit_without_concrete_and_section_has_none(bridge):
    take({**COMPOSITE, **dict.fromkeys([*CONCRETE, *SECTION], "")})
    assert Unit.objects.get()
    assert not UnitConcrete.objects.exists()
    assert not UnitSection.objects.exists()


def test_empty_cells_leave_stored_concrete_and_section_alone(bridge):
    take(WITH_BOTH)
    before = history_rows()
    result = take({**COMPOSITE, **dict.fromkeys([*CONCRETE, *SECTION], "")})
    assert (result.changes, history_rows()) == (0, before)
    assert UnitConcrete.objects.get().humidity_percent == 70.0


def test_one_figure_of_the_section_changes_alone(bridge):
    take(WITH_BOTH)
    result = take({**COMPOSITE, "surfacing_mm": "60"})
    assert result.updated == {"unit": 1}
    section = UnitSection.objects.get()
    assert (section.surfacing_mm, section.depth_mm, section.history.count()) == (60.0, 1800.0, 2)
    assert UnitConcrete.history.count() == 1


def test_what_concrete_and_section_lack_is_asked_for_by_column(bridge):
    told = problems_of({**COMPOSITE, "humidity_percent": "70", "slab_mm": "250"})
    assert [each.partition(": ")[0].partition("column ")[2] for each in told] == [
        "cast_on", "concrete_strength_mpa", "depth_mm", "notional_size_mm", "section_form",
        "shortening_rule",
    ]  # fmt: skip
    assert told[0] == "line 2, column cast_on: Empty, but needed with humidity_percent. Fill it in."


def test_a_figure_that_is_needed_cannot_be_emptied_alone(bridge):
    take(WITH_BOTH)
    assert problems_of({**WITH_BOTH, "notional_size_mm": ""}) == [
        "line 2, column notional_size_mm: Empty, but needed with shortening_rule. Fill it in."
    ]


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"humidity_percent": "0.7"}, ["column humidity_percent", "below 10 %", "correct the"]),
        ({"humidity_percent": "wet"}, ["column humidity_percent", "is not a value"]),
        ({"notional_size_mm": "3 kN"}, ["column notional_size_mm", "no unit of this quantity"]),
        ({"axial_stress_mpa": "5"}, ["column loading_d", "from the age at loading on"]),
        ({"cast_on": "2300-01-01"}, ["column cast_on", "lies in the future"]),
        ({"cement_class": "X"}, ["column cement_class", "Use one of: S, N, R"]),
        ({"shortening_rule": "aashto_2014"}, ["column shortening_rule", "Did you mean aashto_2"]),
        ({"section_form": "steel_box"}, ["column section_form", "is not for a deck of type"]),
        ({"slab_mm": "300", "depth_mm": "300"}, ["column slab_mm", "is not below 300"]),
        ({"deck_type": "steel", "section_form": "steel_box"},
         ["column shortening_rule", "neither creeps nor shrinks"]),
    ],
)  # fmt: skip
def test_a_wrong_cell_of_concrete_or_section_is_told_with_rule_and_remedy(bridge, cells, expected):
    told = problems_of({**WITH_BOTH, **cells})
    assert len(told) == 1
    assert told[0].startswith("line 2, ")
    for part in expected:
        assert part in told[0]


def test_a_deck_type_and_the_form_of_its_section_change_in_one_row(bridge):
    take(WITH_BOTH)
    section = UnitSection.objects.get()
    take({**UNIT, "deck_type": "concrete", "section_form": "concrete_box", "surfacing_mm": "80"})
    after = UnitSection.objects.get()
    assert (after.pk, after.section_form, after.depth_mm) == (section.pk, "concrete_box", 1800.0)
    assert Unit.objects.get().deck_type == "concrete"
    assert [each.history_type for each in after.history.order_by("history_id")] == ["+", "~"]
    assert after.history.first().surfacing_mm == 80.0


def test_a_deck_type_that_the_stored_section_does_not_fit_is_refused_with_the_way_out(bridge):
    take(WITH_BOTH)
    told = problems_of({**UNIT, "deck_type": "steel"})
    assert len(told) == 2
    assert all(each.startswith("line 2, column deck_type: ") for each in told)
    text = "\n".join(told)
    assert "Give the section_form of this deck in the same row" in text
    assert "Remove the concrete on the unit's page first" in text
    assert Unit.objects.get().deck_type == "composite"


def test_new_capacities_come_with_the_row_of_their_device(bridge):
    key = {**JOINT, "kind": "restraint", "element_code": "C1"}
    clamp = {
        "record": "installation",
        "bridge_code": "N-1",
        "element_code": "C1",
        "device_type": "clamp",
        "installed_on": "2011-05-17",
        "clamp_force_kip": "40",
        "slip_coefficient": "0.33",
        "faces": "2",
    }
    take(UNIT, SUPPORT, key, clamp)
    stored = RestraintDesign.objects.get()
    assert stored.clamp_force_kn == pytest.approx(177.93, abs=0.01)  # 1 kip = 4.4482 kN
    assert (stored.slip_coefficient, stored.faces) == (0.33, 2)
    assert "column faces: 0 is below 1" in problems_of({**clamp, "faces": "0"})[0]
    assert "Only a restraint has it" in problems_of(UNIT, SUPPORT, JOINT, {**SEAL, "faces": "2"})[0]


def test_a_restraint_that_ties_two_units_comes_in_and_goes_out_with_both(bridge):
    ahead = {**UNIT, "unit_code": "U2", "start_station_m": "84", "end_station_m": "160"}
    tie = {**JOINT, "kind": "restraint", "element_code": "C1", "unit_ahead_code": "U2"}
    cable = {"record": "installation", "bridge_code": "N-1", "element_code": "C1",
             "device_type": "restrainer_cable", "installed_on": "2011-05-17",
             "gap_back_mm": "40", "gap_left_mm": "20"}  # fmt: skip
    result = take(UNIT, ahead, SUPPORT, tie, cable)
    (notice,) = result.notices
    assert notice.column == "gap_left_mm"
    assert "its slack stands on the decreasing side" in str(notice)
    stored = Element.objects.get(code="C1")
    assert (stored.unit.code, stored.unit_ahead.code) == ("U1", "U2")
    text = exported()
    empty_the_register()
    import_register(text_or_file=text.encode())
    again = Element.objects.get(code="C1")
    assert (again.unit.code, again.unit_ahead.code) == ("U1", "U2")


def test_figures_that_do_not_go_together_are_taken_and_told_at_their_line(bridge):
    take(UNIT, SUPPORT, JOINT, SEAL)
    modular = {**SEAL, "device_type": "modular", "cells": "2", "cell_movement_in": "3"}
    result = take(modular)
    assert result.updated == {"installation": 1}
    (notice,) = result.notices
    assert (notice.line, notice.column) == (2, "cell_movement_in")
    assert "come to 152.4 mm, and the range of the opening is given as 70 mm" in notice.message
    assert take(modular).notices == []


# Years of air stations


def test_years_of_a_station_come_and_change_by_station_and_year():
    assert take(YEAR, {**YEAR, "year": "2004"}).created == {"station_year": 2}
    result = take({**YEAR, "year_max_c": "36.5"}, {**YEAR, "year": "2004"})
    assert (result.updated, result.unchanged) == ({"station_year": 1}, {"station_year": 1})
    changed = StationYear.objects.get(year=2003)
    assert (changed.year_min_c, changed.year_max_c) == (-11.5, 36.5)
    assert changed.history.count() == 2


def test_yearly_extremes_may_come_in_fahrenheit():
    row = {"record": "station_year", "station": "VALE", "year": "2003",
           "year_min_f": "5", "year_max_f": "104"}  # fmt: skip
    take(row)
    stored = StationYear.objects.get()
    assert (stored.year_min_c, stored.year_max_c) == (pytest.approx(-15.0), pytest.approx(40.0))


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ({"station": ""}, ["column station", "needed for a station_year"]),
        ({"year": "2003.5"}, ["column year", "no whole number"]),
        ({"year": "203"}, ["column year", "203 is below 1700. Correct the value."]),
        ({"year_max_c": "-12"}, ["column year_min_c", "is not below -12"]),
        ({"year_max_c": ""}, ["column year_max_c", "Fill it in"]),
        ({"year_max_c": "95"}, ["column year_max_c", "above 60 degC", "Check the unit"]),
        ({"bridge_code": "N-1"}, ["column bridge_code", "Leave it empty in one of station_year"]),
    ],
)
def test_a_wrong_year_is_told_with_rule_and_remedy(cells, expected):
    told = problems_of({**YEAR, **cells})
    assert len(told) == 1
    for part in expected:
        assert part in told[0]


def test_the_same_year_twice_in_a_file_is_refused():
    told = problems_of(YEAR, {**YEAR, "year_max_c": "30"})
    assert told == [
        "line 3, column year: The same station_year stands on line 2. Keep one of the two rows."
    ]


def test_the_bridges_that_a_station_designs_are_told_of_its_years():
    designed = make_bridge(basis={"method": "station"}, air_station="VALE")
    make_bridge(air_station="VALE")
    make_bridge(basis={"method": "station"}, air_station="HILL")
    heard = []
    subscribe(heard.append)
    take(YEAR)
    changes._subscribers.remove(heard.append)
    assert heard == [{designed.pk}]


# There and back


def whole_register() -> None:
    bridge = make_bridge("B-1", air_station="VALE", basis={
        "method": "aashto_b", "map_min_c": -30.0, "map_max_c": 45.0, "source": "Map 2",
    })  # fmt: skip
    unit = make_unit(bridge)
    make_concrete(unit, concrete_modulus_mpa=33_000.0)
    make_section(unit, slab_mm=230.0, girder_steel_mm2=61_000.0)
    make_section(make_unit(bridge, "U2", deck_type="steel"), surfacing_mm=0.0)
    make_concrete(make_unit(bridge, "U3", deck_type="concrete"), cement_class="R")
    make_element(
        unit,
        "reinforced_elastomeric",
        design={"side_cover_mm": 6.0, "elastomer_grade": 60, "plan_length_mm": 300.0},
    )
    make_element(unit, "pot", design={"ptfe_kind": "filled", "sliding_surface": "unfilled"})
    make_bridge("B-2", air_station="HILL", basis={"method": "station", "surfacing_rule": "uk_na"})
    for station in ("VALE", "HILL", "FEN"):
        StationYear.objects.create(station=station, year=2003, year_min_c=-8.0, year_max_c=34.0)


def test_the_whole_register_goes_out_and_comes_back_as_it_was():
    whole_register()
    text = exported()
    empty_the_register()
    result = import_register(text_or_file=text)
    assert result.created["station_year"] == 3
    assert exported() == text
    assert import_register(text_or_file=text).changes == 0


def test_a_chosen_bridge_goes_out_with_the_years_of_its_own_station():
    whole_register()
    text = exported(Bridge.objects.filter(code="B-1"))
    assert text.count("\nstation_year,") == 1
    assert "VALE" in text
    assert "HILL" not in text


def test_units_with_concrete_and_section_are_written_in_few_queries(
    bridge, django_assert_max_num_queries
):
    rows = [{**WITH_BOTH, "unit_code": f"U{n}"} for n in range(100)]
    years = [{**YEAR, "year": str(1900 + n)} for n in range(100)]
    with django_assert_max_num_queries(60):
        take(*rows, *years)
    assert UnitSection.objects.count() == StationYear.objects.count() == 100
    text = file_of(*rows, *years)
    with django_assert_max_num_queries(20):
        assert import_register(text_or_file=text).changes == 0
    with django_assert_max_num_queries(12):
        exported()


def test_a_joint_whose_unit_is_named_on_the_wrong_side_is_taken_and_told_at_its_line(bridge):
    start = {**SUPPORT, "support_code": "A1", "station_m": "0"}
    joint = {**JOINT, "element_code": "J1", "support_code": "A1", "station_m": "0"}
    seal = {**SEAL, "element_code": "J1"}
    (notice,) = take(UNIT, start, joint, seal).notices
    assert (notice.line, notice.column) == (4, "unit_code")
    assert "where unit U1 begins" in notice.message
    mended = {**joint, "unit_code": "", "unit_ahead_code": "U1"}
    assert take(mended).notices == []

    far = {**JOINT, "unit_code": "", "unit_ahead_code": "U1"}
    (notice,) = take(SUPPORT, far, SEAL).notices
    assert (notice.line, notice.column) == (3, "unit_ahead_code")
    assert "where unit U1 ends" in notice.message
