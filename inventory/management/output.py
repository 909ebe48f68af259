"""Where a command's result goes: a file that is whole or not there, or the terminal."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, TextIO

from django.core.management.base import CommandError


@contextmanager
def opened(path: Path | None, stdout: TextIO) -> Iterator[TextIO]:
    """Give a stream of text to write to; a file appears under its name once it is whole."""
    if path is None:
        yield stdout
        return
    with whole_file(path) as raw:
        stream = io.TextIOWrapper(raw, encoding="utf-8", newline="")
        yield stream
        stream.flush()
        stream.detach()


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """Give a stream of bytes to write to; the file appears under its name once it is whole."""
    try:
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise _not_written(path, error) from error
    try:
        with os.fdopen(handle, "wb") as stream:
            yield stream
        Path(part).chmod(0o644)
        Path(part).replace(path)
    except OSError as error:
        raise _not_written(path, error) from error
    finally:
        Path(part).unlink(missing_ok=True)


def _not_written(path: Path, error: OSError) -> CommandError:
    return CommandError(
        f"--output: {path} cannot be written ({error.strerror}). Give another file or folder."
    )
