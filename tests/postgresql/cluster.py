"""A PostgreSQL server in a temporary folder, from the system's own package."""

from __future__ import annotations

import importlib.util
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

INSTALLED = Path("/usr/lib/postgresql")
MISSING = (
    "No PostgreSQL found. Install the Debian package `postgresql` (apt-get install postgresql)."
)
NO_DRIVER = "No driver of PostgreSQL found. Install it: pip install '.[postgresql]'."
NO_ACCOUNT = (
    "PostgreSQL refuses root, and there is no account `postgres`. Run this as another user."
)


class NotInstalled(Exception):  # noqa: N818 - reads as what is wrong
    """Something that has to be installed first, in words."""


def tools() -> Path:
    """Return the folder of the newest version's tools."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    versions = [each for each in INSTALLED.glob("*/bin") if (each / "initdb").exists()]
    if not versions:
        raise NotInstalled(MISSING)
    return max(versions, key=lambda each: float(each.parent.name))


@contextmanager
def cluster() -> Iterator[str]:
    """Start a server, and give its address without a database; its folder goes in the end."""
    if importlib.util.find_spec("psycopg") is None:
        raise NotInstalled(NO_DRIVER)
    bin_ = tools()
    as_postgres: list[str] = []
    folder = Path(tempfile.mkdtemp(prefix="ledger-postgresql-"))
    if os.geteuid() == 0:
        try:
            account = pwd.getpwnam("postgres")
        except KeyError:
            raise NotInstalled(NO_ACCOUNT) from None
        os.chown(folder, account.pw_uid, account.pw_gid)
        as_postgres = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    data = folder / "data"

    def run(tool: str, *arguments: str) -> None:
        # The server keeps what it was given to write to, so that must be no pipe of ours.
        command = [*as_postgres, str(bin_ / tool), "-D", str(data), *arguments]
        with tempfile.TemporaryFile() as said:
            done = subprocess.run(command, cwd=folder, stdout=said, stderr=said)
            if done.returncode:
                said.seek(0)
                raise SystemExit(f"{tool} failed:\n{said.read().decode(errors='replace')}")

    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off"
    try:
        run("initdb", "-U", "postgres", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C")
        run("pg_ctl", "start", "-w", "-l", str(folder / "log"), "-o", options)
        try:
            yield f"postgres://postgres@127.0.0.1:{port}"
        finally:
            run("pg_ctl", "stop", "-m", "immediate")
    finally:
        shutil.rmtree(folder)
