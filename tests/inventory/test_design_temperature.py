"""From the basis of a bridge to the design extremes of its units, and what is missing for them."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.design_temperature import design_extremes
from inventory.models import StationYear, Unit
from inventory.station_records import StationRecords
from inventory.units import Dimension, parse
from movement.errors import InputError
from tests.make import make_bridge, make_section, make_unit

pytestmark = pytest.mark.django_db

EN = {"method": "en_1991_1_5", "shade_air_min_c": -18.0, "shade_air_max_c": 34.0}


def extremes(basis: dict, deck_type: str = "concrete", surfacing_mm: float | None = None, **site):
    unit = make_unit(make_bridge(basis=basis, **site), deck_type=deck_type)
    if surfacing_mm is not None:
        make_section(unit, surfacing_mm=surfacing_mm)
    return design_extremes(unit.bridge.temperature_basis, unit)


def both(found) -> tuple[float, float]:
    return float(found.min_c), float(found.max_c)


def give_years(station: str, years: int, first: int = 1991) -> None:
    """Give a station yearly extremes that rise evenly, minima from -19, maxima from 30 degC."""
    for number in range(years):
        StationYear.objects.create(
            station=station,
            year=first + number,
            year_min_c=-19.0 + number % 10,
            year_max_c=30.0 + number % 10,
        )


def test_a_bridge_without_a_basis_has_no_design_extremes():
    assert design_extremes(None, make_unit(make_bridge(basis={}))) is None


def test_map_values_typed_in_fahrenheit_come_back_as_they_were_read():
    # AASHTO LRFD 3.12.2.2 works in degF; -22 F is -30 C and 113 F is 45 C by definition.
    low, high = (parse("map", text, Dimension.TEMPERATURE).value for text in ("-22 F", "113 F"))
    basis = {"method": "aashto_b", "map_min_c": low, "map_max_c": high, "source": "Map 3, 2019"}
    found = extremes(basis, "composite")
    assert both(found) == (pytest.approx(-30.0), pytest.approx(45.0))
    assert "steel girders with concrete deck" in found.source
    assert "-22 and 113 degF; read off: Map 3, 2019" in found.source


def test_a_steel_deck_has_no_map_of_procedure_b():
    basis = {"method": "aashto_b", "map_min_c": -30.0, "map_max_c": 45.0, "source": "Map 3"}
    with pytest.raises(InputError, match="Use procedure A"):
        extremes(basis, "steel")


@pytest.mark.parametrize(
    ("deck_type", "surfacing_mm", "low_c", "high_c"),
    [
        # Figure 6.1: -10 / 36 for concrete, -14 / 38 for composite, -21 / 50 for steel; then
        # UK NA to EN 1991-1-5, Table NA.1, from memory as in test_design_extremes.
        ("concrete", 100.0, -10.0, 36.0),
        ("concrete", 200.0, -9.0, 34.0),
        ("concrete", 0.0, -11.0, 36.0),
        ("composite", 200.0, -11.0, 34.0),
        ("steel", 0.0, -21.0, 54.0),
    ],
)
def test_surfacing_of_the_section_moves_the_extremes_where_the_annex_is_chosen(
    deck_type, surfacing_mm, low_c, high_c
):
    found = extremes(EN | {"surfacing_rule": "uk_na"}, deck_type, surfacing_mm)
    assert both(found) == (pytest.approx(low_c), pytest.approx(high_c))
    assert f"surfacing {surfacing_mm:g} mm by UK NA" in found.source
    plain = extremes(EN, deck_type, surfacing_mm)
    assert "surfacing" not in plain.source


def test_surfacing_that_is_not_known_is_asked_for_by_name():
    with pytest.raises(InputError) as refused:
        extremes(EN | {"surfacing_rule": "uk_na"})
    assert refused.value.field == "surfacing_mm"
    assert "unit U1 has no section" in refused.value.message
    assert "Enter the section of the unit" in refused.value.remedy


def test_a_stations_own_years_give_the_extremes_of_the_return_period():
    # Hand-worked: ten values evenly 1 K apart have the second L-moment 11 / 6 K, so a Gumbel
    # scale of 11 / 6 / ln 2 = 2.645 K; in 50 years the extreme lies 3.902 - 0.577 scales, 8.79 K,
    # beyond the mean: -14.5 - 8.79 and 34.5 + 8.79 degC.  Figure 6.1, steel: -3 and +16 K.
    give_years("VALE", 10)
    found = extremes({"method": "station"}, "steel", air_station="VALE")
    assert both(found) == (pytest.approx(-26.29, abs=0.01), pytest.approx(59.29, abs=0.01))
    assert "Figure 6.1, steel deck; 50-year shade air extremes -23.3 (" in found.source
    assert "10 years of station VALE, 1991 to 2000" in found.source
    assert "far out" not in found.source


def test_a_stations_record_is_neither_lifted_to_the_altitude_nor_stretched_by_annex_a():
    give_years("VALE", 10)
    low = extremes({"method": "station"}, air_station="VALE")
    high_up = extremes({"method": "station"}, air_station="VALE", altitude_m=1200.0)
    assert both(high_up) == both(low)
    assert "without the altitude and return period rules of Annex A" in high_up.source


def test_a_longer_return_period_lies_further_out_and_says_when_it_is_too_far():
    give_years("VALE", 20)
    fifty = extremes({"method": "station"}, air_station="VALE")
    longer = extremes({"method": "station", "return_period_years": 120.0}, air_station="VALE")
    assert longer.min_c < fifty.min_c
    assert longer.max_c > fifty.max_c
    assert "far out" not in fifty.source
    assert "120-year" in longer.source
    assert "more than five times the record" in longer.source


def test_years_that_are_missing_from_the_record_are_told():
    give_years("VALE", 12)
    StationYear.objects.filter(year__in=[1993, 1997]).delete()
    assert "10 years of station VALE, 1991 to 2002 with 2 missing" in (
        extremes({"method": "station"}, air_station="VALE").source
    )


@pytest.mark.parametrize("years", [0, 9])
def test_too_few_years_say_how_many_of_how_many(years):
    give_years("VALE", years)
    give_years("OTHER", 10)
    with pytest.raises(InputError) as refused:
        extremes({"method": "station"}, air_station="VALE")
    assert refused.value.field == "air_station"
    assert f"VALE has not enough years of extremes: {years} of 10" in refused.value.message
    assert "more complete years" in refused.value.remedy


def test_a_basis_on_a_station_needs_one_named():
    with pytest.raises(InputError, match="Name the bridge's air temperature station"):
        extremes({"method": "station"})


def test_a_station_beyond_the_figure_is_not_extrapolated():
    for number in range(10):
        StationYear.objects.create(
            station="WARM", year=1991 + number, year_min_c=10.0 + number, year_max_c=35.0 + number
        )
    with pytest.raises(InputError, match=r"Figure 6\.1"):
        extremes({"method": "station"}, air_station="WARM")


def test_surfacing_moves_what_a_station_gives_as_well():
    give_years("VALE", 10)
    plain = extremes({"method": "station"}, "composite", 200.0, air_station="VALE")
    moved = extremes(
        {"method": "station", "surfacing_rule": "uk_na"}, "composite", 200.0, air_station="VALE"
    )
    assert both(moved) == (
        pytest.approx(float(plain.min_c) + 3.0), pytest.approx(float(plain.max_c) - 4.0)
    )  # fmt: skip


def test_thirty_units_ask_for_the_years_of_their_station_once():
    give_years("VALE", 10)
    bridge = make_bridge(basis={"method": "station"}, air_station="VALE")
    for number in range(30):
        make_section(make_unit(bridge, f"U{number}"))
    records = StationRecords()
    with CaptureQueriesContext(connection) as captured:
        units = Unit.objects.select_related("bridge__temperature_basis__bridge", "section")
        found = [design_extremes(each.bridge.temperature_basis, each, records) for each in units]
    assert len(found) == 30
    assert len(captured) == 2  # the units, and the years


def test_stations_that_are_named_together_are_read_together():
    give_years("VALE", 10)
    give_years("HILL", 11)
    records = StationRecords(["VALE", "HILL", ""])
    with CaptureQueriesContext(connection) as captured:
        assert len(records.levels("VALE", 50.0).years) == 10
        assert len(records.levels("HILL", 50.0).years) == 11
        records.levels("HILL", 120.0)
    assert len(captured) == 1
