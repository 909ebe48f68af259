"""Run every test that reaches a database on PostgreSQL; any others by their paths.

    python -m tests.postgresql [arguments of pytest]

It starts a server of its own and ends it; the Debian package `postgresql` must be there.
"""

from __future__ import annotations

import os
import subprocess
import sys

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.database import ON_POSTGRESQL

PURE = (
    "tests/movement", "tests/properties", "tests/published", "tests/simulation",
    "tests/test_dependencies.py", "tests/test_documents.py", "tests/test_names.py",
    "tests/test_programs.py",
)  # fmt: skip
"""Tests of plain computing and of what the documents say, which no database can change."""
ALL = ["-n", "auto", "--dist", "worksteal", "--durations=15", *(f"--ignore={p}" for p in PURE)]


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
