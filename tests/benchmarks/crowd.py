"""Many people at once at a site as it is run: how long each thing takes them, and what fails.

python -m tests.benchmarks.crowd --users 50 --minutes 5 [--postgresql]

Half of them send readings and photos from tablets, a tenth print reports, the others look at
flags and decide.  Each waits a few seconds between two things, as people do.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import statistics
import tempfile
import time
from collections import defaultdict
from pathlib import Path

from tests.benchmarks.crowd_people import Engineer, Inspector, Manager, Person
from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.running import running

ELEMENTS = 2000


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.crowd")
    parser.add_argument("--users", type=int, default=50)
    parser.add_argument("--minutes", type=float, default=5.0)
    parser.add_argument("--workers", type=int, default=3, help="processes of the server")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own")
    given = parser.parse_args()
    if given.users < 10 or given.minutes <= 0:
        parser.error("--users: ten at least, so that each role is there; --minutes: more than none")
    try:
        with contextlib.ExitStack() as stack:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="ledger-crowd-")))
            url = f"{stack.enter_context(cluster())}/postgres" if given.postgresql else ""
            site = stack.enter_context(running(folder, given.workers, url))
            plan = site.ledger.call("tests.benchmarks.crowd_people:make", ELEMENTS, given.users)
            people = _people(site.server.port, plan)
            _let_them_work(people, 60.0 * given.minutes)
            log = site.server.log.read_text()
    except NotInstalled as error:
        raise SystemExit(str(error)) from None
    store = "PostgreSQL" if given.postgresql else "SQLite"
    print(f"{given.users} people for {given.minutes:g} min on {store}, {ELEMENTS} elements,")
    print(f"{given.workers} processes of the server, {os.cpu_count()} cores for all of it\n")
    _show(people)
    wrong = [told for each in people for told in each.wrong]
    if wrong:
        raise SystemExit("\n".join([f"{len(wrong)} errors", *wrong[:20], log[-3000:]]))
    print("\nNo error.")


def _people(port: int, plan: dict) -> list[Person]:
    return [
        *(
            Inspector(port, user, visit, seed)
            for seed, (user, visit) in enumerate(plan["inspectors"])
        ),
        *(Engineer(port, user, plan["pages"], seed) for seed, user in enumerate(plan["engineers"])),
        *(Manager(port, user, plan["papers"], seed) for seed, user in enumerate(plan["managers"])),
    ]


def _let_them_work(people: list[Person], seconds: float) -> None:
    for each in people:
        each.start()
    time.sleep(seconds)
    for each in people:
        each.stopped.set()
    for each in people:
        each.join()


def _show(people: list[Person]) -> None:
    taken: dict[str, list[float]] = defaultdict(list)
    for each in people:
        for name, times_s in each.times_s.items():
            taken[name] += times_s
    print(f"{'what':32}{'times':>7}{'median s':>10}{'p95 s':>8}{'longest s':>11}")
    rows = [*sorted(taken.items()), ("all", [each for some in taken.values() for each in some])]
    for name, times_s in rows:
        p95 = (
            statistics.quantiles(times_s, n=20, method="inclusive")[-1]
            if len(times_s) > 1
            else times_s[0]
        )
        median, longest = statistics.median(times_s), max(times_s)
        print(f"{name:32}{len(times_s):>7}{median:>10.2f}{p95:>8.2f}{longest:>11.2f}")


if __name__ == "__main__":
    main()
