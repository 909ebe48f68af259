"""Concrete, section, station years and what is worth a look, as an engineer enters them."""

import datetime as dt

import pytest
from django.contrib.admin.utils import flatten_fieldsets
from django.contrib.messages import get_messages
from django.urls import reverse

from inventory.admin.basis import BASIS_FIELDSETS
from inventory.admin.fieldsets import CONCRETE_FIELDSETS, DESIGN_OF_KIND, SECTION_FIELDSETS
from inventory.models import DESIGN_OF_KIND as MODEL_OF_KIND
from inventory.models import (
    StationYear,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from inventory.services import changes
from inventory.services.changes import subscribe
from tests.html_form import errors_of, form_values, send
from tests.make import make_bridge, make_concrete, make_element, make_section, make_unit

pytestmark = pytest.mark.django_db

CONCRETE = {
    "concrete-0-shortening_rule": "en_2004",
    "concrete-0-cast_on": "1997-09-15",
    "concrete-0-concrete_strength_mpa": "35",
    "concrete-0-humidity_percent": "75",
    "concrete-0-notional_size_mm": "250",
}
SECTION = {"section-0-section_form": "composite_girders", "section-0-depth_mm": "1750"}


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


@pytest.fixture
def unit():
    return make_unit(make_bridge())


@pytest.fixture
def told():
    """Return the sets of bridges that a subscriber is told of."""
    heard = []
    subscribe(heard.append)
    yield heard
    changes._subscribers.remove(heard.append)


def change_url(row) -> str:
    return reverse(f"admin:inventory_{row._meta.model_name}_change", args=[row.pk])


def warnings_of(response) -> list[str]:
    return [
        str(each) for each in get_messages(response.wsgi_request) if each.level_tag == "warning"
    ]


# Units


def test_a_unit_gets_its_concrete_and_its_section_on_its_own_page(engineer, unit, told):
    response = send(engineer, change_url(unit), "unit_form", **CONCRETE, **SECTION)
    assert response.status_code == 302, errors_of(response)
    assert unit.concrete.cast_on == dt.date(1997, 9, 15)
    assert (unit.section.depth_mm, unit.section.surfacing_mm) == (1750.0, 100.0)
    assert unit.section.history.get().history_user.username.startswith("engineer")
    assert told == [{unit.bridge_id}]


def test_a_unit_is_saved_without_concrete_and_section_where_nothing_is_filled_in(engineer, unit):
    assert send(engineer, change_url(unit), "unit_form", name="Spans 1 to 3").status_code == 302
    assert not UnitConcrete.objects.exists()
    assert not UnitSection.objects.exists()


def test_a_section_of_another_deck_type_is_told_at_its_form(engineer, unit):
    response = send(
        engineer, change_url(unit), "unit_form", **SECTION | {"section-0-section_form": "slab"}
    )
    assert "is not for a deck of type" in errors_of(response)["section-0-section_form"][0]


def test_a_steel_unit_is_offered_no_concrete(engineer):
    steel = make_unit(make_bridge(), deck_type="steel")
    values = form_values(engineer.get(change_url(steel)), "unit_form")
    assert not [name for name in values if name.startswith("concrete-")]
    assert "section-0-section_form" in values


def test_a_wrong_deck_type_is_put_right_by_taking_the_section_and_concrete_away_first(
    engineer, unit
):
    make_concrete(unit)
    make_section(unit)
    page = change_url(unit)
    refused = send(engineer, page, "unit_form", deck_type="steel")
    told = " ".join(errors_of(refused)["deck_type"])
    assert "Remove the section from the unit first" in told
    assert "Remove the concrete from the unit first" in told
    shown = engineer.get(page)
    ticks = {"concrete-0-DELETE": "on", "section-0-DELETE": "on"}
    assert all(f'name="{name}"' in shown.content.decode() for name in ticks)
    taken = engineer.post(page, form_values(shown, "unit_form") | ticks)
    assert taken.status_code == 302, errors_of(taken)
    assert send(engineer, page, "unit_form", deck_type="steel").status_code == 302
    unit.refresh_from_db()
    assert unit.deck_type == "steel"
    assert [each.history_type for each in UnitConcrete.history.all()] == ["-", "+"]


def test_an_inspector_or_manager_takes_no_concrete_away(as_role, unit):
    make_concrete(unit)
    sent = {"concrete-0-DELETE": "on", "concrete-TOTAL_FORMS": "1", "concrete-INITIAL_FORMS": "1"}
    for role in ("inspector", "manager", None):
        assert as_role(role).post(change_url(unit), sent).status_code == 302
    assert UnitConcrete.objects.exists()


def test_concrete_of_many_units_stands_in_one_list_and_is_corrected_there(engineer, unit, told):
    concrete = make_concrete(unit)
    make_concrete(make_unit(unit.bridge, "U2"))
    page = engineer.get(reverse("admin:inventory_unitconcrete_changelist"))
    assert len(page.context["cl"].result_list) == 2
    told.clear()
    send(engineer, change_url(concrete), "unitconcrete_form", humidity_percent="80")
    concrete.refresh_from_db()
    assert concrete.humidity_percent == 80.0
    assert told == [{unit.bridge_id}]


def test_units_without_a_section_are_found(engineer, unit):
    make_section(make_unit(unit.bridge, "U2"))
    found = engineer.get(
        reverse("admin:inventory_unit_changelist"), {"section__isempty": "1"}
    ).context["cl"]
    assert [each.code for each in found.result_list] == ["U1"]


# Station years


def test_a_year_of_a_station_judges_the_bridges_that_it_designs_again(engineer, told):
    vale = make_bridge(basis={"method": "station"}, air_station="VALE")
    hill = make_bridge(basis={"method": "station"}, air_station="HILL")
    make_bridge(air_station="VALE")
    add = reverse("admin:inventory_stationyear_add")
    row = {"station": "VALE", "year": "2003", "year_min_c": "-11.5", "year_max_c": "35"}
    assert send(engineer, add, "stationyear_form", **row).status_code == 302
    assert told == [{vale.pk}]
    told.clear()
    year = StationYear.objects.get()
    send(engineer, change_url(year), "stationyear_form", station="HILL")
    assert set().union(*told) == {vale.pk, hill.pk}


def test_a_year_whose_lowest_is_above_its_highest_is_refused_at_its_field(engineer):
    add = reverse("admin:inventory_stationyear_add")
    row = {"station": "VALE", "year": "2003", "year_min_c": "20", "year_max_c": "-5"}
    response = send(engineer, add, "stationyear_form", **row)
    assert "is not below" in errors_of(response)["year_min_c"][0]


def test_a_basis_on_a_station_is_refused_where_the_bridge_names_none(engineer, unit):
    page = change_url(unit.bridge)
    method = {"temperature_basis-0-method": "station"}
    refused = send(engineer, page, "bridge_form", **method)
    assert "names no air temperature station" in errors_of(refused)["temperature_basis-0-method"][0]
    assert send(engineer, page, "bridge_form", air_station="VALE", **method).status_code == 302
    assert TemperatureBasis.objects.get().method == "station"


# What is worth a look


def test_service_loads_that_do_not_add_up_are_kept_and_told(engineer, unit):
    device = make_element(unit).current_installation
    loads = {"permanent_kn": "800", "live_kn": "400", "vertical_service_max_kn": "1000"}
    response = send(
        engineer,
        change_url(device),
        "installation_form",
        **{f"bearing_design-0-{name}": value for name, value in loads.items()},
    )
    assert response.status_code == 302, errors_of(response)
    (told,) = warnings_of(response)
    assert "Permanent and live load come to 1200 kN" in told
    assert "greatest service load is given as 1000 kN" in told
    device.refresh_from_db()
    assert device.bearing_design.permanent_kn == 800.0


def test_service_loads_that_add_up_are_not_told(engineer, unit):
    device = make_element(unit).current_installation
    response = send(
        engineer,
        change_url(device),
        "installation_form",
        **{
            "bearing_design-0-permanent_kn": "600",
            "bearing_design-0-live_kn": "410",
            "bearing_design-0-vertical_service_max_kn": "1000",
        },
    )
    assert response.status_code == 302, errors_of(response)
    assert warnings_of(response) == []


def test_capacities_of_a_new_device_that_do_not_go_together_are_told(engineer, unit):
    clamp = make_element(unit, "clamp")
    page = reverse("admin:inventory_element_replace", args=[clamp.pk])
    day = "2020-05-04"
    response = send(
        engineer, page, "device_form", ended_on=day, installed_on=day,
        rod_count="4", rod_pretension_kn="50", clamp_force_kn="400",
    )  # fmt: skip
    assert response.status_code == 302, errors_of(response)
    assert "The pretensions of all rods come to 200 kN" in warnings_of(response)[0]


def test_rods_without_a_count_are_asked_about(engineer, unit):
    rods = make_element(unit, "anchor_rods")
    page = reverse("admin:inventory_element_replace", args=[rods.pk])
    day = "2020-05-04"
    device = {"ended_on": day, "installed_on": day, "projection_mm": "60"}
    asked = warnings_of(send(engineer, page, "device_form", **device))
    assert "How many rods there are is not given" in asked[0]


def test_one_map_for_concrete_and_for_steel_girders_is_asked_about(engineer):
    basis = {"method": "aashto_b", "map_min_c": -30.0, "map_max_c": 45.0, "source": "Map 3"}
    bridge = make_bridge(basis=basis)
    make_unit(bridge, "U1", deck_type="composite")
    page = change_url(bridge.temperature_basis)
    assert warnings_of(send(engineer, page, "temperaturebasis_form", map_max_c="44")) == []
    make_unit(bridge, "U2", deck_type="concrete")
    (told,) = warnings_of(send(engineer, page, "temperaturebasis_form", map_max_c="43"))
    assert "procedure B has maps for each" in told


# Nothing is left out of the groups


@pytest.mark.parametrize(
    ("model", "groups"),
    [
        *((MODEL_OF_KIND[kind], groups) for kind, groups in DESIGN_OF_KIND.items()),
        (UnitConcrete, CONCRETE_FIELDSETS),
        (UnitSection, SECTION_FIELDSETS),
        (TemperatureBasis, BASIS_FIELDSETS),
    ],
    ids=lambda each: getattr(each, "__name__", ""),
)
def test_every_field_stands_once_in_the_groups_of_its_table(model, groups):
    shown = flatten_fieldsets(groups)
    fields = [each.name for each in model._meta.concrete_fields]
    owner = {"id", "installation", "unit", "bridge"}
    assert sorted(shown) == sorted(name for name in fields if name not in owner)


def test_the_page_of_a_bridge_leads_to_the_page_of_each_unit(engineer, unit):
    assert change_url(unit) in engineer.get(change_url(unit.bridge)).content.decode()
    assert Unit.objects.count() == 1
