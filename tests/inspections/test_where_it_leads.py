"""From a visit to its flags, and from a flag to what explains it and what comes next."""

import datetime as dt

import pytest
from django.urls import reverse

from inspections.models import Decision, Flag, Inspection
from inspections.models.choices import CauseWord, DiagnosisWord
from inspections.services import decisions
from inspections.services.visits import submit
from tests.inspections.desk_rows import words
from tests.inspections.finding_rows import make_diagnosis
from tests.inspections.work_rows import an_order
from tests.make import (
    SET_AT_20_C,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit() -> Inspection:
    """A visit that found B-1 30 mm ahead at -15 degC, where 41 mm back is free, and B-2 well."""
    unit = make_unit(make_bridge("HV-104"))
    visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
    for code, value_mm in (("B-1", 30.0), ("B-2", -40.9)):
        bearing = make_element(
            unit,
            code=code,
            installation=SET_AT_20_C,
            design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
        )
        read(visit, bearing, "offset_along", value_mm, -15.0 if code == "B-1" else None)
    return visit


@pytest.fixture
def flag(visit) -> Flag:
    submit(inspection=visit)
    return Flag.objects.get(cause="position")


def test_a_visit_that_was_handed_in_leads_to_the_flags_that_it_shows(as_role, visit):
    client, address = as_role("engineer"), reverse("inspection", args=[visit.pk])
    assert "visit shows" not in words(client.get(address))
    submit(inspection=visit)
    flag = Flag.objects.get(cause="position")
    answer = client.get(address)
    assert "B-1: away from its expected position , to decide" in words(answer)
    assert f'href="/flags/{flag.pk}/"' in answer.content.decode()
    assert "B-2: away" not in words(answer)


def test_a_visit_that_shows_nothing_wrong_says_so(as_role):
    unit = make_unit(make_bridge())
    visit = make_inspection(unit.bridge)
    read(visit, make_element(unit), "offset_along", 0.0, 20.0)
    submit(inspection=visit)
    page = words(as_role("inspector").get(reverse("inspection", args=[visit.pk])))
    assert "No flag stands by what this visit shows." in page


def test_a_flag_says_what_explains_it_until_it_is_closed(as_role, flag):
    unit = flag.element.unit
    make_diagnosis(
        unit,
        {"cause": CauseWord.STEP, "element": flag.element, "size": 71.0},
        outcome=DiagnosisWord.EXPLAINED,
    )
    client = as_role("engineer")
    assert "What explains it Unit U1: B-1" in words(client.get(f"/flags/{flag.pk}/"))
    signed = {"kind": "close", "reason": "The marks were new."}
    page = words(client.post(f"/flags/{flag.pk}/", signed, follow=True))
    assert "Signed: closed." in page
    assert "What explains it" not in page


def test_a_flag_that_waits_for_a_reading_leads_to_the_next_visit(as_role, flag):
    client, address = as_role("engineer"), f"/flags/{flag.pk}/"
    visits = "/inspections/new/?bridge=HV-104"
    assert visits not in client.get(address).content.decode()
    client.post(address, {"kind": "measure_again", "reason": "From the far edge?"})
    assert Decision.objects.get().kind == "measure_again"
    assert visits in client.get(address).content.decode()


def test_a_flag_that_waits_for_work_leads_to_its_order(as_role, flag):
    order = an_order([flag], "repair")
    page = as_role("engineer").get(f"/flags/{flag.pk}/")
    assert f'href="/work/{order.pk}/">{order.code}' in page.content.decode()
    assert "say so on its order" in words(page)


def test_an_open_visit_names_the_readings_that_decisions_and_orders_wait_for(as_role, flag):
    def told() -> str:
        page = as_role("inspector").get(reverse("inspection", args=[visit.pk]))
        return words(page).split("Temperatures")[0]

    visit = make_inspection(flag.element.bridge, dt.date(2026, 5, 4))
    assert "waited for" not in told()
    decisions.decide(
        flag=flag,
        kind="measure_again",
        reason="Doubted.",
        until=dt.date(2090, 1, 1),
        user=make_user("engineer"),
    )
    assert (
        "Readings that are waited for: "
        "B-1: To be measured again (away from its expected position)" in told()
    )
    answer = as_role("inspector").get(reverse("inspection", args=[visit.pk]))
    address = reverse("reading-form", args=[visit.pk, flag.element_id])
    assert f'href="{address}">B-1: To be' in answer.content.decode()
