"""Speed of the engineer's pages on 2,000 elements: ``python -m tests.benchmarks.desk``.

The stock is made anew in a folder of its own, which is removed afterwards.
"""

import datetime as dt
import gc
import os
import statistics
import tempfile
import time

import django

from inventory.scoping import see_all

TIMES = 20
TARGET_MS, TARGET_QUERIES = 300.0, 30


def addresses(stock) -> dict[str, str]:
    """Return the address of each page of the desk, by its name."""
    from django.urls import reverse

    from inspections.models import Flag

    flag, today = stock.flag, dt.datetime.now(dt.UTC).date()
    worst = Flag.objects.filter(element__bridge=stock.bridge).latest("severity")
    wanted = {
        "queue": ("home", [], ""),
        "queue, last page": ("home", [], "?page=last"),
        "flag": ("flag", [flag.pk], ""),
        "elements": ("elements", [], ""),
        "element": ("element", [worst.element_id], ""),
        "bridges": ("bridges", [], ""),
        "bridge": ("bridge", [stock.bridge.code], ""),
        "plan": ("plan", [], ""),
        "calendar": ("plan-calendar", [], ""),
        "not enough information": ("plan-not-enough", [], ""),
        "route": ("plan-route", [], f"?day={today}"),
        "intervals": ("bridge-intervals", [stock.bridge.code], ""),
        "events": ("events", [], ""),
        "event": ("event", [stock.event.pk], ""),
        "orders": ("orders", [], ""),
        "order": ("order", [stock.order.pk], ""),
        "options": ("options", [], ""),
        "study": ("study", [stock.study.pk], ""),
        "thresholds": ("thresholds", [], ""),
    }
    return {name: reverse(view, args=args) + query for name, (view, args, query) in wanted.items()}


def queries_of(client, address: str) -> int:
    """Return how many queries a page takes; it has been loaded once before."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    assert client.get(address).status_code == 200, address
    with CaptureQueriesContext(connection) as captured:
        client.get(address)
    return len(captured)


def main() -> None:
    """Make the stock, load every page, and print a table of queries and times."""
    from django.core.management import call_command
    from django.test import Client

    from tests.benchmarks.desk_stock import make_stock

    call_command("migrate", verbosity=0)
    began = time.perf_counter()
    stock = make_stock(2000, dt.datetime.now(dt.UTC).date())
    print(f"2,000 elements in {time.perf_counter() - began:.0f} s\n")
    # What making the stock has left in memory is not part of a server: do not sweep it each time.
    gc.collect()
    gc.freeze()
    client = Client(SERVER_NAME="localhost")
    client.force_login(stock.engineer)
    print(f"{'page':24}{'queries':>8}{'median':>9}{'p95':>9}   over the target")
    for name, address in addresses(stock).items():
        queries, taken_ms = queries_of(client, address), []
        for _ in range(TIMES):
            started = time.perf_counter()
            client.get(address)
            taken_ms.append(1000.0 * (time.perf_counter() - started))
        p95 = statistics.quantiles(taken_ms, n=20)[-1]
        missed = [
            *([f"{p95 / TARGET_MS:.1f} times in time"] if p95 > TARGET_MS else []),
            *([f"{queries - TARGET_QUERIES} queries"] if queries > TARGET_QUERIES else []),
        ]
        median = statistics.median(taken_ms)
        print(f"{name:24}{queries:>8}{median:>7.0f}ms{p95:>7.0f}ms   {', '.join(missed)}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LEDGER_DIR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "inspections.project.settings"
        django.setup()
        see_all()
        main()
