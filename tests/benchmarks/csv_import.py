"""A large CSV file of readings, each row checked: ``python -m tests.benchmarks.csv_import``.

An invented stock is visited until there are so many readings, all in one file.  It is read,
checked, written and taken back at the end, as a file is of which one row cannot be taken: what
judging adds is told by ``tests.benchmarks.assess``.
"""

from __future__ import annotations

import argparse
import csv
import datetime as dt
import resource
from pathlib import Path

from tests.benchmarks.assess import OF_A_BRIDGE, make_stock, taken_s
from tests.benchmarks.empty_site import empty_site

TARGET_S, TARGET_ROWS = 20.0, 1_000_000
ELEMENTS = 2500
FIRST = dt.date(2026, 1, 5)
HEAD = ("bridge_code", "inspection_date", "team", "element_code", "taken_at", "point",
        "gap_square_mm", "offset_along_mm")  # fmt: skip


def write_file(path: Path, rows: int) -> int:
    """Write readings of as many visits as it takes; return how many there are."""
    from inventory.models import Element

    places = list(
        Element.objects.order_by("bridge__code", "code").values_list("bridge__code", "code", "kind")
    )
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEAD)
        day = FIRST
        while count < rows:
            day += dt.timedelta(days=1)
            if day > dt.date(2026, 10, 31):
                raise SystemExit("--rows: more than the year has days for this stock")
            for bridge, code, kind in places[: rows - count]:
                joint = kind == "joint"
                value = f"{40 + count % 17 + 0.1 * (count % 7):.1f}"
                writer.writerow(
                    (bridge, day, "lead and one", code, f"{day}T09:{count % 60:02}",
                     "centre" if joint else "", value if joint else "",
                     "" if joint else value)
                )  # fmt: skip
                count += 1
    return count


def main(rows: int, own: Path) -> None:
    from django.core.management import call_command
    from django.db import connection

    from inspections.exchange.readings_csv import import_readings

    call_command("migrate", verbosity=0)
    make_stock(ELEMENTS)
    path = own / "readings.csv"
    count = write_file(path, rows)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with path.open("rb") as file:
        taken = taken_s(lambda: import_readings(file, dry_run=True))
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    for_all = taken * TARGET_ROWS / count
    missed = "" if for_all <= TARGET_S else f"   missed {for_all / TARGET_S:.1f} times"
    print(
        f"{connection.vendor}: {count:,} readings on {ELEMENTS // OF_A_BRIDGE} bridges,"
        f" {path.stat().st_size / 1e6:.1f} MB"
    )
    print(f"checked and written: {taken:.1f} s, {count / taken:,.0f} rows a second")
    print(f"a million at that rate: {for_all:.0f} s{missed}")
    print(f"peak of memory {after:.0f} MB, {before:.0f} MB before")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.csv_import")
    parser.add_argument("--rows", type=int, default=100_000)
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own")
    given = parser.parse_args()
    if given.rows < 1:
        parser.error("--rows: 1 at least")
    with empty_site(postgresql=given.postgresql) as own:
        main(given.rows, own)
