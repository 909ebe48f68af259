"""The site as it is run: several processes of a web server on a port of its own."""

from __future__ import annotations

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.served.ledger import ROOT, environment

STARTS_WITHIN_S = 40
MISSING = "No web server found. Install gunicorn: pip install '.[serve]'."


class Server:
    """A server that can be killed in the middle of its work and started again."""

    def __init__(self, folder: Path, database_url: str = "", workers: int = 3, **more: str) -> None:
        if importlib.util.find_spec("gunicorn") is None:
            raise SystemExit(MISSING)
        self.folder = folder
        self.environment = os.environ | environment(folder, database_url) | more
        self.workers = workers
        self.root = ROOT
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.log = folder / "server.log"
        self._process: subprocess.Popen | None = None

    def bring_up_to_date(self) -> None:
        """Stop, and start with a newer version of the tablet's app."""
        self.stop()
        self.root = self.folder / "newer"
        for package in ("movement", "inventory", "inspections"):
            shutil.copytree(ROOT / package, self.root / package)
        script = self.root / "inspections/static/field/app.js"
        script.write_text(script.read_text() + "document.documentElement.dataset.newer = 'yes';\n")
        self.start()

    def manage(self, *command: str) -> None:
        """Run a command of the product on the server's database."""
        subprocess.run(
            [sys.executable, "manage.py", *command], cwd=ROOT, env=self.environment, check=True
        )

    def start(self) -> None:
        """Start it, and wait until it answers."""
        command = [sys.executable, "-m", "gunicorn", "inspections.project.wsgi"]
        command += ["--bind", f"127.0.0.1:{self.port}", "--worker-class", "gthread"]
        command += ["--workers", f"{self.workers}", "--threads", "3", "--timeout", "120"]
        with self.log.open("ab") as log:
            self._process = subprocess.Popen(
                command,
                cwd=self.root,
                env=self.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        end = time.monotonic() + STARTS_WITHIN_S
        while time.monotonic() < end:
            try:
                urllib.request.urlopen(f"{self.url}/sign-in/", timeout=5).close()  # noqa: S310 - our own address
                return
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
        raise AssertionError(f"The server does not answer:\n{self.log.read_text()[-3000:]}")

    def kill(self) -> None:
        """End all its processes at once, as a machine that loses its power."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """End it in order."""
        self._end(signal.SIGTERM)

    def _end(self, how: signal.Signals) -> None:
        if self._process is None:
            return
        os.killpg(self._process.pid, how)
        self._process.wait()
        self._process = None
