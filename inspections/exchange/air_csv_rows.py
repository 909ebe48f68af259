"""Rows of a station's file, cell by cell."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from inspections.exchange.air_csv_columns import BESIDE_TEMPERATURE, LONGEST_STATION, Columns
from inspections.services.air_records import AirExtremes, AirHour
from inventory.exchange.cells import Day
from inventory.exchange.problems import Problem
from inventory.units import Dimension, parse
from movement.errors import InputError

_BLANK = {"", "na", "n/a", "nan", "null", "none", "-"}


@dataclass(slots=True)
class Read:
    """What stands in the file; ``lines`` goes with ``hours`` or ``days``.

    ``told`` are the station and time of every row, those that are blank among them.
    """

    hours: list[AirHour] = field(default_factory=list)
    days: list[AirExtremes] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    told: list[tuple[str, dt.datetime]] = field(default_factory=list)
    told_days: list[tuple[str, dt.date]] = field(default_factory=list)
    blank_lines: list[int] = field(default_factory=list)


def read_rows(
    columns: Columns, rows: Iterable[tuple[int, dict[str, str]]], problems: list[Problem]
) -> Read:
    """Return what the rows say; what is wrong with any goes to ``problems``."""
    read = Read()
    take = _day if columns.daily else _hour
    for line, row in rows:
        station = columns.every_row or row[columns.at["station"]]
        if not 0 < len(station) <= LONGEST_STATION:
            problems.append(
                Problem(
                    line,
                    columns.at["station"],
                    f"Give a code of 1 to {LONGEST_STATION} characters.",
                )
            )
            continue
        try:
            take(read, columns, station, line, row)
        except InputError as error:
            problems.append(Problem(line, error.field, f"{error.message}. {error.remedy}"))
    return read


def _hour(read: Read, columns: Columns, station: str, line: int, row: dict[str, str]) -> None:
    time_utc = _time(row[columns.at["time"]], columns)
    temperature_c = _temperature("temperature", columns, row)
    beside = [
        _number(columns.at[name], row[columns.at[name]]) if name in columns.at else None
        for name in BESIDE_TEMPERATURE
    ]
    read.told.append((station, time_utc))
    if temperature_c is None:
        read.blank_lines.append(line)
        return
    read.hours.append(AirHour(station, time_utc, temperature_c, *beside))
    read.lines.append(line)


def _day(read: Read, columns: Columns, station: str, line: int, row: dict[str, str]) -> None:
    day = Day().read(columns.at["day"], row[columns.at["day"]], "")
    low, high = (_temperature(name, columns, row) for name in ("min_c", "max_c"))
    read.told_days.append((station, day))
    if low is None or high is None:
        # Half a day is no day: its other extreme alone does not tell the hours.
        read.blank_lines.append(line)
        return
    read.days.append(AirExtremes(station, day, low, high))
    read.lines.append(line)


def _temperature(meant: str, columns: Columns, row: dict[str, str]) -> float | None:
    column = columns.at[meant]
    if row[column].lower() in _BLANK:
        return None
    return parse(column, row[column], Dimension.TEMPERATURE, columns.unit(meant)).value


def _number(column: str, cell: str) -> float | None:
    if cell.lower() in _BLANK:
        return None
    try:
        return float(cell)
    except ValueError:
        raise InputError(
            column, f"«{cell}» is not a value", "Write a number, or leave the cell empty."
        ) from None


def _time(cell: str, columns: Columns) -> dt.datetime:
    column = columns.at["time"]
    try:
        # A date alone would read as midnight, which nobody has written.
        time = dt.datetime.fromisoformat(cell if ":" in cell else "")
    except ValueError:
        raise InputError(column, f"«{cell}» is no time", "Write 2024-06-01T08:00Z.") from None
    if time.tzinfo is None:
        if not columns.time_is_utc:
            raise InputError(
                column,
                f"«{cell}» does not tell its offset from UTC",
                "Write 2024-06-01T10:00+02:00, or name the column time_utc.",
            )
        return time.replace(tzinfo=dt.UTC)
    if not dt.MINYEAR < time.year < dt.MAXYEAR:
        raise InputError(column, f"«{cell}» is no time of a record", "Check the year.")
    return time.astimezone(dt.UTC)
