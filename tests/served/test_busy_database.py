"""A database that another process holds: what is sent waits, or is asked for again."""

import contextlib
import sqlite3
import time

import pytest

from tests.served.rows import PASSWORD
from tests.served.running import running
from tests.served.sending import at_once, outcomes, post, record
from tests.soak.tablet import Tablet
from tests.soak.wire import Wire

WAITS_S = 3


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """Always on SQLite, where one writer holds up all others."""
    folder = tmp_path_factory.mktemp("busy")
    with running(folder, database_url="", LEDGER_DATABASE_WAIT_S=f"{WAITS_S}") as found:
        found.ledger.call("tests.served.rows:inspector", "one")
        yield found


@pytest.fixture(scope="module")
def tablet(site) -> Tablet:
    wire = Wire(site.server.port, faults=0, seed=1)
    wire.sign_in("one", PASSWORD)
    return Tablet(wire, seed=1)


def hold(site, for_s: float) -> None:
    """Hold the database as a long import does."""
    path = site.server.folder / "ledger.sqlite3"
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        time.sleep(for_s)
        connection.execute("ROLLBACK")


def test_what_comes_while_the_database_is_held_for_a_moment_is_taken(site, tablet):
    visit = site.ledger.call("tests.served.rows:visit", "T-1")
    note = record(visit, "note", text="Rust")
    _, answer = at_once(lambda: hold(site, 1), lambda: (time.sleep(0.2), post(tablet, note))[1])
    assert outcomes([answer]) == {"taken": 1}


def test_a_database_held_for_too_long_is_told_as_busy_and_no_fault_of_the_record(site, tablet):
    visit = site.ledger.call("tests.served.rows:visit", "T-2")
    note = record(visit, "note", text="Rust")
    _, answer = at_once(
        lambda: hold(site, WAITS_S + 2), lambda: (time.sleep(0.2), post(tablet, note))[1]
    )
    # 503 is what the tablet takes for a busy server: it marks no record as suspect.
    assert (answer.status, answer.json["title"]) == (503, "Busy")
    assert outcomes([post(tablet, note)]) == {"taken": 1}
    assert site.ledger.call("tests.served.rows:came", visit["id"]) == [note["uid"]]
