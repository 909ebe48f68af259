"""People and programs that write to a site until they are told to stop.

Each remembers what it was answered; what it was not, it sends again as it was.
"""

from __future__ import annotations

import datetime as dt
import http.client
import json
import random
import re
import threading
import time
import uuid
from functools import partial
from typing import Any

from tests.faults.world import IMPORT_BRIDGE, IMPORTED, TOGETHER
from tests.served.rows import PASSWORD
from tests.soak.tablet import BOUNDARY, Tablet
from tests.soak.wire import PATIENCE_S, Answer, Cut, Wire

PAUSE_S = 0.05
LEAVES_AFTER_S = 5
AGAIN = (502, 503)
FIRST_DAY = dt.date(2011, 1, 1)


class Writer:
    """Writes one thing after the other; ``acknowledged`` is what it was told has been taken."""

    of = ""

    def __init__(self, port: int) -> None:
        self.port = port
        self.acknowledged: list[Any] = []
        self.wrong: list[str] = []
        self.busy = self.stopped = False
        self.away, self._waited_s = 0, 0.0
        self._thread = threading.Thread(target=self._run)

    def start(self) -> None:
        """Begin to write."""
        self._thread.start()

    def end(self) -> None:
        """Finish what was begun and stop."""
        self.stopped = True
        self._thread.join(PATIENCE_S)
        if self._thread.is_alive():
            self.wrong.append("never came to an end")

    def step(self) -> None:
        """Write one thing, until it is acknowledged."""
        raise NotImplementedError

    def _run(self) -> None:
        while not self.stopped:
            try:
                self.step()
            except Exception as error:  # noqa: BLE001 - told by the main thread
                self.wrong.append(f"{type(error).__name__}: {error}")
                return

    def wait(self) -> None:
        """Wait a moment for a site that is away; not for ever, once it is time to stop."""
        self.away += 1
        if self.stopped:
            self._waited_s += PAUSE_S
            if self._waited_s > LEAVES_AFTER_S:
                raise TimeoutError("the site has not come back")
        time.sleep(PAUSE_S)

    def until_answered(self, ask: Any) -> Answer:
        """Ask until there is an answer that is none of a site away for the moment."""
        while True:
            self.busy = True
            try:
                answer = ask()
            except Cut:
                answer = None
            finally:
                self.busy = False
            if answer is not None and answer.status not in AGAIN:
                if answer.status >= 500:
                    self.wrong.append(f"{answer.status}: {answer.content[:200]!r}")
                    self.stopped = True
                return answer
            if answer is not None and not answer.content:
                self.wrong.append(f"{answer.status} without a word")
            self.wait()


class Inspector(Writer):
    """A tablet that sends readings and photos."""

    of = "records"

    def __init__(self, port: int, user: str, visit: dict, seed: int) -> None:
        super().__init__(port)
        wire = Wire(port, faults=0, seed=seed)
        wire.sign_in(user, PASSWORD)
        self.tablet, self.visit = Tablet(wire, seed), visit

    def step(self) -> None:
        """Enter a few readings and a photo, and send until none waits."""
        before = len(self.tablet.made)
        self.tablet.fill_in(self.visit, readings=4, photos=1)
        while self.tablet.waiting:
            self.busy = True
            self.tablet.flush()
            self.busy = False
            if self.tablet.waiting:
                self.wait()
        self.acknowledged += [each["uid"] for each in self.tablet.made[before:]]
        faults = [each for each in self.tablet.wire.statuses if each >= 500 and each not in AGAIN]
        if faults or self.tablet.refused:
            self.wrong.append(f"answered {faults}, refused {self.tablet.refused}")
            self.stopped = True


class Program(Writer):
    """A program with an API key, whose writes carry a key of their own."""

    def __init__(self, port: int, secret: str, seed: int) -> None:
        super().__init__(port)
        self.secret, self.dice, self.number = secret, random.Random(seed), 0

    def ask(self, method: str, path: str, body: Any = None, key: str = "") -> Answer:
        """Send one request."""
        way = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        headers = {"Authorization": f"Bearer {self.secret}", "Content-Type": "application/json"}
        if key:
            headers["Idempotency-Key"] = key
        try:
            way.request(method, f"/api/v1/{path}", body and json.dumps(body), headers)
            response = way.getresponse()
            return Answer(response.status, response.read())
        except (OSError, http.client.HTTPException) as error:
            raise Cut(str(error)) from error
        finally:
            way.close()

    def post(self, path: str, body: dict) -> dict[str, Any] | None:
        """Write, and return what was made; None where it was refused."""
        key = f"{uuid.uuid4()}"
        answer = self.until_answered(lambda: self.ask("POST", path, body, key))
        return answer.json if answer.status < 300 else self._refused(answer)

    def _refused(self, answer: Answer) -> None:
        self.wrong.append(f"refused: {answer.content[:300]!r}")
        self.stopped = True

    def step(self) -> None:
        """Write one thing."""
        self.number += 1
        self.write(f"Write {self.number}")

    def write(self, told: str) -> None:
        """Write one thing with some words."""
        raise NotImplementedError


