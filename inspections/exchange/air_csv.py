"""Shade air records of a station from a CSV file, hourly or daily.

Nothing is invented: blank and missing hours or days are named, and left out.  What looks like
a gross error is refused, unless it is to be kept.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import IO

from django.db import transaction

from inspections.exchange.air_csv_columns import Columns
from inspections.exchange.air_csv_rows import Read, read_rows
from inspections.exchange.air_gaps import DayGap, Gap, day_gaps, hour_gaps
from inspections.services.air import record_air
from inspections.services.air_days import record_air_days
from inspections.services.air_records import AirProblem, AirRecorded, AirRefused
from inventory.exchange.file_rows import csv_rows
from inventory.exchange.problems import ImportRefused, Problem
from inventory.models import Bridge


@dataclass(slots=True)
class AirReport:
    """What an import did, or would do.

    Attributes
    ----------
    counted : str
        What the file holds: hours or days.
    added, already_there, completed : int
        Of those; ``completed`` got the sun or wind that they lacked.
    blanks : list of int
        Lines of the file without a value.
    notices : list of Problem
        What looks wrong and was kept, or may be weather.
    """

    dry_run: bool
    counted: str = "hours"
    added: int = 0
    already_there: int = 0
    completed: int = 0
    bridges_judged: int = 0
    stations: dict[str, int] = field(default_factory=dict)
    blanks: list[int] = field(default_factory=list)
    gaps: list[Gap] | list[DayGap] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)
    columns_passed_over: list[str] = field(default_factory=list)
    stations_without_bridge: list[str] = field(default_factory=list)


def import_air_temperatures(
    file_or_bytes: IO[bytes] | bytes | str,
    *,
    station: str = "",
    dry_run: bool = False,
    keep_suspects: bool = False,
    progress: Callable[[int], None] = lambda count: None,
) -> AirReport:
    """Take a station's record from a CSV file, all of it or nothing.

    Parameters
    ----------
    file_or_bytes : file, bytes or str
        See ``air_csv_columns.COLUMNS``.
    station : str
        Station of every row, where the file has no column for it.
    keep_suspects : bool
        Take values that look like gross errors, and tell of them.
    progress : callable
        Told the bridges judged, one by one.

    Raises
    ------
    ImportRefused
        With every row that cannot be taken.
    """
    problems: list[Problem] = []
    header, rows = csv_rows(file_or_bytes, problems)
    columns = Columns.of(header, station)
    read = read_rows(columns, rows, problems)
    recorded = _recorded(read, columns, problems, dry_run, keep_suspects, progress)
    counts = Counter(row.station for row in (*read.hours, *read.days))
    served = set(
        Bridge.objects.filter(air_station__in=counts).values_list("air_station", flat=True)
    )
    return AirReport(
        dry_run=dry_run,
        counted="days" if columns.daily else "hours",
        added=recorded.added,
        already_there=recorded.already_there,
        completed=recorded.completed,
        bridges_judged=recorded.bridges_judged,
        stations=dict(counts),
        blanks=read.blank_lines,
        gaps=day_gaps(read.told_days) if columns.daily else hour_gaps(read.told),
        notices=_at_lines(read, columns, recorded.notices),
        columns_passed_over=columns.passed_over,
        stations_without_bridge=[name for name in sorted(counts) if name not in served],
    )


def _recorded(
    read: Read,
    columns: Columns,
    problems: list[Problem],
    dry_run: bool,
    keep_suspects: bool,
    progress: Callable[[int], None],
) -> AirRecorded:
    """Write what was read, or raise all that is wrong with it; a dry run leaves no trace."""
    options = {
        "keep_suspects": keep_suspects,
        "judge": not dry_run and not problems,
        "progress": progress,
    }
    with transaction.atomic():
        try:
            recorded = (
                record_air_days(days=read.days, **options)
                if columns.daily
                else record_air(hours=read.hours, **options)
            )
        except AirRefused as refused:
            problems += _at_lines(read, columns, refused.problems)
        if problems:
            raise ImportRefused(problems)
        if dry_run:
            transaction.set_rollback(True)
    return recorded


def _at_lines(read: Read, columns: Columns, problems: list[AirProblem]) -> list[Problem]:
    return [
        Problem(read.lines[each.row], columns.at[each.field], each.message) for each in problems
    ]
