"""A PostgreSQL server in a temporary folder, from the system's own package."""

from __future__ import annotations

import contextlib
import importlib.util
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator, Mapping
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


class Cluster:
    """A server in a folder of its own, to be ended in order or killed, and started again."""

    def __init__(
        self, folder: Path, bin_: Path, as_postgres: list[str], settings: Mapping[str, str]
    ) -> None:
        self._folder, self._bin, self._as_postgres = folder, bin_, as_postgres
        self._settings = settings
        self._data = folder / "data"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self._port = free.getsockname()[1]
        self.address = f"postgres://postgres@127.0.0.1:{self._port}"

    def make(self) -> None:
        """Make its files."""
        self._run("initdb", "-U", "postgres", "-A", "trust", "--no-sync", "-E", "UTF8",
                  "--locale=C")  # fmt: skip

    def start(self) -> None:
        """Start it, and wait until it answers."""
        options = f"-p {self._port} -k {self._folder} -c listen_addresses=127.0.0.1 -c fsync=off"
        options += "".join(f" -c {name}={value}" for name, value in self._settings.items())
        self._run("pg_ctl", "start", "-w", "-l", str(self._folder / "log"), "-o", options)

    def stop(self) -> None:
        """End it without waiting for anybody."""
        if not (self._data / "postmaster.pid").exists():
            return
        self._run("pg_ctl", "stop", "-m", "immediate")

    def kill(self) -> None:
        """Kill all its processes at once, as a machine that loses its power."""
        first = int((self._data / "postmaster.pid").read_text().split()[0])
        children = subprocess.run(
            ["ps", "-o", "pid=", "--ppid", f"{first}"], capture_output=True, text=True
        ).stdout.split()
        for pid in (first, *map(int, children)):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        while any(_alive(int(pid)) for pid in (first, *children)):
            time.sleep(0.02)
        # Its number may still be known to the system, which then takes it for a running server.
        for lock in (self._data / "postmaster.pid", self._folder / f".s.PGSQL.{self._port}.lock"):
            lock.unlink(missing_ok=True)

    def _run(self, tool: str, *arguments: str) -> None:
        # The server keeps what it was given to write to, so that must be no pipe of ours.
        command = [*self._as_postgres, str(self._bin / tool), "-D", str(self._data), *arguments]
        with tempfile.TemporaryFile() as said:
            done = subprocess.run(command, cwd=self._folder, stdout=said, stderr=said)
            if done.returncode:
                said.seek(0)
                raise SystemExit(f"{tool} failed:\n{said.read().decode(errors='replace')}")


def _alive(pid: int) -> bool:
    """Tell whether a process runs; one that waits for its parent to notice does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


@contextmanager
def cluster_in_reach(settings: Mapping[str, str] | None = None) -> Iterator[Cluster]:
    """Start a server that a test may kill and start again; its folder goes in the end.

    ``settings`` are the server's own, such as ``shared_buffers``.
    """
    if importlib.util.find_spec("psycopg") is None:
        raise NotInstalled(NO_DRIVER)
    bin_ = tools()
    as_postgres: list[str] = []
    folder = Path(tempfile.mkdtemp(prefix="ledger-postgresql-"))
    try:
        if os.geteuid() == 0:
            try:
                account = pwd.getpwnam("postgres")
            except KeyError:
                raise NotInstalled(NO_ACCOUNT) from None
            os.chown(folder, account.pw_uid, account.pw_gid)
            as_postgres = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"]
        made = Cluster(folder, bin_, as_postgres, settings or {})
        made.make()
        made.start()
        try:
            yield made
        finally:
            made.stop()
    finally:
        shutil.rmtree(folder)


@contextmanager
def cluster(settings: Mapping[str, str] | None = None) -> Iterator[str]:
    """Start a server, and give its address without a database."""
    with cluster_in_reach(settings) as made:
        yield made.address