class Decider(Program):
    """Signs one decision on several flags."""

    of = "decisions"

    def __init__(self, port: int, secret: str, seed: int, flags: list[int]) -> None:
        super().__init__(port, secret, seed)
        self.flags = flags

    def write(self, told: str) -> None:
        """Accept until a day."""
        body = {"kind": "accept", "reason": told, "until": "2090-01-01", "flags": self.flags}
        made = self.post("flags/decisions/", body)
        self.acknowledged += [each["id"] for each in made["decisions"]] if made else []


class Orderer(Program):
    """Orders work on several elements."""

    of = "orders"

    def __init__(self, port: int, secret: str, seed: int, bridge: str, elements: list[int]) -> None:
        super().__init__(port, secret, seed)
        self.bridge, self.elements = bridge, elements

    def write(self, told: str) -> None:
        """Order a repair."""
        assert len(self.elements) == TOGETHER
        made = self.post("work-orders/", {
            "bridge": self.bridge, "kind": "repair", "title": told,
            "ordered_on": f"{dt.datetime.now(dt.UTC).date()}", "elements": self.elements,
        })  # fmt: skip
        self.acknowledged += [made["id"]] if made else []


class Setter(Program):
    """Changes a threshold, based on what it has just read."""

    of = "settings"

    def write(self, told: str) -> None:
        """Read the version that holds, and change a figure."""
        present = self.until_answered(lambda: self.ask("GET", "thresholds/"))
        if present.status != 200:
            self._refused(present)
            return
        figure = {"watch_k": 1.5 + self.number % 500 / 1000}
        if self.post("thresholds/", figure | {"reason": told, "based_on": present.json["version"]}):
            self.acknowledged.append(told)


class Importer(Writer):
    """Takes a small file of readings in by the page: checked first, then confirmed."""

    of = "imports"

    def __init__(self, port: int, user: str) -> None:
        super().__init__(port)
        self.wire = Wire(port, faults=0, seed=0)
        self.wire.sign_in(user, PASSWORD)
        self.number = 0

    def step(self) -> None:
        """Take in a file of one visit."""
        self.number += 1
        day = FIRST_DAY + dt.timedelta(days=self.number)
        while not self.stopped:
            page = self.until_answered(lambda: self._send({"state": "open"}, _file(day)))
            token = re.search(rb'name="confirm" value="([^"]+)"', page.content)
            if token is None:
                # Taken in, but the answer to it was lost.
                if b"nothing to import" not in page.content.lower():
                    self.wrong.append(f"no check: {page.status} {_words(page.content)}")
                    self.stopped = True
                    return
                break
            word = {"confirm": token[1].decode()}
            answer = self.until_answered(partial(self._send, word))
            if answer.status == 302:
                break
        else:
            return
        self.acknowledged.append(f"{day}")

    def _send(self, fields: dict[str, str], file: str = "") -> Answer:
        parts = [
            f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{value}\r\n'
            for name, value in fields.items()
        ]
        if file:
            parts.append(
                f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="file"; filename="r.csv"\r\n'
                f"Content-Type: text/csv\r\n\r\n{file}\r\n"
            )
        body = "".join(parts).encode() + f"--{BOUNDARY}--\r\n".encode()
        kind = f"multipart/form-data; boundary={BOUNDARY}"
        return self.wire.ask("POST", "/imports/readings/", body, kind)


def _file(day: dt.date) -> str:
    lines = ["bridge_code,inspection_date,team,taken_at,element_code,offset_along_mm"]
    lines += [
        f"{IMPORT_BRIDGE},{day},two,{day} 08:{10 + number},P,{number}.5"
        for number in range(IMPORTED)
    ]
    return "\n".join(lines)


def _words(page: bytes) -> str:
    """Return what a page says in its main part."""
    main = page.decode(errors="replace").partition("<main")[2]
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())[:600]
