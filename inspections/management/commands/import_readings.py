"""``manage.py import_readings``: readings and temperatures of visits from a CSV file."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any, TextIO

from tqdm import tqdm

from inspections.exchange.readings_csv import ReadingsReport, import_readings
from inspections.exchange.readings_csv_columns import FORMAT, described
from inspections.exchange.readings_csv_export import write_template
from inspections.models.choices import InspectionState
from inventory.management.import_command import ImportCommand
from inventory.management.reports import columns_told


class Command(ImportCommand):
    help = (
        f"Import readings and temperatures from a CSV file in the format {FORMAT}; all of it or"
        " nothing, and the same file again changes nothing. --columns documents the format."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--state",
            choices=InspectionState.values,
            default=InspectionState.OPEN.value,
            help="state to leave the inspections in (default: open); none goes back",
        )

    def columns(self) -> list[str]:
        return columns_told(FORMAT, described())

    def write_sample(self, stream: TextIO) -> None:
        write_template(stream)

    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> list[str]:
        return told(
            import_readings(
                content,
                state=options["state"],
                dry_run=options["dry_run"],
                progress=bar.update,
            )
        )


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
