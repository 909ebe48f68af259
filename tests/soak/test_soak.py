"""A small soak: a real server, several tablets at once, half of the requests broken."""

import subprocess
import sys

from tests.served.database import url_with_tables
from tests.served.ledger import FILE


def test_after_many_broken_requests_tablets_and_server_agree_row_by_row(tmp_path):
    url = url_with_tables(tmp_path) or f"sqlite:///{tmp_path / FILE}"
    sizes = "--inspections 4 --readings 10 --photos 2 --tablets 3 --workers 2 --faults 0.5"
    run = subprocess.run(
        [
            sys.executable,
            "-m",
            "tests.soak",
            *sizes.split(),
            "--database-url",
            url,
        ],
        capture_output=True,
        text=True,
    )
    assert run.returncode == 0, run.stdout[-3000:] + run.stderr[-3000:]
    assert "agree row by row" in run.stdout
