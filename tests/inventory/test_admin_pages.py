"""What holds for every page of the admin site: history, no deletion, few queries, strict policy."""

import pytest
from django.apps import apps
from django.contrib.admin.sites import site
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import AgencySettings, Inspection, Instrument
from inventory.models import (
    BearingDesign,
    Bridge,
    District,
    Drawing,
    Element,
    Installation,
    InventoryTold,
    JointDesign,
    RestraintDesign,
    StationYear,
    Support,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
)
from tests.html_form import inline_code
from tests.make import (
    make_bridge,
    make_concrete,
    make_element,
    make_section,
    make_unit,
    make_user,
)
from tests.rows import valid_row

pytestmark = pytest.mark.django_db

REGISTER = [
    District,
    Bridge,
    TemperatureBasis,
    Unit,
    UnitConcrete,
    UnitSection,
    Support,
    Element,
    Installation,
    BearingDesign,
    JointDesign,
    RestraintDesign,
    StationYear,
]
WITH_PAGES_OF_ITS_OWN = {Drawing}
"""Files come in by the one way that encodes them anew."""
KEPT_BY_IMPORTS = {InventoryTold}
"""What an import remembers for the next one: nobody enters it, nor has it pages."""
WITH_HISTORY = [*REGISTER, Instrument, AgencySettings, Inspection]
SHOWN = [model for model in site._registry if model._meta.app_label in ("inventory", "inspections")]


def url(model, page: str, *args) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


def named(model) -> str:
    return model.__name__


@pytest.fixture
def engineer(as_role):
    return as_role("engineer")


@pytest.fixture
def superuser(client):
    user = make_user()
    user.is_staff = user.is_superuser = True
    user.save()
    client.force_login(user)
    return client


def test_every_table_of_the_register_is_in_the_admin_site():
    tables = {
        model
        for model in apps.get_app_config("inventory").get_models()
        if not model.__name__.startswith("Historical")
    }
    assert tables == set(REGISTER) | KEPT_BY_IMPORTS | WITH_PAGES_OF_ITS_OWN
    assert set(REGISTER) <= set(SHOWN)


def test_the_site_carries_the_products_name(engineer):
    assert "Bearing and Joint Ledger" in engineer.get(reverse("admin:index")).content.decode()


@pytest.mark.parametrize("model", REGISTER, ids=named)
def test_nothing_of_the_register_can_be_deleted_not_even_by_a_superuser(superuser, model):
    row = valid_row(model)
    assert superuser.get(url(model, "delete", row.pk)).status_code == 403
    assert superuser.post(url(model, "delete", row.pk), {"post": "yes"}).status_code == 403
    sent = {"action": "delete_selected", "_selected_action": str(row.pk), "post": "yes"}
    superuser.post(url(model, "changelist"), sent)
    assert model.objects.filter(pk=row.pk).exists()
    page = superuser.get(url(model, "change", row.pk)).content.decode()
    assert "deletelink" not in page
    assert "-DELETE" not in page


@pytest.mark.parametrize("model", WITH_HISTORY, ids=named)
def test_every_earlier_state_can_be_seen_and_none_brought_back(superuser, model):
    row = valid_row(model)
    text = next(
        field.name
        for field in model._meta.concrete_fields
        if field.name in ("name", "source", "lot", "station_m", "rotation_mrad", "cells",
                          "rod_count", "team", "accuracy_mm", "remarks", "loading_d",
                          "surfacing_mm", "year_min_c")
    )  # fmt: skip
    before = getattr(row, text)
    setattr(row, text, 3 if before is None or isinstance(before, int | float) else "changed")
    row.save()
    history = superuser.get(url(model, "history", row.pk))
    assert history.status_code == 200
    assert history.context["page_obj"].paginator.count == 2
    first = row.history.order_by("history_id").first()
    earlier = url(model, "simple_history", row.pk, first.pk)
    page = superuser.get(earlier)
    assert page.status_code == 200
    assert 'name="_save"' not in page.content.decode()
    assert f'name="{text}"' not in page.content.decode()
    assert superuser.post(earlier, {}).status_code == 403
    row.refresh_from_db()
    assert getattr(row, text) != before


