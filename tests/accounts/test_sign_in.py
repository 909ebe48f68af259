"""Where somebody comes to after signing in."""

from base64 import b32decode

import pytest
from django.urls import reverse
from django_otp.oath import totp
from django_otp.plugins.otp_totp.models import TOTPDevice

from inspections.models import HeldRole
from tests.accounts.people import browser, make_person, sign_in
from tests.make import make_bridge

pytestmark = pytest.mark.django_db
VISITS, QUEUE = "/inspections/", "/"


@pytest.mark.parametrize(
    ("role", "first"),
    [
        ("inspector", VISITS),
        ("engineer", QUEUE),
        ("manager", QUEUE),
        ("administrator", QUEUE),
        (None, QUEUE),
    ],
)
def test_inspectors_begin_at_their_visits_and_all_others_at_the_queue(role, first):
    client, person = browser(), make_person(role)
    assert sign_in(client, person).url == first
    # Who is signed in already and opens the page again is led to the same.
    assert client.get("/sign-in/").url == first


def test_the_bare_address_of_the_site_leads_an_inspector_to_the_visits_too():
    client = browser()
    asked = client.get("/")
    assert asked.url == "/sign-in/?next=/"
    page = client.get(asked.url)
    answer = sign_in(client, make_person("inspector"), next=page.context["next"])
    assert answer.url == VISITS


@pytest.mark.parametrize("page", ["/bridges/?q=a", "/field/", "/?q=a"])
def test_the_page_that_was_asked_for_comes_first(page):
    assert sign_in(browser(), make_person("inspector"), next=page).url == page


def test_a_page_of_another_site_is_no_page_that_was_asked_for():
    answer = sign_in(browser(), make_person("inspector"), next="https://elsewhere.example/")
    assert answer.url == VISITS


def test_who_inspects_in_one_district_and_decides_in_another_begins_at_the_queue():
    person = make_person("inspector")
    HeldRole.objects.create(user=person, role="engineer", district=make_bridge().district)
    assert sign_in(browser(), person).url == QUEUE


def test_an_inspector_with_a_second_factor_comes_to_the_visits_after_its_code():
    inspector = make_person("inspector")
    first, second = browser(), browser("192.0.2.50")
    sign_in(first, inspector)
    key = first.get("/account/second-factor/").context["key"].replace(" ", "")
    first.post("/account/second-factor/", {"code": f"{totp(b32decode(key)):06d}"})
    TOTPDevice.objects.update(last_t=-1)  # as if the code of the set-up was of long ago
    led = sign_in(second, inspector)
    assert led.url == reverse("second-factor", query={"next": VISITS})
    page = second.get(led.url)
    code = f"{totp(TOTPDevice.objects.get().bin_key):06d}"
    answer = second.post("/sign-in/second-factor/", {"code": code, "next": page.context["next"]})
    assert answer.url == VISITS
