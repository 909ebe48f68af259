"""``manage.py import_air_temperatures``: a station's shade air record, hourly or daily."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any, TextIO

from tqdm import tqdm

from inspections.exchange.air_csv import AirReport, import_air_temperatures
from inspections.exchange.air_csv_columns import COLUMNS, DAILY_SAMPLE, SAMPLE
from inventory.management.import_command import ImportCommand
from inventory.management.reports import columns_told


class Command(ImportCommand):
    help = (
        "Import a station's shade air temperatures, hourly or the extremes of each day, from a CSV"
        " file; all of it or nothing, and the same file again changes nothing. Values that look"
        " like gross errors are refused. Bridges that name the station as theirs are judged again."
        " --columns documents the file."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--station", default="", help="station of every row, where the file does not tell"
        )
        parser.add_argument(
            "--keep-suspects",
            action="store_true",
            help="take values that look like gross errors as they are, and list them",
        )
        parser.add_argument(
            "--daily", action="store_true", help="with --template: the sample of a daily file"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        self._sample = DAILY_SAMPLE if options["daily"] else SAMPLE
        super().handle(*args, **options)

    def columns(self) -> list[str]:
        return columns_told("Shade air record, hourly or daily", COLUMNS)

    def write_sample(self, stream: TextIO) -> None:
        stream.write(self._sample)

    def take(self, content: bytes, bar: tqdm, options: dict[str, Any]) -> list[str]:
        return told(
            import_air_temperatures(
                content,
                station=options["station"],
                dry_run=options["dry_run"],
                keep_suspects=options["keep_suspects"],
                progress=bar.update,
            )
        )


def told(report: AirReport) -> list[str]:
    """Return what an import did, in lines."""
    verb = "would be added (dry run, nothing written)" if report.dry_run else "added"
    lines = [
        f"{report.added} {report.counted} {verb}, {report.already_there} were there already.",
        *(f"  {station}: {count} {report.counted}" for station, count in report.stations.items()),
    ]
    if report.completed:
        lines.append(f"{report.completed} that were there got sun or wind.")
    if report.blanks:
        numbers = ", ".join(map(str, report.blanks))
        lines.append(f"{len(report.blanks)} blank, left out: line {numbers}.")
    if report.gaps:
        missing = sum(gap.count for gap in report.gaps)
        counted = report.counted if missing > 1 else report.counted.removesuffix("s")
        lines.append(f"{missing} {counted} missing between the first and the last of a station:")
        lines += [f"  {gap}" for gap in report.gaps]
    if report.notices:
        lines.append(f"{len(report.notices)} to look at, taken as they are:")
        lines += [f"  {notice}" for notice in report.notices]
    if report.columns_passed_over:
        lines.append(f"Columns passed over: {', '.join(report.columns_passed_over)}.")
    lines += [
        f"No bridge takes its air from {station}: enter it as the bridge's air temperature station."
        for station in report.stations_without_bridge
    ]
    if report.bridges_judged:
        lines.append(f"{report.bridges_judged} bridges judged again.")
    return lines
