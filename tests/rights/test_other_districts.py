"""What another district holds changes nothing that one sees: no row, count, choice or file."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from inspections.models import Instrument, Reading, TemperatureReading
from inspections.roles import Role
from inventory.models import StationYear
from tests.make import make_user
from tests.rights.test_who_may import each_call
from tests.rights.world import SHARED, make_world

pytestmark = pytest.mark.django_db
CHANGES_EACH_TIME = re.compile(
    rb'name="csrfmiddlewaretoken" value="[^"]+"|nonce="[^"]+"|"(server_now|made_at)": "[^"]+"'
    rb'|type="datetime-local" name="\w+" value="[^"]+"'
    rb"|drawing-\d+|class=\"on-paper\">[^<]*"
    rb"|DTSTAMP:\w+|/(CreationDate|ModDate|ID)[^\n]*"
)
PACKED = re.compile(r"(-xlsx|\.pdf)$")
"""A workbook or PDF names the moment it was made: the same tables are compared as CSV and HTML."""

FILES = {
    "photo", "photo-thumbnail", "api-photos-image", "api-photos-thumbnail", "drawing-file",
    "api-drawings-file",
}  # fmt: skip
"""What the rows of a district only name."""


@pytest.fixture
def world(settings):
    settings.REST_FRAMEWORK = settings.REST_FRAMEWORK | {
        "DEFAULT_THROTTLE_RATES": {"reads": None, "writes": None}
    }
    return make_world("HERE")


def seen(client, world) -> dict[str, bytes]:
    """Return what each address answers to a reader, at the rows of a district."""
    answers = {}
    for _action, method, address in each_call():
        if method == "GET" and not PACKED.search(address.name) and address.name not in FILES:
            response = client.get(address.path(world))
            if response.status_code == 200 and response["Content-Type"] != "application/pdf":
                answers[address.name] = CHANGES_EACH_TIME.sub(b"", response.getvalue())
    return answers


def leave_what_is_shared_as_it_was(world) -> None:
    """Take away the instruments and the weather that came with other districts."""
    Reading.objects.update(instrument=None)
    TemperatureReading.objects.update(instrument=None)
    for model in (*SHARED, Instrument):
        model.objects.exclude(pk=world.rows[model].pk).delete()
    for model in (Instrument, StationYear):
        model.history.exclude(id=world.rows[model].pk).delete()


@pytest.mark.parametrize("role", [Role.ENGINEER, Role.INSPECTOR])
def test_another_district_changes_nothing_that_is_seen(client, world, role):
    user = make_user(role.value, district=world.district)
    world.given_to(user)
    leave_what_is_shared_as_it_was(world)
    client.force_login(user)
    before = seen(client, world)
    assert len(before) > 100
    make_world("ELSEWHERE")
    make_user("engineer", username="somebody-else", district=make_world("THIRD").district)
    leave_what_is_shared_as_it_was(world)
    after = seen(client, world)
    different = {name for name, answer in before.items() if after.get(name) != answer}
    assert not different, different


@pytest.mark.parametrize("role", [Role.ENGINEER, Role.MANAGER])
def test_no_list_search_or_file_tells_a_name_of_another_district(client, world, role):
    elsewhere = make_world("ELSEWHERE")
    client.force_login(make_user(role.value, district=world.district))
    codes = {each.code for each in elsewhere.district.bridges.all()}
    assert len(codes) > 20
    for action, method, address in each_call():
        if method == "GET" and address.about is None and role in action.roles:
            for query in ({}, {"q": "T-"}, {"district": "ELSEWHERE"}):
                answer = client.get(address.path(world), query).getvalue().decode(errors="replace")
                told = {code for code in codes if re.search(rf"\b{code}\b", answer)}
                assert not told, (address.name, query, told)


def test_the_register_of_another_district_is_not_in_the_admin_site(client, world):
    elsewhere = make_world("ELSEWHERE")
    client.force_login(make_user("engineer", district=world.district))
    for model in ("bridge", "element", "installation", "unit", "support"):
        there = elsewhere.rows[{each.__name__.lower(): each for each in elsewhere.rows}[model]]
        here = world.rows[type(there)]
        change = f"admin:inventory_{model}_change"
        assert client.get(reverse(change, args=[here.pk])).status_code == 200
        # The admin site leads away from what it does not find.
        assert client.get(reverse(change, args=[there.pk])).status_code == 302
        listed = client.get(reverse(f"admin:inventory_{model}_changelist"), {"q": ""})
        assert [row.pk for row in listed.context["cl"].result_list if row.pk == there.pk] == []
        assert here.pk in [row.pk for row in listed.context["cl"].result_list]


def test_a_bridge_cannot_be_moved_to_another_district_nor_take_its_code(client, world):
    elsewhere = make_world("ELSEWHERE")
    client.force_login(make_user("engineer", district=world.district))
    add = reverse("admin:inventory_bridge_add")
    form = client.get(add).context["adminform"].form
    assert [each.code for each in form.fields["district"].queryset] == ["HERE"]
    taken = next(iter(elsewhere.district.bridges.all())).code
    told = client.post(
        add, {"district": world.district.pk, "code": taken, "name": "New", "time_zone": "UTC"}
    )
    assert "already exists" in told.content.decode()
    told = client.post(
        add, {"district": elsewhere.district.pk, "code": "NEW-1", "name": "N", "time_zone": "UTC"}
    )
    assert "district" in told.context["adminform"].form.errors
