"""``manage.py import_readings``: readings and temperatures of visits from a CSV file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from tqdm import tqdm

from inspections.exchange.readings_csv import ReadingsReport, import_readings
from inspections.exchange.readings_csv_columns import FORMAT, described
from inspections.exchange.readings_csv_export import write_template
from inspections.models.choices import InspectionState
from inventory.exchange.problems import ImportRefused
from inventory.management.output import opened
from inventory.management.reports import columns_told, content_of, refused


class Command(BaseCommand):
    help = (
        f"Import readings and temperatures from a CSV file in the format {FORMAT}; all of it or"
        " nothing, and the same file again changes nothing. --columns documents the format."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("file", type=Path, nargs="?", help="CSV file in UTF-8")
        what.add_argument(
            "--columns", action="store_true", help="print the documented columns and stop"
        )
        what.add_argument("--template", metavar="FILE", type=Path, help="write a sample and stop")
        parser.add_argument(
            "--dry-run", action="store_true", help="check and tell, but write nothing"
        )
        parser.add_argument(
            "--state",
            choices=InspectionState.values,
            default=InspectionState.OPEN.value,
            help="state to leave the inspections in (default: open); none goes back",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["columns"]:
            for line in columns_told(FORMAT, described()):
                self.stdout.write(line)
            return
        if options["template"]:
            with opened(options["template"], self.stdout) as stream:
                write_template(stream)
            return
        content = content_of(options["file"])
        try:
            # disable=None: a bar on a terminal, silence where the output is kept.
            with tqdm(unit="bridge", desc="Judging", disable=None, leave=False) as bar:
                report = import_readings(
                    content,
                    state=options["state"],
                    dry_run=options["dry_run"],
                    progress=bar.update,
                )
        except ImportRefused as error:
            raise refused(options["file"], error) from error
        for line in told(report):
            self.stdout.write(line)


def told(report: ReadingsReport) -> list[str]:
    """Return what an import did, in lines."""
    head = "Dry run, nothing written. It would be:" if report.dry_run else "Imported:"
    lines = [
        head,
        f"  {report.added} values added, {report.already_there} were there already",
        f"  {report.inspections_opened} inspections opened, {report.inspections_known} were there"
        " already",
        f"  {report.inspections_moved_on} inspections handed in or accepted",
        f"  {report.bridges_judged} bridges judged",
    ]
    if report.without_value:
        numbers = ", ".join(map(str, report.without_value))
        lines.append(f"Rows without a value, passed over: line {numbers}.")
    return lines
