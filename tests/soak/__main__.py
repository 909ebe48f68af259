"""Let tablets send at once to a real server over a bad network, then compare every row."""

from __future__ import annotations

import argparse
import contextlib
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.ledger import Ledger
from tests.served.rows import PASSWORD
from tests.served.server import Server
from tests.soak.compare import differences
from tests.soak.tablet import Tablet
from tests.soak.wire import Wire

FLUSHES_AT_MOST = 10_000


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--inspections", type=int, default=200)
    parser.add_argument("--readings", type=int, default=40, help="of each inspection")
    parser.add_argument("--photos", type=int, default=3, help="of each inspection")
    parser.add_argument("--tablets", type=int, default=8)
    parser.add_argument("--workers", type=int, default=4, help="processes of the server")
    parser.add_argument("--faults", type=float, default=0.2, help="share of requests that break")
    parser.add_argument("--seed", type=int, default=20264)
    parser.add_argument("--database-url", default="", help="an empty database; else SQLite")
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own")
    given = parser.parse_args()
    try:
        with contextlib.ExitStack() as stack:
            if given.postgresql:
                given.database_url = f"{stack.enter_context(cluster())}/postgres"
            folder = stack.enter_context(tempfile.TemporaryDirectory(prefix="ledger-soak-"))
            found = soak(Path(folder), given)
    except NotInstalled as error:
        raise SystemExit(str(error)) from None
    for each in found[:20]:
        print(each)
    if found:
        raise SystemExit(f"{len(found)} differences between tablets and server.")
    print("Tablets and server agree row by row.")


def soak(folder: Path, given: argparse.Namespace) -> list[str]:
    """Run it, print the table, and return the differences."""
    server = Server(folder, given.database_url, given.workers)
    server.manage("migrate", "-v", "0")
    ledger = Ledger(folder, given.database_url)
    plan = ledger.call("tests.soak.world:make", given.inspections, given.tablets, given.seed)
    server.start()
    try:
        tablets = _tablets(server.port, plan, given)
        began_s = time.perf_counter()
        _send_all(tablets)
        took_s = time.perf_counter() - began_s
    finally:
        server.stop()
    held = ledger.call("tests.soak.world:held")
    found = differences(tablets, held)
    stale = ledger.call("tests.soak.world:stale_verdicts")
    if stale:
        found.append(f"{stale} verdicts differ once all is judged again")
    ledger.close()
    _print(tablets, held, took_s)
    failures = sum(count for tablet in tablets for status, count in tablet.wire.statuses.items()
                   if status >= 500)  # fmt: skip
    if failures:
        found.append(f"{failures} answers of a failed server: {server.log.read_text()[-3000:]}")
    return found


def _tablets(port: int, plan: dict, given: argparse.Namespace) -> list[Tablet]:
    tablets = []
    for number, user in enumerate(plan["users"]):
        wire = Wire(port, given.faults, given.seed + 100 + number)
        wire.sign_in(user, PASSWORD)
        tablets.append(Tablet(wire, given.seed + 200 + number))
    for visit in plan["visits"]:
        crew = [tablets[number] for number in visit["crew"]]
        for number, tablet in enumerate(crew):
            readings, photos = (
                whole // len(crew) + (number < whole % len(crew))
                for whole in (given.readings, given.photos)
            )
            tablet.fill_in(visit, readings, photos)
    return tablets


def _send_all(tablets: list[Tablet]) -> None:
    def send(tablet: Tablet) -> None:
        for _ in range(FLUSHES_AT_MOST):
            if tablet.flush():
                return
            time.sleep(tablet.dice.uniform(0, 0.1))

    threads = [threading.Thread(target=send, args=(each,)) for each in tablets]
    for each in threads:
        each.start()
    for each in threads:
        each.join()


def _print(tablets: list[Tablet], held: dict, took_s: float) -> None:
    made = Counter(record["kind"] for tablet in tablets for record in tablet.made)
    outcomes = sum((tablet.outcomes for tablet in tablets), Counter())
    suffered = sum((tablet.wire.suffered for tablet in tablets), Counter())
    statuses = sum((tablet.wire.statuses for tablet in tablets), Counter())
    rows = [("made", "readings", made["reading"]), ("made", "photos", made["photo"])]
    rows += [("held", name, len(held[name])) for name in ("records", "readings", "photos")]
    rows += [("receipts", *each) for each in sorted(outcomes.items())]
    rows += [("network", *each) for each in sorted(suffered.items())]
    rows += [("answers", *each) for each in sorted(statuses.items())]
    for name in ("records", "photo"):
        times_s = sorted(time for tablet in tablets for time in tablet.wire.times_s[name])
        for share in (0.5, 0.95, 1.0) if times_s else ():
            at_ms = 1000 * times_s[min(len(times_s) - 1, int(share * len(times_s)))]
            rows.append((f"one {name}", f"p{100 * share:.0f} [ms]", round(at_ms)))
    rows.append(("whole run", "[s]", round(took_s)))
    for first, second, third in rows:
        print(f"{first:<12} {second:<38} {third:>8}")


if __name__ == "__main__":
    main()
