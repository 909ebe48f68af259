"""The same write of a program that comes several times at once, on real server processes."""

from __future__ import annotations

import json
import urllib.error
import urllib.request

import pytest

from tests.served.running import running
from tests.served.sending import at_once


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with running(tmp_path_factory.mktemp("site"), workers=4) as found:
        yield found


def post(site, secret: str, path: str, body: dict, key: str) -> tuple[int, bytes]:
    request = urllib.request.Request(  # noqa: S310 - an address of our own
        f"{site.server.url}/api/v1/{path}",
        json.dumps(body).encode(),
        {
            "Authorization": f"Bearer {secret}",
            "Content-Type": "application/json",
            "Idempotency-Key": key,
        },
    )
    try:
        with urllib.request.urlopen(request) as answer:  # noqa: S310
            return answer.status, answer.read()
    except urllib.error.HTTPError as refusal:
        return refusal.code, refusal.read()


def test_one_write_that_comes_six_times_at_once_takes_place_once(site):
    secret = site.ledger.call("tests.served.rows:api_key")
    site.ledger.call("tests.served.rows:visit", "T-1")
    for day in range(1, 6):
        body = {"bridge": "T-1", "date": f"2024-06-0{day}", "team": "two"}
        answers = at_once(
            *[lambda b=body, d=day: post(site, secret, "inspections/", b, f"visit-{d:04}")] * 6
        )
        assert {status for status, _ in answers} == {201}, answers
        assert len({json.loads(content)["id"] for _, content in answers}) == 1


def test_two_keys_for_one_visit_leave_one_visit_and_a_refusal(site):
    secret = site.ledger.call("tests.served.rows:api_key")
    site.ledger.call("tests.served.rows:visit", "T-2")
    body = {"bridge": "T-2", "date": "2024-06-01", "team": "two"}
    answers = at_once(
        *[lambda n=number: post(site, secret, "inspections/", body, f"race-{n:04}")
          for number in range(6)]
    )  # fmt: skip
    assert sorted(status for status, _ in answers) == [201, 409, 409, 409, 409, 409], answers
