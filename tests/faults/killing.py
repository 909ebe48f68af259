"""Kills a site under load again and again, and looks after each time at what it holds."""

from __future__ import annotations

import json
import random
import time
import urllib.error
import urllib.request
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.world import DESK_BRIDGE
from tests.faults.writers import Decider, Importer, Inspector, Orderer, Setter, Writer
from tests.postgresql.cluster import Cluster
from tests.served.running import Running, running
from tests.soak.compare import rows_differ

TABLETS = 2
WRITES_WITHIN_S = 60
LONGEST_S = 0.5
UNTHROTTLED = {"LEDGER_API_WRITES": "1000000/min", "LEDGER_API_READS": "1000000/min"}


@dataclass
class Found:
    """What was done and what was wrong."""

    kills: Counter = field(default_factory=Counter)
    in_mid_write: int = 0
    written: Counter = field(default_factory=Counter)
    away: int = 0
    seals: int = 0
    wrong: list[str] = field(default_factory=list)


def kill_again_and_again(
    folder: Path,
    kills: int,
    seed: int,
    database: Cluster | None = None,
    url: str | None = "",
    tell: Callable[[str], object] = lambda told: None,
) -> Found:
    """Kill the web server, and with a ``database`` of its own that one in turn."""
    found, dice = Found(), random.Random(seed)
    with running(folder, workers=2, database_url=url, **UNTHROTTLED) as site:
        writers = _writers(site, seed)
        for each in writers:
            each.start()
        try:
            for number in range(kills):
                _let_write(writers)
                time.sleep(dice.uniform(0, LONGEST_S))
                found.in_mid_write += any(each.busy for each in writers)
                if database is not None and number % 2:
                    database.kill()
                    found.kills["database"] += 1
                    found.wrong += _told_as_away(site)
                    database.start()
                else:
                    site.server.kill()
                    found.kills["web server"] += 1
                    site.server.start()
                found.wrong += _whole(site, writers)
                tell(f"{number + 1} of {kills}: {sum(len(each.acknowledged) for each in writers)}"
                     " writes acknowledged")  # fmt: skip
                if found.wrong or any(each.wrong for each in writers):
                    break
        finally:
            for each in writers:
                each.stopped = True
            for each in writers:
                each.end()
        found.wrong += _whole(site, writers) + _in_the_end(site, writers)
        found.seals = site.ledger.call("tests.served.rows:history")[0]
    for each in writers:
        found.written[each.of] += len(each.acknowledged)
        found.away += each.away
        found.wrong += [f"{each.of}: {told}" for told in each.wrong]
    return found


def _writers(site: Running, seed: int) -> list[Writer]:
    made = site.ledger.call("tests.faults.world:make", TABLETS)
    port, key = site.server.port, made["key"]
    pairs = zip(made["users"], made["visits"], strict=True)
    return [
        *(Inspector(port, user, visit, seed + n) for n, (user, visit) in enumerate(pairs)),
        Decider(port, key, seed, made["flags"]),
        Orderer(port, key, seed, DESK_BRIDGE, made["elements"]),
        Setter(port, key, seed),
        Importer(port, "engineer"),
    ]


def _let_write(writers: list[Writer]) -> None:
    """Wait until something was written, so that no kill meets an idle site."""
    before = sum(len(each.acknowledged) for each in writers)
    end = time.monotonic() + WRITES_WITHIN_S
    while sum(len(each.acknowledged) for each in writers) == before:
        if any(each.wrong for each in writers):
            return
        assert time.monotonic() < end, "nothing is written any more"
        time.sleep(0.02)


def _whole(site: Running, writers: list[Writer]) -> list[str]:
    """Return what was acknowledged and is not there, and what is there in part."""
    promised = [(each.of, list(each.acknowledged)) for each in writers]
    there = site.ledger.call("tests.faults.world:look")
    told = {each for _, acknowledged in promised for each in acknowledged}
    return [
        *(
            f"{of} {each} was acknowledged and is lost"
            for of, acknowledged in promised
            for each in sorted({*acknowledged} - {*there["held"][of]})
        ),
        # What was not answered may wait for its judgement: it comes again.
        *(
            f"readings {point} are not judged"
            for point in there["unjudged"]
            if {*point} <= told | {"None"}
        ),
        *there["broken"],
    ]  # fmt: skip


def _told_as_away(site: Running) -> list[str]:
    """Return what is wrong with the answers of a site whose database is gone."""
    wrong = []
    for path in ("/bridges/", "/sign-in/", "/api/v1/bridges/", "/readyz"):
        status, content = _get(f"{site.server.url}{path}")
        # A page that asks nothing of the database goes on.
        if status not in ((200, 302, 401, 503) if path != "/readyz" else (503,)):
            wrong.append(f"{path} answers {status} without a database: {content[:200]!r}")
        if path == "/readyz" and status == 503:
            checks = json.loads(content)["checks"]
            if checks["database"] != "does not answer":
                wrong.append(f"/readyz says {checks}")
    return wrong


def _get(url: str) -> tuple[int, bytes]:
    try:
        with urllib.request.urlopen(url, timeout=60) as answer:  # noqa: S310 - our own address
            return answer.status, answer.read()
    except urllib.error.HTTPError as refusal:
        return refusal.code, refusal.read()


def _in_the_end(site: Running, writers: list[Writer]) -> list[str]:
    """Compare every row of the tablets, and judge all again."""
    tablets = [each.tablet for each in writers if isinstance(each, Inspector)]
    found = rows_differ(tablets, _of_tablets(site.ledger.call("tests.soak.world:held")))
    stale = site.ledger.call("tests.soak.world:stale_verdicts")
    if stale:
        found.append(f"{stale} verdicts differ once all is judged again")
    return found


def _of_tablets(held: dict) -> dict:
    """Leave out what came by files and pages, which have no record."""
    rows = [row for row in held["readings"] if row[0] != "None"]
    return held | {"readings": rows}
