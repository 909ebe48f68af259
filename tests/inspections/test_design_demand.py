"""Design movement against capacity: where factor and allowance belong."""

import datetime as dt

import pytest

from inspections.selectors.design_demand import design_demands
from inventory.models import StationYear
from tests.make import make_bridge, make_element, make_unit

pytestmark = pytest.mark.django_db


def joint_of(basis: dict, deck_type: str, alpha: float, length_m: float, site=None, **setting):
    unit = make_unit(
        make_bridge(basis=basis, **(site or {})),
        deck_type=deck_type,
        expansion_per_c=alpha,
        end_station_m=length_m,
    )
    return make_element(
        unit,
        "strip_seal",
        station_m=length_m,
        installation=({"setting_gap_mm": 60.0} | setting) if setting else {},
        design={"opening_min_mm": 10.0, "opening_max_mm": 130.0},
    ).current_installation


def test_a_steel_joint_by_procedure_a_takes_the_load_factor():
    # AASHTO LRFD 3.12.2.1 cold climate (from memory), 300 ft of steel: 150 F give 3.510 in,
    # with the factor 1.20 4.212 in; set at 60 F, so 90 F of fall and 60 F of rise.
    installation = joint_of(
        {"method": "aashto_a", "climate": "cold"},
        "steel",
        11.7e-6,
        91.44,
        setting_source="measured",
        setting_temperature_c=15.5555555556,
    )
    fall, rise = design_demands(installation)
    assert (fall.movement + rise.movement) / 25.4 == pytest.approx(3.510, abs=0.001)
    assert (fall.demand + rise.demand) / 25.4 == pytest.approx(4.212, abs=0.001)
    assert fall.movement / rise.movement == pytest.approx(90 / 60)
    assert (fall.available, rise.available) == (70.0, 50.0)


def test_a_concrete_joint_by_en_1991_1_5_takes_the_allowance():
    # EN 1991-1-5 6.1.3.3(3): L = 80 m, 10e-6, T0 = 10, Te -10 / 36, S = 20: 32.0 / 36.8 mm
    basis = {
        "method": "en_1991_1_5",
        "shade_air_min_c": -18.0,
        "shade_air_max_c": 34.0,
        "reference_temperature_c": 10.0,
    }
    fall, rise = design_demands(joint_of(basis, "concrete", 10e-6, 80.0))
    assert (fall.demand, rise.demand) == (pytest.approx(32.0), pytest.approx(36.8))
    assert (fall.movement, rise.movement) == (pytest.approx(16.0), pytest.approx(20.8))


def test_a_joint_by_its_stations_record_takes_the_allowance_too():
    # Even yearly extremes give -23.29 and 43.29 degC in 50 years (hand-worked in
    # tests/inventory/test_design_temperature); Figure 6.1, concrete: -15.29 / 45.29; from
    # T0 = 10 with S = 20 K over 80 m at 10e-6: 0.8 mm/K x 45.29 K and 55.29 K.
    for number in range(10):
        StationYear.objects.create(
            station="VALE", year=1991 + number, year_min_c=-19.0 + number, year_max_c=30.0 + number
        )
    basis = {"method": "station", "reference_temperature_c": 10.0}
    fall, rise = design_demands(
        joint_of(basis, "concrete", 10e-6, 80.0, site={"air_station": "VALE"})
    )
    assert (fall.demand, rise.demand) == (
        pytest.approx(36.24, abs=0.02),
        pytest.approx(44.24, abs=0.02),
    )
    assert "6.1.3.3(3)" in fall.rule


def test_a_joint_by_procedure_b_takes_the_load_factor():
    # AASHTO LRFD Table 3.4.1-1, TU for deformations: 1.20, as by procedure A.
    basis = {
        "method": "aashto_b",
        "map_min_c": -20.0,
        "map_max_c": 40.0,
        "source": "Map 1",
        "reference_temperature_c": 10.0,
    }
    fall, rise = design_demands(joint_of(basis, "concrete", 10e-6, 80.0))
    assert (fall.movement, rise.movement) == (pytest.approx(24.0), pytest.approx(24.0))
    assert (fall.demand, rise.demand) == (pytest.approx(28.8), pytest.approx(28.8))


def test_a_setting_outside_the_design_extremes_gives_no_demand_rather_than_a_wrong_one():
    basis = {"method": "entered", "entered_min_c": 0.0, "entered_max_c": 30.0, "source": "sheet"}
    installation = joint_of(
        basis, "steel", 12e-6, 50.0, setting_source="measured", setting_temperature_c=40.0
    )
    assert design_demands(installation) == []


def test_a_fixed_bearing_asks_for_no_movement():
    unit = make_unit(make_bridge())
    element = make_element(
        unit,
        "fixed_pin",
        station_m=0.0,
        installation={"setting_source": "drawings", "setting_temperature_c": 20.0,
                      "installed_on": dt.date(2011, 1, 1)},
    )  # fmt: skip
    assert design_demands(element.current_installation) == []
