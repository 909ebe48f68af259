"""Rows of every resource, and calls with a key."""

from __future__ import annotations

import datetime as dt
import itertools
import json
from typing import Any

from django.test import Client
from django.utils import timezone

from inspections.models import (
    AirDay,
    AirTemperature,
    CapacityCheck,
    ComponentRating,
    Condition,
    CriticalFinding,
    Due,
    ElementDataRow,
    ElementHistory,
    Explanation,
    FieldNote,
    Instrument,
    Interval,
    LeftOut,
    Option,
    OptionStudy,
    Photo,
    PlannedVisit,
    SetAside,
    SignOff,
    WorkItem,
)
from inspections.services.api_keys import make_api_key
from inventory.models import Drawing
from tests import rows_desk
from tests.inspections.finding_rows import unclear
from tests.make import make_bridge, make_element, make_inspection, make_unit, read
from tests.rows import valid_row

RESOURCES = (
    "districts",
    "bridges",
    "units",
    "supports",
    "elements",
    "drawings",
    "inspections",
    "readings",
    "temperatures",
    "verdicts",
    "flags",
    "due",
    "work-orders",
    "events",
    "option-studies",
    "conditions",
    "notes",
    "critical-findings",
    "left-out",
    "photos",
    "set-aside",
    "sign-offs",
    "ratings",
    "air-temperatures",
    "air-days",
    "histories",
    "diagnoses",
    "best-times",
    "capacity-checks",
    "intervals",
    "planned-visits",
)
"""What is listed and fetched by id or code."""
WITHOUT_ID = ("air-stations", "element-data")
BUILT = {
    "drawings": Drawing,
    "conditions": Condition,
    "notes": FieldNote,
    "critical-findings": CriticalFinding,
    "left-out": LeftOut,
    "photos": Photo,
    "set-aside": SetAside,
    "sign-offs": SignOff,
    "ratings": ComponentRating,
    "air-temperatures": AirTemperature,
    "air-days": AirDay,
    "air-stations": AirTemperature,
    "histories": ElementHistory,
    "diagnoses": Explanation,
    "capacity-checks": CapacityCheck,
    "intervals": Interval,
    "planned-visits": PlannedVisit,
    "element-data": ElementDataRow,
}
"""Resources of which one row stands alone."""
_number = itertools.count(1)


def one_of_each() -> None:
    """Make one more row of each resource, with all that hangs on it."""
    unit = make_unit(make_bridge())
    joint = make_element(
        unit, "strip_seal", design={"opening_max_mm": 90.0, "opening_min_mm": 5.0},
        installation={"setting_source": "measured", "setting_temperature_c": 10.0,
                      "setting_gap_mm": 50.0},
    )  # fmt: skip
    tape = Instrument.objects.create(
        code=f"TP-{next(_number)}", name="Tape", dimension="mm", accuracy=1.0
    )
    visit = make_inspection(unit.bridge)
    read(visit, joint, "gap", 45.5, 20.0, accept=True, point="left", axis="square", instrument=tape)
    flag = rows_desk.flag(joint, cause="critical")
    order = rows_desk.order(bridge=unit.bridge)
    WorkItem.objects.create(order=order, element=joint, flag=flag)
    rows_desk.decision(flag, order=order, kind="work_ordered")
    rows_desk.event()
    study = OptionStudy.objects.create(
        bridge=unit.bridge, element=joint, flag=flag, title="Torn seal", question="Which seal?"
    )
    Option.objects.create(study=study, name="Replace the seal")
    if not Due.objects.filter(bridge=unit.bridge).exists():
        Due.objects.create(bridge=unit.bridge, reason="routine", due_on=dt.date(2026, 6, 1))


def one_more(resource: str) -> None:
    """Make one more row of a resource."""
    if resource == "best-times":
        element = make_element(make_unit(make_bridge()))
        unclear(element, quantity="offset_along", point="", axis="")
    elif resource in BUILT:
        valid_row(BUILT[resource])
    else:
        one_of_each()


class Caller:
    """Calls the API with a key."""

    def __init__(self, owner: Any, scopes: str = "read write") -> None:
        self.key, self.secret = make_api_key(
            owner=owner,
            name="Script",
            scopes=scopes,
            expires_at=timezone.now() + dt.timedelta(days=30),
        )
        self.client = Client()

    @property
    def headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.secret}"}

    def get(self, path: str, **query: Any) -> Any:
        return self.client.get(f"/api/v1/{path}", query, headers=self.headers)

    def post(self, path: str, body: Any, key: str | None = None) -> Any:
        key = key or f"test-key-{next(_number)}"
        return self.client.post(
            f"/api/v1/{path}",
            json.dumps(body),
            content_type="application/json",
            headers=self.headers | {"Idempotency-Key": key},
        )


def is_problem(response: Any, status: int) -> dict[str, Any]:
    """Return the problem document that a response must be."""
    assert response.status_code == status, response.content
    assert response["Content-Type"] == "application/problem+json"
    told = response.json()
    assert told["status"] == status
    assert told["type"]
    assert told["title"]
    assert told["detail"]
    return told


def fields_of(told: dict[str, Any]) -> list[str]:
    """Return the fields that a problem names."""
    return [each["field"] for each in told["errors"]]
