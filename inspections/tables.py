"""Lists as tables for a file: columns declared once, written as CSV or as a workbook."""

from __future__ import annotations

import csv
import datetime as dt
import io
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import IO, Any

from django.db.models import QuerySet
from django.http import FileResponse
from django.http.response import HttpResponseBase
from django.urls import URLPattern, path
from django.utils import timezone

from inspections.paging import rows_in_order
from inspections.streams import as_it_comes
from inventory.exchange.problems import neutralise
from inventory.exchange.workbooks import Cell, workbook_blocks
from inventory.units import Dimension, System, to_shown

CSV, XLSX = "csv", "xlsx"
CONTENT_TYPES = {
    CSV: "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "xml": "text/xml; charset=utf-8",
    XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
_IN_MEMORY_BYTES = 2**20
_BLOCK = 2**14
"""Characters of a file that go out together."""
_SUFFIXES = {
    # as column names of files spell the labels of the pages
    "°C": "c",
    "°F": "f",
    "°": "deg",
    "mm²": "mm2",
    "in²": "in2",
}
_GUARD_DIGITS = 6
"""Decimals beyond those shown on a page: enough to read a value back, without binary dust."""


@dataclass(frozen=True, slots=True)
class TableColumn:
    """One column: its name without the unit, and how a row gives its value.

    With a ``dimension`` the value is in the stored unit; it is written in the user's, which
    the header then names.
    """

    name: str
    value: Callable[[Any], Any]
    dimension: Dimension | None = None

    def header(self, system: System) -> str:
        """Return the name with its unit, such as ``gap_mm`` or ``gap_in``."""
        if self.dimension is None:
            return self.name
        label = to_shown(0.0, self.dimension, system)[1]
        return f"{self.name}_{_SUFFIXES.get(label, label.lower())}"

    def cell(self, row: Any, system: System) -> Cell:
        """Return the value of a row; None where there is none."""
        value = self.value(row)
        if value is None or value == "":
            return None
        if self.dimension is not None:
            number, _, decimals = to_shown(value, self.dimension, system)
            return round(number, decimals + _GUARD_DIGITS)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, int | float | Decimal | dt.date):
            return value
        return str(value)


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of a list under the name of its file."""

    name: str
    columns: tuple[TableColumn, ...]

    def headers(self, system: System) -> list[str]:
        """Return the names of the columns with their units."""
        return [column.header(system) for column in self.columns]

    def cells(self, rows: Iterable[Any], system: System) -> Iterator[list[Cell]]:
        """Yield the values of each row."""
        for row in rows:
            yield [column.cell(row, system) for column in self.columns]

    def texts(self, rows: Iterable[Any], system: System = System.SI) -> Iterator[list[str]]:
        """Yield each row as CSV writes it."""
        for cells in self.cells(rows, system):
            yield [text_of(cell) for cell in cells]


def day_of(at: dt.datetime | None) -> dt.date | None:
    """Return the day of a moment as the pages show it."""
    return None if at is None else timezone.localtime(at).date()


def utc_of(at: dt.datetime | None) -> dt.datetime | None:
    """Return a moment in UTC without its zone, which workbooks cannot hold."""
    return None if at is None else at.astimezone(dt.UTC).replace(tzinfo=None)


def text_of(cell: Cell) -> str:
    """Return a value as a CSV file writes it."""
    if cell is None:
        return ""
    if isinstance(cell, dt.datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    return neutralise(cell) if isinstance(cell, str) else str(cell)


def csv_blocks(table: Table, rows: Iterable[Any], system: System) -> Iterator[bytes]:
    """Yield a list as CSV in UTF-8, some thousand characters at a time."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(table.headers(system))
    for texts in table.texts(rows, system):
        writer.writerow(texts)
        if written.tell() >= _BLOCK:
            yield written.getvalue().encode()
            written.seek(0)
            written.truncate()
    yield written.getvalue().encode()


def xlsx_blocks(table: Table, rows: Iterable[Any], system: System) -> Iterator[bytes]:
    """Yield a list as a workbook of one sheet, some thousand bytes at a time."""
    return workbook_blocks(table.name, table.headers(system), table.cells(rows, system))


def table_paths(address: str, view: Callable[..., Any], name: str) -> list[URLPattern]:
    """Return the addresses of a list as a file, such as ``plan/due.csv`` and ``plan/due.xlsx``."""
    return [
        path(f"{address}.{kind}", view, {"kind": kind}, name=f"{name}-{kind}")
        for kind in (CSV, XLSX)
    ]


def table_file(table: Table, rows: Iterable[Any], system: System, kind: str) -> HttpResponseBase:
    """Return a list as a file to keep, ``kind`` being csv or xlsx.

    A long one goes out while its rows are read.
    """
    if isinstance(rows, QuerySet):
        rows = rows_in_order(rows)
    blocks = csv_blocks if kind == CSV else xlsx_blocks
    return as_it_comes(f"{table.name}.{kind}", CONTENT_TYPES[kind], blocks(table, rows, system))


def as_download(name: str, write: Callable[[IO[bytes]], object]) -> FileResponse:
    """Return a file to keep; a long one is written to disk first, not held in memory."""
    file = tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)  # noqa: SIM115 - the response closes it
    write(file)
    file.seek(0)
    kind = CONTENT_TYPES[name.rpartition(".")[2]]
    return FileResponse(file, as_attachment=True, filename=name, content_type=kind)
