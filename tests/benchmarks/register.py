"""Pages on a register as large as a nation's: ``python -m tests.benchmarks.register``.

On a PostgreSQL of its own.  Every address that the product reads by (``inspections.who_may``) is
asked for on 10,000 elements, then on ``--elements``, as an engineer for all districts and as one of
a single district, or as the role that may; of the lists further pages, orders and searches as well.
Files are told apart: what counts is their first byte, and that they end is not asked.
"""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import os
import re
import signal
import statistics
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.empty_site import empty_site

SMALL = 10_000
TARGET_MS, GROWTH, ATLEAST_MS = 300.0, 1.5, 20.0
"""Growth of a page is told from ``ATLEAST_MS`` on: below, it is the noise of a machine."""
LONGEST_S = 20
DEEP = 200
"""A page of a list that nobody reaches in a few clicks."""
FILES = ("-csv", "-xlsx", "export-", "-report", "paper", "inspection-form", "bridge-labels",
         "element-card", "work-list", "district-summary", "api-schema", "-labels")  # fmt: skip
NO_PAGES = ("photo", "drawing-file", "api-drawings-file", "job-result", "tablet-photo",
            "import-template", "metrics")  # fmt: skip
"""Addresses of a stored file, and of what watches over the site."""
SEARCHES = {
    "home": ("?page=2", "?page={deep}", "?show=all", "?show=all&page={deep}", "?q=B90-2",
             "?q=S-000-{k}", "?bridge={code}", "?district=D07", "?cause=position", "?severity=3",
             "?sort=bridge", "?sort=-seen", "?sort=element"),
    "elements": ("?page=2", "?page={deep}", "?verdict=all", "?verdict=all&page={deep}", "?q=B90-2",
                 "?q=S-000-{k}", "?bridge={code}", "?district=D07", "?kind=joint", "?device=pot",
                 "?reason=RESIDUAL", "?finding=frozen", "?sort=bridge", "?sort=-use", "?sort=-seen",
                 "?sort=element", "?sort=-residual"),
    "bridges": ("?page=2", "?page={deep}", "?q=S-000-{k}", "?district=D07", "?holds=flagged",
                "?holds=none", "?sort=code", "?sort=-elements", "?sort=district"),
    "inspections": ("?page=2", "?page={deep}", "?q=S-000-{k}"),
    "plan": ("?page=2", "?q=S-000-{k}", "?district=D07"),
    "orders": ("?page=2", "?page={deep}", "?q=S-000-{k}"),
    "options": ("?page=2", "?page={deep}", "?q=S-000-{k}"),
    "events": ("?page=2",),
    "changes": ("?page=2", "?q=S-000-{k}"),
}  # fmt: skip
"""What a user presses on a list."""


@dataclass
class Told:
    """What was measured of an address on one stock.

    Times are those of processors, page and database together: what it takes where nobody else
    works on the machine.  By the clock it takes longer where somebody does.
    """

    queries: int
    median_ms: float
    p95_ms: float
    p95_by_the_clock_ms: float
    size_kb: float


@dataclass
class Page:
    """An address, who asks for it, and what it took on each stock."""

    name: str
    who: str
    is_file: bool
    told: list[Told] = field(default_factory=list)
    refused: str = ""

    def missed(self) -> list[str]:
        """Return which targets it misses, in words."""
        small, large = self.told[0], self.told[-1]
        grown = large.median_ms / small.median_ms
        found = []
        if large.p95_ms > TARGET_MS:
            found.append(f"{large.p95_ms / TARGET_MS:.1f} times in time")
        if grown > GROWTH and large.median_ms > ATLEAST_MS:
            found.append("grows")
        if large.queries != small.queries:
            found.append(f"{small.queries} queries before")
        return found


