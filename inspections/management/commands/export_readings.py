"""``manage.py export_readings``: readings and temperatures to a CSV file."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inspections.exchange.readings_csv_columns import FORMAT
from inspections.exchange.readings_csv_export import write_readings
from inspections.selectors.assessment import bridges_to_assess
from inventory.management.output import add_output, write_table
from inventory.management.reports import WRONG_ARGUMENT
from movement.errors import InputError


class Command(BaseCommand):
    help = (
        f"Write readings and temperatures in the format {FORMAT}, as import_readings takes it."
        " Corrected readings are written as they now stand."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--bridge",
            metavar="CODE",
            nargs="+",
            action="extend",
            default=[],
            help="write those of these bridges only (default: of every bridge)",
        )
        add_output(parser)
        parser.add_argument(
            "--as-typed",
            action="store_true",
            help="write values as they were entered, 2 3/16 in, instead of in the header's unit",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            bridges = bridges_to_assess(options["bridge"]).order_by("code")
        except InputError as error:
            raise CommandError(str(error), returncode=WRONG_ARGUMENT) from error
        write_table(
            "readings",
            options,
            self.stdout,
            lambda stream: write_readings(stream, bridges.iterator(), options["as_typed"]),
        )
