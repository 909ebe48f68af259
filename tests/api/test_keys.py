"""API keys: never more than their owner, and not after their end."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inspections.models import ApiKey
from inspections.services.api_keys import make_api_key, revoke_api_key
from tests.api.calls import Caller, is_problem
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


def new_visit() -> dict[str, str]:
    unit = make_unit(make_bridge())
    make_element(unit)
    return {"bridge": unit.bridge.code, "date": "2024-06-01", "team": "two inspectors"}


def test_a_key_is_kept_as_a_digest_with_only_its_beginning_readable():
    caller = Caller(make_user("engineer"))
    row = ApiKey.objects.get()
    assert caller.secret.startswith(row.prefix)
    kept = [f"{getattr(row, field.attname)}" for field in ApiKey._meta.concrete_fields]
    assert caller.secret not in kept
    assert len(row.prefix) <= 12 < len(caller.secret) - 30


def test_the_use_of_a_key_is_noted():
    caller = Caller(make_user("engineer"))
    caller.get("bridges/")
    assert ApiKey.objects.get().last_used_at is not None


def test_a_key_can_do_no_more_than_its_owner():
    caller = Caller(make_user("manager"))
    assert caller.get("bridges/").status_code == 200
    is_problem(caller.post("inspections/", new_visit()), 403)
    is_problem(Caller(make_user(None)).get("bridges/"), 403)


def test_a_key_loses_what_its_owner_loses():
    owner = make_user("inspector")
    caller = Caller(owner)
    owner.held_roles.all().delete()
    is_problem(caller.get("bridges/"), 403)
    owner.is_active = False
    owner.save()
    assert "sign in" in is_problem(caller.get("bridges/"), 401)["detail"]


def test_a_key_that_may_read_cannot_write():
    caller = Caller(make_user("inspector"), scopes="read")
    told = is_problem(caller.post("inspections/", new_visit()), 403)
    assert "may only read" in told["detail"]


def test_a_revoked_key_is_told_so():
    caller = Caller(make_user("engineer"))
    revoke_api_key(key=caller.key)
    answer = caller.get("bridges/")
    assert "revoked" in is_problem(answer, 401)["detail"]
    assert answer["WWW-Authenticate"].startswith("Bearer")


def test_an_expired_key_is_told_so():
    caller = Caller(make_user("engineer"))
    now = timezone.now()
    ApiKey.objects.update(created_at=now - dt.timedelta(days=2), expires_at=now)
    assert "expired" in is_problem(caller.get("bridges/"), 401)["detail"]


@pytest.mark.parametrize(
    "header", ["Bearer bjl_unknown", "Bearer", "Bearer two words", "Basic Zm9v", "Bearer \xff\xfe"]
)
def test_a_header_that_is_no_key_is_told_401_though_a_session_stands(as_role, header):
    is_problem(as_role("engineer").get("/api/v1/bridges/", headers={"Authorization": header}), 401)


@pytest.mark.parametrize("days", [-1, 400])
def test_a_key_expires_within_a_year(days):
    with pytest.raises(ValidationError) as refusal:
        make_api_key(
            owner=make_user("engineer"),
            name="Script",
            scopes="read",
            expires_at=timezone.now() + dt.timedelta(days=days),
        )
    assert list(refusal.value.message_dict) == ["expires_at"]
