"""Long jobs done by worker processes that may be killed."""

from __future__ import annotations

import signal

import pytest

from tests.served.running import running
from tests.served.workers import until, workers_of

BRIDGES = 20


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    with running(tmp_path_factory.mktemp("site"), workers=1, LEDGER_WORKERS="1") as found:
        yield found


@pytest.fixture
def worker(site):
    """Return a function that starts a worker; in the end none is left."""
    with workers_of(site) as start:
        yield start


def standing(site, job: int) -> dict:
    return site.ledger.call("tests.served.job_rows:standing", job)


def test_a_worker_killed_while_judging_leaves_the_rest_to_a_new_start(site, worker):
    job = site.ledger.call("tests.served.job_rows:changed_settings", BRIDGES)
    assert standing(site, job)["left"] == BRIDGES
    first = worker()
    until(lambda: standing(site, job)["left"] < BRIDGES - 1, "nothing was judged")
    first.send_signal(signal.SIGKILL)
    first.wait()
    stopped = standing(site, job)
    assert (stopped["state"], 0 < stopped["left"] < BRIDGES) == ("running", True)
    judged = site.ledger.call("tests.served.job_rows:judged_at")
    site.ledger.call("tests.served.job_rows:silent_and_again", job)
    worker()
    until(lambda: standing(site, job)["state"] == "done", "it was not done")
    found = standing(site, job)
    assert (found["left"], found["done"], found["attempt"]) == (0, BRIDGES, 2)
    now = site.ledger.call("tests.served.job_rows:judged_at")
    kept = [code for code, at in judged.items() if now[code] == at]
    assert len(kept) == BRIDGES - stopped["left"]  # what was done is not done again


def test_the_progress_of_a_worker_is_seen_by_the_server(site, worker):
    job = site.ledger.call("tests.served.job_rows:report", 60)
    seen: set[str] = set()
    worker()

    def ended() -> bool:
        found = standing(site, job)
        seen.add(found["words"])
        return found["state"] == "done"

    until(ended, "no report")
    # Which of its steps are seen, and at what count, depends on how often one happens to look.
    assert [words for words in seen if words.startswith("Running: ") and "of 60" in words], seen
    assert site.ledger.call("tests.served.job_rows:result_begins_with", job) == "%PDF"


def test_an_import_killed_in_its_middle_has_taken_nothing_and_then_all_once(site, worker):
    job = site.ledger.call("tests.served.job_rows:large_import", 400)
    first = worker()
    until(lambda: "taking in" in standing(site, job)["words"], "it did not begin")
    first.send_signal(signal.SIGKILL)
    first.wait()
    found = standing(site, job)
    assert (found["state"], found["readings"]) == ("running", 0)
    site.ledger.call("tests.served.job_rows:silent_and_again", job)
    worker()
    until(lambda: standing(site, job)["state"] == "done", "it was not done")
    assert standing(site, job)["readings"] == 400
