"""Try many bad inputs: forms, filters, the API, files, what tablets send, photos, drawings.

python -m tests.bad_inputs --examples 20000
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys

from tests.bad_inputs import VARIABLE


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.bad_inputs")
    parser.add_argument("--examples", type=int, default=20_000)
    given = parser.parse_args()
    if given.examples < 1:
        parser.error("--examples: try one input at least")
    command = [sys.executable, "-m", "pytest", "-n", "auto", "--dist", "worksteal"]
    variables = os.environ | {VARIABLE: f"{given.examples}"}
    return subprocess.run([*command, "tests/bad_inputs"], env=variables).returncode


if __name__ == "__main__":
    sys.exit(main())
