"""Codes beside the password: set up, asked for, lost."""

from base64 import b32decode

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django_otp.oath import totp
from django_otp.plugins.otp_static.models import StaticDevice
from django_otp.plugins.otp_totp.models import TOTPDevice

from inspections.models import HeldRole
from inspections.selectors.changes import changes, told
from inspections.services.invitations import take_second_factor_away
from inventory.models import District
from inventory.units import System
from tests.accounts.people import CHROME, browser, is_in, make_person, sign_in
from tests.api.calls import Caller
from tests.make import make_bridge, make_inspection, make_user
from tests.tablet import Tablet

pytestmark = pytest.mark.django_db
GIVE, SET_UP = "/sign-in/second-factor/", "/account/second-factor/"


@pytest.fixture
def asked(settings):
    """The site asks engineers and administrators for a second factor."""
    settings.SECOND_FACTOR = True


def code_of(device: TOTPDevice, steps=0) -> str:
    """Return what the app shows now, or so many steps from now."""
    return f"{totp(device.bin_key, t0=-30 * steps):06d}"


def set_up(client) -> list[str]:
    """Set an app up as its page says; return the recovery codes."""
    page = client.get(SET_UP)
    key = b32decode(page.context["key"].replace(" ", ""))
    page = client.post(SET_UP, {"code": f"{totp(key):06d}"})
    return page.context["codes"]


@pytest.fixture
def engineer():
    return make_person("engineer")


@pytest.fixture
def enrolled(asked, engineer):
    """Return a new browser of an engineer with an app, who has given the password alone."""
    first = browser()
    sign_in(first, engineer)
    codes = set_up(first)
    device = TOTPDevice.objects.get(user=engineer)
    TOTPDevice.objects.update(last_t=-1)  # as if the code of the set-up was of long ago
    client = browser("192.0.2.50", CHROME)
    sign_in(client, engineer)
    return client, device, codes


@pytest.mark.parametrize("path", ["/", "/bridges/", "/api-keys/", "/admin/", "/account/"])
def test_an_engineer_is_led_to_set_one_up_before_any_page(asked, engineer, path):
    client = browser()
    sign_in(client, engineer)
    assert client.get(path).url == reverse("second-factor-set-up", query={"next": path})


def test_set_up_opens_the_pages_and_shows_recovery_codes_once(asked, engineer):
    client = browser()
    sign_in(client, engineer)
    codes = set_up(client)
    assert len(set(codes)) == 10
    assert is_in(client)
    page = client.get("/account/").content.decode()
    assert "10 recovery codes left" in page
    assert codes[0] not in page


def test_a_code_that_does_not_fit_sets_nothing_up(asked, engineer):
    client = browser()
    sign_in(client, engineer)
    client.get(SET_UP)
    page = client.post(SET_UP, {"code": "abcdef"})
    assert "does not fit" in page.content.decode()
    assert not TOTPDevice.objects.exists()
    assert not is_in(client)


def test_nobody_who_knows_the_password_alone_learns_the_key_that_comes_to_be(asked, engineer):
    owner, thief = browser(), browser("203.0.113.66")
    for each in (owner, thief):
        sign_in(each, engineer)
    assert owner.get(SET_UP).context["key"] != thief.get(SET_UP).context["key"]
    set_up(owner)
    # The session that gave the password alone ended with the set-up.
    assert thief.get(SET_UP).url.startswith("/sign-in/")


def test_the_code_of_the_app_opens_and_leads_on(enrolled):
    client, device, _codes = enrolled
    assert client.get("/bridges/?q=a").url == reverse(
        "second-factor", query={"next": "/bridges/?q=a"}
    )
    answer = client.post(GIVE, {"code": code_of(device), "next": "/bridges/?q=a"})
    assert answer.url == "/bridges/?q=a"
    assert is_in(client)


def test_it_leads_to_no_other_site(enrolled):
    client, device, _codes = enrolled
    answer = client.post(GIVE, {"code": code_of(device), "next": "https://elsewhere.example/"})
    assert answer.url == "/"


