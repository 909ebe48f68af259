"""Giving roles out: who may, where, and what follows at once."""

import os
import subprocess
import sys

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command

from inspections.models import HeldRole
from inventory.models import District
from tests.make import make_bridge, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return District.objects.create(code="N", name="North")


@pytest.fixture
def south():
    return District.objects.create(code="S", name="South")


def as_user(client, user):
    client.force_login(user)
    return client


def test_a_role_counts_from_the_next_page_on_and_no_longer_when_it_ended(client, north):
    boss, new = make_user("administrator", district=north), make_user("manager", district=north)
    bridge = make_bridge()
    bridge.district = north
    bridge.save()
    assert as_user(client, new).get("/inspections/new/").status_code == 403
    page = f"/people/{new.pk}/"
    given = as_user(client, boss).post(page, {"role": "inspector", "district": "N"})
    assert given.status_code == 302
    assert as_user(client, new).get("/inspections/new/").status_code == 200
    held = new.held_roles.get(role="inspector")
    assert as_user(client, boss).post(f"{page}roles/{held.pk}/end/").status_code == 302
    assert as_user(client, new).get("/inspections/new/").status_code == 403
    told = HeldRole.history.filter(user=new, role="inspector").order_by("history_id")
    assert [(row.history_type, row.history_user) for row in told] == [("+", boss), ("-", boss)]


def test_an_administrator_gives_roles_in_own_districts_alone(client, north, south):
    boss = make_user("administrator", district=north)
    here, there = make_user("manager", district=north), make_user("manager", district=south)
    page = as_user(client, boss).get("/people/").content.decode()
    assert here.username in page
    assert there.username not in page
    assert client.get(f"/people/{there.pk}/").status_code == 404
    for where in ("S", ""):
        answer = client.post(f"/people/{here.pk}/", {"role": "engineer", "district": where})
        assert answer.context["form"].errors["district"]
    assert not here.held_roles.filter(role="engineer").exists()
    assert (
        client.post(f"/people/{there.pk}/roles/{there.held_roles.get().pk}/end/").status_code == 404
    )


def test_a_role_for_all_districts_is_ended_by_an_administrator_for_all_alone(client, north):
    boss, top = make_user("administrator", district=north), make_user("administrator")
    both = make_user("manager", district=north)
    for_all = HeldRole.objects.create(user=both, role="manager")
    address = f"/people/{both.pk}/roles/{for_all.pk}/end/"
    assert as_user(client, boss).post(address).status_code == 404
    assert as_user(client, top).post(address).status_code == 302
    assert not HeldRole.objects.filter(pk=for_all.pk).exists()


def test_the_last_administrator_for_all_districts_stays(client):
    top = make_user("administrator")
    address = f"/people/{top.pk}/roles/{top.held_roles.get().pk}/end/"
    told = as_user(client, top).post(address, follow=True).content.decode()
    assert "Nobody would be left" in told
    assert top.held_roles.exists()
    make_user("administrator")
    as_user(client, top).post(address)
    assert not top.held_roles.exists()


def test_a_role_that_is_held_already_is_refused_with_the_reason(client, north):
    user = make_user("manager", district=north)
    as_user(client, make_user("administrator"))
    answer = client.post(f"/people/{user.pk}/", {"role": "manager", "district": "N"})
    assert "held there already" in answer.content.decode()


def test_somebody_with_two_roles_may_in_each_district_what_the_role_there_allows(
    client, north, south
):
    both = make_user("engineer", district=north)
    HeldRole.objects.create(user=both, role="manager", district=south)
    bridges = {}
    for district in (north, south):
        bridges[district.code] = bridge = make_bridge(f"B-{district.code}")
        bridge.district = district
        bridge.save()
    as_user(client, both)
    for code, status in (("B-N", 302), ("B-S", 404)):
        assert client.get(f"/bridges/{code}/").status_code == 200
        answer = client.post(
            f"/bridges/{code}/intervals/", {"kind": "routine", "months": 12, "reason": "Worn"}
        )
        assert answer.status_code == status
    assert "Set one" in client.get("/bridges/B-N/intervals/").content.decode()
    assert "Set one" not in client.get("/bridges/B-S/intervals/").content.decode()


def test_the_command_makes_the_first_administrator_and_refuses_what_it_does_not_know(north, capsys):
    get_user_model().objects.create_user("chief")
    call_command("give_role", "chief", "administrator")
    assert "all districts" in capsys.readouterr().out
    call_command("give_role", "chief", "engineer", "--district", "N")
    for wrong in (
        ("nobody", "engineer"),
        ("chief", "engineer", "--district", "X"),
        ("chief", "administrator"),
    ):
        with pytest.raises(CommandError) as refused:
            call_command("give_role", *wrong)
        assert refused.value.returncode == 2


def test_nothing_that_makes_pages_reads_rows_while_it_is_loaded():
    """Rows asked for at load time would be those of whoever came first."""
    code = (
        "import django, pkgutil, importlib; django.setup()\n"
        "import inspections, inventory\n"
        "for package in (inventory, inspections):\n"
        "    for each in pkgutil.walk_packages(package.__path__, package.__name__ + '.'):\n"
        "        if '.migrations' not in each.name: importlib.import_module(each.name)\n"
        "print('loaded')"
    )
    told = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "inspections.project.settings"},
    )
    assert "loaded" in told.stdout, told.stderr[-2000:]
