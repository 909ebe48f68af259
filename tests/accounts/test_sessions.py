"""Where a user is signed in, and how they end it."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.accounts import session_store
from inspections.accounts.client import device_text
from inspections.models import BrowserSession
from tests.accounts.people import CHROME, FIREFOX, PASSWORD, browser, is_in, make_person, sign_in

pytestmark = pytest.mark.django_db
NEW = "seven herons over granite"


@pytest.fixture
def two():
    """One user, signed in on two devices."""
    user = make_person()
    desk, tablet = browser("192.0.2.1", FIREFOX), browser("2001:db8::7", CHROME)
    for each in (desk, tablet):
        sign_in(each, user)
    return desk, tablet


def other_session(page) -> dict:
    (found,) = (each for each in page.context["sessions"] if not each["is_this"])
    return found


def test_the_account_tells_each_device_its_address_and_when_it_was_seen(two):
    desk, _tablet = two
    page = desk.get(reverse("account"))
    told = page.content.decode()
    for each in ("Firefox on Linux", "192.0.2.1", "Chrome on Android", "2001:db8::7"):
        assert each in told
    assert told.count("This one") == 1
    assert other_session(page)["row"].seen_at > timezone.now() - dt.timedelta(minutes=1)


def test_no_key_of_a_session_stands_on_the_page(two):
    told = two[0].get(reverse("account")).content.decode()
    assert not any(each.session_key in told for each in BrowserSession.objects.all())


def test_an_ended_session_is_out_with_its_next_request(two):
    desk, tablet = two
    handle = other_session(desk.get(reverse("account")))["handle"]
    desk.post(reverse("session-end", args=[handle]))
    assert not is_in(tablet)
    assert is_in(desk)


def test_all_others_end_at_once_and_this_one_stays(two):
    desk, tablet = two
    third = browser("192.0.2.3")
    sign_in(third, BrowserSession.objects.first().user)
    desk.post(reverse("sessions-end"))
    assert [is_in(each) for each in (desk, tablet, third)] == [True, False, False]


def test_nobody_ends_the_session_of_another(two):
    desk, _tablet = two
    handle = other_session(desk.get(reverse("account")))["handle"]
    stranger = browser("192.0.2.9")
    sign_in(stranger, make_person())
    assert stranger.post(reverse("session-end", args=[handle])).status_code == 404
    stranger.post(reverse("sessions-end"))
    assert all(map(is_in, two))


def test_a_changed_password_ends_the_other_sessions(two):
    desk, tablet = two
    answer = desk.post(
        reverse("password-change"),
        {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW},
        follow=True,
    )
    assert "Your password is changed" in answer.content.decode()
    assert not is_in(tablet)
    page = desk.get(reverse("account"))
    assert [each["is_this"] for each in page.context["sessions"]] == [True]


def test_a_password_is_not_changed_without_the_old_one_or_to_a_weak_one(two):
    desk, tablet = two
    for old, new in (("wrong", NEW), (PASSWORD, "password1234")):
        page = desk.post(
            reverse("password-change"),
            {"old_password": old, "new_password1": new, "new_password2": new},
        )
        assert page.context["form"].errors
    assert is_in(tablet)


def test_use_is_noted_after_some_minutes_and_reading_writes_nothing_before(two, monkeypatch):
    desk, _tablet = two
    row = other_session(two[1].get(reverse("account")))["row"]
    desk.get(reverse("account"))
    assert BrowserSession.objects.get(pk=row.pk).seen_at == row.seen_at
    monkeypatch.setattr(session_store, "USE_NOTED_EVERY", dt.timedelta(0))
    desk.get(reverse("account"), REMOTE_ADDR="192.0.2.44")
    seen = BrowserSession.objects.get(pk=row.pk)
    assert seen.seen_at > row.seen_at
    assert seen.address == "192.0.2.44"
    assert seen.began_at == row.began_at


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "203.0.113.5", "192.0.2.1"),
        (1, "203.0.113.5", "203.0.113.5"),
        (1, "198.51.100.1, 203.0.113.5", "203.0.113.5"),  # the first was made up by the client
        (2, "198.51.100.1, 203.0.113.5, 192.0.2.200", "203.0.113.5"),
        (1, "", "192.0.2.1"),
        (1, "nonsense", None),
    ],
)
def test_the_address_is_the_one_that_our_own_proxies_saw(settings, proxies, forwarded, address):
    settings.PROXIES = proxies
    client = browser("192.0.2.1")
    client.post(
        "/sign-in/",
        {"username": make_person().username, "password": PASSWORD},
        headers={"X-Forwarded-For": forwarded},
    )
    assert BrowserSession.objects.get().address == address


@pytest.mark.parametrize(
    ("agent", "told"),
    [
        (FIREFOX, "Firefox on Linux"),
        (CHROME, "Chrome on Android"),
        (CHROME + " Edg/140.0", "Edge on Android"),
        ("curl/8", "Another program"),
        ("", "Another program"),
    ],
)
def test_a_device_is_told_in_words(agent, told):
    assert device_text(agent) == told


def test_the_admin_site_has_no_way_in_of_its_own(client):
    assert client.get("/admin/login/?next=/admin/auth/").url == "/sign-in/?next=/admin/auth/"
    assert client.post("/admin/login/", {"username": "a", "password": "b"}).status_code == 302
