"""Workbooks (XLSX) that give rows out and take them in; text is written as CSV writes it."""

from __future__ import annotations

import csv
import datetime as dt
import re
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from itertools import chain, islice
from typing import IO, TextIO

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from inventory.exchange.problems import neutralise, restored

Cell = str | int | float | Decimal | dt.date | dt.datetime | None

_MEASURED_ROWS = 200
"""Rows that the widths of the columns are taken from."""
_NARROWEST, _WIDEST = 8, 60
_BLOCK_BYTES = 2**13
"""Bytes of a workbook that go out together."""
_ESCAPED = re.compile(r"_x[0-9A-Fa-f]{4}_")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_EXACT_DIGITS = 16
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_FIRST_DAY = "1900-03-01"
"""Earlier days are told apart by no two spreadsheets alike; they stay text."""
_UNWRITABLE = re.compile(r"[\x00-\x08\x0b-\x1f]")


class _Outgoing:
    """What was written since it was last taken; an archive cannot go back in it."""

    def __init__(self) -> None:
        self._written = bytearray()

    def __len__(self) -> int:
        return len(self._written)

    def write(self, data: bytes) -> int:
        """Keep what comes."""
        self._written += data
        return len(data)

    def flush(self) -> None:
        """Have nothing to do: it is taken from here."""

    def taken(self) -> bytes:
        """Return what has come, and forget it."""
        taken, self._written = bytes(self._written), bytearray()
        return taken


class _AroundTheSheet(ExcelWriter):
    """Writes all of a workbook but its sheet, whose rows went into the archive as they came."""

    def write_worksheet(self, ws: Worksheet) -> None:
        """Enter the sheet as one of the workbook."""
        ws._drawing, ws._rels = SpreadsheetDrawing(), ws._writer._rels
        self.manifest.append(ws)


def workbook_blocks(
    title: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]
) -> Iterator[bytes]:
    """Yield a workbook of one sheet, block by block while its rows come.

    The header is frozen, numbers are numbers, dates are dates, the rest is text.
    """
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    sheet._id = 1  # names its part
    remaining = iter(rows)
    first = list(islice(remaining, _MEASURED_ROWS))
    for place, name in enumerate(header):
        longest = max((len(str(row[place] or "")) for row in first), default=0)
        width = min(max(longest, len(name), _NARROWEST) + 2, _WIDEST)
        sheet.column_dimensions[get_column_letter(place + 1)].width = width
    sheet.freeze_panes = "A2"

    def written(value: Cell, bold: bool = False) -> WriteOnlyCell:
        if not isinstance(value, str):
            cell = WriteOnlyCell(sheet, value)
            if isinstance(value, dt.datetime):
                cell.number_format = "yyyy-mm-dd hh:mm"
            elif isinstance(value, dt.date):
                cell.number_format = "yyyy-mm-dd"
            return cell
        cell = WriteOnlyCell(sheet, escaped(neutralise(value)))
        # Text that looks like an error value or a formula stays text.
        cell.data_type = "s"
        if bold:
            cell.font = Font(bold=True)
        return cell

    outgoing = _Outgoing()
    with zipfile.ZipFile(outgoing, "w", zipfile.ZIP_DEFLATED) as archive:
        with archive.open(sheet.path.lstrip("/"), "w", force_zip64=True) as entry:
            # By itself it would keep its rows on the disk until the last has come.
            sheet._writer = WorksheetWriter(sheet, entry)
            sheet._writer.write_top()
            try:
                sheet.append([written(name, bold=True) for name in header])
                for row in chain(first, remaining):
                    sheet.append([None if value is None else written(value) for value in row])
                    if len(outgoing) >= _BLOCK_BYTES:
                        yield outgoing.taken()
            finally:  # from the inside out, also where nobody asks for the rest
                sheet.close()
        _AroundTheSheet(book, archive).write_data()
    yield outgoing.taken()


def write_workbook(
    file: IO[bytes], title: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]
) -> None:
    """Write the same into a file."""
    for block in workbook_blocks(title, header, rows):
        file.write(block)


def escaped(text: str) -> str:
    """Return text with the characters that XML cannot hold in the notation of workbooks."""
    text = _ESCAPED.sub(lambda found: f"_x005F{found[0]}", text)
    return _UNWRITABLE.sub(lambda found: f"_x{ord(found[0]):04X}_", text)


def unescaped(text: str) -> str:
    """Return text as it was before `escaped`."""
    return _ESCAPED.sub(lambda found: chr(int(found[0][2:6], 16)), text)


def typed(text: str) -> Cell:
    """Return the text of a CSV cell as a number or a day where it reads back as the same text."""
    if _NUMBER.fullmatch(text) and len(text) <= _EXACT_DIGITS:
        number = float(text) if "." in text else int(text)
        if written_text(number) == text:
            return number
    if _DAY.fullmatch(text) and text >= _FIRST_DAY:
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            return text
    return text or None


def written_text(value: object, number_format: str = "") -> str:
    """Return what a cell of a workbook holds as a CSV file would say it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        if value.time() == dt.time() and "h" not in number_format.lower():
            return value.date().isoformat()
        exact = "seconds" if value.second else "minutes"
        return value.isoformat(sep=" ", timespec=exact)
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, dt.time):
        return value.isoformat(timespec="seconds" if value.second else "minutes")
    if isinstance(value, float):
        return repr(value)
    return unescaped(value) if isinstance(value, str) else str(value)


def workbook_of_csv(file: IO[bytes], title: str, lines: Iterable[str]) -> None:
    """Write a CSV file of ours, given line by line, as a workbook of the same columns."""
    rows = csv.reader(lines)
    header = next(rows)
    write_workbook(file, title, header, ([typed(restored(cell)) for cell in row] for row in rows))


def workbook_by_csv(file: IO[bytes], title: str, write: Callable[[TextIO], int]) -> int:
    """Write as a workbook what ``write`` writes as CSV, by way of the disk; return its count."""
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="") as stream:
        count = write(stream)
        stream.seek(0)
        workbook_of_csv(file, title, stream)
    return count
