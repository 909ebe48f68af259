"""Invited, locked out, gone: how accounts begin, get a new password, and end."""

import re

import pytest
from django.contrib.auth import get_user_model
from django.core import mail
from django.core.cache import cache

from inventory.models import District
from tests.make import make_user

pytestmark = pytest.mark.django_db
GOOD = "quiet-granite-harbour-71"


@pytest.fixture
def north():
    return District.objects.create(code="N", name="North")


@pytest.fixture
def boss(client, north):
    """An administrator of district N, signed in."""
    user = make_user("administrator", district=north)
    client.force_login(user)
    return user


@pytest.fixture
def can_mail(settings, monkeypatch):
    from inspections.accounts.password_links import Forgotten

    cache.clear()
    settings.CAN_MAIL = True
    monkeypatch.setattr(Forgotten, "extra_context", {"can_mail": True})


def invited(client, **fields):
    said = {"username": "new", "email": "", "role": "inspector", "district": "N"} | fields
    return client.post("/people/invite/", said)


def link_in(text: str) -> str:
    return re.search(r"http://testserver(/password/[^\s\"]+)", text).group(1)


def set_password(client, path: str, password: str = GOOD):
    form = client.get(path, follow=True)
    where = form.redirect_chain[-1][0] if form.redirect_chain else path
    said = {"new_password1": password, "new_password2": password}
    return client.post(where, said, follow=True)


def test_an_invited_account_gets_its_role_and_its_password_by_a_link_that_works_once(client, boss):
    page = invited(client).content.decode()
    path = link_in(page)
    client.logout()
    assert "Sign in with it" in set_password(client, path).content.decode()
    assert "used already" in client.get(path, follow=True).content.decode()
    said = {"username": "new", "password": GOOD}
    assert client.post("/sign-in/", said).status_code == 302
    assert client.get("/inspections/new/").status_code == 200
    assert client.get("/people/").status_code == 403


def test_an_invitation_runs_out(client, boss, settings):
    path = link_in(invited(client).content.decode())
    settings.PASSWORD_RESET_TIMEOUT = -1
    client.logout()
    assert "used already" in client.get(path, follow=True).content.decode()


def test_an_easy_password_is_refused_at_the_link_and_the_link_still_works(client, boss):
    path = link_in(invited(client).content.decode())
    client.logout()
    answer = set_password(client, path, "password1234")
    assert answer.context["form"].errors["new_password2"]
    assert "Sign in with it" in set_password(client, path).content.decode()


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"username": ""}, "username"),
        ({"username": "two words"}, "username"),
        ({"email": "nowhere"}, "email"),
        ({"district": "S"}, "district"),
        ({"district": ""}, "district"),
        ({"role": "king"}, "role"),
    ],
)
def test_what_is_wrong_with_an_invitation_is_told_and_no_account_is_made(
    client, boss, fields, wrong
):
    District.objects.create(code="S", name="South")
    answer = invited(client, **fields)
    assert wrong in answer.context["form"].errors
    assert not get_user_model().objects.exclude(pk=boss.pk).exists()


def test_a_name_that_is_taken_is_refused(client, boss):
    make_user("manager", username="new")
    assert "already exists" in invited(client).content.decode()


def test_where_mail_goes_the_link_is_mailed_and_not_shown(client, boss, can_mail):
    page = invited(client, email="new@ledger.example").content.decode()
    assert "/password/" not in page
    (sent,) = mail.outbox
    assert sent.to == ["new@ledger.example"]
    client.logout()
    assert "Sign in with it" in set_password(client, link_in(sent.body)).content.decode()


def test_a_forgotten_password_tells_nobody_which_addresses_are_known(client, can_mail):
    user = make_user("manager", email="one@ledger.example", password=GOOD)
    answers = [
        client.post("/password/forgotten/", {"email": address}, follow=True).content
        for address in ("one@ledger.example", "nobody@ledger.example")
    ]
    texts = [re.sub(rb'value="[^"]+"|nonce="[^"]+"', b"", each) for each in answers]
    assert texts[0] == texts[1]
    (sent,) = mail.outbox
    set_password(client, link_in(sent.body), "another-quiet-harbour-72")
    user.refresh_from_db()
    assert user.check_password("another-quiet-harbour-72")


def test_links_are_not_sent_without_end(client, can_mail):
    make_user("manager", email="one@ledger.example", password=GOOD)
    for _ in range(14):
        answer = client.post("/password/forgotten/", {"email": "one@ledger.example"})
    assert "try in an hour" in answer.content.decode()
    assert len(mail.outbox) == 10


def test_a_site_without_mail_says_whom_to_ask(client):
    assert "Ask an administrator" in client.get("/password/forgotten/").content.decode()


def test_a_closed_account_is_out_at_once_and_comes_back_with_its_role(client, boss, north):
    user = make_user("inspector", district=north)
    other = type(client)()
    other.force_login(user)
    assert other.get("/inspections/").status_code == 200
    client.post(f"/people/{user.pk}/state/", {"state": "closed"})
    assert other.get("/inspections/").status_code == 302
    client.post(f"/people/{user.pk}/state/", {"state": "open"})
    other.force_login(user)
    assert other.get("/inspections/").status_code == 200


def test_nobody_closes_their_own_account(client, boss):
    told = client.post(f"/people/{boss.pk}/state/", {"state": "closed"}, follow=True)
    assert "your own account" in told.content.decode()
    boss.refresh_from_db()
    assert boss.is_active


def test_an_administrator_of_a_district_cannot_become_somebody_who_works_elsewhere_too(
    client, boss, north
):
    from inspections.models import HeldRole

    south = District.objects.create(code="S", name="South")
    both = make_user("inspector", district=north)
    HeldRole.objects.create(user=both, role="administrator", district=south)
    assert client.post(f"/people/{both.pk}/link/").status_code == 403
    assert client.post(f"/people/{both.pk}/state/", {"state": "closed"}).status_code == 403
    alone = make_user("inspector", district=north)
    assert client.post(f"/people/{alone.pk}/link/").status_code == 200
