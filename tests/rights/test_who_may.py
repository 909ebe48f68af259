"""Who may what, where: each address of the site, each role, here and in another district."""

from __future__ import annotations

import pytest
from django.db import transaction

from inspections.roles import Role
from inspections.who_may import ACTIONS, ANYBODY, Action
from tests.make import make_user
from tests.rights.world import OWNED, Address, World, addresses, keep_files, make_world

pytestmark = pytest.mark.django_db
GOES_AHEAD = {200, 201, 302, 303, 400, 409, 422}
NO_SUCH = 404
REFUSED = 403


@pytest.fixture
def world(settings, tmp_path) -> World:
    settings.MEDIA_ROOT = tmp_path
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": None, "writes": None}
    }
    made = make_world("HERE")
    keep_files(made, b"a picture")
    return made


def asked(client, method: str, path: str) -> int:
    """Return the status of a request, whatever it wrote undone."""
    with transaction.atomic():
        kind = {"content_type": "application/json"} if path.startswith("/api/v1") else {}
        call = client.get if method == "GET" else client.post
        status = call(path, {} if not kind or method == "GET" else "{}", **kind).status_code
        transaction.set_rollback(True)
    return status


def each_call() -> list[tuple[Action, str, Address]]:
    known = addresses()
    return [
        (action, method, known[name]) for action in ACTIONS for method, name in action.addresses
    ]


def test_every_address_is_in_the_table_once_with_each_method():
    told = [pair for action in ACTIONS for pair in action.addresses]
    assert len(told) == len({*told})
    named = {name for _method, name in told} | {*ANYBODY.split()}
    assert named == {*addresses()}


def test_every_method_that_an_address_answers_is_in_the_table(client, world):
    told = {pair for action in ACTIONS for pair in action.addresses}
    client.force_login(make_user("engineer"))
    untold = {
        (method, name)
        for name, address in addresses().items()
        if name not in ANYBODY.split()
        for method in ("GET", "POST")
        if (method, name) not in told and asked(client, method, address.path(world)) != 405
    }
    assert not untold, " ".join(sorted(name for _method, name in untold))


@pytest.mark.parametrize("role", [*Role, None])
def test_a_role_does_in_its_district_what_the_table_says_and_nothing_else(client, world, role):
    user = make_user(role and role.value, district=world.district)
    world.given_to(user)
    client.force_login(user)
    wrong = {}
    for action, method, address in each_call():
        status = asked(client, method, address.path(world))
        may = role in action.roles and not action.for_all
        if (status in GOES_AHEAD) is not may or (not may and status != REFUSED):
            wrong[method, address.name] = status
    assert not wrong, wrong


@pytest.mark.parametrize("role", [*Role])
def test_a_role_held_for_all_districts_does_what_the_table_says(client, world, role):
    user = make_user(role.value)
    world.given_to(user)
    client.force_login(user)
    wrong = {}
    for action, method, address in each_call():
        status = asked(client, method, address.path(world))
        if status not in (GOES_AHEAD if role in action.roles else {REFUSED}):
            wrong[method, address.name] = status
    assert not wrong, wrong


@pytest.mark.parametrize("role", [*Role])
def test_nothing_of_another_district_exists(client, world, role):
    elsewhere = make_world("ELSEWHERE")
    client.force_login(make_user(role.value, district=elsewhere.district))
    wrong = {}
    for action, method, address in each_call():
        about = address.about
        if about is None:
            continue
        status = asked(client, method, address.path(world))
        may = role in action.roles and not action.for_all
        if status not in ({NO_SUCH} if may else {NO_SUCH, REFUSED}):
            wrong[method, address.name] = status
    assert not wrong, wrong


def test_what_belongs_to_a_person_exists_for_no_other(client, world):
    world.given_to(make_user("engineer"))
    client.force_login(make_user("inspector"))
    for action, method, address in each_call():
        if address.about in OWNED and Role.INSPECTOR in action.roles:
            assert asked(client, method, address.path(world)) == NO_SUCH, address.name


def test_whoever_is_not_signed_in_is_asked_to(client, world):
    wrong = {}
    for _action, method, address in each_call():
        status = asked(client, method, address.path(world))
        api = "api/v1" in address.route or address.route.startswith("field/")
        if status not in ({401, 403, 302} if api else {302}):
            wrong[method, address.name] = status
    assert not wrong, wrong
