"""``manage.py import_air_temperatures``: a station's hourly shade air record."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from tqdm import tqdm

from inspections.exchange.air_csv import COLUMNS, SAMPLE, AirReport, import_air_temperatures
from inventory.exchange.problems import ImportRefused
from inventory.management.output import opened
from inventory.management.reports import columns_told, content_of, refused


class Command(BaseCommand):
    help = (
        "Import a station's hourly shade air temperatures from a CSV file; all of it or nothing,"
        " and the same file again changes nothing. Bridges that name the station as theirs are"
        " judged again. --columns documents the file."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("file", type=Path, nargs="?", help="CSV file in UTF-8")
        what.add_argument(
            "--columns", action="store_true", help="print the documented columns and stop"
        )
        what.add_argument("--template", metavar="FILE", type=Path, help="write a sample and stop")
        parser.add_argument(
            "--station", default="", help="station of every row, where the file does not tell"
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="check and tell, but write nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["columns"]:
            for line in columns_told("Hourly shade air record", COLUMNS):
                self.stdout.write(line)
            return
        if options["template"]:
            with opened(options["template"], self.stdout) as stream:
                stream.write(SAMPLE)
            return
        content = content_of(options["file"])
        try:
            # disable=None: a bar on a terminal, silence where the output is kept.
            with tqdm(unit="bridge", desc="Judging", disable=None, leave=False) as bar:
                report = import_air_temperatures(
                    content,
                    station=options["station"],
                    dry_run=options["dry_run"],
                    progress=bar.update,
                )
        except ImportRefused as error:
            raise refused(options["file"], error) from error
        for line in told(report):
            self.stdout.write(line)


def told(report: AirReport) -> list[str]:
    """Return what an import did, in lines."""
    verb = "would be added (dry run, nothing written)" if report.dry_run else "added"
    lines = [
        f"{report.added} hours {verb}, {report.already_there} were there already.",
        *(f"  {station}: {count} hours" for station, count in report.stations.items()),
    ]
    if report.blanks:
        numbers = ", ".join(map(str, report.blanks))
        lines.append(f"{len(report.blanks)} blank, left out: line {numbers}.")
    if report.gaps:
        missing = sum(gap.hours for gap in report.gaps)
        lines.append(f"{missing} hours missing between the first and the last of a station:")
        lines += [f"  {gap}" for gap in report.gaps]
    if report.columns_passed_over:
        lines.append(f"Columns passed over: {', '.join(report.columns_passed_over)}.")
    lines += [
        f"No bridge takes its air from {station}: enter it as the bridge's air temperature station."
        for station in report.stations_without_bridge
    ]
    if report.bridges_judged:
        lines.append(f"{report.bridges_judged} bridges judged again.")
    return lines
