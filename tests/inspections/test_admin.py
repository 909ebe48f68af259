"""Instruments and agency settings are kept in the admin site, the record of visits read there."""

import pytest
from django.urls import reverse

from inspections.models import (
    AgencySettings,
    AirDay,
    AirTemperature,
    Inspection,
    Instrument,
    Reading,
    TemperatureReading,
    Verdict,
)
from tests.html_form import form_values
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read
from tests.rows import valid_row

pytestmark = pytest.mark.django_db

RECORD = [Inspection, Reading, TemperatureReading, AirTemperature, AirDay, Verdict]


def url(model, page: str, *args) -> str:
    return reverse(f"admin:inspections_{model._meta.model_name}_{page}", args=args)


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


@pytest.fixture
def joint():
    """A joint read 10 mm wider than its temperature calls for, with a tape of 1 mm."""
    unit = make_unit(make_bridge())
    joint = make_element(
        unit,
        "strip_seal",
        installation={
            "setting_source": "measured",
            "setting_temperature_c": 20.0,
            "setting_gap_mm": 50.0,
        },
        design={"opening_min_mm": 5.0, "opening_max_mm": 200.0},
    )
    tape = Instrument.objects.create(code="T-1", name="Tape", dimension="mm", accuracy=1.0)
    read(make_inspection(unit.bridge), joint, "gap", 60.0, 20.0,
         point="left", axis="square", instrument=tape)  # fmt: skip
    return joint


def residual_in_u() -> float:
    return Verdict.objects.get().residual_in_u


@pytest.mark.parametrize("model", RECORD, ids=lambda model: model.__name__)
def test_the_record_of_visits_can_be_read_but_not_written_even_by_a_superuser(client, model):
    user = make_user()
    user.is_staff = user.is_superuser = True
    user.save()
    client.force_login(user)
    row = valid_row(model)
    before = model.objects.filter(pk=row.pk).values().get()
    assert client.get(url(model, "change", row.pk)).status_code == 200
    assert client.post(url(model, "change", row.pk), {}).status_code == 403
    assert client.get(url(model, "add")).status_code == 403
    assert client.post(url(model, "delete", row.pk), {"post": "yes"}).status_code == 403
    assert model.objects.filter(pk=row.pk).values().get() == before


def test_a_search_finds_the_readings_of_a_bridge(engineer, joint):
    other = make_element(make_unit(make_bridge()))
    read(make_inspection(other.bridge), other, "offset_along", 1.0, 12.0)
    found = engineer.get(url(Reading, "changelist"), {"q": joint.bridge.code})
    assert [each.element for each in found.context["cl"].result_list] == [joint]


def test_the_list_of_verdicts_rounds_its_numbers(engineer, joint):
    page = engineer.get(url(Verdict, "changelist")).content.decode()
    assert '<td class="field-predicted">50.0</td>' in page
    assert '<td class="field-off">+10.0</td>' in page


def test_a_visit_leads_to_its_readings(engineer, joint):
    visit = Inspection.objects.get()
    link = f"{url(Reading, 'changelist')}?inspection__id__exact={visit.pk}"
    assert link in engineer.get(url(Inspection, "change", visit.pk)).content.decode()
    assert len(engineer.get(link).context["cl"].result_list) == 1


def test_agency_settings_are_changed_on_their_own_page_alone(engineer):
    assert engineer.get(url(AgencySettings, "changelist")).url == "/thresholds/"
    assert engineer.post(url(AgencySettings, "add"), {"watch_k": "1.5"}).status_code == 403
    AgencySettings().save()
    there = url(AgencySettings, "change", AgencySettings.SINGLE)
    assert engineer.get(there).status_code == 200
    assert engineer.post(there, {"watch_k": "1.5"}).status_code == 403
    gone = url(AgencySettings, "delete", AgencySettings.SINGLE)
    assert engineer.post(gone, {"post": "yes"}).status_code == 403
    assert AgencySettings.current().watch_k == 2.0


def test_a_coarser_instrument_is_judged_by_at_once(engineer, joint):
    before = residual_in_u()
    there = url(Instrument, "change", Instrument.objects.get().pk)
    values = form_values(engineer.get(there), "instrument_form")
    assert engineer.post(there, values | {"accuracy": "10"}).status_code == 302
    assert residual_in_u() < before


def test_an_instrument_is_kept_for_good(engineer, joint):
    tape = Instrument.objects.get()
    assert engineer.post(url(Instrument, "delete", tape.pk), {"post": "yes"}).status_code == 403
    assert Instrument.objects.filter(pk=tape.pk).exists()


@pytest.mark.parametrize("path", ["one/history/", "{pk}/history/one/"])
def test_a_mistyped_address_of_an_earlier_state_is_not_there(engineer, joint, path):
    start = reverse("admin:inventory_element_changelist")
    assert engineer.get(start + path.format(pk=joint.pk)).status_code == 404
    assert engineer.get(f"{start}{joint.pk}/history/").status_code == 200
