"""Kill a site while people write to it, start it again, and look at what it holds."""

from __future__ import annotations

import argparse
import contextlib
import tempfile
from pathlib import Path

from tests.faults.killing import Found, kill_again_and_again
from tests.postgresql.cluster import NotInstalled, cluster_in_reach


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=8317)
    parser.add_argument("--postgresql", action="store_true", help="kill its PostgreSQL in turn")
    given = parser.parse_args()
    try:
        with contextlib.ExitStack() as stack:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="ledger-faults-")))
            database = stack.enter_context(cluster_in_reach()) if given.postgresql else None
            url = f"{database.address}/postgres" if database else ""
            found = kill_again_and_again(folder, given.kills, given.seed, database, url, tell)
            log = (folder / "server.log").read_text()
    except NotInstalled as error:
        raise SystemExit(str(error)) from None
    show(found)
    if found.wrong:
        raise SystemExit("\n".join([*found.wrong[:20], log[-3000:]]))
    print("All that was acknowledged is there, and all that is there is whole.")


def tell(told: str) -> None:
    """Say at once how far it is."""
    print(told, flush=True)


def show(found: Found) -> None:
    """Print what was done."""
    rows = [(f"kills of the {name}", count) for name, count in found.kills.items()]
    rows += [("of these in the middle of a write", found.in_mid_write)]
    rows += [(f"acknowledged: {name}", count) for name, count in sorted(found.written.items())]
    rows += [("asked for again", found.away), ("seals that hold", found.seals)]
    for name, count in rows:
        print(f"{name:<40} {count:>7}")


if __name__ == "__main__":
    main()
