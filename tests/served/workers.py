"""Workers of long jobs as processes of their own, to be held, killed and waited for."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tests.served.running import Running
from tests.served.server import ROOT

WITHIN_S = 60


@contextmanager
def workers_of(site: Running) -> Iterator[Callable[..., subprocess.Popen]]:
    """Give a function that starts a worker, under a name that PostgreSQL shows if one is given."""
    started: list[subprocess.Popen] = []

    def start(name: str = "", *more: str) -> subprocess.Popen:
        command = [sys.executable, "manage.py", "db_worker", "--interval", "0.1", *more]
        with site.server.log.open("ab") as log:
            process = subprocess.Popen(
                [*command, "--no-startup-delay"],
                cwd=ROOT,
                env=site.server.environment | ({"PGAPPNAME": name} if name else {}),
                stdout=log,
                stderr=log,
            )
        started.append(process)
        return process

    try:
        yield start
    finally:
        for process in started:
            process.kill()
            process.wait()


def until(true: Callable[[], object], what: str, within_s: float = WITHIN_S) -> None:
    """Wait until something is true."""
    end = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < end, what
        time.sleep(0.05)
