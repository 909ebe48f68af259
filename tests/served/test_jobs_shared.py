"""Workers that share one job, and take jobs side by side: real processes, some of them killed."""

from __future__ import annotations

import os
import signal
from collections import Counter

import pytest

from tests.served.database import ON_POSTGRESQL
from tests.served.running import running
from tests.served.workers import until, workers_of

BRIDGES = 40
WITHIN_S = 120
on_postgresql = pytest.mark.skipif(
    ON_POSTGRESQL not in os.environ, reason="run by python -m tests.postgresql"
)
ROWS = "tests.served.shared_rows"


@pytest.fixture
def site(tmp_path):
    with running(tmp_path, workers=1, LEDGER_WORKERS="1") as found:
        yield found


@pytest.fixture
def worker(site):
    """Return a function that starts a worker of some name; in the end none is left."""
    with workers_of(site) as start:
        yield start


def asked(site) -> int:
    """Change a threshold that every bridge rests on, and return the job."""
    job = site.ledger.call("tests.served.job_rows:changed_settings", BRIDGES)
    site.ledger.call(f"{ROWS}:keep_log")
    return job


def standing(site, job: int) -> dict:
    return site.ledger.call("tests.served.job_rows:standing", job)


def told(site, what: str) -> list[tuple[int, str]]:
    return [(number, by) for said, number, by in site.ledger.call(f"{ROWS}:told") if said == what]


def assert_each_was_judged_once(site, job: int) -> None:
    judged = Counter(unit for unit, _by in told(site, "judged"))
    assert judged == dict.fromkeys(site.ledger.call(f"{ROWS}:units"), 1)
    assert [number for number, _by in told(site, "done")] == [job]
    found = standing(site, job)
    assert (found["state"], found["left"], found["done"]) == ("done", 0, BRIDGES)


def test_two_workers_judge_every_bridge_once(site, worker):
    job = asked(site)
    worker("one")
    worker("two")
    until(lambda: standing(site, job)["state"] == "done", "it was not done", WITHIN_S)
    assert_each_was_judged_once(site, job)


@on_postgresql
def test_what_a_killed_worker_had_in_hand_is_judged_by_the_other_once(site, worker):
    job = asked(site)
    killed = worker("killed")
    until(lambda: told(site, "judged"), "nothing was judged")

    def stopped_with_bridges_in_hand() -> bool:
        killed.send_signal(signal.SIGSTOP)
        if site.ledger.call(f"{ROWS}:has_in_hand", "killed"):
            return True
        killed.send_signal(signal.SIGCONT)
        return False

    until(stopped_with_bridges_in_hand, "it never had bridges in hand")
    worker("other")
    until(lambda: site.ledger.call(f"{ROWS}:free", job) == 0, "the other did not go on", WITHIN_S)
    held = standing(site, job)
    assert (held["state"], 0 < held["left"] < BRIDGES) == ("running", True)
    killed.kill()
    killed.wait()
    until(lambda: standing(site, job)["state"] == "done", "it was not done", WITHIN_S)
    assert standing(site, job)["attempt"] == 1  # nobody had to start it again
    assert_each_was_judged_once(site, job)
    by = Counter(name for _unit, name in told(site, "judged"))
    assert set(by) == {"killed", "other"}
    assert by["other"] >= held["left"]


@on_postgresql
def test_a_job_whose_only_worker_was_killed_goes_on_when_the_next_one_comes(site, worker):
    job = asked(site)
    first = worker("first")
    until(lambda: len(told(site, "judged")) > 2, "nothing was judged")
    first.kill()
    first.wait()
    assert standing(site, job)["state"] == "running"
    worker("second")
    until(lambda: standing(site, job)["state"] == "done", "it was not done", WITHIN_S)
    assert standing(site, job)["attempt"] == 1
    assert_each_was_judged_once(site, job)


def test_two_reports_are_made_at_once_by_two_workers(site, worker):
    # So long that the worker that starts later still finds the other one at it.
    jobs = site.ledger.call(f"{ROWS}:two_reports", 400)
    # Whoever is there first makes one report and no more: the other is left for the other.
    for name in ("one", "two"):
        worker(name, "--max-tasks", "1")

    def ended() -> bool:
        return all(site.ledger.call(f"{ROWS}:times", job)["to"] for job in jobs)

    until(ended, "no reports", WITHIN_S)
    first, second = (site.ledger.call(f"{ROWS}:times", job) for job in jobs)
    assert (first["state"], second["state"]) == ("done", "done")
    assert max(first["from"], second["from"]) < min(first["to"], second["to"])
