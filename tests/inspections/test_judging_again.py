"""What makes the ledger judge again: another model, other thresholds, another register."""

import io

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import (
    CapacityCheck,
    ElementHistory,
    ElementStatus,
    UnitDiagnosis,
    Verdict,
)
from inspections.models.choices import ResponseWord
from inspections.services.judge import FEW, judge_bridges, judge_outdated
from inspections.services.thresholds import present_version, save_settings
from inventory.models import StationYear
from movement import MODEL_VERSION
from tests.html_form import form_values
from tests.inspections.over_years import WINTERS_AND_SUMMERS, free_mm, make_bearing, visit
from tests.make import make_bridge, make_unit, make_user

pytestmark = pytest.mark.django_db

DERIVED = (Verdict, ElementHistory, UnitDiagnosis, CapacityCheck)


def read_bearing(bridge_fields=None, response=1.0, **unit_fields):
    """Return a bearing that follows the temperature at a part of what is expected."""
    unit = make_unit(make_bridge(**(bridge_fields or {})), **unit_fields)
    bearing = make_bearing(unit)
    for date, temperature_c in WINTERS_AND_SUMMERS:
        value = response * free_mm(100.0, temperature_c)
        visit(unit.bridge, date, temperature_c, [(bearing, "offset_along", value, "")])
    return bearing


@pytest.mark.parametrize("model", DERIVED, ids=lambda model: model.__name__)
def test_results_of_an_older_model_are_judged_again_and_others_are_left_alone(model):
    outdated, up_to_date = read_bearing(), read_bearing()
    bridge_id = outdated.bridge_id
    way = "unit__bridge" if model is UnitDiagnosis else "element__bridge"
    assert model.objects.filter(**{way: bridge_id}).update(model_version="1.0")
    kept = set(Verdict.objects.filter(element=up_to_date).values_list("pk", flat=True))
    assert judge_outdated() == [bridge_id]
    assert set(model.objects.values_list("model_version", flat=True)) == {MODEL_VERSION}
    assert set(Verdict.objects.filter(element=up_to_date).values_list("pk", flat=True)) == kept
    assert judge_outdated() == []


def test_the_command_for_an_update_says_how_many_bridges_it_judged():
    read_bearing()
    Verdict.objects.update(model_version="1.0")
    said = []
    for _ in range(2):
        out = io.StringIO()
        call_command("judge_outdated", stdout=out)
        said.append(out.getvalue().strip())
    assert said == [
        f"Movement model {MODEL_VERSION}: 1 bridge judged again.",
        f"Movement model {MODEL_VERSION}: 0 bridges judged again.",
    ]


def test_new_thresholds_of_a_history_are_judged_by_at_once():
    bearing = read_bearing(response=0.62)
    assert ElementHistory.objects.get().response == ResponseWord.SLUGGISH
    save_settings(
        figures={"free_above": 0.4, "sluggish_below": 0.41},
        reason="Try",
        user=make_user("engineer"),
        based_on=present_version(),
    )
    assert ElementHistory.objects.get().response != ResponseWord.SLUGGISH
    assert ElementStatus.objects.get(element=bearing).history is None


def save_unit(client, unit, details: dict[str, str]) -> None:
    """Save a unit's page with some of its details filled in."""
    page = reverse("admin:inventory_unit_change", args=[unit.pk])
    sent = form_values(client.get(page), "unit_form")
    assert client.post(page, sent | details).status_code == 302


def test_concrete_entered_for_a_unit_is_counted_at_once(as_role):
    bearing = read_bearing(deck_type="concrete")
    assert not Verdict.objects.filter(shortening__isnull=False).exists()
    concrete = {
        "shortening_rule": "aashto_2015",
        "cast_on": "2009-12-01",
        "concrete_strength_mpa": "40",
        "humidity_percent": "70",
        "notional_size_mm": "300",
        "axial_stress_mpa": "5",
        "loading_d": "7",
    }
    sent = {f"concrete-0-{name}": value for name, value in concrete.items()}
    save_unit(as_role("engineer"), bearing.unit, sent)
    # The far end of a deck that shortens comes back towards its fixed point
    assert Verdict.objects.filter(shortening__lt=0).count() == len(WINTERS_AND_SUMMERS)


def test_surfacing_entered_for_a_unit_moves_its_design_extremes_at_once(as_role):
    basis = {
        "method": "en_1991_1_5",
        "shade_air_min_c": -24.0,
        "shade_air_max_c": 36.0,
        "surfacing_rule": "uk_na",
    }
    bearing = read_bearing({"basis": basis}, deck_type="concrete")
    engineer, found = as_role("engineer"), {}
    for surfacing_mm in (100, 200):
        section = {"section_form": "concrete_girders", "depth_mm": 1800}
        sent = {f"section-0-{name}": str(value) for name, value in section.items()}
        save_unit(engineer, bearing.unit, sent | {"section-0-surfacing_mm": str(surfacing_mm)})
        found[surfacing_mm] = Verdict.objects.latest("taken_at").design_max_c
    # UK national annex to EN 1991-1-5, Table NA.1: 200 mm on concrete take 2 K off the maximum
    assert found[200] == pytest.approx(found[100] - 2.0)


def test_a_year_of_a_station_moves_the_design_extremes_of_its_bridges_at_once(as_role):
    read_bearing({"basis": {"method": "station"}, "air_station": "HILL"})
    assert not Verdict.objects.filter(design_max_c__isnull=False).exists()
    StationYear.objects.bulk_create(
        StationYear(
            station="HILL", year=1990 + n, year_min_c=-20.0 - n % 5, year_max_c=33.0 + n % 4
        )
        for n in range(29)
    )
    engineer, page = as_role("engineer"), reverse("admin:inventory_stationyear_add")
    sent = form_values(engineer.get(page), "stationyear_form") | {
        "station": "HILL", "year": "2019", "year_min_c": "-22", "year_max_c": "35",
    }  # fmt: skip
    assert engineer.post(page, sent).status_code == 302
    assert Verdict.objects.filter(design_max_c__gt=30.0).count() == len(WINTERS_AND_SUMMERS)


def test_a_stock_of_bare_bridges_costs_next_to_nothing_and_the_others_are_judged():
    def queries(bridge_ids, progress) -> int:
        with CaptureQueriesContext(connection) as captured:
            judge_bridges(bridge_ids, progress)
        return len(captured)

    bearing = read_bearing()
    alone = queries([bearing.bridge_id], lambda count: None)
    ElementStatus.objects.all().delete()
    bare = [make_bridge(basis={}).pk for _ in range(20 * FEW)]
    told = []
    assert queries([*bare, bearing.bridge_id], told.append) <= alone + 2
    assert ElementStatus.objects.get().element == bearing
    assert sum(told) == len(bare) + 1