def test_a_code_opens_once(enrolled, engineer):
    client, device, _codes = enrolled
    code = code_of(device)
    client.post(GIVE, {"code": code})
    other = browser("192.0.2.51")
    sign_in(other, engineer)
    assert "does not fit" in other.post(GIVE, {"code": code}).content.decode()
    assert not is_in(other)


def test_after_a_wrong_code_even_the_right_one_waits(enrolled):
    client, device, _codes = enrolled
    right = code_of(device)
    wrong = f"{(int(right) + 1) % 1_000_000:06d}"
    TOTPDevice.objects.update(throttling_failure_count=6)
    TOTPDevice.objects.update(throttling_failure_timestamp=timezone.now())
    assert "Try again in" in client.post(GIVE, {"code": right}).content.decode()
    TOTPDevice.objects.update(throttling_failure_count=0, throttling_failure_timestamp=None)
    assert "does not fit" in client.post(GIVE, {"code": wrong}).content.decode()
    assert TOTPDevice.objects.get().throttling_failure_count == 1
    assert not is_in(client)


def test_a_recovery_code_opens_once_however_it_is_typed(enrolled, engineer):
    client, _device, codes = enrolled
    client.post(GIVE, {"code": codes[0].upper().replace("-", " ")})
    assert is_in(client)
    other = browser("192.0.2.51")
    sign_in(other, engineer)
    other.post(GIVE, {"code": codes[0]})
    assert not is_in(other)


def test_new_recovery_codes_end_the_old_ones(enrolled, engineer):
    client, device, codes = enrolled
    client.post(GIVE, {"code": code_of(device)})
    new = client.post(reverse("second-factor-codes")).context["codes"]
    other = browser("192.0.2.51")
    sign_in(other, engineer)
    other.post(GIVE, {"code": codes[0]})
    assert not is_in(other)
    StaticDevice.objects.update(throttling_failure_count=0)
    other.post(GIVE, {"code": new[0]})
    assert is_in(other)


@pytest.mark.parametrize("path", ["second-factor-codes", "second-factor-off"])
def test_the_password_alone_changes_nothing_about_it(enrolled, path):
    client, device, codes = enrolled
    client.post(reverse(path))
    assert client.get(SET_UP).url == GIVE
    assert TOTPDevice.objects.get().pk == device.pk
    client.post(GIVE, {"code": codes[0]})
    assert is_in(client)


def test_whoever_needs_one_cannot_switch_it_off_and_whoever_does_not_can(enrolled, settings):
    client, device, _codes = enrolled
    client.post(GIVE, {"code": code_of(device)})
    assert client.post(reverse("second-factor-off")).status_code == 403
    settings.SECOND_FACTOR = False
    client.post(reverse("second-factor-off"))
    assert not TOTPDevice.objects.exists()


def test_administrators_need_one_and_inspectors_and_managers_do_not(asked):
    for user in (
        make_person(None, is_superuser=True),
        make_person("administrator"),
        make_person("engineer"),
    ):
        client = browser()
        sign_in(client, user)
        assert not is_in(client)
    for role in ("inspector", "manager"):
        client = browser()
        sign_in(client, make_person(role))
        assert is_in(client)


def test_nobody_is_asked_where_it_is_switched_off(engineer):
    client = browser()
    sign_in(client, engineer)
    assert is_in(client)


def test_whoever_set_one_up_of_their_own_accord_is_asked_for_it():
    inspector = make_person("inspector")
    first, second = browser(), browser("192.0.2.50")
    sign_in(first, inspector)
    set_up(first)
    sign_in(second, inspector)
    assert not is_in(second)


def test_a_session_that_was_open_when_it_was_switched_on_is_asked_too(engineer, settings):
    client = browser()
    sign_in(client, engineer)
    assert is_in(client)
    settings.SECOND_FACTOR = True
    assert not is_in(client)


