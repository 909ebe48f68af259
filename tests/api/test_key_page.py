"""The page of a user's own API keys."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import ApiKey
from tests.api.calls import Caller
from tests.make import make_user

pytestmark = pytest.mark.django_db


def filled(**changes):
    day = timezone.localdate() + dt.timedelta(days=30)
    return {"name": "Weekly table", "scopes": "read", "expires_at": f"{day}"} | changes


def test_a_key_is_shown_once_and_opens_the_api(as_role, client):
    page = as_role("engineer").post(reverse("api-keys"), filled())
    assert page["Cache-Control"] == "no-store"
    secret = page.context["secret"]
    assert secret in page.content.decode()
    again = client.get(reverse("api-keys")).content.decode()
    assert secret not in again
    assert "Weekly table" in again
    client.logout()
    opened = client.get("/api/v1/bridges/", headers={"Authorization": f"Bearer {secret}"})
    assert opened.status_code == 200


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"expires_at": ""}, "expires_at"),
        ({"expires_at": "2020-01-01"}, "expires_at"),
        ({"expires_at": f"{dt.date.today().year + 2}-01-01"}, "expires_at"),  # noqa: DTZ011
        ({"scopes": "everything"}, "scopes"),
        ({"name": " "}, "name"),
    ],
)
def test_a_key_without_an_end_a_name_or_a_known_scope_is_not_made(as_role, changes, field):
    page = as_role("engineer").post(reverse("api-keys"), filled(**changes))
    assert list(page.context["form"].errors) == [field]
    assert not ApiKey.objects.exists()


def test_a_user_revokes_their_own_key_and_no_other(as_role):
    client = as_role("engineer")
    other = Caller(make_user("engineer")).key
    assert client.post(reverse("api-key-revoke", args=[other.pk])).status_code == 404
    client.post(reverse("api-keys"), filled())
    own = ApiKey.objects.get(name="Weekly table")
    client.post(reverse("api-key-revoke", args=[own.pk]))
    own.refresh_from_db()
    other.refresh_from_db()
    assert own.revoked_at is not None
    assert other.revoked_at is None
    assert "Script" not in client.get(reverse("api-keys")).content.decode()


def test_an_outsider_makes_no_key(as_role):
    assert as_role(None).post(reverse("api-keys"), filled()).status_code == 403
