"""Run every test that reaches a database on PostgreSQL; any others by their paths.

    python -m tests.postgresql [arguments of pytest]

It starts a server of its own and ends it; the Debian package `postgresql` must be there.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.database import ON_POSTGRESQL

PURE = (
    "tests/movement", "tests/properties", "tests/published", "tests/simulation",
    "tests/test_dependencies.py", "tests/test_documents.py", "tests/test_names.py",
    "tests/test_programs.py",
)  # fmt: skip
"""Tests of plain computing and of what the documents say, which no database can change."""
SENDING = (
    "test_field.py", "test_tablet_faults.py", "test_tablet_journey.py", "test_tablet_sending.py",
)  # fmt: skip
"""Tests in the browser that bring rows into the database by the ways of a tablet."""


def looks() -> list[str]:
    """Return the other tests in the browser: of how pages look and what a tablet keeps.

    What these pages ask of a database is asked by the tests without a browser as well.
    """
    folder = Path("tests/browser")
    return [str(each) for each in sorted(folder.glob("test_*.py")) if each.name not in SENDING]


ALL = ["-n", "auto", "--dist", "worksteal", "--durations=15",
       *(f"--ignore={each}" for each in (*PURE, *looks()))]  # fmt: skip


def main() -> int:
    try:
        with cluster() as address:
            variables = {"DATABASE_URL": f"{address}/postgres", ON_POSTGRESQL: address}
            command = [sys.executable, "-m", "pytest", *(sys.argv[1:] or ALL)]
            return subprocess.run(command, env=os.environ | variables).returncode
    except NotInstalled as error:
        raise SystemExit(str(error)) from None


if __name__ == "__main__":
    sys.exit(main())
