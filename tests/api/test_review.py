"""Review of a visit: accepted or returned, corrected, set aside, rated, findings seen."""

import pytest

from inspections.models import (
    ComponentRating,
    CriticalFinding,
    Inspection,
    Reading,
    SetAside,
    TemperatureReading,
)
from tests.api.calls import Caller, fields_of, is_problem
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user, read
from tests.rows import valid_row

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer"))


@pytest.fixture
def inspector() -> Caller:
    return Caller(make_user("inspector"))


@pytest.fixture
def visit() -> Inspection:
    bearing = make_element(make_unit(make_bridge()), "pot")
    made = make_inspection(bearing.bridge)
    read(made, bearing, "offset_along", 12.5, 20.0)
    return made


def test_an_engineer_returns_and_accepts_what_was_handed_in(engineer, inspector, visit):
    address = f"inspections/{visit.pk}"
    inspector.post(f"{address}/hand-in/", {})
    is_problem(inspector.post(f"{address}/accept/", {}), 403)
    told = is_problem(engineer.post(f"{address}/return/", {}), 400)
    assert fields_of(told) == ["note"]
    back = engineer.post(f"{address}/return/", {"note": "Read the left gap."})
    assert back.status_code == 200
    assert (back.json()["state"], back.json()["review_note"]) == ("open", "Read the left gap.")
    is_problem(engineer.post(f"{address}/accept/", {}), 409)
    inspector.post(f"{address}/hand-in/", {})
    assert engineer.post(f"{address}/accept/", {}).json()["state"] == "accepted"
    visit.refresh_from_db()
    assert visit.reviewed_by == engineer.key.owner


def test_a_correction_names_what_it_corrects(inspector, visit):
    wrong = Reading.objects.get()
    body = {"typed": "1/2 in", "reason": "Read in inches"}
    made = inspector.post(f"readings/{wrong.pk}/correct/", body, key="once-only-1")
    assert made.status_code == 201
    assert made.json()["corrects"] == wrong.pk
    assert made.json()["offset_along_mm"] == pytest.approx(12.7)
    again = inspector.post(f"readings/{wrong.pk}/correct/", body, key="once-only-1")
    assert again.json() == made.json()
    assert Reading.objects.count() == 2
    assert inspector.get(f"readings/{wrong.pk}/").json()["corrected_by"] == made.json()["id"]
    is_problem(inspector.post(f"readings/{wrong.pk}/correct/", body), 409)


def test_a_temperature_is_corrected_with_its_exposure(inspector, visit):
    wrong = TemperatureReading.objects.get()
    body = {"typed": "68 F", "sunlit": True, "reason": "Misread"}
    made = inspector.post(f"temperatures/{wrong.pk}/correct/?units=us", body).json()
    assert (made["corrects"], made["sunlit"]) == (wrong.pk, True)
    assert made["temperature_f"] == pytest.approx(68.0)


@pytest.mark.parametrize(
    ("change", "field"),
    [({"typed": "12"}, "typed"), ({"typed": "3 kN"}, "typed"), ({"reason": " "}, "reason"),
     ({"value": 3}, "value"), ({"typed": "99 m"}, "value")],
)  # fmt: skip
def test_a_bad_correction_is_told_at_its_field(inspector, visit, change, field):
    body = {"typed": "13 mm", "reason": "Misread"} | change
    wrong = Reading.objects.get()
    told = is_problem(inspector.post(f"readings/{wrong.pk}/correct/", body), 400)
    assert fields_of(told) == [field]
    assert Reading.objects.count() == 1


def test_once_handed_in_only_a_reviewer_corrects_and_sets_aside(engineer, inspector, visit):
    inspector.post(f"inspections/{visit.pk}/hand-in/", {})
    row = Reading.objects.get()
    is_problem(inspector.post(f"readings/{row.pk}/set-aside/", {"reason": "twice"}), 403)
    told = is_problem(engineer.post(f"readings/{row.pk}/set-aside/", {}), 400)
    assert fields_of(told) == ["reason"]
    made = engineer.post(f"readings/{row.pk}/set-aside/", {"reason": "Read twice"})
    assert made.status_code == 201
    assert made.json()["reading"] == SetAside.objects.get().reading_id == row.pk


def test_a_bridge_is_rated_and_a_poor_rating_says_why(inspector, visit):
    address = f"inspections/{visit.pk}/ratings/"
    told = is_problem(inspector.post(address, {"item": "B.C.07", "code": "4"}), 400)
    assert fields_of(told) == ["reason"]
    first = inspector.post(address, {"item": "B.C.07", "code": "4", "reason": "Frozen"})
    assert first.status_code == 201
    assert inspector.post(address, {"item": "B.C.07", "code": "5"}).json()["counts"] is True
    standing = inspector.get("ratings/", counts="true").json()["results"]
    assert [row["code"] for row in standing] == ["5"]
    assert ComponentRating.objects.count() == 2
    is_problem(inspector.post("inspections/999999/ratings/", {"item": "B.C.07", "code": "5"}), 404)


def test_an_engineer_notes_that_a_critical_finding_is_seen(engineer, inspector):
    row = valid_row(CriticalFinding)
    assert inspector.get("critical-findings/", seen="false").json()["count"] == 1
    is_problem(inspector.post(f"critical-findings/{row.pk}/seen/", {}), 403)
    seen = engineer.post(f"critical-findings/{row.pk}/seen/", {}).json()
    assert seen["seen_by"] == engineer.key.owner.username
    assert inspector.get("critical-findings/", seen="false").json()["count"] == 0
