"""``manage.py plan``: print what is due and overdue."""

from __future__ import annotations

import csv
import datetime as dt
from argparse import ArgumentParser, ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import QuerySet
from django.utils import timezone
from tqdm import tqdm

from inspections.models import Due
from inspections.models.desk_choices import DueReason
from inspections.selectors import plan
from inspections.selectors.plan_table import due_table
from inspections.services.plan import write_due_all
from inventory.management.output import opened
from inventory.models import District
from inventory.units import System

WRONG_ARGUMENT = 2
IN_TABLE = ("due_on", "overdue_days", "bridge", "why", "planned_on", "lead")


def _day(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise ArgumentTypeError(f"«{text}» is no day. Write it as 2026-11-30.") from error


class Command(BaseCommand):
    help = (
        "Print what is due and overdue, the first first, with the next visit planned to each"
        " bridge. Without --until: what is due within 90 days."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--district", metavar="CODE", help="only bridges of this district")
        parser.add_argument(
            "--until", metavar="DAY", type=_day, help="up to and with this day, as 2026-11-30"
        )
        parser.add_argument("--overdue", action="store_true", help="only what is overdue")
        parser.add_argument(
            "--reason", choices=DueReason.values, help="only what is due for this reason"
        )
        parser.add_argument(
            "--format",
            choices=("table", "csv"),
            default="table",
            help="a table to read, or all columns as CSV",
        )
        parser.add_argument("--output", metavar="FILE", type=Path, help="write it to a file")
        parser.add_argument(
            "--renew", action="store_true", help="reckon what is due at every bridge anew first"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        today = timezone.localdate()
        if options["overdue"] and options["until"] and options["until"] >= today:
            raise CommandError(
                f"--until: {options['until']} has not passed, and --overdue asks for what was due"
                f" before {today}. Leave one of the two out.",
                returncode=WRONG_ARGUMENT,
            )
        rows = self._asked(options, today)
        if options["renew"]:
            # disable=None: a bar on a terminal, silence where the output is kept.
            with tqdm(unit="bridge", desc="Reckoning", disable=None, leave=False) as bar:
                write_due_all(progress=bar.update)
        with opened(options["output"], self.stdout) as stream:
            if options["format"] == "csv":
                table = due_table(today)
                writer = csv.writer(stream, lineterminator="\n")
                writer.writerow(table.headers(System.SI))
                writer.writerows(table.texts(rows))
            else:
                for line in _table(rows, today):
                    stream.write(f"{line}\n")

    def _asked(self, options: dict[str, Any], today: dt.date) -> QuerySet[Due]:
        rows = plan.due().filter(due_on__lte=options["until"] or today + plan.SOON)
        if options["overdue"]:
            rows = rows.filter(due_on__lt=today)
        if options["reason"]:
            rows = rows.filter(reason=options["reason"])
        if code := options["district"]:
            if not District.objects.filter(code=code).exists():
                known = ", ".join(District.objects.values_list("code", flat=True)) or "none yet"
                raise CommandError(
                    f"--district: no district has the code «{code}». There are: {known}.",
                    returncode=WRONG_ARGUMENT,
                )
            rows = rows.filter(bridge__district__code=code)
        return rows


def _table(rows: QuerySet[Due], today: dt.date) -> list[str]:
    """Return columns side by side, and how much of it is overdue."""
    table = due_table(today)
    columns = table.headers(System.SI)
    places = [columns.index(name) for name in IN_TABLE]
    cells = [[row[place] for place in places] for row in table.texts(rows)]
    late = sum(bool(row[1]) for row in cells)
    if not cells:
        return ["Nothing is due."]
    heads = ["due", "late, days", "bridge", "why", "planned", "lead"]
    widths = [max(map(len, column)) for column in zip(heads, *cells, strict=True)]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in [heads, *cells]
    ]
    return [*lines, "", f"{len(cells)} due, {late} of them overdue, as of {today}."]
