"""Mails speak the language of who gets them, not of who has them sent."""

import re

import pytest
from django.core import mail
from django.core.cache import cache

from inspections.models import Preference
from inventory.models import District
from tests.make import make_user

pytestmark = pytest.mark.django_db
ADDRESS = "one@ledger.example"
ENGLISH = (
    "Bearing and Joint Ledger: set your password",
    "A new password was asked for, for your account in the Bearing and Joint Ledger: one\n\n"
    "Set it here, once:\nLINK\n\n"
    "If it was not you, do nothing: your password stays as it is.\n",
)
GERMAN = (
    "Bearing and Joint Ledger: Setzen Sie Ihr Passwort",
    "Für Ihr Konto im Bearing and Joint Ledger wurde ein neues Passwort angefordert: one\n\n"
    "Setzen Sie es hier, einmal:\nLINK\n\n"
    "Wenn Sie das nicht waren, tun Sie nichts: Ihr Passwort bleibt, wie es ist.\n",
)


@pytest.fixture(autouse=True)
def can_mail(settings):
    cache.clear()
    settings.CAN_MAIL = True


def person(language: str = ""):
    """An account with an address that chose a language."""
    user = make_user("manager", username="one", email=ADDRESS, password="kelp orbit saddle twine")
    Preference.objects.update_or_create(user=user, defaults={"language": language})
    return user


def sent() -> tuple[str, str]:
    """Return subject and text of the one mail, without its link."""
    (one,) = mail.outbox
    assert one.to == [ADDRESS]
    return one.subject, re.sub(r"http://\S+/password/\S+", "LINK", one.body)


@pytest.mark.parametrize(
    ("chosen", "asked_in", "told"),
    [("de", "en", GERMAN), ("en", "de", ENGLISH), ("", "de", GERMAN), ("", "en", ENGLISH)],
)
def test_a_link_is_sent_in_the_language_of_the_account_else_of_the_page(
    client, chosen, asked_in, told
):
    person(chosen)
    client.post("/password/forgotten/", {"email": ADDRESS}, headers={"accept-language": asked_in})
    assert sent() == told


@pytest.mark.parametrize(
    ("chosen", "begins"),
    [("de", "Ein Konto im Bearing and Joint Ledger wartet auf sein Passwort: one\n\n"
            "Setzen Sie es hier, einmal, innerhalb von 3 Tagen:\nLINK\n"),
     ("", "An account in the Bearing and Joint Ledger waits for its password: one\n\n"
          "Set it here, once, within 3 days:\nLINK\n")],
)  # fmt: skip
def test_whoever_invites_in_german_writes_in_the_language_of_the_invited(client, chosen, begins):
    north = District.objects.create(code="N", name="North")
    user = make_user("inspector", district=north, username="one", email=ADDRESS)
    Preference.objects.update_or_create(user=user, defaults={"language": chosen})
    client.force_login(make_user("administrator", district=north))
    client.post("/language/", {"language": "de"})
    answer = client.post(f"/people/{user.pk}/link/")
    assert answer["Content-Language"] == "de"
    assert sent()[1].startswith(begins)
