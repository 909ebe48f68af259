"""From the database to stored verdicts and flags: ``python -m tests.benchmarks.assess``.

An invented bridge of 25 elements is copied until there are so many.  What judging takes is told
as a multiple of reading its inputs and writing its results back with no model, no check and no
object in between: the least that any program would need with this database.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import time
from collections.abc import Callable

from tests.benchmarks.empty_site import empty_site

OF_A_BRIDGE, VISITS, NEW = 25, 8, 20
TARGET_TIMES, TARGET_MS = 5.0, 200.0


def taken_s(call: Callable[[], object]) -> float:
    """Return the time that a call takes [s]."""
    began = time.perf_counter()
    call()
    return time.perf_counter() - began


def inputs() -> list[str]:
    """Return the tables that a verdict follows from."""
    from inspections.models import (
        Condition,
        Decision,
        Inspection,
        Instrument,
        Reading,
        TemperatureReading,
    )
    from inventory import models as register

    here = (
        register.Bridge, register.TemperatureBasis, register.Unit, register.UnitConcrete,
        register.UnitSection, register.Support, register.Element, register.Installation,
        register.BearingDesign, register.JointDesign, register.RestraintDesign,
        Inspection, Instrument, Reading, TemperatureReading, Condition, Decision,
    )  # fmt: skip
    return [each._meta.db_table for each in here]


def results() -> list[str]:
    """Return the tables that judging writes; what a row refers to comes before it."""
    from inspections.models import (
        CapacityCheck,
        Due,
        ElementHistory,
        ElementStatus,
        Explanation,
        Flag,
        Sighting,
        UnitDiagnosis,
        Verdict,
        VisitSeen,
    )

    here = (Verdict, ElementHistory, UnitDiagnosis, Explanation, ElementStatus, CapacityCheck,
            Sighting, VisitSeen, Flag, Due)  # fmt: skip
    return [each._meta.db_table for each in here]


def read_raw(tables: list[str]) -> list[list[tuple]]:
    """Return every row of some tables."""
    from django.db import connection

    with connection.cursor() as cursor:
        found = []
        for table in tables:
            cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608
            found.append(cursor.fetchall())
        return found


def write_raw(tables: list[str], rows: list[list[tuple]]) -> None:
    """Put rows into empty tables in the fastest way that the driver has."""
    from django.db import connection

    with connection.cursor() as cursor:
        for table, some in zip(tables, rows, strict=True):
            if not some:
                continue
            if connection.vendor == "postgresql":
                with cursor.copy(f'COPY "{table}" FROM STDIN') as copying:
                    for row in some:
                        copying.write_row(row)
            else:
                marks = ", ".join(["?"] * len(some[0]))
                insert = f'INSERT INTO "{table}" VALUES ({marks})'  # noqa: S608
                cursor.connection.executemany(insert, some)


def clear(tables: list[str]) -> None:
    """Empty some tables, those that refer to others first."""
    from django.db import connection

    with connection.cursor() as cursor:
        for table in reversed(tables):
            cursor.execute(f'DELETE FROM "{table}"')  # noqa: S608


def make_stock(elements: int, visits: int = VISITS) -> list[int]:
    """Return the bridges of a stock."""
    from django.db import transaction

    from inventory.models import Bridge
    from tests.benchmarks.desk_stock import copy_bridge
    from tests.benchmarks.long_bridge import make_long_bridge

    with transaction.atomic():
        copy_bridge(make_long_bridge(OF_A_BRIDGE, visits), elements // OF_A_BRIDGE - 1)
    return list(Bridge.objects.order_by("pk").values_list("pk", flat=True))


def raw_s() -> tuple[float, float]:
    """Return the times of reading all inputs and of writing all results [s]."""
    from django.db import transaction

    tables, found = results(), []
    with transaction.atomic():
        reading = taken_s(lambda: found.append(read_raw(inputs())))
        found.append(read_raw(tables))
        clear(tables)
        writing = taken_s(lambda: write_raw(tables, found[1]))
    return reading, writing


def new_inspections(bridges: list[int]) -> list[float]:
    """Return the times that a new visit of all elements of some bridges takes to be judged [s]."""
    import datetime as dt

    from inspections.services.judge import judge_bridges
    from inventory.models import Bridge
    from tests.inspections.over_years import visit

    times = []
    for bridge in Bridge.objects.filter(pk__in=bridges[:NEW]):
        elements = list(bridge.elements.all())
        rows = [
            (each, "gap", 80.0, "centre")
            if each.kind == "joint"
            else (each, "offset_along", 0.0, "")
            for each in elements
        ]
        visit(bridge, dt.date(2026, 3, 2), 18.0, rows, judge=False)
        times.append(taken_s(lambda pk=bridge.pk: judge_bridges([pk])))
    return times


def main(elements: int) -> None:
    from django.core.management import call_command
    from django.db import connection

    from inspections.models import Reading, VisitSeen
    from inspections.services.judge import judge_bridges

    call_command("migrate", verbosity=0)
    bridges = make_stock(elements)
    print(
        f"{connection.vendor}: {OF_A_BRIDGE * len(bridges):,} elements on {len(bridges):,} bridges"
    )
    print(f"{Reading.objects.count():,} readings of {VISITS} visits, {os.cpu_count()} cores")
    reading, writing = raw_s()
    raw = reading + writing
    print(f"raw: inputs read in {reading:.2f} s, results written in {writing:.2f} s")
    VisitSeen.objects.all().delete()
    for name in ("from nothing", "once more"):
        whole = taken_s(lambda: judge_bridges(bridges))
        missed = (
            ""
            if whole <= TARGET_TIMES * raw
            else f"   missed {whole / TARGET_TIMES / raw:.1f} times"
        )
        print(f"judged {name}: {whole / raw:.1f} times raw, {whole:.1f} s{missed}", flush=True)
    times = new_inspections(bridges)
    p95 = 1e3 * statistics.quantiles(times, n=20, method="inclusive")[-1]
    print(f"one new visit: median {1e3 * statistics.median(times):.0f} ms, p95 {p95:.0f} ms")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak of memory {peak:.0f} MB, with making the stock")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.assess")
    parser.add_argument("--elements", type=int, default=2500)
    parser.add_argument("--postgresql", action="store_true", help="on a PostgreSQL of its own")
    given = parser.parse_args()
    if given.elements < NEW * OF_A_BRIDGE:
        parser.error(f"--elements: {NEW * OF_A_BRIDGE} at least, so that there are {NEW} bridges")
    with empty_site(postgresql=given.postgresql):
        main(given.elements)
