"""A new inspection in a register of too many bridges for a list to choose from."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections import bridge_choice
from inspections.models import Inspection
from inventory.models import Bridge, District
from tests.inspections.desk_rows import words
from tests.make import judged_once, make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db

NEW = "/inspections/new/"
VISIT = {"date": "2024-06-01", "kind": "routine", "team": "two", "weather": "rain", "remarks": ""}


def make_bridges(count: int) -> District:
    """Make bridges R-000, R-001 ... with something to read; every seventh crosses a mill race."""
    with judged_once():
        for number in range(count):
            bridge = make_bridge(f"R-{number:03}", {})
            bridge.name = f"Meadow {number}" if number % 7 else f"Mill race {number}"
            bridge.save(update_fields=["name"])
            make_element(make_unit(bridge))
    return bridge.district


@pytest.fixture
def bridges(monkeypatch):
    """Forty bridges where a list holds thirty."""
    monkeypatch.setattr(bridge_choice, "LONGEST_LIST", 30)
    return make_bridges(40)


@pytest.fixture
def inspector(client):
    client.force_login(make_user("inspector"))
    return client


def offered(client, **asked) -> list[str]:
    """Return the codes of the bridges that the page offers as links."""
    page = client.get(NEW, asked).content.decode()
    return re.findall(r'<a href="\?bridge=([^"]+)">', page)


def test_a_bridge_is_found_by_a_part_of_its_name_and_a_visit_opened_without_script(
    inspector, bridges
):
    first = inspector.get(NEW).content.decode()
    assert "<select" not in first
    assert '<input type="search" name="find" id="find"' in first
    assert '<label for="find">' in first
    assert offered(inspector, find="mill 2") == ["R-021", "R-028"]
    form = inspector.get(NEW, {"bridge": "R-021"}).content.decode()
    named = Bridge.objects.get(code="R-021")
    chosen = re.search(r'<select name="bridge".*?</select>', form, re.DOTALL)[0]
    assert re.findall(r'<option value="(\d+)"', chosen) == [f"{named.pk}"]
    assert f'<a href="{NEW}">Another bridge</a>' in form
    inspector.post(f"{NEW}?bridge=R-021", VISIT | {"bridge": named.pk})
    assert Inspection.objects.get().bridge == named


def test_no_more_than_twenty_are_offered_and_the_page_says_that_there_are_more(inspector, bridges):
    assert offered(inspector, find="meadow") == [
        f"R-{number:03}" for number in range(1, 24) if number % 7
    ]
    assert "The first 20 of more." in words(inspector.get(NEW, {"find": "meadow"}))
    assert "2 bridges found. Choose one." in words(inspector.get(NEW, {"find": "mill 2"}))


@pytest.mark.parametrize("asked", ["R-015", "meadow 17", " r-017 "])
def test_what_leads_to_one_bridge_leads_straight_to_the_form(inspector, bridges, asked):
    page = inspector.get(NEW, {"find": asked}).content.decode()
    assert 'name="team"' in page
    code = re.search(r"\d+", asked)[0].zfill(3)
    assert f'<option value="{Bridge.objects.get(code=f"R-{code}").pk}" selected>' in page


@pytest.mark.parametrize("asked", ["nowhere", "R-015 mill", "%", "_", "\x00", "x" * 300])
def test_what_is_nowhere_found_is_told_and_can_be_typed_anew(inspector, bridges, asked):
    answer = inspector.get(NEW, {"find": asked})
    assert offered(inspector, find=asked) == []
    if asked.strip("\x00"):
        assert "No bridge with elements has" in words(answer)
    assert b'name="find"' in answer.content


def test_a_visit_that_was_refused_keeps_its_bridge_and_what_was_typed(inspector, bridges):
    named = Bridge.objects.get(code="R-033")
    page = inspector.post(NEW, VISIT | {"bridge": named.pk, "date": "2090-01-01"}).content.decode()
    assert "lies more than a day in the future" in page
    assert f'<option value="{named.pk}" selected>' in page
    assert 'value="two"' in page


def test_a_visit_to_no_bridge_is_refused_and_asks_for_one(inspector, bridges):
    page = inspector.post(NEW, VISIT | {"bridge": ""}).content.decode()
    assert "This field is required." in page
    assert 'name="find"' in page
    assert not Inspection.objects.exists()


def test_bridges_of_other_districts_are_not_found(client, bridges):
    elsewhere = District.objects.create(code="E", name="Elsewhere")
    Bridge.objects.filter(code__in=["R-001", "R-010"]).update(district=elsewhere)
    client.force_login(make_user("inspector", bridges))
    there = [f"R-{number:03}" for number in (11, 12, 13, 15, 16, 17, 18, 19, 31)]
    assert offered(client, find="meadow 1") == there


def test_few_bridges_are_chosen_from_a_list_as_ever(inspector, bridges):
    elsewhere = District.objects.create(code="E", name="Elsewhere")
    Bridge.objects.filter(code__gte="R-030").update(district=elsewhere)
    inspector.force_login(make_user("inspector", bridges))
    page = inspector.get(NEW).content.decode()
    assert re.findall(r"<option [^>]*>(R-\d+)", page) == [f"R-{n:03}" for n in range(30)]
    assert 'name="find"' not in page


def test_a_register_of_more_than_two_hundred_bridges_has_too_many_for_a_list(inspector):
    make_bridges(201)
    assert "<select" not in inspector.get(NEW).content.decode()
    assert "R-196" in inspector.get(NEW, {"find": "race 196"}).content.decode()


def test_the_page_costs_no_more_queries_for_many_bridges(inspector, bridges):
    with CaptureQueriesContext(connection) as captured:
        inspector.get(NEW, {"bridge": "R-007"})
    assert len(captured) <= 10


def test_the_search_is_in_german_for_a_reader_of_german(inspector, bridges):
    inspector.post(reverse("language"), {"language": "de"})
    for asked in ("meadow", "mill 2", "nowhere"):
        page = words(inspector.get(NEW, {"find": asked}))
        for english in ("Find bridges", "part of its code", "found", "first 20", "No bridge"):
            assert english not in page
    assert "Andere Brücke" in words(inspector.get(NEW, {"bridge": "R-021"}))
