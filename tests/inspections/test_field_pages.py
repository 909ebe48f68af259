"""Who may open each page of a visit, what the list shows, and what pages cost."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import Inspection, Reading
from inspections.services.readings import (
    NewReading,
    NewTemperature,
    correct_reading,
    record,
)
from inspections.services.visits import accept, submit
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read

pytestmark = pytest.mark.django_db
AT = dt.datetime(2024, 6, 1, 9, 30, tzinfo=dt.UTC)
EVERY_ROLE = ["inspector", "engineer", "manager", None]


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge()), code="B1")


@pytest.fixture
def visit(bearing):
    visit = make_inspection(bearing.bridge)
    read(visit, bearing, "offset_along", 4.0, 12.0)
    return visit


def addresses(visit, bearing):
    return {
        "inspections": reverse("inspections"),
        "inspection-new": reverse("inspection-new"),
        "inspection": reverse("inspection", args=[visit.pk]),
        "reading-form": reverse("reading-form", args=[visit.pk, bearing.pk]),
        "temperature-form": reverse("temperature-form", args=[visit.pk]),
        "reading-correct": reverse("reading-correct", args=[Reading.objects.get().pk]),
    }


MAY_GET = {
    "inspections": {"inspector", "engineer", "manager"},
    "inspection-new": {"inspector", "engineer"},
    "inspection": {"inspector", "engineer", "manager"},
    "reading-form": {"inspector", "engineer"},
    "temperature-form": {"inspector", "engineer"},
    "reading-correct": {"inspector", "engineer"},
}
MAY_POST = {
    "inspection-submit": {"inspector", "engineer"},
    "inspection-accept": {"engineer"},
    "inspection-return": {"engineer"},
}


@pytest.mark.parametrize("role", EVERY_ROLE)
@pytest.mark.parametrize("name", MAY_GET)
def test_a_page_opens_for_those_whose_work_it_is_and_no_other(as_role, visit, bearing, name, role):
    answer = as_role(role).get(addresses(visit, bearing)[name])
    assert answer.status_code == (200 if role in MAY_GET[name] else 403)


@pytest.mark.parametrize("role", EVERY_ROLE)
@pytest.mark.parametrize("name", MAY_POST)
def test_an_act_is_for_those_whose_work_it_is_and_no_other(as_role, visit, name, role):
    if name != "inspection-submit":
        submit(inspection=visit)
    before = Inspection.objects.get().state
    answer = as_role(role).post(reverse(name, args=[visit.pk]), {"note": "Measure again."})
    assert answer.status_code == (302 if role in MAY_POST[name] else 403)
    assert (Inspection.objects.get().state != before) == (role in MAY_POST[name])


@pytest.mark.parametrize("role", ["manager", None])
@pytest.mark.parametrize("name", ["inspection-new", "reading-form", "temperature-form",
                                  "reading-correct"])  # fmt: skip
def test_those_who_only_look_cannot_write(as_role, visit, bearing, name, role):
    answer = as_role(role).post(
        addresses(visit, bearing)[name], {"value": "5", "reason": "x", "offset_along-only-1": "9"}
    )
    assert answer.status_code == 403
    assert (Inspection.objects.count(), Reading.objects.count()) == (1, 1)


@pytest.mark.parametrize("name", [*MAY_GET, *MAY_POST])
def test_a_stranger_is_sent_to_sign_in(client, visit, bearing, name):
    address = addresses(visit, bearing).get(name) or reverse(name, args=[visit.pk])
    answer = client.post(address) if name in MAY_POST else client.get(address)
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("login"))
    assert Inspection.objects.get().state == "open"


@pytest.mark.parametrize("name", MAY_POST)
def test_following_a_link_changes_no_state(as_role, visit, name):
    assert as_role("engineer").get(reverse(name, args=[visit.pk])).status_code == 405


@pytest.mark.parametrize(
    ("role", "state", "answer"),
    [
        ("inspector", "open", 200),
        ("inspector", "submitted", 403),
        ("inspector", "accepted", 403),
        ("engineer", "submitted", 200),
        ("engineer", "accepted", 200),
    ],
)
def test_an_inspector_corrects_while_the_visit_is_open_an_engineer_always(
    as_role, visit, role, state, answer
):
    if state != "open":
        submit(inspection=visit)
    if state == "accepted":
        accept(inspection=visit, user=make_user("engineer"))
    client = as_role(role)
    address = reverse("reading-correct", args=[Reading.objects.get().pk])
    assert client.get(address).status_code == answer
    page = client.get(reverse("inspection", args=[visit.pk])).content.decode()
    assert (address in page) == (answer == 200)


def test_what_is_not_there_is_not_found(as_role, visit, bearing):
    elsewhere = make_element(make_unit(make_bridge()), code="B9")
    client = as_role("engineer")
    for address in (
        reverse("inspection", args=[visit.pk + 1]),
        reverse("reading-form", args=[visit.pk, elsewhere.pk]),
        reverse("reading-form", args=[visit.pk + 1, bearing.pk]),
        reverse("reading-correct", args=[Reading.objects.get().pk + 1]),
    ):
        assert client.get(address).status_code == 404


def listed(client, **query):
    page = client.get(reverse("inspections"), query).content.decode()
    return [int(pk) for pk in re.findall(r'href="/inspections/(\d+)/"', page)]


def test_the_list_shows_the_newest_first_and_can_be_narrowed(as_role):
    north = make_bridge("N-1")
    south = make_bridge("S-1")
    bearing = make_element(make_unit(north))
    old = make_inspection(north, dt.date(2022, 6, 1))
    event = make_inspection(south, dt.date(2023, 6, 1), kind="event")
    new = make_inspection(north, dt.date(2024, 6, 1))
    read(new, bearing, "offset_along", 4.0)
    submit(inspection=new)
    client = as_role("manager")
    assert listed(client) == [new.pk, event.pk, old.pk]
    assert listed(client, bridge="n-1") == [new.pk, old.pk]
    assert listed(client, kind="event") == [event.pk]
    assert listed(client, state="submitted") == [new.pk]
    assert listed(client, state="accepted") == []
    assert set(listed(client, state="no-such-state")) == {new.pk, event.pk, old.pk}


@pytest.mark.parametrize(("role", "leads"), [("inspector", True), ("manager", False)])
def test_the_list_leads_those_who_measure_to_the_tablet_s_own_side(as_role, role, leads):
    page = as_role(role).get(reverse("inspections")).content.decode()
    assert (f'href="{reverse("tablet")}"' in page) == leads


def test_a_long_list_is_paged(as_role):
    bridge = make_bridge()
    for day in range(30):
        make_inspection(bridge, dt.date(2024, 1, 1) + dt.timedelta(days=day))
    client = as_role("inspector")
    first, second = listed(client), listed(client, page=2)
    assert (len(first), len(second)) == (25, 5)
    assert set(first).isdisjoint(second)


def queries_of(client, address):
    with CaptureQueriesContext(connection) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


def test_the_list_costs_the_same_for_one_inspection_and_fifty(as_role):
    bridge = make_bridge()
    make_inspection(bridge, dt.date(2023, 1, 1))
    client = as_role("engineer")
    address = reverse("inspections")
    client.get(address)
    one = queries_of(client, address)
    for day in range(49):
        make_inspection(make_bridge(), dt.date(2024, 1, 1) + dt.timedelta(days=day))
    assert len(listed(client)) + len(listed(client, page=2)) == 50
    assert queries_of(client, address) == one


def read_all(visit, elements, user):
    record(
        inspection=visit,
        readings=[NewReading(each, "offset_along", 4.0, "4", AT) for each in elements],
        temperatures=[
            NewTemperature("girder_web", 12.0, "12", AT + dt.timedelta(minutes=minute))
            for minute in range(len(elements))
        ],
        user=user,
    )
    for row in Reading.objects.filter(inspection=visit, corrected_by=None)[:5]:
        correct_reading(reading=row, value=5.0, typed="5", reason="misread", user=user)


@pytest.mark.parametrize("state", ["open", "submitted"])
def test_a_visit_costs_the_same_with_one_element_and_fifty(as_role, state):
    client, user = as_role("engineer"), make_user("inspector")
    counts = []
    for size in (1, 50):
        unit = make_unit(make_bridge())
        elements = [make_element(unit, code=f"B{n}") for n in range(size)]
        visit = make_inspection(unit.bridge)
        read_all(visit, elements, user)
        if state == "submitted":
            submit(inspection=visit)
        address = reverse("inspection", args=[visit.pk])
        client.get(address)
        counts.append(queries_of(client, address))
        assert client.get(address).content.decode().count('id="element-') == size
    assert counts[0] == counts[1]


def test_the_form_of_an_element_costs_the_same_beside_one_element_and_fifty(as_role):
    client, user = as_role("inspector"), make_user("inspector")
    counts = []
    for size in (1, 50):
        unit = make_unit(make_bridge())
        elements = [make_element(unit, code=f"B{n}") for n in range(size)]
        visit = make_inspection(unit.bridge)
        read_all(visit, elements, user)
        address = reverse("reading-form", args=[visit.pk, elements[0].pk])
        client.get(address)
        counts.append(queries_of(client, address))
    assert counts[0] == counts[1]
