"""Whole inspections sent by several tablets at once: ``python -m tests.benchmarks.sync``.

Each tablet sends one inspection after the other, of 40 elements with 200 readings, as the app
does: up to two hundred records a request on a good line, each judged before it is answered.
"""

from __future__ import annotations

import argparse
import contextlib
import statistics
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.rows import PASSWORD
from tests.served.running import running
from tests.soak.tablet import Tablet
from tests.soak.wire import Wire

BEARINGS, JOINTS, READINGS = 32, 8, 200
TARGET_MS = 300.0


def make(tablets: int, visits: int) -> dict[str, Any]:
    """Make the users, and for each of them so many open visits; called where the database is."""
    from django.utils import timezone

    from tests.make import (
        judged_once,
        make_bridge,
        make_element,
        make_inspection,
        make_unit,
        make_user,
    )
    from tests.soak.world import POINTS

    users = [make_user("inspector", password=PASSWORD).username for _ in range(tablets)]
    made = []
    with judged_once():
        for number in range(tablets * visits):
            unit = make_unit(make_bridge(f"Y-{number}"))
            bearings = [make_element(unit, "pot").pk for _ in range(BEARINGS)]
            figures = {"opening_max_mm": 130.0}
            joints = [make_element(unit, "strip_seal", design=figures).pk for _ in range(JOINTS)]
            places = [(pk, *POINTS[0]) for pk in bearings]
            places += [(pk, *point) for pk in joints for point in POINTS[1:]]
            visit = make_inspection(unit.bridge, timezone.now().date())
            made.append({"id": visit.pk, "places": places})
    return {"users": users, "visits": made}


def send_all(tablets: list[Tablet], visits: list[dict[str, Any]]) -> list[float]:
    """Let every tablet send its share of the visits; return the time of each [s]."""
    times_s: list[float] = []

    def work(tablet: Tablet, its: list[dict[str, Any]]) -> None:
        for visit in its:
            tablet.fill_in(visit, READINGS, photos=0)
            began_s = time.perf_counter()
            if not tablet.flush():
                raise SystemExit(f"{len(tablet.waiting)} records wait still: {tablet.refused[:3]}")
            times_s.append(time.perf_counter() - began_s)

    threads = [
        threading.Thread(target=work, args=(tablet, visits[number :: len(tablets)]))
        for number, tablet in enumerate(tablets)
    ]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return times_s


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.sync")
    parser.add_argument("--tablets", type=int, default=8)
    parser.add_argument("--visits", type=int, default=5, help="of each tablet")
    parser.add_argument("--workers", type=int, default=3, help="processes of the server")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own")
    given = parser.parse_args()
    if min(given.tablets, given.visits, given.workers) < 1:
        parser.error("--tablets, --visits and --workers: one at least")
    try:
        with contextlib.ExitStack() as stack:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="ledger-sync-")))
            url = f"{stack.enter_context(cluster())}/postgres" if given.postgresql else ""
            site = stack.enter_context(running(folder, given.workers, url))
            plan = site.ledger.call("tests.benchmarks.sync:make", given.tablets, given.visits)
            tablets = []
            for number, user in enumerate(plan["users"]):
                wire = Wire(site.server.port, faults=0, seed=number)
                wire.sign_in(user, PASSWORD)
                tablets.append(Tablet(wire, number))
            times_s = send_all(tablets, plan["visits"])
    except NotInstalled as error:
        raise SystemExit(str(error)) from None
    if len(times_s) < len(plan["visits"]):
        raise SystemExit("Not every visit was sent.")
    asked_s = [each for tablet in tablets for each in tablet.wire.times_s["records"]]
    store = "PostgreSQL" if given.postgresql else "SQLite"
    print(f"{given.tablets} tablets at once on {store}, {given.workers} processes of the server")
    print(f"{BEARINGS + JOINTS} elements and {READINGS} readings an inspection")
    for name, some in (("a request of records", asked_s), ("a whole inspection", times_s)):
        p95 = 1e3 * statistics.quantiles(some, n=20, method="inclusive")[-1]
        missed = f"   missed {p95 / TARGET_MS:.1f} times" if p95 > TARGET_MS else ""
        print(f"{name:22}{1e3 * statistics.median(some):>7.0f} ms, p95 {p95:>7.0f} ms{missed}")


if __name__ == "__main__":
    main()
