"""Run the tests on PostgreSQL whose outcome can differ there; any others by their paths.

    python -m tests.postgresql [--whole | arguments of pytest]

`chosen.py` says which these are; `--whole` runs every test that reaches a database.

It starts a server of its own and ends it; the Debian package `postgresql` must be there.
"""

from __future__ import annotations

import os
import subprocess
import sys

from tests.postgresql.chosen import PURE, looks
from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.database import ON_POSTGRESQL

WHOLE = ["-n", "auto", "--dist", "worksteal", "--durations=15",
         *(f"--ignore={each}" for each in (*PURE, *looks()))]  # fmt: skip
CHOSEN = ["-p", "tests.postgresql.chosen", *WHOLE]


def arguments(given: list[str]) -> list[str]:
    """Return what pytest is told: what was given, or which tests to run."""
    return {(): CHOSEN, ("--whole",): WHOLE}.get(tuple(given), given)


def main() -> int:
    try:
        with cluster() as address:
            variables = {"DATABASE_URL": f"{address}/postgres", ON_POSTGRESQL: address}
            command = [sys.executable, "-m", "pytest", *arguments(sys.argv[1:])]
            return subprocess.run(command, env=os.environ | variables).returncode
    except NotInstalled as error:
        raise SystemExit(str(error)) from None


if __name__ == "__main__":
    sys.exit(main())
