"""Run every test that needs a database against PostgreSQL.

    python -m tests.postgresql [arguments of pytest]

It starts a server of its own and ends it; the Debian package `postgresql` must be there.
"""

from __future__ import annotations

import os
import subprocess
import sys

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.database import ON_POSTGRESQL

# What computes without a database would say the same again.
TESTS = [
    *("-n", "auto", "--dist", "worksteal", "-q"),
    *(f"--ignore=tests/{room}" for room in ("movement", "published", "simulation")),
]


def main() -> int:
    try:
        with cluster() as address:
            variables = {"DATABASE_URL": f"{address}/postgres", ON_POSTGRESQL: address}
            command = [sys.executable, "-m", "pytest", *(sys.argv[1:] or TESTS)]
            return subprocess.run(command, env=os.environ | variables).returncode
    except NotInstalled as error:
        raise SystemExit(str(error)) from None


if __name__ == "__main__":
    sys.exit(main())
