"""Guessing passwords gets slow; the owner of an account gets in."""

import datetime as dt

import pytest
from axes.models import AccessAttempt
from django.utils import timezone

from inspections.accounts.throttle import ACCOUNT, ADDRESS, PAIR
from tests.accounts.people import CHROME, browser, is_in, make_person, sign_in

pytestmark = pytest.mark.django_db
TRIED, HOME = "203.0.113.66", "192.0.2.1"


def guess(client, name, times):
    """Return the last answer to so many wrong passwords."""
    for _ in range(times):
        answer = sign_in(client, name, "wrong")
    return answer


def tried_before(name, address, times):
    """Leave wrong passwords tried at an address a moment ago."""
    AccessAttempt.objects.create(
        username=name, ip_address=address, user_agent="another", failures_since_start=times
    )


def later(minutes):
    """Let every try be so long ago."""
    for row in AccessAttempt.objects.all():
        AccessAttempt.objects.filter(pk=row.pk).update(
            attempt_time=row.attempt_time - dt.timedelta(minutes=minutes)
        )


@pytest.fixture
def owner():
    return make_person()


def test_a_few_wrong_passwords_are_told_and_the_right_one_opens(owner):
    client = browser()
    answer = guess(client, owner.username, PAIR - 1)
    assert answer.status_code == 200
    assert "do not belong together" in answer.content.decode()
    sign_in(client, owner)
    assert is_in(client)


def test_more_are_refused_even_the_right_one_and_it_is_said_until_when(owner):
    client = browser()
    assert guess(client, owner.username, PAIR).status_code == 429
    answer = sign_in(client, owner)
    assert answer.status_code == 429
    assert not is_in(client)
    wait = answer.context["until"] - timezone.now()
    assert dt.timedelta(minutes=14) < wait <= dt.timedelta(minutes=15)
    assert "Try again in 15 minutes" in answer.content.decode()
    assert 14 * 60 < int(answer["Retry-After"]) <= 15 * 60


def test_the_wait_ends_and_trying_meanwhile_does_not_lengthen_it(owner):
    client = browser()
    guess(client, owner.username, PAIR)
    later(10)
    assert "in 5 minutes" in guess(client, owner.username, 3).content.decode()
    later(6)
    sign_in(client, owner)
    assert is_in(client)


def test_another_browser_at_the_same_address_does_not_start_anew(owner):
    guess(browser(TRIED), owner.username, PAIR)
    assert sign_in(browser(TRIED, CHROME), owner).status_code == 429


def test_a_stranger_locks_nobody_out(owner):
    guess(browser(TRIED), owner.username, PAIR + 1)
    client = browser(HOME)
    sign_in(client, owner)
    assert is_in(client)


def test_one_users_slips_do_not_hold_up_another_at_the_same_address(owner):
    guess(browser(HOME), owner.username, PAIR)
    other = make_person()
    client = browser(HOME)
    sign_in(client, other)
    assert is_in(client)


def test_an_address_that_tries_one_account_after_another_is_refused(owner):
    tried_before("somebody", TRIED, ADDRESS - 1)
    client = browser(TRIED)
    assert guess(client, "nobody", 1).status_code == 429
    assert sign_in(client, owner).status_code == 429


def test_signing_in_to_an_own_account_does_not_clear_the_others(owner):
    tried_before("somebody", TRIED, ADDRESS - 1)
    client = browser(TRIED)
    sign_in(client, owner)
    assert is_in(client)
    assert guess(browser(TRIED), "nobody", 1).status_code == 429


def test_an_account_tried_from_everywhere_stays_open_to_its_owners_devices(owner):
    known, new = browser(HOME), browser("192.0.2.77")
    sign_in(known, owner)
    known.post("/sign-out/")
    tried_before(owner.username, TRIED, ACCOUNT)
    assert sign_in(new, owner).status_code == 429
    sign_in(known, owner)
    assert is_in(known)


def test_a_device_known_to_one_account_is_not_known_to_another(owner):
    shared = browser(HOME)
    sign_in(shared, make_person())
    shared.post("/sign-out/")
    tried_before(owner.username, TRIED, ACCOUNT)
    assert sign_in(shared, owner).status_code == 429


def test_a_tablet_stays_known_to_everybody_who_takes_it(owner):
    shared, other = browser(HOME), make_person()
    for each in (owner, other):
        sign_in(shared, each)
        shared.post("/sign-out/")
    tried_before(owner.username, TRIED, ACCOUNT)
    sign_in(shared, owner)
    assert is_in(shared)
    assert owner.username not in shared.cookies["known-device"].value


def test_a_forged_mark_makes_no_device_known(owner):
    tried_before(owner.username, TRIED, ACCOUNT)
    client = browser(HOME)
    client.cookies["known-device"] = owner.username
    assert sign_in(client, owner).status_code == 429


def test_a_name_that_nobody_has_is_refused_in_the_same_way():
    assert guess(browser(), "nobody", PAIR).status_code == 429


def test_no_password_is_kept_of_what_was_tried():
    sign_in(browser(), "nobody", "wrong-but-nearly-right")
    (row,) = AccessAttempt.objects.all()
    assert "nearly" not in f"{row.post_data}{row.get_data}"
