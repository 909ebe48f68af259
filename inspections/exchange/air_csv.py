"""Hourly shade air records of a station from a CSV file.

Nothing is invented: blank hours and hours that are missing are named, and left out.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import IO

from django.db import transaction

from inspections.services.air import AirHour, AirRecorded, AirRefused, record_air
from inventory.exchange.problems import ImportRefused, Problem, csv_rows
from inventory.models import Bridge
from inventory.units import Dimension, parse
from movement.errors import InputError

COLUMNS = (
    ("station", "", "Code of the station; not needed where one station is named for the file."),
    ("time_utc", "UTC", "Hour of the record, ISO 8601: 2024-06-01T08:00Z or 2024-06-01 08:00."),
    ("time", "", "Instead of time_utc: ISO 8601 with its offset, 2024-06-01T10:00+02:00."),
    ("temperature_c", "degC", "Shade air temperature; also temp_c. Empty, NA or NaN: not known."),
    ("temperature_f", "degF", "Instead of temperature_c; also temp_f."),
)
"""Column, unit and meaning; other columns are passed over, and named."""
SAMPLE = (
    "station,time_utc,temperature_c\nST-1,2024-06-01T08:00Z,14.2\nST-1,2024-06-01T09:00Z,15.6\n"
)
_TEMPERATURE = re.compile(r"temp(?:erature)?_([cf])", re.IGNORECASE)
_BLANK = {"", "na", "n/a", "nan", "null", "none", "-"}
_HOUR = dt.timedelta(hours=1)
LONGEST_STATION = 40


@dataclass(frozen=True, slots=True)
class Gap:
    """Hours in a row that a station's file does not tell of."""

    station: str
    first: dt.datetime
    last: dt.datetime

    @property
    def hours(self) -> int:
        """Return how many are missing."""
        return round((self.last - self.first) / _HOUR) + 1

    @property
    def span(self) -> str:
        """Return its hours in UTC, the day of the last one only where it is another."""
        if self.hours == 1:
            return f"{self.first:%Y-%m-%d %H:%M}"
        same_day = self.first.date() == self.last.date()
        last = f"{self.last:%H:%M}" if same_day else f"{self.last:%Y-%m-%d %H:%M}"
        return f"{self.first:%Y-%m-%d %H:%M} to {last}"

    def __str__(self) -> str:
        plural = "" if self.hours == 1 else "s"
        return f"{self.station}: {self.span} UTC, {self.hours} hour{plural}"


@dataclass(slots=True)
class AirReport:
    """What an import did, or would do; ``blanks`` are lines of the file."""

    dry_run: bool
    added: int = 0
    already_there: int = 0
    bridges_judged: int = 0
    stations: dict[str, int] = field(default_factory=dict)
    blanks: list[int] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    columns_passed_over: list[str] = field(default_factory=list)
    stations_without_bridge: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Read:
    """What stands in the file; ``lines`` goes with ``hours``."""

    hours: list[AirHour] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    blank_hours: list[tuple[str, dt.datetime]] = field(default_factory=list)
    blank_lines: list[int] = field(default_factory=list)


def import_air_temperatures(
    file_or_bytes: IO[bytes] | bytes | str,
    *,
    station: str = "",
    dry_run: bool = False,
    progress: Callable[[int], None] = lambda count: None,
) -> AirReport:
    """Take a station's record from a CSV file, all of it or nothing.

    Parameters
    ----------
    file_or_bytes : file, bytes or str
        See ``COLUMNS``.
    station : str
        Station of every row, where the file has no column for it.
    progress : callable
        Told the bridges judged, one by one.

    Raises
    ------
    ImportRefused
        With every row that cannot be taken.
    """
    problems: list[Problem] = []
    header, rows = csv_rows(file_or_bytes, problems)
    columns = _Columns.of(header, station)
    read = _Read()
    for line, row in rows:
        _take(read, columns, line, row, problems)
    recorded = _recorded(read, columns, problems, dry_run, progress)
    names = sorted({hour.station for hour in read.hours})
    served = set(Bridge.objects.filter(air_station__in=names).values_list("air_station", flat=True))
    return AirReport(
        dry_run=dry_run,
        added=recorded.added,
        already_there=recorded.already_there,
        bridges_judged=recorded.bridges_judged,
        stations=dict(Counter(hour.station for hour in read.hours)),
        blanks=read.blank_lines,
        gaps=_gaps(read),
        columns_passed_over=columns.passed_over,
        stations_without_bridge=[name for name in names if name not in served],
    )


