"""A tablet as the server sees it: makes records, sends them, reads the receipts."""

import datetime as dt
import json
import uuid

from django.test import Client
from django.utils import timezone

from inspections.models import Inspection
from inventory.models import Element


class Tablet:
    """Sends records as a signed-in user."""

    def __init__(self, user, clock_slow: dt.timedelta = dt.timedelta(0)) -> None:
        self.client = Client()
        self.client.force_login(user)
        self.name = str(uuid.uuid4())
        self.clock_slow = clock_slow

    @property
    def now(self) -> dt.datetime:
        """The tablet's own time."""
        return timezone.now() - self.clock_slow

    def record(self, inspection: Inspection, kind: str, payload: dict, uid=None) -> dict:
        """Return a record as the tablet keeps it."""
        return {
            "uid": uid or str(uuid.uuid4()),
            "inspection": inspection.pk,
            "kind": kind,
            "made_at": self.now.isoformat(),
            "payload": payload,
        }

    def reading(self, inspection: Inspection, element: Element, value: float, **more) -> dict:
        """Return a reading of an offset along."""
        payload = {
            "element": element.pk,
            "quantity": "offset_along",
            "point": "",
            "axis": "",
            "typed": f"{value} mm",
            "value": value,
            "is_repeat_of": None,
            "taken_at": self.now.isoformat(),
            "instrument": None,
            "remark": "",
        }
        return self.record(inspection, "reading", payload | more)

    def post(self, *records: dict, **more):
        """Send records and return the response."""
        body = {"tablet": self.name, "clock_now": self.now.isoformat(), "records": list(records)}
        return self.client.post(
            "/field/records", json.dumps(body | more), content_type="application/json"
        )

    def send(self, *records: dict) -> list[dict]:
        """Send records and return their receipts."""
        response = self.post(*records)
        assert response.status_code == 200, response.content
        return response.json()["receipts"]
