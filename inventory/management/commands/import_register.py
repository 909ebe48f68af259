"""``manage.py import_register``: the register, or national inventory rows, from a CSV file."""

from __future__ import annotations

import shutil
import textwrap
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from collections.abc import Iterator
from typing import Any, TextIO

from django.core.management.base import CommandError
from tqdm import tqdm

from inventory.exchange.columns import FORMAT, Record
from inventory.exchange.file_rows import decoded
from inventory.exchange.import_result import ImportResult
from inventory.exchange.nbi_reading import is_national_inventory
from inventory.exchange.nbi_rows import import_nbi
from inventory.exchange.problems import Problem
from inventory.exchange.register_csv import import_register
from inventory.exchange.register_guide import described, write_template
from inventory.management.import_command import ImportCommand
from inventory.management.reports import MOST_PROBLEMS_SHOWN, WRONG_ARGUMENT

AUTO, REGISTER, NBI = "auto", "register", "nbi"


class Command(ImportCommand):
    progress_of = "row"
    progress_word = "Reading"
    help = (
        f"Import the register from a CSV file in the format {FORMAT}: districts, bridges, units,"
        "\nsupports, elements and installations, each row saying in its column «record» what it"
        "\nis. New rows are created, known ones updated in the columns that the file has; nothing"
        "\nis removed, and the same file again changes nothing. All of the file is taken or"
        "\nnothing. --columns documents the format, --template writes a file to start from."
        "\n\nRows of the US National Bridge Inventory are taken as a stock of bridges, and known"
        "\nby their header."
        "\n\nExit code 0: done; 1: the file was refused; 2: wrong arguments."
        "\nExample: manage.py import_register register.csv --dry-run"
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--format",
            choices=[AUTO, REGISTER, NBI],
            default=AUTO,
            help="what the file holds (default: auto, by its header)",
        )
        parser.add_argument(
            "--skip-bad-rows",
            action="store_true",
            help="national inventory rows only: take the good rows, and tell which were left out",
        )

    def columns(self) -> Iterator[str]:
        return columns_told()

    def write_sample(self, stream: TextIO) -> None:
        write_template(stream)

    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> Iterator[str]:
        text = decoded(content)
        national = options["format"] == NBI or (
            options["format"] == AUTO and is_national_inventory(text)
        )
        if options["skip_bad_rows"] and not national:
            raise CommandError(
                "--skip-bad-rows is for national inventory rows: a register file is taken whole"
                " or not at all. Leave the option out.",
                returncode=WRONG_ARGUMENT,
            )
        shared = {
            "text_or_file": text,
            "dry_run": options["dry_run"],
            "progress": bar.update,
        }
        if national:
            return told(import_nbi(skip_bad_rows=options["skip_bad_rows"], **shared))
        return told(import_register(**shared))


def told(result: ImportResult) -> Iterator[str]:
    """Yield what an import did, in lines."""
    yield "Dry run, nothing written. It would be:" if result.dry_run else "Imported:"
    for record in Record:
        counts = [each[record] for each in (result.created, result.updated, result.unchanged)]
        if any(counts):
            yield "  {:<12} {:>6} created {:>6} updated {:>6} unchanged".format(record, *counts)
    yield from _listed("Left out, because they cannot be taken", result.problems)
    yield from _listed("Worth a look", result.notices)


def _listed(heading: str, problems: list[Problem]) -> Iterator[str]:
    if problems:
        yield f"{heading} ({len(problems)}):"
        for problem in problems[:MOST_PROBLEMS_SHOWN]:
            yield f"  {problem}"
        if len(problems) > MOST_PROBLEMS_SHOWN:
            yield f"  ... and {len(problems) - MOST_PROBLEMS_SHOWN} more."


def columns_told() -> Iterator[str]:
    """Yield the table of columns, meanings wrapped to the terminal."""
    columns = described()
    longest = max(len(each.name) for each in columns)
    indent = " " * 4
    width = max(72, shutil.get_terminal_size((100, 24)).columns)
    yield FORMAT
    yield "UTF-8 with or without byte order mark; comma, semicolon or tab between cells."
    yield (
        "A header may end in another unit of the same kind (station_ft, opening_min_in,"
        " setting_temperature_f), and a cell may have its own (2 3/16 in)."
    )
    for each in columns:
        unit = f"[{each.unit}]" if each.unit else ""
        yield (
            f"{each.name:<{longest}}  {unit:<9}  rows: {each.records};"
            f" needed: {each.needed or 'no'}"
        )
        yield from textwrap.wrap(
            each.meaning, width, initial_indent=indent, subsequent_indent=indent
        )
