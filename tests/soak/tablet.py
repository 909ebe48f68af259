"""One tablet: the list of what waits and the rules of sending of the app, without a browser.

The same as `queue.js` and `send.js` of the app do: records before photos, two hundred at a time on
a good line, fifty on others and of what was tried before, second measurements with or after their
first, and off the list only by a receipt.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import random
import time
import uuid
from collections import Counter
from typing import Any

from PIL import Image

from tests.soak.wire import Cut, Wire

FIRST_BATCH, LARGEST_BATCH = 50, 200
QUICK_S, GOOD_LINE_S = 5.0, 1.0
BOUNDARY = "a-line-between-the-parts-of-a-photo"
Record = dict[str, Any]


class Tablet:
    """Makes records and sends them until none waits."""

    def __init__(self, wire: Wire, seed: int) -> None:
        self.wire = wire
        self.dice = random.Random(seed)
        self.name = str(uuid.UUID(int=self.dice.getrandbits(128), version=4))
        self.made: list[Record] = []
        self.waiting: list[Record] = []
        self.tried: set[str] = set()
        self.pictures: dict[str, bytes] = {}
        self.outcomes: Counter[str] = Counter()
        self.refused: list[str] = []

    def fill_in(self, visit: dict[str, Any], readings: int, photos: int) -> None:
        """Make what an inspector would enter of one inspection."""
        now = dt.datetime.now(dt.UTC).replace(second=0, microsecond=0)
        first: Record | None = None
        for _ in range(readings):
            element, quantity, point, axis = self.dice.choice(visit["places"])
            value = round(self.dice.uniform(5, 60), 1)
            # The minute is a coarse one, so that tablets meet at one point and time.
            taken_at = now - dt.timedelta(minutes=10 * self.dice.randint(0, 5))
            payload = {
                "element": element, "quantity": quantity, "point": point, "axis": axis,
                "typed": f"{value} mm", "value": value, "is_repeat_of": None,
                "taken_at": taken_at.isoformat(), "instrument": None, "remark": "",
            }  # fmt: skip
            if first is not None and self.dice.random() < 0.1:
                same = ("element", "quantity", "point", "axis", "taken_at")
                payload |= {name: first["payload"][name] for name in same}
                payload["is_repeat_of"] = first["uid"]
            record = self._enter(visit["id"], "reading", payload)
            if payload["is_repeat_of"] is None:
                first = record
        for number in range(photos):
            picture = _picture(self.dice.getrandbits(24))
            payload = {
                "element": visit["places"][0][0], "caption": f"Face {number}",
                "taken_at": now.isoformat(), "sha256": hashlib.sha256(picture).hexdigest(),
            }  # fmt: skip
            record = self._enter(visit["id"], "photo", payload)
            self.pictures[record["uid"]] = picture

    def _enter(self, inspection: int, kind: str, payload: dict[str, Any]) -> Record:
        uid = str(uuid.UUID(int=self.dice.getrandbits(128), version=4))
        record = {
            "uid": uid,
            "inspection": inspection,
            "kind": kind,
            "made_at": dt.datetime.now(dt.UTC).isoformat(),
            "payload": payload,
        }
        self.made.append(record)
        self.waiting.append(record)
        return record

    def flush(self) -> bool:
        """Send what waits until the network breaks; return whether all has gone."""
        try:
            asked_s = time.monotonic()
            self.wire.ask("GET", "/field/inspections.json")
            is_good = time.monotonic() - asked_s < GOOD_LINE_S
            most, done = LARGEST_BATCH if is_good else FIRST_BATCH, set()
            while batch := self._next(most, done):
                began_s = time.monotonic()
                has_gone = self._send(batch)
                is_quick = has_gone and time.monotonic() - began_s < QUICK_S
                if not has_gone and len(batch) > 1:
                    most = 1  # one of them may be what the server fails over
                    continue
                if most > 1:
                    most = LARGEST_BATCH if is_quick else FIRST_BATCH
                done |= {each["uid"] for each in batch}
        except Cut:
            pass  # whatever has no receipt stays on the list
        return not self.waiting

    def _next(self, most: int, done: set[str]) -> list[Record]:
        ready = [each for each in self.waiting if each["uid"] not in done]
        ready.sort(key=lambda each: (each["kind"] == "photo", each["uid"] in self.tried))
        if ready and ready[0]["kind"] == "photo":
            return ready[:1]
        there = {each["uid"] for each in self.waiting}
        batch = []
        for each in ready:
            if each["kind"] == "photo" or each["payload"]["is_repeat_of"] in there:
                continue
            there.discard(each["uid"])
            batch.append(each)
        batch = batch[:most]
        if any(each["uid"] in self.tried for each in batch):
            batch = batch[:FIRST_BATCH]
        self.tried |= {each["uid"] for each in batch}
        return batch

    def _send(self, batch: list[Record]) -> bool:
        if batch[0]["kind"] == "photo":
            body, kind = self.form_of(batch[0])
            path, timed_as = f"/field/photos/{batch[0]['uid']}", "photo"
        else:
            now = dt.datetime.now(dt.UTC).isoformat()
            body = json.dumps({"tablet": self.name, "clock_now": now, "records": batch}).encode()
            path, kind, timed_as = "/field/records", "application/json", "records"
        answer = self.wire.ask("POST", path, body, kind, timed_as)
        if answer.status != 200:
            return False
        named = {each["uid"]: each for each in answer.json["receipts"]}
        for each in batch:
            receipt = named.get(each["uid"])
            if receipt is None:
                continue
            self.outcomes[receipt["outcome"]] += 1
            self.waiting.remove(each)
            if receipt["outcome"] == "refused":
                self.refused.append(f"{receipt['field']}: {receipt['message']}")
        return True

    def form_of(self, record: Record) -> tuple[bytes, str]:
        """Return the body of a photo's request and its content type."""
        payload = record["payload"]
        fields = {
            "inspection": record["inspection"], "element": payload["element"],
            "caption": payload["caption"], "taken_at": payload["taken_at"],
            "made_at": record["made_at"], "clock_now": dt.datetime.now(dt.UTC).isoformat(),
            "tablet": self.name, "sha256": payload["sha256"],
        }  # fmt: skip
        parts = [
            f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
            for name, value in fields.items()
        ]
        head = (
            f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="image"; filename="p.jpg"\r\n'
            "Content-Type: image/jpeg\r\n\r\n"
        )
        image = self.pictures[record["uid"]]
        body = "".join(parts).encode() + head.encode() + image + f"\r\n--{BOUNDARY}--\r\n".encode()
        return body, f"multipart/form-data; boundary={BOUNDARY}"


def _picture(colour: int) -> bytes:
    noise = Image.effect_noise((320, 240), 80).convert("RGB")
    tint = Image.new("RGB", noise.size, f"#{colour:06x}")
    out = io.BytesIO()
    Image.blend(noise, tint, 0.3).save(out, "JPEG", quality=80)
    return out.getvalue()