def pages_of(model, row) -> list[str]:
    pages = [url(model, "changelist"), f"{url(model, 'changelist')}?q=T",
             url(model, "change", row.pk)]  # fmt: skip
    if model in WITH_HISTORY:
        pages += [
            url(model, "history", row.pk),
            url(model, "simple_history", row.pk, row.history.first().pk),
        ]
    return pages


@pytest.mark.parametrize("model", SHOWN, ids=named)
def test_every_page_opens_for_an_engineer_under_the_strict_policy(engineer, model):
    for page in pages_of(model, valid_row(model)):
        response = engineer.get(page)
        if response.status_code == 302:  # agency settings: straight to the one row
            response = engineer.get(response.url)
        assert response.status_code == 200, page
        policy = response.headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy
        assert "unsafe-inline" not in policy
        assert inline_code(response) == []


@pytest.mark.parametrize("kind", ["bearing", "joint", "restraint"])
def test_the_pages_of_a_new_element_run_nothing_inline(engineer, kind):
    bridge = make_unit(make_bridge()).bridge
    add = url(Element, "add")
    for page in (add, f"{add}?bridge={bridge.pk}&kind={kind}"):
        response = engineer.get(page)
        assert response.status_code == 200
        assert inline_code(response) == []


@pytest.mark.parametrize("way", ["replace", "reset"])
@pytest.mark.parametrize("device", ["pot", "finger", "clamp"])
def test_the_pages_of_a_device_run_nothing_inline(engineer, device, way):
    element = make_element(make_unit(make_bridge()), device)
    page = reverse(f"admin:inventory_element_{way}", args=[element.pk])
    for response in (engineer.get(page), engineer.post(page, {})):
        assert response.status_code == 200
        assert inline_code(response) == []


def queries(client, page: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert client.get(page).status_code == 200
    return len(captured)


@pytest.mark.parametrize(
    "model", [model for model in SHOWN if model is not AgencySettings], ids=named
)
def test_a_list_of_thirty_rows_asks_no_more_than_one_of_one_row(engineer, model):
    valid_row(model)
    page = url(model, "changelist")
    queries(engineer, page)
    one = queries(engineer, page)
    for _ in range(29):
        valid_row(model)
    assert model.objects.count() >= 30
    assert queries(engineer, page) == one


def test_the_page_of_a_unit_asks_the_same_for_one_unit_as_for_thirty(engineer):
    unit = make_unit(make_bridge())
    make_concrete(unit)
    make_section(unit)
    page = url(Unit, "change", unit.pk)
    queries(engineer, page)
    one = queries(engineer, page)
    for number in range(2, 31):
        make_section(make_unit(unit.bridge, f"U{number}"))
    assert queries(engineer, page) == one


def test_the_page_of_a_bridge_asks_the_same_for_one_unit_as_for_thirty(engineer):
    unit = make_unit(make_bridge())
    make_element(unit)
    page = url(Bridge, "change", unit.bridge_id)
    queries(engineer, page)
    one = queries(engineer, page)
    for number in range(2, 31):
        make_element(make_unit(unit.bridge, f"U{number}"), station_m=float(number))
    assert unit.bridge.elements.count() == 30
    assert queries(engineer, page) == one


def test_the_history_of_an_element_asks_the_same_for_two_states_as_for_thirty(engineer):
    element = make_element(make_unit(make_bridge()))
    page = url(Element, "history", element.pk)
    element.save()
    queries(engineer, page)
    two = queries(engineer, page)
    for number in range(28):
        element.line = f"G{number}"
        element.save()
    assert queries(engineer, page) == two


@pytest.mark.parametrize(
    ("model", "word"), [(Bridge, "Test bridge"), (Element, "E-7"), (Installation, "L-77")]
)
def test_a_row_is_found_by_the_words_an_engineer_knows_it_by(engineer, model, word):
    unit = make_unit(make_bridge())
    make_element(unit, code="E-7", installation={"lot": "L-77"})
    make_element(unit, code="E-8")
    found = engineer.get(url(model, "changelist"), {"q": word}).context["cl"].result_list
    assert len(found) == 1


@pytest.mark.parametrize("role", ["inspector", "manager", None])
def test_the_admin_site_is_closed_to_those_who_keep_no_register(as_role, role):
    response = as_role(role).get(url(Bridge, "changelist"))
    assert response.status_code == 302
    assert "/admin/login/" in response.url
