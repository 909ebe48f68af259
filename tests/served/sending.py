"""What tests send to a server, and all at the same time."""

from __future__ import annotations

import datetime as dt
import json
import threading
import uuid
from collections import Counter
from typing import Any

from tests.soak.tablet import Tablet
from tests.soak.wire import Answer


def at_once(*calls) -> list[Any]:
    """Do several things at the same time, and return what each returned."""
    results: list[Any] = [None] * len(calls)
    start = threading.Barrier(len(calls))

    def call(index: int) -> None:
        start.wait()
        results[index] = calls[index]()

    threads = [threading.Thread(target=call, args=(index,)) for index in range(len(calls))]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return results


def record(visit: dict, kind: str, **payload) -> dict:
    """Return a record as a tablet makes it."""
    now = dt.datetime.now(dt.UTC).isoformat()
    uid = str(uuid.uuid4())
    return {"uid": uid, "inspection": visit["id"], "kind": kind, "made_at": now, "payload": payload}


def reading(visit: dict, value: float, taken_at: str = "") -> dict:
    """Return a reading of the first bearing of a visit."""
    return record(
        visit, "reading", element=visit["bearings"][0], quantity="offset_along", point="", axis="",
        typed=f"{value} mm", value=value, is_repeat_of=None, instrument=None, remark="",
        taken_at=taken_at or dt.datetime.now(dt.UTC).isoformat(),
    )  # fmt: skip


def post(tablet: Tablet, *records: dict) -> Answer:
    """Send records in one batch."""
    now = dt.datetime.now(dt.UTC).isoformat()
    body = {"tablet": tablet.name, "clock_now": now, "records": records}
    return tablet.wire.ask("POST", "/field/records", json.dumps(body).encode(), "application/json")


def outcomes(answers: list[Answer]) -> Counter[str]:
    """Return what became of all records; no answer may be that of a failed server."""
    assert {each.status for each in answers} == {200}, [each.content[:300] for each in answers]
    return Counter(each["outcome"] for answer in answers for each in answer.json["receipts"])


def send_photo(tablet: Tablet, photo: dict) -> Answer:
    """Send a photo that the tablet holds."""
    body, kind = tablet.form_of(photo)
    return tablet.wire.ask("POST", f"/field/photos/{photo['uid']}", body, kind)
