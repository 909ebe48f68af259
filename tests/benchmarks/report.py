"""Time and memory of one long report: ``python -m tests.benchmarks.report --elements 1000``.

The bridge is made in a folder of its own; `manage.py report` then prints it in a process of its
own, so that its peak of memory is that of the report alone.
"""

import argparse
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import django

from inventory.scoping import see_all

TARGET_S, TARGET_MB = 30.0, 300.0


def main(elements: int, visits: int, folder: Path) -> None:
    """Make the bridge, print it in both sizes, and tell time, memory and pages."""
    from django.core.management import call_command
    from pypdf import PdfReader

    from tests.benchmarks.long_bridge import make_long_bridge

    call_command("migrate", verbosity=0)
    began = time.perf_counter()
    bridge = make_long_bridge(elements, visits)
    print(f"{bridge.elements.count()} elements in {time.perf_counter() - began:.0f} s", flush=True)
    for units, page in (("si", "a4"), ("us", "letter")):
        path = folder / f"{page}.pdf"
        command = [sys.executable, "manage.py", "report", bridge.code, "--output", str(path)]
        began = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.report", "--measure", *command[1:],
             "--units", units, "--page", page],
            check=True, capture_output=True, text=True,
        )  # fmt: skip
        taken_s = time.perf_counter() - began
        peak_mb = float(re.search(r"peak ([\d.]+)", done.stdout)[1])
        pages = len(PdfReader(path).pages)
        missed = [
            *([f"{taken_s / TARGET_S:.1f} times in time"] if taken_s > TARGET_S else []),
            *([f"{peak_mb / TARGET_MB:.1f} times in memory"] if peak_mb > TARGET_MB else []),
        ]
        print(
            f"{page:8}{pages:>6} pages{taken_s:>8.1f} s{pages / taken_s:>8.0f} pages/s"
            f"{peak_mb:>8.0f} MB{path.stat().st_size / 1e6:>8.1f} MB file   {', '.join(missed)}",
            flush=True,
        )


def measure(command: list[str]) -> None:
    """Run a command and tell the peak of its memory."""
    subprocess.run([sys.executable, *command], check=True)
    peak_kb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    print(f"peak {peak_kb / 1024:.1f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        measure(sys.argv[2:])
        sys.exit()
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--elements", type=int, default=1000)
    parser.add_argument("--visits", type=int, default=6)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["LEDGER_DIR"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "inspections.project.settings"
        django.setup()
        see_all()
        main(given.elements, given.visits, Path(folder))
