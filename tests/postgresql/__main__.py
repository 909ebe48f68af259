"""Run the tests of the tablet, its server, its faults and a soak against PostgreSQL.

    python -m tests.postgresql [arguments of pytest]

It starts a server of its own and ends it; the Debian package `postgresql` must be there.
"""

from __future__ import annotations

import os
import subprocess
import sys

from tests.postgresql.cluster import NotInstalled, cluster
from tests.served.database import ON_POSTGRESQL

TESTS = [
    "tests/inspections/test_tablet_records.py",
    "tests/inspections/test_tablet_photos.py",
    "tests/inspections/test_tablet_packet.py",
    "tests/inspections/test_sign_off.py",
    "tests/inspections/test_judging.py",
    "tests/served",
    "tests/soak",
    "tests/faults",
    "tests/browser/test_tablet_journey.py",
    "tests/browser/test_tablet_sending.py",
    "tests/browser/test_tablet_faults.py",
    "tests/browser/test_tablet_screen_faults.py",
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
