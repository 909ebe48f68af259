"""HTTP over a bad network: a request may be cut at any point, or go twice at once."""

from __future__ import annotations

import http.client
import json
import random
import socket
import threading
import time
from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode

PATIENCE_S = 120


class Fault(StrEnum):
    """What the network does to a request."""

    BEFORE = "cut before sending"
    HALF = "cut in the middle of the body"
    UNHEARD = "cut after sending, before the answer"
    TWICE = "sent twice at once"


class Cut(Exception):  # noqa: N818 - reads as what happened
    """The connection broke, so nobody knows what became of the request."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What the server said."""

    status: int
    content: bytes

    @property
    def json(self) -> dict[str, Any]:
        """Its content."""
        return json.loads(self.content)


class Wire:
    """The way of one signed-in tablet to the server."""

    def __init__(self, port: int, faults: float, seed: int) -> None:
        self.port = port
        self.faults = faults
        self.dice = random.Random(seed)
        self.suffered: Counter[str] = Counter()
        self.statuses: Counter[int] = Counter()
        self.cookies: dict[str, str] = {}
        self.times_s: dict[str, list[float]] = {"records": [], "photo": []}

    def sign_in(self, user: str, password: str) -> None:
        """Sign in through the page."""
        self._plain("GET", "/sign-in/")
        form = {
            "username": user,
            "password": password,
            "csrfmiddlewaretoken": self.cookies["csrftoken"],
        }
        answer = self._plain(
            "POST", "/sign-in/", urlencode(form).encode(), "application/x-www-form-urlencoded"
        )
        assert answer.status == 302, f"{user} could not sign in: {answer.status}"

    def ask(
        self, method: str, path: str, body: bytes = b"", kind: str = "", timed_as: str = ""
    ) -> Answer:
        """Send a request, unless the network breaks it."""
        fault = None
        if self.dice.random() < self.faults:
            fault = self.dice.choice(list(Fault) if body else [Fault.BEFORE, Fault.UNHEARD])
            self.suffered[fault] += 1
        if fault is Fault.BEFORE:
            raise Cut(fault)
        if fault in (Fault.HALF, Fault.UNHEARD):
            self._broken(fault, method, path, body, kind)
        if fault is Fault.TWICE:
            other = threading.Thread(target=self._plain, args=(method, path, body, kind))
            other.start()
            answer = self._plain(method, path, body, kind)
            other.join()
            return answer
        started_s = time.perf_counter()
        answer = self._plain(method, path, body, kind)
        if timed_as:
            self.times_s[timed_as].append(time.perf_counter() - started_s)
        return answer

    def _headers(self, kind: str, length: int) -> dict[str, str]:
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {"Accept": "application/json", "Cookie": cookies, "Connection": "close"}
        if kind:
            headers |= {"Content-Type": kind, "Content-Length": f"{length}"}
            headers["X-CSRFToken"] = self.cookies.get("csrftoken", "")
        return headers

    def _plain(self, method: str, path: str, body: bytes = b"", kind: str = "") -> Answer:
        way = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            way.request(method, path, body or None, self._headers(kind, len(body)))
            response = way.getresponse()
            content = response.read()
        except (OSError, http.client.HTTPException) as error:
            raise Cut(str(error)) from error
        finally:
            way.close()
        for value in response.headers.get_all("Set-Cookie", []):
            self.cookies |= {name: each.value for name, each in SimpleCookie(value).items()}
        self.statuses[response.status] += 1
        return Answer(response.status, content)

    def _broken(self, fault: Fault, method: str, path: str, body: bytes, kind: str) -> None:
        """Send all of a request or half of its body, and hang up."""
        lines = [f"{method} {path} HTTP/1.1", f"Host: 127.0.0.1:{self.port}"]
        lines += [f"{name}: {value}" for name, value in self._headers(kind, len(body)).items()]
        sent = body if fault is Fault.UNHEARD else body[: len(body) // 2]
        try:
            with socket.create_connection(("127.0.0.1", self.port), PATIENCE_S) as way:
                way.sendall("\r\n".join(lines).encode() + b"\r\n\r\n" + sent)
                if fault is Fault.UNHEARD and self.dice.random() < 0.5:
                    way.recv(1)  # the server has acted by now; at other times it may still be
        except OSError as error:
            raise Cut(str(error)) from error
        raise Cut(fault)
