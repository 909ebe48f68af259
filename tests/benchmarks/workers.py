"""A stock judged again by one worker and by two: ``python -m tests.benchmarks.workers``.

On a PostgreSQL of its own, with the stock of ``assess``; workers are processes of
``manage.py db_worker`` as an agency runs them, started before the job is asked for.  What a row
takes on disk is measured as well, and both together tell what a national stock needs.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.benchmarks.assess import OF_A_BRIDGE, VISITS, make_stock, results
from tests.benchmarks.empty_site import empty_site

ROOT = Path(__file__).resolve().parents[2]
ALL_BRIDGES, ALL_ELEMENTS = 620_000, 12_000_000
NIGHT_H = 10.0
STARTED = b"Starting worker"


@contextlib.contextmanager
def workers(count: int, folder: Path) -> Iterator[list[int]]:
    """Have so many workers wait for a job, and give their processes; in the end they go."""
    logs = [folder / f"worker-{number}.log" for number in range(count)]
    started = []
    for log in logs:
        with log.open("wb") as file:
            command = [sys.executable, "manage.py", "db_worker", "--interval", "0.1"]
            started.append(subprocess.Popen(command, cwd=ROOT, stdout=file, stderr=file))
    try:
        while not all(STARTED in log.read_bytes() for log in logs):
            time.sleep(0.1)
        time.sleep(1.0)  # up to which each waits before it looks for the first time
        yield [each.pid for each in started]
    finally:
        for each in started:
            each.terminate()
        for each in started:
            each.wait()


def _of_process(process: int | str) -> list[str]:
    """Return what the system tells of a process, from its state on."""
    return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()


def computed_s(processes: list[int]) -> float:
    """Return the processor time of some processes [s], which others' work on a machine spares."""
    told = map(_of_process, processes)
    ticks = sum(int(ticks) for fields in told for ticks in fields[11:13])
    return ticks / os.sysconf("SC_CLK_TCK")


def computed_by_database_s() -> float:
    """Return the processor time of all processes of the database server, past ones as well [s]."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        server = _of_process(cursor.fetchone()[0])[1]
    ticks = sum(map(int, _of_process(server)[11:15]))
    for each in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):
            fields = _of_process(each.name)
            ticks += sum(map(int, fields[11:13])) if fields[1] == server else 0
    return ticks / os.sysconf("SC_CLK_TCK")


def judged_again_s(bridges: list[int]) -> float:
    """Return how long a job of judging some bridges again took, from asking to its end [s]."""
    from inspections.services import jobs, reassessment

    job = reassessment.ask(by="a benchmark", bridge_ids=bridges, user=None)
    began = time.perf_counter()
    jobs.start(job)
    while not job.has_ended:
        time.sleep(0.05)
        job.refresh_from_db()
    if job.state != "done":
        raise SystemExit(job.message)
    return time.perf_counter() - began


def forget_what_visits_showed() -> None:
    """Have all computed, as after a change of the settings or of the model."""
    from inspections.models import VisitSeen

    VisitSeen.objects.all().delete()


FROM_NOTHING = "all computed"
WAYS: dict[str, Callable[[], object]] = {
    FROM_NOTHING: forget_what_visits_showed,
    "visits as known": lambda: None,
}


def sizes() -> dict[str, tuple[int, int]]:
    """Return bytes and rows by table, with indexes and what else belongs to it."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT oid::regclass::text FROM pg_class WHERE relkind = 'r'"
                       " AND relnamespace = 'public'::regnamespace")  # fmt: skip
        found = {}
        for (table,) in cursor.fetchall():
            cursor.execute(f"SELECT pg_total_relation_size('{table}'), count(*) FROM {table}")  # noqa: S608
            found[table.strip('"')] = cursor.fetchone()
    return found


def bytes_of(found: dict[str, tuple[int, int]], belongs: Callable[[str], bool]) -> int:
    """Return the bytes of the tables that belong to something."""
    return sum(size for table, (size, _rows) in found.items() if belongs(table))


