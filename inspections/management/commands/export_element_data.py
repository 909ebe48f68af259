"""``manage.py export_element_data``: national bridge element data to an XML file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inspections.exchange.element_xml import write_rows
from inspections.selectors.assessment import bridges_to_assess
from inspections.selectors.element_data import element_data
from inventory.management.output import opened
from inventory.management.reports import WRONG_ARGUMENT
from movement.errors import InputError


class Command(BaseCommand):
    help = (
        "Write US national bridge element data (XML): joints and bearings from the condition"
        " states that crews handed in last, all other rows as they were imported. What cannot be"
        " reported is told on the error output."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--bridge",
            metavar="CODE",
            nargs="+",
            action="extend",
            default=[],
            help="write these bridges only (default: all, and structures imported besides)",
        )
        parser.add_argument("--output", metavar="FILE", type=Path, help="write to a file")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            bridges = bridges_to_assess(options["bridge"]) if options["bridge"] else None
        except InputError as error:
            raise CommandError(str(error), returncode=WRONG_ARGUMENT) from error
        found = element_data(bridges)
        for notice in found.notices:
            self.stderr.write(notice)
        with opened(options["output"], self.stdout) as stream:
            write_rows(stream, found.rows)
        if options["output"]:
            self.stdout.write(f"{len(found.rows)} rows written to {options['output']}.")