def _recorded(
    read: _Read,
    columns: _Columns,
    problems: list[Problem],
    dry_run: bool,
    progress: Callable[[int], None],
) -> AirRecorded:
    """Write what was read, or raise all that is wrong with it; a dry run leaves no trace."""
    with transaction.atomic():
        try:
            judge = not dry_run and not problems
            recorded = record_air(hours=read.hours, judge=judge, progress=progress)
        except AirRefused as refused:
            at = {"time": columns.time, "temperature": columns.temperature}
            problems += [
                Problem(read.lines[each.row], at[each.field], each.message)
                for each in refused.problems
            ]
        if problems:
            raise ImportRefused(problems)
        if dry_run:
            transaction.set_rollback(True)
    return recorded


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where in the header things stand."""

    station: str
    every_row: str
    time: str
    time_is_utc: bool
    temperature: str
    unit: str
    passed_over: list[str]

    @classmethod
    def of(cls, header: Sequence[str], every_row: str) -> _Columns:
        by_name = {name.lower(): name for name in header}
        problems = []
        if len(every_row) > LONGEST_STATION:
            problems.append(
                f"--station: «{every_row}» is longer than {LONGEST_STATION} characters."
            )
        if "station" not in by_name and not every_row:
            problems.append("There is no column «station». Add it, or name one for the file.")
        if "station" in by_name and every_row:
            problems.append("The file has a column «station» and one is named for it: use one.")
        times = [name for name in ("time_utc", "time") if name in by_name]
        if len(times) != 1:
            problems.append("Give the hour in one column, «time_utc» or «time».")
        temperatures = [name for name in by_name if _TEMPERATURE.fullmatch(name)]
        if len(temperatures) != 1:
            problems.append("Give one column «temperature_c» or «temperature_f».")
        if problems:
            raise ImportRefused([Problem(1, "", message) for message in problems])
        used = {"station", *times, *temperatures}
        return cls(
            station=by_name.get("station", ""),
            every_row=every_row,
            time=by_name[times[0]],
            time_is_utc=times[0] == "time_utc",
            temperature=by_name[temperatures[0]],
            unit=temperatures[0][-1],
            passed_over=[name for low, name in by_name.items() if low not in used],
        )


def _take(
    read: _Read, columns: _Columns, line: int, row: dict[str, str], problems: list[Problem]
) -> None:
    station = columns.every_row or row[columns.station]
    if not 0 < len(station) <= LONGEST_STATION:
        problems.append(
            Problem(line, columns.station, f"Give a code of 1 to {LONGEST_STATION} characters.")
        )
        return
    try:
        time_utc = _time(row[columns.time], columns)
        cell = row[columns.temperature]
        if cell.lower() in _BLANK:
            read.blank_hours.append((station, time_utc))
            read.blank_lines.append(line)
            return
        typed = parse(columns.temperature, cell, Dimension.TEMPERATURE, columns.unit)
    except InputError as error:
        problems.append(Problem(line, error.field, f"{error.message}. {error.remedy}"))
        return
    read.hours.append(AirHour(station, time_utc, typed.value))
    read.lines.append(line)


def _time(cell: str, columns: _Columns) -> dt.datetime:
    try:
        # A date alone would read as midnight, which nobody has written.
        time = dt.datetime.fromisoformat(cell if ":" in cell else "")
    except ValueError:
        raise InputError(columns.time, f"«{cell}» is no time", "Write 2024-06-01T08:00Z.") from None
    if time.tzinfo is None:
        if not columns.time_is_utc:
            raise InputError(
                columns.time,
                f"«{cell}» does not tell its offset from UTC",
                "Write 2024-06-01T10:00+02:00, or name the column time_utc.",
            )
        return time.replace(tzinfo=dt.UTC)
    if not dt.MINYEAR < time.year < dt.MAXYEAR:
        raise InputError(columns.time, f"«{cell}» is no time of a record", "Check the year.")
    return time.astimezone(dt.UTC)


def _gaps(read: _Read) -> list[Gap]:
    """Return the hours between a station's first and last that have no row, blank or not."""
    present: dict[str, set[dt.datetime]] = defaultdict(set)
    told: Iterable[tuple[str, dt.datetime]] = (hour[:2] for hour in read.hours)
    for station, time_utc in (*told, *read.blank_hours):
        present[station].add(time_utc.replace(minute=0, second=0, microsecond=0))
    return [
        Gap(station, before + _HOUR, after - _HOUR)
        for station, hours in sorted(present.items())
        for before, after in pairwise(sorted(hours))
        if after - before > _HOUR
    ]