def test_the_api_refuses_such_a_session_and_takes_a_key(asked, engineer):
    client = browser()
    sign_in(client, engineer)
    answer = client.get("/api/v1/bridges/")
    assert answer.status_code == 403
    assert answer["Content-Type"] == "application/problem+json"
    assert "second factor" in answer.json()["detail"]
    assert client.get("/api/schema/").status_code == 403
    assert client.post("/api/v1/events/", {}).status_code == 403
    assert client.get("/api/v1/bridges/", headers={"Authorization": " "}).status_code == 403
    assert client.get("/api/v1/bridges/", headers={"Authorization": "Bearer x"}).status_code == 401
    assert Caller(engineer).get("bridges/").status_code == 200


def test_the_sign_in_page_leads_on_to_the_code_for_the_tablet(enrolled):
    client, _device, _codes = enrolled
    answer = client.get("/sign-in/?next=/field/")
    assert answer.url == reverse("second-factor", query={"next": "/field/"})


def test_an_inspectors_tablet_sends_as_ever_and_an_engineers_after_the_code(asked):
    visit = make_inspection(make_bridge())
    for role, status in (("inspector", 200), ("engineer", 403)):
        tablet = Tablet(make_user(role))
        note = tablet.record(visit, "note", {"text": "Seen from the deck.", "element": None})
        answer = tablet.post(note)
        assert answer.status_code == status
        if status == 403:
            assert "receipts" not in answer.json()


def test_sign_out_needs_no_code(enrolled):
    client, _device, _codes = enrolled
    client.post("/sign-out/")
    assert client.get("/account/").url.startswith("/sign-in/")


def test_nobody_who_is_not_signed_in_reaches_the_pages_of_it():
    assert Client().get(GIVE).url.startswith("/sign-in/?next=")
    assert Client().get(SET_UP).url.startswith("/sign-in/?next=")


class TestAnAdministratorTakesItAwayFromWhoLostIt:
    def page(self, user) -> str:
        return f"/people/{user.pk}/second-factor/"

    def test_once_the_page_is_confirmed_the_password_alone_opens_it_and_nobody_stays_in(
        self, enrolled, engineer, settings
    ):
        client, device, codes = enrolled
        settings.SECOND_FACTOR = False
        client.post(GIVE, {"code": code_of(device)})
        assert is_in(client)
        boss = Client()
        boss.force_login(make_user("administrator"))
        asked = boss.get(self.page(engineer)).content.decode()
        assert "the password alone opens it" in asked
        assert TOTPDevice.objects.exists()  # asking removes nothing
        answer = boss.post(self.page(engineer), follow=True).content.decode()
        assert "Its second factor is removed" in answer
        assert not TOTPDevice.objects.exists()
        assert not is_in(client)
        again = browser("192.0.2.51")
        sign_in(again, engineer)
        assert is_in(again)
        again.post(GIVE, {"code": codes[0]})
        assert not StaticDevice.objects.exists()

    def test_the_history_says_who_did_it_and_what(self, enrolled, engineer):
        boss = make_user("administrator")
        take_second_factor_away(user=engineer, by=boss)
        change = next(told(changes(kind="user", who=boss, accounts_of=None), System.SI))
        assert (change.record, change.who) == (engineer.username, boss)
        assert change.reason == "Second factor removed"

    def test_not_one_s_own_and_not_of_who_works_elsewhere_as_well(
        self, enrolled, engineer, settings
    ):
        settings.SECOND_FACTOR = False
        north = District.objects.create(code="N", name="North")
        HeldRole.objects.create(user=engineer, role="inspector", district=north)
        client = Client()
        client.force_login(make_user("administrator", district=north))
        assert client.post(self.page(engineer)).status_code == 403
        boss = make_user("administrator")
        TOTPDevice.objects.create(user=boss, name="App", confirmed=True)
        with pytest.raises(ValidationError, match="your own account"):
            take_second_factor_away(user=boss, by=boss)
        assert TOTPDevice.objects.count() == 2

    def test_an_account_without_one_is_told_so(self):
        client, other = Client(), make_user("inspector")
        client.force_login(make_user("administrator"))
        page = client.get(self.page(other), follow=True).content.decode()
        assert "This account has no second factor." in page
