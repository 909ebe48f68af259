"""Condition ratings of bearings and joints: given on a visit, corrected by a later one, told."""

import datetime as dt
import html

import pytest

from inspections.models import ComponentRating
from inspections.selectors.ratings import ratings_of
from inspections.services.ratings import rate
from inspections.services.visits import accept, submit
from tests.make import make_bridge, make_element, make_inspection, make_unit, read

pytestmark = pytest.mark.django_db


@pytest.fixture
def visit():
    """An open visit of a bridge with one reading."""
    unit = make_unit(make_bridge("B-1"))
    inspection = make_inspection(unit.bridge)
    read(inspection, make_element(unit, code="P-1"), "offset_along", 1.0, 15.0)
    return inspection


def give(client, visit, **fields):
    values = {"item": "B.C.07", "code": "6", "reason": ""} | fields
    return client.post(f"/inspections/{visit.pk}/ratings/", values, follow=True)


def words(response) -> str:
    return html.unescape(response.content.decode())


@pytest.mark.parametrize(
    ("role", "status"), [("inspector", 200), ("engineer", 200), ("manager", 403), (None, 403)]
)
def test_who_enters_readings_rates(as_role, visit, role, status):
    assert give(as_role(role), visit).status_code == status
    assert ComponentRating.objects.exists() == (status == 200)


def test_once_handed_in_the_reviewer_alone_rates(as_role, visit):
    submit(inspection=visit)
    assert give(as_role("inspector"), visit).status_code == 403
    assert give(as_role("engineer"), visit).status_code == 200
    assert ComponentRating.objects.count() == 1


def test_a_rating_is_told_on_the_visit_and_once_handed_in_at_the_bridge(as_role, visit):
    client = as_role("engineer")
    assert "B.C.07 Bearings: 6 Satisfactory" in words(give(client, visit))
    assert "6 Satisfactory" not in words(client.get("/bridges/B-1/"))
    submit(inspection=visit)
    assert "B.C.07 Bearings: 6 Satisfactory" in words(client.get("/bridges/B-1/"))


@pytest.mark.parametrize("code", ["0", "1", "2", "3", "4"])
def test_poor_and_worse_say_why_and_nothing_typed_is_lost(as_role, visit, code):
    client = as_role("engineer")
    page = words(give(client, visit, item="B.C.08", code=code))
    assert "A rating of 4 or less needs its reason." in page
    assert f'<option value="{code}" selected' in page
    assert not ComponentRating.objects.exists()
    give(client, visit, item="B.C.08", code=code, reason="Seal torn over 4 m")
    assert ComponentRating.objects.get().reason == "Seal torn over 4 m"


def test_the_last_rating_counts_and_the_first_stays_on_record(as_role, visit):
    client = as_role("engineer")
    give(client, visit, code="7")
    page = words(give(client, visit, code="5"))
    assert "B.C.07 Bearings: 5 Fair" in page
    assert "B.C.07 Bearings: 7 Good" not in page
    assert ComponentRating.objects.count() == 2


def test_an_accepted_visit_is_not_rated_any_more(as_role, visit):
    accept(inspection=submit(inspection=visit), user=None)
    page = words(give(as_role("engineer"), visit))
    assert "This inspection is accepted and its ratings stand." in page
    assert not ComponentRating.objects.exists()


def test_of_a_bridge_the_last_visit_counts_for_each_item(visit):
    rate(inspection=visit, item="B.C.07", code="7")
    rate(inspection=visit, item="B.C.08", code="6")
    submit(inspection=visit)
    later = make_inspection(visit.bridge, dt.date(2025, 6, 1))
    read(later, visit.bridge.elements.get(), "offset_along", 1.0, 15.0)
    rate(inspection=later, item="B.C.07", code="5")
    submit(inspection=later)
    told = {each.item: (each.code, each.inspection) for each in ratings_of(visit.bridge)}
    assert told == {"B.C.07": ("5", later), "B.C.08": ("6", visit)}
