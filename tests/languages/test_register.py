"""The register in German: what stands on a page the same as in English is no word of ours."""

import html
import re

import pytest
from django.contrib.admin.sites import site
from django.urls import reverse

from fixtures import make_languages as made
from inventory.models import Bridge, Element, Installation, Support, Unit
from tests.html_form import form_values
from tests.inventory.test_admin_pages import named, pages_of, url
from tests.languages.test_desk import in_language
from tests.make import make_bridge, make_concrete, make_element, make_section, make_unit
from tests.rows import valid_row

pytestmark = pytest.mark.django_db

SHOWN = [each for each in site._registry if each._meta.app_label in ("inventory", "inspections")]
DATA = re.compile(
    r"Test( bridge| district)?|Bearing and Joint Ledger|two inspectors|Tape|\b[A-Z]\d+\b|\|"
)
"""What was entered, and the name of the product."""
CITED = re.compile(r"AASHTO LRFD|EN 199\d-1-\d|ASTM|\bUTC\b|\bUSD\b|[0-9a-f]{12}|\ddegC|\d degC")
SAME = {
    "Plan", "PTFE", "Station", "Name", "Form", "Team", "Status", "Wind", "Elastomer", "Filter",
    "Station [m]", "Wind [m/s]",
    # for who cannot see the pictures of Django: they are in its templates, and in no catalogue
    "Search", "True", "False",
}  # fmt: skip


@pytest.fixture
def german():
    """An engineer who reads German."""
    return in_language("de")


@pytest.fixture
def english():
    """An engineer who reads English."""
    return in_language("en")


@pytest.fixture
def bridge():
    """A bridge with all that its page lists."""
    unit = make_unit(make_bridge())
    make_concrete(unit)
    make_section(unit)
    for device in ("pot", "strip_seal", "clamp"):
        make_element(unit, device, code=device[:1].upper() + "1")
    return unit.bridge


def texts(page: str) -> set[str]:
    """Return what a page shows or reads out."""
    body = page[page.index("<title") :]
    shown = re.findall(r">([^<>]+)<", body)
    read_out = re.findall(r' (?:aria-label|title|placeholder|alt)="([^"]*)"', body)
    read_out += re.findall(r'<input type="submit" value="([^"]*)"', body)
    return {html.unescape(each).strip(" \n›:") for each in (*shown, *read_out)}


def english_of(told, plain) -> set[str]:
    """Return what a German answer has of the English one that is no name, number or clause."""
    page = told.content.decode()
    assert told["Content-Language"] == "de"
    assert '<html lang="de"' in page
    return {
        each
        for each in texts(page) & texts(plain.content.decode()) - SAME
        if re.search(r"[^\W\d]{3}", DATA.sub("", each)) and not CITED.search(each)
    }


@pytest.mark.parametrize("model", SHOWN, ids=named)
def test_no_page_of_a_table_has_english_left(german, english, model):
    row = valid_row(model)
    pages = [*pages_of(model, row), url(model, "add"), f"{url(model, 'changelist')}?_popup=1"]
    seen = 0
    for page in pages:
        told, plain = german.get(page), english.get(page)
        assert told.status_code == plain.status_code
        if told.status_code == 200:
            assert english_of(told, plain) == set(), page
            seen += 1
    assert seen


def test_neither_have_the_pages_that_belong_to_no_table(german, english, bridge):
    pages = [reverse("admin:index"), reverse("admin:app_list", args=["inventory"]),
             url(Bridge, "change", bridge.pk), url(Element, "add")]  # fmt: skip
    pages += [f"{url(Element, 'add')}?bridge={bridge.pk}&kind={kind}"
              for kind in ("bearing", "joint", "restraint")]  # fmt: skip
    for element in bridge.elements.all():
        pages += [reverse(f"admin:inventory_element_{way}", args=[element.pk])
                  for way in ("replace", "reset")]  # fmt: skip
        pages.append(url(Element, "change", element.pk))
        pages.append(url(Installation, "change", element.current_installation_id))
    for page in pages:
        told, plain = german.get(page), english.get(page)
        assert told.status_code == plain.status_code == 200, page
        assert english_of(told, plain) == set(), page


def test_no_english_text_of_the_catalogue_stands_within_a_longer_one(german, bridge):
    wanted = [
        message.id
        for message in made.catalogue_of("de", "django")
        if isinstance(message.id, str)
        and len(message.id) > 12
        and "%(" not in message.id
        and message.id != message.string
    ]
    for row in (bridge, *bridge.units.all(), *bridge.elements.all()):
        shown = " | ".join(texts(german.get(url(type(row), "change", row.pk)).content.decode()))
        assert [each for each in wanted if each in shown] == []


def wrong(values: dict[str, str]) -> dict[str, str]:
    """Return a form with what no field of it takes."""
    kept = re.compile(r"(_FORMS|csrfmiddlewaretoken|^_|-id|-\d+-(bridge|installation|unit))$")
    return {
        name: value if kept.search(name) else "?" if name[-3:] != "_on" else "32.13.2024"
        for name, value in values.items()
    }


@pytest.mark.parametrize("sent", ["wrong", "empty"])
def test_what_is_refused_is_told_in_german(german, english, bridge, sent):
    unit = bridge.units.get()
    element = bridge.elements.get(kind="bearing")
    pages = [
        (url(Bridge, "change", bridge.pk), "bridge_form"),
        (url(Unit, "change", unit.pk), "unit_form"),
        (url(Support, "add"), "support_form"),
        (f"{url(Element, 'add')}?bridge={bridge.pk}&kind=bearing", "element_form"),
        (url(Installation, "change", element.current_installation_id), "installation_form"),
        (reverse("admin:inventory_element_replace", args=[element.pk]), "device_form"),
        (reverse("admin:inventory_element_reset", args=[element.pk]), "device_form"),
    ]
    for page, form in pages:
        values = wrong(form_values(german.get(page), form))
        if sent == "empty":
            values = {name: "" if value == "?" else value for name, value in values.items()}
        told, plain = german.post(page, values), english.post(page, values)
        assert told.status_code == plain.status_code == 200, page
        assert "errorlist" in told.content.decode(), page
        left = {each for each in english_of(told, plain) if each not in ("?", "32.13.2024")}
        assert left == set(), page


def test_a_table_of_another_package_stays_english(client):
    from django.contrib.auth.models import User

    user = User.objects.create_superuser("all", password=None)
    client.force_login(user)
    client.post("/language/", {"language": "de"})
    page = client.get(reverse("admin:otp_totp_totpdevice_changelist")).content.decode()
    assert '<html lang="en' in page
    assert "Select TOTP device to change" in page
