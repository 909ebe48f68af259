"""``manage.py import_air_temperatures``: a station's hourly shade air record."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any, TextIO

from tqdm import tqdm

from inspections.exchange.air_csv import COLUMNS, SAMPLE, AirReport, import_air_temperatures
from inventory.management.import_command import ImportCommand
from inventory.management.reports import columns_told


class Command(ImportCommand):
    help = (
        "Import a station's hourly shade air temperatures from a CSV file; all of it or nothing,"
        " and the same file again changes nothing. Bridges that name the station as theirs are"
        " judged again. --columns documents the file."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--station", default="", help="station of every row, where the file does not tell"
        )

    def columns(self) -> list[str]:
        return columns_told("Hourly shade air record", COLUMNS)

    def write_sample(self, stream: TextIO) -> None:
        stream.write(SAMPLE)

    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> list[str]:
        return told(
            import_air_temperatures(
                content,
                station=options["station"],
                dry_run=options["dry_run"],
                progress=bar.update,
            )
        )


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
