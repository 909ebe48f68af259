"""What a German engineer enters in the register: read with commas, kept as everywhere."""

import json
import re

import pytest
from django.contrib.admin.models import LogEntry
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.models import Bridge, Element, Installation, Unit
from tests.html_form import errors_of, form_values, send
from tests.inspections.field_pages import page_of
from tests.inventory.test_admin_pages import url
from tests.languages.test_desk import in_language
from tests.make import make_bridge, make_element, make_inspection, make_support, make_unit, read

pytestmark = pytest.mark.django_db
TWO_WAYS = "«1.234» ist auf zwei Arten lesbar."


@pytest.fixture
def german():
    """An engineer who reads German."""
    return in_language("de")


@pytest.fixture
def unit():
    return make_unit(make_bridge("N-1"))


def new_element(client, unit, **said):
    """Fill in the form of a new bearing and send it."""
    page = f"{url(Element, 'add')}?bridge={unit.bridge_id}&kind=bearing"
    support = unit.bridge.supports.first() or make_support(unit.bridge)
    values = form_values(client.get(page), "element_form") | {
        "code": "B1", "unit": unit.pk, "support": support.pk, "station_m": "12,5",
        "installations-0-device_type": "pot", "installations-0-installed_on": "2020-01-31",
    }  # fmt: skip
    unknown = said.keys() - values.keys()
    assert not unknown
    return client.post(page, values | said)


def test_an_element_is_entered_with_decimal_commas(german, unit):
    answer = new_element(
        german, unit,
        **{"installations-0-setting_source": "measured",
           "installations-0-setting_temperature_c": "−3,5",
           "installations-0-setting_offset_along_mm": "1,234",
           "installations-0-rotation_mrad": "12,5"},
    )  # fmt: skip
    assert answer.status_code == 302, errors_of(answer)
    assert "Als Nächstes: ein weiteres Bauteil" in page_of(german.get(answer.url))
    element = Element.objects.get()
    device = element.current_installation
    assert element.station_m == 12.5
    assert (device.setting_temperature_c, device.setting_offset_along_mm) == (-3.5, 1.234)
    assert device.bearing_design.rotation_mrad == 12.5
    # What is shown is taken again.
    page = url(Element, "change", element.pk)
    assert form_values(german.get(page), "element_form")["station_m"] == "12,5"
    assert send(german, page, "element_form", line="G2").status_code == 302
    element.refresh_from_db()
    assert (element.station_m, element.line) == (12.5, "G2")


@pytest.mark.parametrize(
    "name", ["station_m", "installations-0-setting_offset_along_mm",
             "installations-0-rotation_mrad", "installations-0-interior_layers"],
)  # fmt: skip
def test_what_may_be_a_thousand_is_refused_as_on_the_desk(german, unit, name):
    answer = new_element(german, unit, **{name: "1.234"})
    assert answer.status_code == 200
    (told,) = errors_of(answer)[name]
    assert told.startswith(TWO_WAYS)
    assert 'value="1.234"' in page_of(answer)
    assert not Element.objects.exists()


@pytest.mark.parametrize("way", ["replace", "reset"])
def test_a_device_is_replaced_and_reset_with_decimal_commas(german, unit, way):
    element = make_element(unit, "clamp", code="C1")
    page = reverse(f"admin:inventory_element_{way}", args=[element.pk])
    said = {
        "ended_on": "2024-05-01", "installed_on": "2024-05-01", "device_type": "clamp",
        "reset_on": "2024-05-01", "setting_source": "measured", "setting_temperature_c": "8,5",
        "gap_left_mm": "2,25",
    }  # fmt: skip
    refused = german.post(page, said | {"gap_left_mm": "1.234"})
    assert TWO_WAYS in page_of(refused)
    assert german.post(page, said).status_code == 302
    element.refresh_from_db()
    device = element.current_installation
    assert device.setting_temperature_c == 8.5
    assert device.restraint_design.gap_left_mm == 2.25


def test_every_number_of_a_bridge_is_shown_with_a_comma_and_saved_as_it_was(german, unit):
    make_element(unit)
    page = url(Bridge, "change", unit.bridge_id)
    values = form_values(german.get(page), "bridge_form")
    numbers = {name: value for name, value in values.items() if name.endswith(("_m", "_c"))}
    assert any("," in value for value in numbers.values())
    assert not any("." in value for value in numbers.values())
    before = Unit.objects.values().get()
    assert german.post(page, values | {"remarks": "gesehen"}).status_code == 302
    assert Unit.objects.values().get() == before
    assert Bridge.objects.get().remarks == "gesehen"


def test_english_takes_the_point_in_a_number(unit):
    english = in_language("en")
    year = page_of(english.get(url(Bridge, "change", unit.bridge_id)))
    assert re.search(r'<input type="number" name="year_built"[^>]* class="vIntegerField"', year)
    refused = send(english, url(Unit, "change", unit.pk), "unit_form", start_station_m="1,5")
    assert errors_of(refused)["start_station_m"] == ["Enter a number."]


def test_the_log_is_kept_in_english_whoever_wrote_it(unit):
    kept = []
    for language in ("en", "de"):
        client = in_language(language)
        element = make_element(unit, "pot", code=f"P{language}")
        device = element.current_installation
        send(client, url(Installation, "change", device.pk), "installation_form", lot="L-9")
        client.post(
            reverse("admin:inventory_element_reset", args=[element.pk]),
            {"reset_on": "2024-05-01", "setting_source": "unknown"},
        )
        rows = LogEntry.objects.filter(object_id__in=[str(device.pk), str(element.pk)])
        kept.append([(row.object_repr.replace(language, ""), row.change_message) for row in rows])
        assert len(rows) == 2
    assert kept[1] == kept[0]
    told = json.dumps(kept[1])
    assert "Pot bearing, from 2010-01-01" in told
    assert "Reset the position on 2024-05-01." in told


def test_what_is_wrong_in_a_file_is_told_in_english_on_a_german_page(german, unit):
    lines = [
        "record,bridge_code,unit_code,deck_type,start_station_m,end_station_m,fixed_station_m,"
        "expansion_per_c",
        "unit,N-1,U2,steel,0,50,70,11.7e-6",
    ]
    sent = SimpleUploadedFile("register.csv", "\n".join(lines).encode())
    page = page_of(german.post("/imports/register/", {"file": sent}))
    assert "70 m is outside the unit. Give a station between its start and its end." in page


def test_the_same_rule_is_told_in_german_at_its_field(german, unit):
    page = url(Unit, "change", unit.pk)
    told = errors_of(send(german, page, "unit_form", fixed_station_m="170,5"))
    assert told["fixed_station_m"] == [
        "170,5 m liegt außerhalb des Überbaus. Geben Sie eine Station zwischen seinem Anfang und"
        " seinem Ende an."
    ]


def test_what_a_screen_reader_says_of_a_list_is_german(german, unit):
    read(make_inspection(unit.bridge), make_element(unit, "pot"), "offset_along", 3.0, 20.0)
    for address in ("admin:inspections_reading_changelist",
                    "admin:inspections_temperaturereading_changelist"):  # fmt: skip
        page = page_of(german.get(reverse(address)))
        assert 'alt="Suchen"' in page
        assert not re.search('alt="(Search|True|False)"', page)
        assert ">nein</td>" in page
