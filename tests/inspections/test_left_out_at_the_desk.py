"""A visit that is handed in at the desk, with one reason for all that was not read."""

import pytest
from django.urls import reverse

from inspections.models import Condition, Inspection, LeftOut
from inspections.services.visits import submit
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit() -> Inspection:
    """A visit that has read P-1 in part, and none of P-2 to P-4."""
    unit = make_unit(make_bridge("B-1"))
    visit = make_inspection(unit.bridge)
    places = [make_element(unit, code=f"P-{number}") for number in (1, 2, 3, 4)]
    read(visit, places[0], "offset_along", 0.0, 20.0)
    return visit


def place(visit, code):
    return visit.bridge.elements.get(code=code)


def hand_in(client, visit, **fields):
    return client.post(reverse("inspection-submit", args=[visit.pk]), fields)


def page(client, visit) -> str:
    return words(client.get(reverse("inspection", args=[visit.pk])))


def test_one_reason_is_kept_at_each_place_that_was_not_read(as_role, visit):
    client = as_role("inspector")
    assert "Not read, and no reason given: P-1, P-2, P-3, P-4." in page(client, visit)
    answer = hand_in(client, visit, reason="no_time", remark="The lane closure ended at noon.")
    assert answer.status_code == 302
    visit.refresh_from_db()
    assert visit.state == "submitted"
    rows = LeftOut.objects.order_by("element__code")
    assert [row.element.code for row in rows] == ["P-1", "P-2", "P-3", "P-4"]
    assert {(row.reason, row.remark, row.created_by.pk) for row in rows} == {
        ("no_time", "The lane closure ended at noon.", int(client.session["_auth_user_id"]))
    }
    told = page(client, visit)
    assert "P-2 not read: no time left, The lane closure ended at noon." in told
    assert "Not read, and no reason given" not in told


def test_what_was_explained_or_rated_before_keeps_its_own_word(as_role, visit):
    LeftOut.objects.create(inspection=visit, element=place(visit, "P-2"), reason="unsafe")
    Condition.objects.create(
        inspection=visit, element=place(visit, "P-3"), defect=0, cs1=1, cs2=0, cs3=0, cs4=0, total=1
    )
    client = as_role("engineer")
    assert "Not read, and no reason given: P-1, P-4." in page(client, visit)
    hand_in(client, visit, reason="covered")
    told = LeftOut.objects.order_by("element__code").values_list("element__code", "reason")
    assert [*told] == [("P-1", "covered"), ("P-2", "unsafe"), ("P-4", "covered")]


def test_it_is_handed_in_without_a_reason_as_before(as_role, visit):
    assert hand_in(as_role("inspector"), visit, reason="", remark="").status_code == 302
    visit.refresh_from_db()
    assert visit.state == "submitted"
    assert not LeftOut.objects.exists()


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"remark": "It rained."}, "Choose a reason, or hand in without one"),
        ({"reason": "weather", "remark": "It rained."}, "Select a valid choice."),
    ],
)
def test_a_refused_reason_is_told_with_what_was_typed_and_nothing_is_handed_in(
    as_role, visit, fields, says
):
    answer = hand_in(as_role("inspector"), visit, **fields)
    assert says in words(answer)
    assert 'value="It rained."' in answer.content.decode()
    visit.refresh_from_db()
    assert visit.state == "open"
    assert not LeftOut.objects.exists()


def test_whoever_hands_in_with_a_reason_must_choose_one(as_role, visit):
    answer = hand_in(as_role("inspector"), visit, reason="", remark="", with_reason="1")
    assert "Choose a reason, or hand in without one" in words(answer)
    visit.refresh_from_db()
    assert visit.state == "open"


def test_a_visit_that_is_handed_in_already_takes_no_reason(as_role, visit):
    submit(inspection=visit)
    assert hand_in(as_role("inspector"), visit, reason="no_time").status_code == 409
    assert not LeftOut.objects.exists()


def test_a_visit_that_has_not_begun_is_not_asked_for_one(as_role):
    unit = make_unit(make_bridge("B-2"))
    make_element(unit, code="P-1")
    visit = make_inspection(unit.bridge)
    assert "no reason given" not in page(as_role("inspector"), visit)
