"""Rows of a file that comes in, CSV or workbook, each with its line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from operator import methodcaller
from typing import IO, Any

from inventory.exchange.problems import ImportRefused, Problem, neutralise, restored
from inventory.exchange.workbook_reading import workbook_rows

_DELIMITERS = ",;\t"
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
_WHOLE_MATCH = methodcaller("group")
_SAVE_AS = "Save the file as «CSV UTF-8»."
_EMPTY = Problem(0, "", "The file is empty. Give one with a header and at least one row.")


def csv_rows(
    file_or_bytes: IO[bytes] | IO[str] | bytes | str, problems: list[Problem] | None = None
) -> tuple[list[str], Iterator[tuple[int, dict[str, str]]]]:
    """Return the header of a CSV file or a workbook and its rows, each with its first line.

    UTF-8 with or without a byte order mark; comma, semicolon or tab between cells; blank
    lines are passed over.  Cells come trimmed, without the apostrophe of `neutralise`.

    Parameters
    ----------
    file_or_bytes : file, bytes or str
        An open file or its content.
    problems : list of Problem, optional
        Takes the problems of single rows (too many cells, too few, a quote never closed),
        and those rows are left out.  Without it they are raised together after the last row.

    Raises
    ------
    ImportRefused
        At once if the file is empty, no text in UTF-8, or its header repeats a name.
    """
    header, rows = csv_cells(file_or_bytes, problems)
    return header, ((line, dict(zip(header, cells, strict=True))) for line, cells in rows)


def csv_cells(
    file_or_bytes: IO[bytes] | IO[str] | bytes | str, problems: list[Problem] | None = None
) -> tuple[list[str], Iterator[tuple[int, list[str]]]]:
    """Return what `csv_rows` does, each row as its cells in the order of the header."""
    content = file_or_bytes if isinstance(file_or_bytes, bytes | str) else file_or_bytes.read()
    found: list[Problem] = []
    records = _records_of_workbook(content) if _is_workbook(content) else _of_text(content, found)
    line, header = next(records, (0, []))
    while header and not header[-1]:
        header.pop()
    if not header:
        raise ImportRefused(found or [_EMPTY])
    _refuse_unusable_header(line, header)
    return header, _rows(header, records, found, problems)


def _of_text(content: bytes | str, found: list[Problem]) -> Iterator[tuple[int, list[str]]]:
    text = decoded(content)
    first_line = next((line for line in _lines(text) if line.strip()), "")
    reader = csv.reader(_lines(text), delimiter=_delimiter(first_line), strict=True)
    return _records(reader, found, may_be_neutralised="'" in text)


def _lines(text: str) -> Iterator[str]:
    """Yield each line with its end, one at a time: a file of text in memory takes four times it."""
    return map(_WHOLE_MATCH, _LINE.finditer(text))


def _is_workbook(content: bytes | str) -> bool:
    return isinstance(content, bytes) and content.startswith(b"PK\x03\x04")


def _records_of_workbook(content: bytes | str) -> Iterator[tuple[int, list[str]]]:
    """Yield each row of the first sheet of a workbook with its number."""
    for line, cells in workbook_rows(content):
        yield line, [restored(cell.strip()) for cell in cells]


def decoded(file_or_bytes: IO[bytes] | IO[str] | bytes | str) -> str:
    """Return the text of a file, or refuse it with what to do where it is no UTF-8 text.

    Of a workbook it is the text that its first sheet would have as CSV.
    """
    content = file_or_bytes if isinstance(file_or_bytes, bytes | str) else file_or_bytes.read()
    if _is_workbook(content):
        stream = io.StringIO(newline="")
        rows = _records_of_workbook(content)
        csv.writer(stream).writerows([neutralise(cell) for cell in cells] for _, cells in rows)
        content = stream.getvalue()
    text = content.removeprefix("\ufeff") if isinstance(content, str) else _from_bytes(content)
    if not text.strip():
        raise ImportRefused([_EMPTY])
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise ImportRefused([Problem(line, "", f"This is no text file. {_SAVE_AS}")])
    return text


def _from_bytes(content: bytes) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise ImportRefused([Problem(0, "", f"The file is in UTF-16, not UTF-8. {_SAVE_AS}")])
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        byte = content[error.start]
        raise ImportRefused(
            [
                Problem(
                    line,
                    "",
                    f"The byte 0x{byte:02x} is not UTF-8: the file was saved in another"
                    f" encoding, and letters with accents would be read wrong. {_SAVE_AS}",
                )
            ]
        ) from error


def _delimiter(first_line: str) -> str:
    bare = re.sub(r'"[^"]*"', "", first_line)
    return max(_DELIMITERS, key=bare.count)


def _records(
    reader: Any, found: list[Problem], may_be_neutralised: bool
) -> Iterator[tuple[int, list[str]]]:
    """Yield each record that holds anything, with the line it begins on."""
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            found.append(
                Problem(
                    line,
                    "",
                    f"Cannot be split into cells ({error}). Close each quote, write a quote"
                    ' inside a quoted cell twice (""), and keep a cell below 131,072 characters.',
                )
            )
            continue
        cells = [cell.strip() for cell in cells]
        if any(cells):
            yield line, [restored(cell) for cell in cells] if may_be_neutralised else cells


def _refuse_unusable_header(line: int, header: list[str]) -> None:
    problems = [
        Problem(line, name, "This name stands in the header twice. Remove or rename one.")
        for name in dict.fromkeys(header)
        if name and header.count(name) > 1
    ]
    problems += [
        Problem(line, "", f"Cell {number} of the header is empty. Give the column a name.")
        for number, name in enumerate(header, 1)
        if not name
    ]
    if problems:
        raise ImportRefused(problems)


def _rows(
    header: list[str],
    records: Iterator[tuple[int, list[str]]],
    found: list[Problem],
    problems: list[Problem] | None,
) -> Iterator[tuple[int, list[str]]]:
    width = len(header)
    for line, cells in records:
        if len(cells) == width:
            yield line, cells
            continue
        if len(cells) < width or any(cells[width:]):
            found.append(
                Problem(
                    line,
                    "",
                    f"The row has {len(cells)} cells, the header {width}. Add what is missing,"
                    " or quote a cell that holds the separator.",
                )
            )
            continue
        yield line, cells[:width]
    if problems is not None:
        problems += found
    elif found:
        raise ImportRefused(found)
