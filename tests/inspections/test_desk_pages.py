"""The engineer's pages: who may see them, and in which units."""

import pytest
from django.test import Client
from django.views.defaults import server_error

from inspections.models import Preference
from tests.inspections.desk_rows import one_of_each, words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def unit():
    return make_unit(make_bridge("B-1"))


@pytest.fixture
def each_verdict():
    return one_of_each()


ADDRESSES = ["/", "/bridges/", "/bridges/B-1/", "/elements/{pk}/"]


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("role", ["inspector", "engineer", "manager"])
def test_every_role_sees_the_engineers_pages(as_role, unit, role, address):
    element = make_element(unit)
    assert as_role(role).get(address.format(pk=element.pk)).status_code == 200


@pytest.mark.parametrize("address", ADDRESSES)
def test_an_outsider_is_refused(as_role, unit, address):
    response = as_role(None).get(address.format(pk=make_element(unit).pk))
    assert response.status_code == 403
    assert "Your account may not open this page" in response.content.decode()


@pytest.mark.parametrize("address", ADDRESSES)
def test_whoever_is_not_signed_in_is_sent_to_sign_in(client, unit, address):
    response = client.get(address.format(pk=make_element(unit).pk))
    assert (response.status_code, response.headers["Location"][:15]) == (302, "/sign-in/?next=")


@pytest.mark.parametrize(
    ("role", "status"),
    [("inspector", 302), ("engineer", 302), ("manager", 302), (None, 403)],
)
def test_each_role_chooses_its_units_and_an_outsider_does_not(as_role, role, status):
    response = as_role(role).post("/preferences/units/", {"units": "us"})
    assert response.status_code == status
    assert Preference.objects.filter(units="us").exists() == (status == 302)


def test_units_are_not_chosen_without_signing_in(client):
    client.post("/preferences/units/", {"units": "us"})
    assert not Preference.objects.exists()


@pytest.mark.parametrize(
    ("role", "imports", "register"),
    [("inspector", False, False), ("engineer", True, True), ("manager", False, False)],
)
def test_the_navigation_offers_only_what_a_role_may_open(as_role, role, imports, register):
    page = words(as_role(role).get("/elements/"))
    assert "Flagged" in page
    assert "Bridges" in page
    assert ("Imports" in page) == imports
    assert ("Register" in page) == register


@pytest.mark.parametrize("address", ["/bridges/NONE/", "/elements/999999/", "/nowhere/"])
def test_what_is_not_there_is_said_on_a_page_of_its_own(as_role, address):
    response = as_role("engineer").get(address)
    assert response.status_code == 404
    assert "There is nothing at this address" in response.content.decode()


def test_the_page_of_a_failure_needs_neither_user_nor_database(rf, django_assert_num_queries):
    with django_assert_num_queries(0):
        response = server_error(rf.get("/"))
    assert response.status_code == 500
    assert "tell whoever runs this site the time" in response.content.decode()


def test_a_form_from_a_stale_page_is_refused_with_what_to_do():
    response = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "x"})
    assert response.status_code == 403
    assert "load the page again" in response.content.decode()


def test_every_page_carries_the_caution(client):
    assert "never replace it" in words(client.get("/sign-in/"))


def test_a_wrong_password_is_answered_with_what_to_do(client):
    make_user("inspector", username="ines", password="a-long-password")
    response = client.post("/sign-in/", {"username": "ines", "password": "wrong"})
    assert "do not belong together" in words(response)
    response = client.post("/sign-in/", {"username": "ines", "password": "a-long-password"})
    assert response.headers["Location"] == "/inspections/"


def test_the_units_switch_goes_back_to_its_page_and_nowhere_else(as_role, unit):
    client = as_role("manager")
    answer = client.post("/preferences/units/", {"units": "us", "next": "/bridges/?q=B"})
    assert answer.headers["Location"] == "/bridges/?q=B"
    answer = client.post("/preferences/units/", {"units": "si", "next": "https://else.example/"})
    assert answer.headers["Location"] == "/"
    assert Preference.objects.get().units == "si"


def test_units_that_do_not_exist_are_refused_with_a_message(as_role):
    client = as_role("manager")
    page = words(client.post("/preferences/units/", {"units": "cubits"}, follow=True))
    assert "Choose metric or US units" in page
    assert not Preference.objects.exists()


def test_the_list_is_shown_in_us_units(as_role, each_verdict):
    client = as_role("manager")
    client.post("/preferences/units/", {"units": "us"})
    assert "1.18 in narrower than the 2.76 in expected" in words(client.get("/elements/"))
