"""Where a command's result goes: a file that is whole or not there, or the terminal."""

from __future__ import annotations

import io
import os
import tempfile
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO, TextIO

from django.core.management.base import CommandError

from inventory.exchange.workbooks import workbook_by_csv
from inventory.management.reports import WRONG_ARGUMENT

FORMATS = CSV, XLSX = "csv", "xlsx"


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


def add_output(parser: ArgumentParser) -> None:
    """Add the options of a command that writes a table."""
    parser.add_argument(
        "--output", metavar="FILE", type=Path, help="write to a file (default: the terminal)"
    )
    parser.add_argument(
        "--format",
        choices=FORMATS,
        help="what to write (default: by the ending of --output, and CSV to the terminal)",
    )


def write_table(
    title: str, options: Mapping[str, Any], stdout: TextIO, write: Callable[[TextIO], int]
) -> None:
    """Write what ``write`` gives as CSV to where, and as what, the options say."""
    path = options["output"]
    if _format(path, options["format"]) == XLSX:
        with whole_file(path) as file:
            count = workbook_by_csv(file, title, write)
    else:
        with opened(path, stdout) as stream:
            count = write(stream)
    if path:
        stdout.write(f"{count} rows written to {path}.\n")


def _format(path: Path | None, asked: str | None) -> str:
    ending = path.suffix.lower().removeprefix(".") if path else ""
    if asked == XLSX and path is None:
        raise CommandError(
            "--format xlsx: a workbook cannot go to the terminal. Give --output FILE.xlsx.",
            returncode=WRONG_ARGUMENT,
        )
    if asked is None and ending not in ("", *FORMATS):
        raise CommandError(
            f"--output: {path} ends in .{ending}, which is not written. Give a name that ends in"
            " .csv or .xlsx, or say which by --format.",
            returncode=WRONG_ARGUMENT,
        )
    return asked or ending or CSV


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