def print_sizes(elements: int, readings: int) -> float:
    """Print what the rows take, and return the bytes of an element with all that rests on it."""
    found, written = sizes(), set(results())

    def is_register(table: str) -> bool:
        return table.startswith("inventory_")

    def is_read(table: str) -> bool:
        return table.startswith("inspections_") and table not in written

    register = bytes_of(found, is_register) / elements
    read = bytes_of(found, is_read) / readings
    derived = bytes_of(found, written.__contains__) / elements
    size, rows = found["inspections_verdict"]
    print(
        f"on disk: {register:,.0f} bytes of register an element, {read:,.0f} of a reading with its"
    )
    print(f"visit, {derived:,.0f} of results an element, of these {size / rows:,.0f} a verdict")
    return register + derived + read * readings / elements


def main(elements: int, visits: int, times: int, folder: Path) -> None:
    from django.core.management import call_command

    from inspections.models import Reading
    from inspections.services.judge import judge_bridges
    from inventory.models import Element

    call_command("migrate", verbosity=0)
    bridges = make_stock(elements, visits)
    elements, readings = Element.objects.count(), Reading.objects.count()
    print(f"postgresql: {elements:,} elements on {len(bridges):,} bridges, {os.cpu_count()} cores")
    print(f"{readings:,} readings of {visits} visits")
    judge_bridges(bridges)
    each_bytes = print_sizes(elements, readings)
    took: dict[tuple[str, int], tuple[float, float, float]] = {}
    for _ in range(times):
        for count in (1, 2):
            with workers(count, folder) as processes:
                for what, before in WAYS.items():
                    before()
                    began = computed_s(processes), computed_by_database_s()
                    now = (
                        judged_again_s(bridges),
                        computed_s(processes) - began[0],
                        computed_by_database_s() - began[1],
                    )
                    took[what, count] = min(now, took.get((what, count), now))
    for (what, count), (taken, of_workers, of_database) in took.items():
        print(
            f"{what}, {count} worker{'s' * (count > 1)}: {taken:.1f} s, {len(bridges) / taken:.1f}"
            f" bridges and {elements / taken:.0f} elements a second, {took[what, 1][0] / taken:.2f}"
            f" times one worker;\n    processor time: workers {of_workers:.1f} s,"
            f" database {of_database:.1f} s"
        )
    taken, *computed = took[FROM_NOTHING, 2]
    hours = ALL_ELEMENTS / elements * 2 * taken / 3600
    of_processors = ALL_ELEMENTS / elements * sum(computed) / 3600
    print(f"{ALL_BRIDGES:,} bridges and {ALL_ELEMENTS:,} elements, read as often, by two workers'")
    print(f"figures: {hours:,.0f} worker-hours, {hours / NIGHT_H:,.0f} workers for a night of")
    print(f"{NIGHT_H:.0f} h; {of_processors:,.0f} hours of processors, database and workers;")
    print(f"{ALL_ELEMENTS * each_bytes / 1e9:,.0f} GB")
    grown = bytes_of(sizes(), set(results()).__contains__) / elements
    print(f"results, judged again {4 * times} times: {grown:,.0f} bytes an element")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.workers")
    parser.add_argument("--elements", type=int, default=2500)
    parser.add_argument("--visits", type=int, default=VISITS)
    parser.add_argument("--times", type=int, default=2, help="the best of so many counts")
    given = parser.parse_args()
    if given.elements < OF_A_BRIDGE or min(given.visits, given.times) < 1:
        parser.error(f"--elements: {OF_A_BRIDGE} at least; --visits and --times: one at least")
    variables = {"LEDGER_WORKERS": "1", "OMP_NUM_THREADS": "1"}
    with empty_site(postgresql=True, **variables) as own:
        main(given.elements, given.visits, given.times, own)
