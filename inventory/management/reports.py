"""How the import commands tell what they did and what they refused."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from django.core.management.base import CommandError

from inventory.exchange.problems import ImportRefused

WRONG_ARGUMENT = 2
MOST_PROBLEMS_SHOWN = 200


def content_of(path: Path) -> bytes:
    """Return what a file holds, or say why it cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise CommandError(
            f"{path} cannot be read ({error.strerror}). Check its name.", returncode=WRONG_ARGUMENT
        ) from error


def refused(path: Path, error: ImportRefused) -> CommandError:
    """Return the error of a command whose file was refused, a line a problem."""
    shown = [f"  {problem}" for problem in error.problems[:MOST_PROBLEMS_SHOWN]]
    left = len(error.problems) - len(shown)
    if left:
        shown.append(f"  ... and {left} more.")
    count = len(error.problems)
    head = f"{path}: nothing was imported; {count} problem{'s' if count > 1 else ''}:"
    return CommandError("\n".join([head, *shown]))


def columns_told(heading: str, columns: Iterable[tuple[str, str, str]]) -> list[str]:
    """Return a table of columns, each with its unit and meaning, in lines."""
    rows = [("column", "unit", "meaning")]
    rows += [(column, unit or "-", meaning) for column, unit, meaning in columns]
    widths = [max(len(row[place]) for row in rows) for place in (0, 1)]
    return [
        heading,
        *(f"{row[0]:<{widths[0]}}  {row[1]:<{widths[1]}}  {row[2]}".rstrip() for row in rows),
    ]
