"""From the text of a register file to typed rows, with all that cannot be read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import IO, Any

from inventory.exchange.cells import SUFFIXES, Number, suggestion
from inventory.exchange.columns import (
    COLUMNS,
    FORMAT,
    KEYS,
    NAMES,
    OF_RECORD,
    RECORD,
    Column,
    Record,
)
from inventory.exchange.file_rows import csv_rows
from inventory.exchange.problems import ImportRefused, Problem
from movement.errors import InputError


@dataclass(frozen=True, slots=True)
class Header:
    """Columns of a file by their standard name."""

    written: dict[str, str]
    units: dict[str, str]

    def shown(self, name: str) -> str:
        """Return a column's name as the file's header has it."""
        return self.written.get(name, name)


@dataclass(slots=True, eq=False)
class Row:
    """One row of the file.

    Attributes
    ----------
    key : tuple
        What names the row among those of its record; empty where a part of it is wrong.
    values : dict
        By standard name of the column; an empty cell has what it stores.
    given : set of str
        Columns whose cell is not empty.
    failed : set of str
        Columns whose cell cannot be taken.
    """

    line: int
    record: Record
    key: tuple[Any, ...] = ()
    values: dict[str, Any] = field(default_factory=dict)
    given: set[str] = field(default_factory=set)
    failed: set[str] = field(default_factory=set)


@dataclass(slots=True)
class RegisterFile:
    """A file as read: what can be applied, and what is wrong with the rest."""

    header: Header
    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def report(self, row: Row, column: str, message: str) -> None:
        """Note a problem of one cell of a row."""
        row.failed.add(column)
        self.problems.append(Problem(row.line, self.header.shown(column), message))


def read_register(file: IO[bytes] | IO[str] | bytes | str) -> RegisterFile:
    """Return the rows of a register file; nothing is looked up in the register yet.

    Raises
    ------
    ImportRefused
        If the file cannot be read as a whole: encoding, header, no row.
    """
    problems: list[Problem] = []
    names, rows = csv_rows(file, problems)
    header = _header(names)
    read = RegisterFile(header)
    for line, cells in rows:
        record = _record(read, line, cells[header.written[RECORD]])
        if record is not None:
            read.rows.append(_row(read, line, record, cells))
    read.problems += problems
    if not read.rows and not read.problems:
        raise ImportRefused([Problem(0, "", "The file has a header alone. Add rows to it.")])
    _refuse_missing_keys(read)
    return read


def accepted_names() -> dict[str, tuple[str, str]]:
    """Return each name that a header may use, with its standard name and its unit."""
    names = {RECORD: (RECORD, "")} | {name: (name, "") for name in NAMES}
    for column in COLUMNS:
        # A count is no unit that a header could name.
        if isinstance(column.cell, Number) and column.name.endswith(column.cell.unit or "\0"):
            base = column.name.removesuffix(column.cell.unit)
            for suffix in SUFFIXES[column.cell.dimension]:
                names[base + suffix] = (column.name, suffix)
    return names


def _header(names: list[str]) -> Header:
    accepted = accepted_names()
    header = Header({}, {})
    problems = []
    for name in names:
        if name.lower() not in accepted:
            near = suggestion(name.lower(), accepted)
            problems.append(
                Problem(
                    1,
                    name,
                    f"This is no column of {FORMAT}. {near}Rename or remove it; the command"
                    " import_register --columns lists them all.",
                )
            )
            continue
        standard, unit = accepted[name.lower()]
        if standard in header.written:
            problems.append(
                Problem(1, name, f"{header.written[standard]} says the same. Remove one of them.")
            )
            continue
        header.written[standard] = name
        header.units[standard] = unit
    if RECORD not in header.written:
        problems.append(
            Problem(
                1,
                RECORD,
                "The column is missing. Add it as the first, and say in it what each row is:"
                f" {', '.join(Record)}.",
            )
        )
    if problems:
        raise ImportRefused(problems)
    return header


def _record(read: RegisterFile, line: int, text: str) -> Record | None:
    word = text.lower()
    if word in set(Record):
        return Record(word)
    message = f"«{text}» is no record." if text else "Empty."
    read.problems.append(
        Problem(
            line,
            read.header.shown(RECORD),
            f"{message} {suggestion(word, Record)}Use one of: {', '.join(Record)}.",
        )
    )
    return None


def _row(read: RegisterFile, line: int, record: Record, cells: dict[str, str]) -> Row:
    row = Row(line, record)
    columns = OF_RECORD[record]
    for name, written in read.header.written.items():
        text = cells[written]
        column = columns.get(name)
        if column is not None:
            _read_cell(read, row, column, text)
        elif text and name != RECORD:
            owners = [each for each in Record if name in OF_RECORD[each]]
            read.report(
                row,
                name,
                f"This column belongs to {' and '.join(owners)} rows. Leave it empty in one of"
                f" {record}.",
            )
    key = tuple(row.values.get(name) for name in KEYS[record])
    row.key = key if all(key) else ()
    return row


def _read_cell(read: RegisterFile, row: Row, column: Column, text: str) -> None:
    if not text:
        if column.needed:
            read.report(row, column.name, f"Empty, but needed for a {row.record}. Fill it in.")
        else:
            row.values[column.name] = column.when_empty
        return
    row.given.add(column.name)
    try:
        row.values[column.name] = column.cell.read(
            read.header.shown(column.name), text, read.header.units[column.name]
        )
    except InputError as error:
        read.report(row, column.name, f"{error.message}. {error.remedy}")


def _refuse_missing_keys(read: RegisterFile) -> None:
    """Report key columns that the header lacks, once each, not for every row."""
    used = dict.fromkeys(row.record for row in read.rows)
    lacking: dict[str, list[Record]] = {}
    for record in used:
        for name in KEYS[record]:
            if name not in read.header.written:
                lacking.setdefault(name, []).append(record)
    for name, records in lacking.items():
        read.problems.append(
            Problem(
                1, name, f"The column is missing; {' and '.join(records)} rows need it. Add it."
            )
        )
