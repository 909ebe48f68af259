"""A disk that can be filled up and emptied again."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

PIECE = 16 * 1024


class SmallDisk:
    """A file system of a few megabytes."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ballast = folder / "ballast"

    def fill(self) -> None:
        """Leave no room."""
        with self._ballast.open("ab", buffering=0) as file:
            for size in (PIECE, 1):
                try:
                    while True:
                        file.write(b"x" * size)
                except OSError:
                    continue

    def empty(self) -> None:
        """Make room again."""
        self._ballast.unlink()


@contextmanager
def small_disk(at: Path, size_mb: int = 24) -> Iterator[SmallDisk]:
    """Mount one; a machine that does not allow it skips the test."""
    at.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size_mb}m", "tmpfs", str(at)]
    if os.geteuid() or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("a file system of its own can be mounted by root alone")
    try:
        yield SmallDisk(at)
    finally:
        subprocess.run(["umount", "--lazy", str(at)], check=True)
