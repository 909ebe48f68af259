"""Run the benchmarks one after the other and write what they said: ``python -m tests.benchmarks``.

What is written tells the machine and the versions first: seconds are this machine's alone, the
ratios hold elsewhere.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import platform
import sqlite3
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

HERE = Path(__file__).parent
RESULTS = HERE / "RESULTS.md"
PACKAGES = ("django", "djangorestframework", "numpy", "scipy", "reportlab", "psycopg")
BENCHMARKS = {
    "The model in memory": ["memory"],
    "From the database to stored verdicts, SQLite": ["assess"],
    "From the database to stored verdicts, PostgreSQL": ["assess", "--postgresql"],
    "Workers that share judging a stock again": ["workers"],
    "A file of readings, SQLite": ["csv_import"],
    "A file of readings, PostgreSQL": ["csv_import", "--postgresql"],
    "Tablets that send at once, SQLite": ["sync"],
    "Tablets that send at once, PostgreSQL": ["sync", "--postgresql"],
    "First page over slow 3G, and without a network": ["slow_line"],
    "Pages of the engineer": ["desk"],
    "A long report": ["report"],
}


def machine() -> list[str]:
    """Return what the figures were measured on."""
    model = ""
    known = Path("/proc/cpuinfo")
    if known.exists():
        lines = (line.split(":", 1) for line in known.read_text().splitlines() if ":" in line)
        model = next((value.strip() for name, value in lines if name.strip() == "model name"), "")
    today = dt.datetime.now(dt.UTC).date()
    versions = {"Python": platform.python_version(), "SQLite": sqlite3.sqlite_version}
    versions |= {name: version(name) for name in PACKAGES}
    return [
        f"Measured on {today}: {os.cpu_count()} cores {model or 'of an unnamed kind'},",
        f"{platform.system()}, {', '.join(f'{name} {each}' for name, each in versions.items())}.",
    ]


def said_by(arguments: list[str]) -> tuple[str, bool]:
    """Return what a benchmark printed, and whether it went well."""
    name, *more = arguments
    command = [sys.executable, "-m", f"tests.benchmarks.{name}", *more]
    small = os.environ | {"OMP_NUM_THREADS": "1"}
    done = subprocess.run(command, capture_output=True, text=True, env=small)
    return done.stdout.strip() or done.stderr.strip()[-2000:], done.returncode == 0


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    names = sorted({each[0] for each in BENCHMARKS.values()})
    parser.add_argument("--only", choices=names, help="run this one, and print it alone")
    given = parser.parse_args()
    parts, failed = [], []
    for title, arguments in BENCHMARKS.items():
        if given.only not in (None, arguments[0]):
            continue
        text, well = said_by(arguments)
        print(f"{title}\n{text}\n", flush=True)
        parts += [f"## {title}", "", f"`python -m tests.benchmarks.{' '.join(arguments)}`", "",
                  "```text", text, "```", ""]  # fmt: skip
        failed += [] if well else [title]
    if failed:
        raise SystemExit(f"Failed: {', '.join(failed)}. Nothing was written.")
    if given.only is None:
        told = (
            "Ratios count, seconds are this machine's. «Missed» is told of the benchmark's targets."
        )
        head = ["# What the benchmarks said", "", *machine(), "", told, ""]
        RESULTS.write_text("\n".join([*head, *parts]))
        print(f"Written: {RESULTS.relative_to(Path.cwd())}")


if __name__ == "__main__":
    main()
