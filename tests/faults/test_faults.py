"""A site that is killed, runs out of disk, loses its database or its time, on real processes."""

from __future__ import annotations

import os
import uuid
from pathlib import Path

import pytest

from tests.faults.killing import UNTHROTTLED, kill_again_and_again
from tests.faults.small_disk import small_disk
from tests.faults.writers import Decider, Program
from tests.postgresql.cluster import cluster_in_reach
from tests.served.database import ON_POSTGRESQL
from tests.served.rows import PASSWORD
from tests.served.running import Running, running
from tests.served.sending import at_once, outcomes, post, record, send_photo
from tests.soak.tablet import Tablet
from tests.soak.wire import Wire

on_postgresql = pytest.mark.skipif(
    ON_POSTGRESQL not in os.environ, reason="run by python -m tests.postgresql"
)
OTHER_TIME = next(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"), None)


def tablet_of(site: Running) -> Tablet:
    made = site.ledger.call("tests.served.rows:inspector", "one")
    assert made
    wire = Wire(site.server.port, faults=0, seed=1)
    wire.sign_in("one", PASSWORD)
    return Tablet(wire, seed=1)


def nothing_is_broken(site: Running) -> None:
    assert site.ledger.call("tests.faults.world:look")["broken"] == []


def test_what_was_acknowledged_outlives_a_killed_server_and_nothing_is_there_in_part(tmp_path):
    found = kill_again_and_again(tmp_path, 3, seed=1, url=None)
    assert found.wrong == []
    assert found.kills["web server"] == 3
    assert found.in_mid_write
    assert all(found.written.values()), found.written


@on_postgresql
def test_it_outlives_a_killed_database_as_well(tmp_path):
    with cluster_in_reach() as database:
        url = f"{database.address}/postgres"
        found = kill_again_and_again(tmp_path, 4, seed=2, database=database, url=url)
    assert found.wrong == []
    assert found.kills == {"web server": 2, "database": 2}


@on_postgresql
def test_a_database_that_goes_and_comes_back_is_told_in_words_and_then_all_goes_on(tmp_path):
    with (
        cluster_in_reach() as database,
        running(tmp_path, database_url=f"{database.address}/postgres") as site,
    ):
        visit = site.ledger.call("tests.served.rows:visit", "T-1")
        tablet = tablet_of(site)
        assert tablet.wire.ask("GET", "/readyz").status == 200
        note = record(visit, "note", text="Rust")
        database.stop()
        page = tablet.wire.ask("GET", "/bridges/")
        assert (page.status, b"does not take anything just now" in page.content) == (503, True)
        sent = post(tablet, note)
        assert (sent.status, sent.json["title"]) == (503, "Busy")
        ready = tablet.wire.ask("GET", "/readyz")
        assert (ready.status, ready.json["checks"]["database"]) == (503, "does not answer")
        assert tablet.wire.ask("GET", "/healthz").status == 200
        database.start()
        assert tablet.wire.ask("GET", "/readyz").status == 200
        assert outcomes([post(tablet, note)]) == {"taken": 1}
        assert tablet.wire.ask("GET", "/bridges/").status == 200
        nothing_is_broken(site)


def test_a_full_disk_is_told_and_takes_all_once_there_is_room(tmp_path):
    with (
        small_disk(tmp_path / "disk") as disk,
        running(disk.folder, workers=1, database_url="") as site,
    ):
        visit = site.ledger.call("tests.served.rows:visit", "T-1")
        tablet = tablet_of(site)
        places = {"id": visit["id"], "places": [(visit["bearings"][0], "", "", "")]}
        tablet.fill_in(places, readings=0, photos=2)
        photos = [tablet.waiting.pop() for _ in range(2)]
        notes = [record(visit, "note", text="Rust " * 400) for _ in range(30)]
        disk.fill()
        answers = [post(tablet, each) for each in notes]
        answers += [send_photo(tablet, each) for each in photos]
        assert {each.status for each in answers} <= {200, 503}
        refused = [each for each in answers if each.status == 503]
        assert refused
        assert {each.json["title"] for each in refused} == {"Busy"}
        assert tablet.wire.ask("GET", "/readyz").status == 503
        disk.empty()
        again = [post(tablet, each) for each in notes] + [send_photo(tablet, e) for e in photos]
        took = outcomes(again)
        assert (took["taken"], took["already"]) == (len(refused), len(answers) - len(refused))
        came = site.ledger.call("tests.served.rows:came", visit["id"])
        assert came == sorted(each["uid"] for each in (*notes, *photos))
        nothing_is_broken(site)


@pytest.mark.skipif(OTHER_TIME is None, reason="needs the Debian package `libfaketime`")
def test_a_clock_that_is_set_back_breaks_no_chain_and_loses_nothing(tmp_path):
    with running(tmp_path, 1, **UNTHROTTLED) as site:
        made = site.ledger.call("tests.faults.world:make", 1)
        visit = made["visits"][0]
        wire = Wire(site.server.port, faults=0, seed=1)
        wire.sign_in(made["users"][0], PASSWORD)
        tablet = Tablet(wire, seed=1)
        decider = Decider(site.server.port, made["key"], 1, made["flags"])
        notes = []
        for clock in ("as it is", "-2d", "as it is"):
            if notes:
                site.server.stop()
                of_another_time = {"LD_PRELOAD": str(OTHER_TIME), "FAKETIME": clock}
                if clock == "-2d":
                    site.server.environment |= of_another_time
                else:
                    del site.server.environment["LD_PRELOAD"]
                site.server.start()
            notes.append(record(visit, "note", text=f"Clock {clock}"))
            assert outcomes([post(tablet, notes[-1])]) == {"taken": 1}
            decider.step()
            assert decider.wrong == []
        assert len(decider.acknowledged) == 6
        assert site.ledger.call("tests.served.rows:history") == (6, [])
        came = site.ledger.call("tests.served.rows:came", visit["id"])
        assert came == sorted(each["uid"] for each in notes)
        nothing_is_broken(site)


def test_of_several_who_change_one_thing_at_once_none_is_lost_without_a_word(tmp_path):
    with running(tmp_path, **UNTHROTTLED) as site:
        made = site.ledger.call("tests.faults.world:make", 1)
        program = Program(site.server.port, made["key"], 1)

        def send(path: str, body: dict) -> tuple[int, dict]:
            answer = program.ask("POST", path, body, key=f"{uuid.uuid4()}")
            return answer.status, answer.json

        answers = at_once(*(
            lambda n=n: send("thresholds/", {"watch_k": 1.5 + n / 10, "reason": f"{n}",
                                             "based_on": 0})
            for n in range(4)
        ))  # fmt: skip
        assert sorted(status for status, _ in answers) == [200, 409, 409, 409]
        assert all("meanwhile" in told["detail"] for status, told in answers if status == 409)

        status, order = send("work-orders/", {
            "bridge": "F-DESK", "kind": "repair", "title": "Mend", "ordered_on": "2025-01-01",
            "elements": made["elements"],
        })  # fmt: skip
        assert status == 201
        change = f"work-orders/{order['id']}/change/"
        titles = [f"Mend {number}" for number in range(4)]
        answers = at_once(*(lambda title=each: send(change, {"title": title}) for each in titles))
        assert {status for status, _ in answers} == {200}
        # The last one holds; what the others said stays on record.
        assert {*titles} <= {*site.ledger.call("tests.faults.world:titles_of", order["id"])}
        nothing_is_broken(site)
