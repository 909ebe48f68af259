"""``manage.py assess``: judge every reading again and tell which elements are out of range."""

from __future__ import annotations

import csv
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from pathlib import Path
from typing import Any, TextIO

from django.core.management.base import BaseCommand, CommandError
from django.db.models import QuerySet
from tqdm import tqdm

from inspections import assessment
from inspections.assessment_table import table_lines
from inspections.assessment_writing import csv_cells, json_text
from inspections.selectors.assessment import (
    assessment_of,
    bridges_to_assess,
    diagnoses_to_tell,
    statuses_of,
    telling_units,
    worst_first,
)
from inspections.services.judge import judge_bridges, judge_outdated
from inventory.exchange.problems import neutralise
from inventory.management.output import opened
from inventory.models import Bridge
from inventory.units import System
from movement.errors import InputError

FAILS = {"watch": ("watch", "out_of_range"), "out-of-range": ("out_of_range",)}
WRONG_ARGUMENT, FOUND = 2, 3


class Command(BaseCommand):
    help = (
        "Judge every reading again, then tell the verdict of each element as it was last seen."
        "\n\nExit code 0: done; 1: failed; 2: wrong arguments; 3: --fail-on found one."
        f"\nJSON and CSV follow the format {assessment.FORMAT}; --columns documents every field."
    )

    def create_parser(self, *args: Any, **kwargs: Any) -> ArgumentParser:
        """Keep the line breaks of the help text."""
        return super().create_parser(*args, **kwargs, formatter_class=RawDescriptionHelpFormatter)

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--bridge",
            metavar="CODE",
            nargs="+",
            action="extend",
            default=[],
            help="judge these bridges only (default: every bridge that has elements)",
        )
        parser.add_argument(
            "--format", choices=["table", "json", "csv"], default="table", help="default: table"
        )
        parser.add_argument("--output", metavar="FILE", type=Path, help="write to a file")
        parser.add_argument(
            "--all",
            action="store_true",
            help="table: show every element, not the flagged ones only (json and csv always do)",
        )
        parser.add_argument(
            "--units", choices=list(System), default=System.SI, help="units of the table"
        )
        parser.add_argument(
            "--fail-on",
            choices=list(FAILS),
            help="exit with code 3 if an element is out of range (or to watch, or worse)",
        )
        parser.add_argument(
            "--columns", action="store_true", help="print the documented fields and stop"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["columns"]:
            self._print_columns()
            return
        try:
            bridges = bridges_to_assess(options["bridge"])
        except InputError as error:
            raise CommandError(str(error), returncode=WRONG_ARGUMENT) from error
        self._judge(bridges)
        found = assessment_of(bridges)
        with opened(options["output"], self.stdout) as stream:
            WRITERS[options["format"]](stream, bridges, found, options)
        failing = sum(found.counts[code] for code in FAILS.get(options["fail_on"], ()))
        if failing:
            raise CommandError(
                f"--fail-on {options['fail_on']}: {failing} such elements.", returncode=FOUND
            )

    def _judge(self, bridges: QuerySet[Bridge]) -> None:
        ids = list(bridges.order_by("code").values_list("pk", flat=True))
        # disable=None: a bar on a terminal, silence where the output is kept.
        with tqdm(total=len(ids), unit="bridge", desc="Judging", disable=None) as bar:
            judge_bridges(ids, progress=bar.update)
            # Bridges that were not asked for keep pace with the model all the same.
            judge_outdated()

    def _print_columns(self) -> None:
        self.stdout.write(f"{assessment.FORMAT}: fields of the JSON document and the CSV file\n")
        for where, name, unit, meaning in assessment.described():
            self.stdout.write(f"{where:<11} {name:<29} {unit or '-':<24} {meaning}")
        self.stdout.write(
            "\nNumbers of a reading, a history or a check stand in the unit that its «unit» names."
            "\nThe CSV file has one row an element and the columns of «element», «deciding» and"
            f" «history», the last begun with {assessment.CSV_HISTORY}:\nof the history that raised"
            " the verdict, else of the channel that decides; code words are separated by spaces."
            "\nCapacity and units stand in the JSON document alone.\nA field may be added; a change"
            " of name or meaning changes the number of the format."
        )


def _write_table(
    stream: TextIO, bridges: QuerySet[Bridge], found: assessment.Assessment, options: dict[str, Any]
) -> None:
    statuses = worst_first(bridges, flagged_only=not options["all"])
    units = telling_units(bridges)
    for line in table_lines(statuses, units, found.counts, System(options["units"])):
        stream.write(f"{line}\n")


def _write_json(
    stream: TextIO, bridges: QuerySet[Bridge], found: assessment.Assessment, options: dict[str, Any]
) -> None:
    for piece in json_text(found, statuses_of(bridges), diagnoses_to_tell(bridges)):
        stream.write(piece)


def _write_csv(
    stream: TextIO, bridges: QuerySet[Bridge], found: assessment.Assessment, options: dict[str, Any]
) -> None:
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(assessment.CSV_COLUMNS)
    for status in statuses_of(bridges):
        writer.writerow(csv_cells(status, neutralise))


WRITERS = {"table": _write_table, "json": _write_json, "csv": _write_csv}
