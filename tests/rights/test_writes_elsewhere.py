"""What names a bridge of another district in a body or file finds nothing there, writes nothing."""

import datetime as dt
import io
import uuid

import pytest

from inspections.models import FieldNote, Inspection, PlannedVisit, Reading, TabletRecord, WorkOrder
from inventory.models import District
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def there():
    """An inspection of bearing P on a bridge of district S."""
    element = make_element(make_unit(make_bridge("B-S")), code="P")
    element.bridge.district = District.objects.create(code="S", name="South")
    element.bridge.save()
    return make_inspection(element.bridge)


@pytest.fixture
def north():
    return District.objects.create(code="N", name="North")


def test_a_tablet_cannot_send_to_an_inspection_of_another_district(client, there, north):
    client.force_login(make_user("inspector", district=north))
    now = dt.datetime.now(dt.UTC).isoformat()
    uid = f"{uuid.uuid4()}"
    record = {"uid": uid, "inspection": there.pk, "kind": "note", "made_at": now,
              "payload": {"text": "Nest on the cap"}}  # fmt: skip
    body = {"tablet": f"{uuid.uuid4()}", "clock_now": now, "records": [record]}
    answer = client.post("/field/records", body, content_type="application/json")
    (receipt,) = answer.json()["receipts"]
    assert receipt["outcome"] == "refused"
    assert not TabletRecord.objects.exists()
    assert not FieldNote.objects.exists()


def test_a_file_of_readings_cannot_reach_a_bridge_of_another_district(client, there, north):
    client.force_login(make_user("engineer", district=north))
    text = (
        "bridge_code,inspection_date,team,taken_at,element_code,offset_along_mm\n"
        f"B-S,{there.date},two,{there.date} 08:30,P,12.5\n"
    )
    file = io.BytesIO(text.encode())
    file.name = "readings.csv"
    answer = client.post("/imports/readings/", {"file": file, "state": "open"})
    page = answer.content.decode()
    assert "B-S" in page
    assert answer.context["problem_count"] >= 1
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("resource", "body", "table"),
    [
        ("inspections", {"date": "2025-06-03", "team": "two"}, Inspection),
        ("planned-visits", {"kind": "routine", "planned_on": "2030-01-01"}, PlannedVisit),
        ("work-orders",
         {"kind": "reset", "title": "Reset", "ordered_on": "2025-01-01"}, WorkOrder),
    ],
)  # fmt: skip
def test_the_api_knows_no_bridge_of_another_district(client, there, north, resource, body, table):
    client.force_login(make_user("engineer", district=north))
    before = table.objects.count()
    answers = [
        client.post(
            f"/api/v1/{resource}/",
            body | {"bridge": code},
            content_type="application/json",
            headers={"X-CSRFToken": "-"},
        ).json()
        for code in ("B-S", "B-NONE")
    ]
    told = [str(each["errors"]).replace("B-S", "B-NONE") for each in answers]
    assert told[0] == told[1]
    assert "bridge" in told[0]
    assert table.objects.count() == before