def addresses(register) -> dict[tuple[str, str], str]:
    """Return the address by name and what it is asked with, at a bridge in the midst."""
    from django.urls import NoReverseMatch

    from inspections.who_may import ACTIONS
    from inventory.models import Bridge, District
    from tests.rights import world
    from tests.rows import kept_models

    k = max(4, register.copies // 8 * 4)
    bridge = Bridge.objects.get(code=f"S-000-{k}")
    rows = {}
    for model in kept_models():
        path = getattr(model.objects, "district_path", "")
        of = path.removesuffix("__district").removesuffix("district")
        found = model.objects.all()
        if of and of != path:
            found = found.filter(**{of.rstrip("_"): bridge}) if of.strip("_") else found
        if model is Bridge:
            found = found.filter(pk=bridge.pk)
        rows[model] = found.order_by("pk").last()
    here = world.World(District.objects.get(pk=bridge.district_id), rows)
    known, wanted = world.addresses(), {}
    names = [name for action in ACTIONS for method, name in action.addresses if method == "GET"]
    for name in dict.fromkeys(names):
        if any(part in name for part in NO_PAGES) or name not in known:
            continue
        try:
            path = known[name].path(here)
        except (AttributeError, NoReverseMatch) as error:  # no such row in this register
            wanted[name, ""] = f"!{type(error).__name__} {error}"
            continue
        wanted[name, ""] = path
        asked = [*SEARCHES.get(name, ())]
        view = getattr(known[name].view, "cls", None)
        if name.startswith("api-") and name.endswith("-list") and hasattr(view, "ordering_fields"):
            asked += ["?page=2", "?page={deep}", "?page_size=200"]
            asked += [f"?ordering={sign}{each}" for each in view.ordering_fields for sign in "+-"]
            base = getattr(view, "filterset_class", None)
            if base and "bridge" in base.base_filters:
                asked.append("?bridge={code}")
        for query in asked:
            full = query.format(deep=DEEP, k=k, code=bridge.code).replace("=+", "=")
            wanted[name, query.replace("=+", "=")] = path + full
    return wanted


def roles_of() -> dict[str, list[str]]:
    """Return the roles that may read by each address, by its name."""
    from inspections.who_may import ACTIONS

    return {
        name: sorted(action.roles)
        for action in ACTIONS
        for method, name in action.addresses
        if method == "GET"
    }


class TooLong(BaseException):
    """A request that nobody would wait for."""


def _too_long(*_told) -> None:
    raise TooLong


def is_file(name: str) -> bool:
    """Return whether an address gives a file, by its name."""
    return any(part in name for part in FILES)


def processor_s() -> float:
    """Return the processor time of this process and of its database server's process [s]."""
    from django.db import connection

    server = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat")
    return time.process_time() + int(server.read_text().split()[0]) / 1e9


def took_ms(client, address: str) -> tuple[float, float, int, int]:
    """Return time and processor time up to the first byte [ms], the status, the size [bytes]."""
    computed, started = processor_s(), time.perf_counter()
    answer = client.get(address)
    content = next(iter(answer), b"") if answer.streaming else answer.content
    taken = 1000.0 * (time.perf_counter() - started)
    computed = 1000.0 * (processor_s() - computed)
    answer.close()
    return taken, computed, answer.status_code, len(content)


def measure(
    client, name: str, address: str, times: int, budget_s: float
) -> tuple[Told | None, str]:
    """Return what an address takes; None with why where it does not answer."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    once = is_file(name)
    # An answer that is closed would close the connection, whose process tells its processor time.
    connection.settings_dict["CONN_MAX_AGE"] = None
    signal.alarm(LONGEST_S)
    try:
        connection.ensure_connection()
        first = took_ms(client, address)
        if first[2] != 200:
            return None, f"{first[2]}"
        with CaptureQueriesContext(connection) as captured:
            again = took_ms(client, address)
        queries = len(captured)
        taken, until = [again] if once or not times else [], time.perf_counter() + budget_s
        while not once and len(taken) < times:
            if len(taken) >= 3 and time.perf_counter() > until:
                break
            signal.alarm(LONGEST_S)
            taken.append(took_ms(client, address))
    except TooLong:
        connection.close()
        return None, f"over {LONGEST_S} s"
    finally:
        signal.alarm(0)
    times_ms, computed_ms = ([each[at] for each in taken] for at in (0, 1))
    return Told(
        queries, statistics.median(computed_ms), _p95(computed_ms), _p95(times_ms), again[3] / 1000
    ), ""


def _p95(values: list[float]) -> float:
    return statistics.quantiles([*values, values[-1]], n=20, method="inclusive")[-1]


def visit_all(register, pages: dict, times: int, budget_s: float, only: str) -> None:
    """Ask for every address and keep what it took."""
    from django.test import Client

    from inventory.models import District
    from tests.make import make_user

    signal.signal(signal.SIGALRM, _too_long)
    gc.collect()
    gc.freeze()
    clients = {}
    for role in ("engineer", "inspector", "manager", "administrator"):
        for district in (None, District.objects.get(code="D07") if role == "engineer" else None):
            who = role if district is None else f"{role}, one district"
            client = clients[who] = Client(SERVER_NAME="localhost")
            client.force_login(make_user(role, district))
    roles = roles_of()
    for (name, query), address in addresses(register).items():
        if only and not re.search(only, name + query):
            continue
        first = next(each for each in ("engineer", "inspector", "manager", "administrator")
                     if each in roles[name])  # fmt: skip
        asking = [first]
        if first == "engineer" and not query and "<" not in name and name_is_list(name):
            asking.append("engineer, one district")
        for who in asking:
            page = pages.setdefault((name, query, who), Page(name + query, who, is_file(name)))
            if address.startswith("!"):
                page.refused = address
                continue
            told, why = measure(clients[who], name, address, times, budget_s)
            print(name, query, who, told or why, file=sys.stderr, flush=True)
            if told is None:
                page.refused = why
            else:
                page.told.append(told)


def name_is_list(name: str) -> bool:
    """Return whether an address gives a list, by its name."""
    return name.endswith("-list") or name in {"home", *SEARCHES}


def table(pages: list[Page], stages: int) -> list[str]:
    """Return a line for each page."""
    lines = [
        f"{'page':52}{'queries':>8}{'median':>9}{'at first':>9}{'growth':>8}{'p95':>9}"
        f"{'clock':>9}{'kB':>7}   missed"
    ]
    for each in pages:
        if len(each.told) < stages:
            continue
        small, large = each.told[0], each.told[-1]
        label = each.name + (" (one district)" if "one district" in each.who else "")
        lines.append(
            f"{label:52}{large.queries:>8}{large.median_ms:>7.0f}ms{small.median_ms:>7.0f}ms"
            f"{large.median_ms / small.median_ms:>8.1f}{large.p95_ms:>7.0f}ms"
            f"{large.p95_by_the_clock_ms:>7.0f}ms{large.size_kb:>7.0f}"
            f"   {', '.join(each.missed())}"
        )
    return lines


def server_of(memory_mb: int) -> dict[str, str]:
    """Return the settings of a server of that size, as PostgreSQL's own documents advise."""
    return {
        "shared_buffers": f"{memory_mb}MB", "effective_cache_size": f"{3 * memory_mb}MB",
        "work_mem": "32MB", "maintenance_work_mem": "512MB", "random_page_cost": "1.1",
        "max_parallel_workers_per_gather": "0",
        "max_wal_size": "8GB", "checkpoint_timeout": "30min", "synchronous_commit": "off",
        "full_page_writes": "off",
    }  # fmt: skip


def main(given: argparse.Namespace) -> None:
    """Fill, ask, fill, ask, and print."""
    from django.core.management import call_command
    from django.db import transaction

    from tests.benchmarks import register_stock

    call_command("migrate", verbosity=0)
    with transaction.atomic():
        register = register_stock.make_register(
            given.readings_per_element, dt.datetime.now(dt.UTC).date()
        )
    pages: dict = {}
    stages = list(dict.fromkeys((min(SMALL, given.elements), given.elements)))
    for elements in stages:
        began = time.perf_counter()
        register.grow(elements)
        print(f"{', '.join(register_stock.sizes())}; filled in {time.perf_counter() - began:.0f} s",
              flush=True)  # fmt: skip
        visit_all(register, pages, given.times, given.seconds, given.only)
    found = list(pages.values())
    shown = [each for each in found if not each.is_file]
    missed = [each for each in shown if len(each.told) == len(stages) and each.missed()]
    print(f"\n{len(shown)} pages and calls, {len(missed)} of them miss a target\n")
    print("\n".join(table(shown, len(stages))))
    print("\nFiles, up to their first byte\n")
    print("\n".join(table([each for each in found if each.is_file], len(stages))))
    for each in found:
        if each.refused or len(each.told) < len(stages):
            print(f"not measured: {each.name} ({each.who}): {each.refused}")
    if given.keep:
        address = os.environ["DATABASE_URL"]
        print(f"\nkept until {given.keep} is removed: {address}", flush=True)
        Path(given.keep).touch()
        while Path(given.keep).exists():
            time.sleep(1.0)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.register")
    parser.add_argument("--elements", type=int, default=1_000_000)
    parser.add_argument("--readings-per-element", type=int, default=10)
    parser.add_argument("--times", type=int, default=20, help="requests of each page")
    parser.add_argument("--seconds", type=float, default=4.0, help="for one page at most")
    parser.add_argument("--memory-mb", type=int, default=3072, help="shared memory of the server")
    parser.add_argument("--only", default="", help="pages whose name and search this finds")
    parser.add_argument("--keep", default="", help="keep the server until this file is removed")
    asked = parser.parse_args()
    server = server_of(asked.memory_mb)
    variables = {"LEDGER_API_READS": "1000000/min", "OMP_NUM_THREADS": "1"}
    with empty_site(postgresql=True, server=server, **variables):
        main(asked)
