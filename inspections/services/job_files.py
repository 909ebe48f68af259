"""The files of jobs: how far each is, what came in with it, and its result.

They lie in a folder of the site that no address reaches; views stream what their user may have.
Server and workers share it, as they share photos.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.utils import timezone

TOLD_EVERY_S = 0.5


def folder() -> Path:
    """Return the folder, made at its first use."""
    found = Path(settings.LOCAL_DIR) / "jobs"
    found.mkdir(mode=0o700, parents=True, exist_ok=True)
    return found


def result_path(job_id: int) -> Path:
    """Return where the result of a job lies."""
    return folder() / f"{job_id}.result"


def upload_path(job_id: int) -> Path:
    """Return where the file that a job takes in lies."""
    return folder() / f"{job_id}.upload"


def progress_path(job_id: int, attempt: int) -> Path:
    """Return where an attempt tells how far it is."""
    return folder() / f"{job_id}-{attempt}.progress"


@contextmanager
def whole(path: Path) -> Iterator[BinaryIO]:
    """Give a file to write to, which is there under its name once it is whole."""
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=f"{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w+b") as stream:
            yield stream
        os.replace(part, path)
    finally:
        Path(part).unlink(missing_ok=True)


@dataclass(frozen=True, slots=True)
class Told:
    """How far a job is."""

    phase: str = ""
    done: int = 0
    total: int = 0
    unit: str = ""
    at: str = ""

    @property
    def heard_at(self) -> dt.datetime | None:
        """When the job told this."""
        return dt.datetime.fromisoformat(self.at) if self.at else None

    @property
    def words(self) -> str:
        """How far in words, such as ``printing, 12 of 59 elements``."""
        count = ""
        if self.total:
            count = f"{self.done} of {self.total} {self.unit}"
        elif self.done:
            count = f"{self.unit}: {self.done}"
        return ", ".join(filter(None, (self.phase, count)))


class Progress:
    """Tells how far an attempt at a job is, at most twice a second.

    It goes to a file and not to the job's row: work often is one transaction, and what is
    written inside that is seen by nobody before its end; and on SQLite, where one connection
    writes at a time, a second one that tells of an import could not write while the import
    does, and twice a second would stand in the way of tablets that send.
    """

    def __init__(self, job_id: int, attempt: int, *, done: int = 0, total: int = 0, unit: str = ""):
        self._path = progress_path(job_id, attempt)
        self._told_at = 0.0
        self.phase_words = ""
        self.done, self.total, self.unit = done, total, unit
        self.goes_on = False
        self._tell()

    def __call__(self, count: int = 1) -> None:
        """Count some more as done."""
        self.done += count
        if time.monotonic() - self._told_at >= TOLD_EVERY_S:
            self._tell()

    def expect(self, total: int) -> None:
        """Say how many there will be."""
        self.total = total
        self._tell()

    def phase(self, words: str) -> None:
        """Say in words what is being done now."""
        self.phase_words = words
        self._tell()

    def forget(self) -> None:
        """Drop the file, since the job's row tells the end; not where others go on with it."""
        if not self.goes_on:
            self._path.unlink(missing_ok=True)

    def _tell(self) -> None:
        told = Told(self.phase_words, self.done, self.total, self.unit, timezone.now().isoformat())
        with whole(self._path) as file:
            file.write(json.dumps(asdict(told)).encode())
        self._told_at = time.monotonic()


def told(job_id: int, attempt: int) -> Told | None:
    """Return what an attempt told last, None where it has told nothing."""
    try:
        return Told(**json.loads(progress_path(job_id, attempt).read_bytes()))
    except FileNotFoundError:
        return None


def drop(job_id: int) -> None:
    """Drop every file of a job."""
    for path in (result_path(job_id), upload_path(job_id), *folder().glob(f"{job_id}-*.progress")):
        path.unlink(missing_ok=True)


def drop_older_than(cutoff: dt.datetime) -> None:
    """Drop what no job of its time still needs, and what one that broke off left lying."""
    for path in folder().iterdir():
        with suppress(FileNotFoundError):  # another process was quicker
            if path.stat().st_mtime < cutoff.timestamp():
                path.unlink()
