"""The first sheet of a workbook as rows of text, as a CSV file would hold them.

Anyone may have made the workbook: its unpacked size is bounded before it is opened, and what
would be read otherwise than it was meant is refused with its sheet and cell.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator
from itertools import zip_longest

from defusedxml.ElementTree import ParseError
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

from inventory.exchange.problems import ImportRefused, Problem
from inventory.exchange.workbooks import written_text

MOST_UNPACKED_BYTES = 200 * 2**20
MOST_PARTS = 2000
MOST_ROWS = 300_000
MOST_COLUMNS = 1000
MOST_PROBLEMS = 100
_BROKEN = (
    "This is no workbook that can be read, and not a CSV file."
    " Open it in a spreadsheet and save it as «XLSX» or as «CSV UTF-8»."
)
_FAULTS = (
    zipfile.BadZipFile,
    zlib.error,
    InvalidFileException,
    ParseError,
    OSError,
    EOFError,
    KeyError,
    IndexError,
    ValueError,
    TypeError,
    AttributeError,
    NotImplementedError,
    RuntimeError,
)
"""What reading a damaged workbook ends in."""


def workbook_rows(content: bytes) -> list[tuple[int, list[str]]]:
    """Return each row of the first sheet that holds anything, with its number.

    Raises
    ------
    ImportRefused
        If the file is broken, too large unpacked, holds macros, or holds a formula without
        a stored value or an error.
    """
    _refuse_dangerous(content)
    try:
        # Once as stored values and once as formulas: a formula never computed has no value.
        values = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        formulas = load_workbook(io.BytesIO(content), read_only=True)
        if not values.worksheets:
            raise _refused("The workbook has no sheet of cells. Give one with a header and rows.")
        return list(_rows(values.worksheets[0], formulas.worksheets[0]))
    except _FAULTS as error:
        raise _refused(_BROKEN) from error


def _refuse_dangerous(content: bytes) -> None:
    """Refuse by the directory of the archive alone, before anything is unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            names = {part.filename.lower() for part in parts}
            kinds = b""
            unpacked = sum(part.file_size for part in parts)
            if unpacked > MOST_UNPACKED_BYTES or len(parts) > MOST_PARTS:
                raise _refused(
                    f"The workbook holds {unpacked / 2**20:.0f} MB unpacked in {len(parts)} parts,"
                    f" more than {MOST_UNPACKED_BYTES // 2**20} MB or {MOST_PARTS} parts. Split it,"
                    " or save the sheet as «CSV UTF-8»."
                )
            if "[content_types].xml" in names:
                kinds = archive.read("[Content_Types].xml").lower()
    except _FAULTS as error:
        raise _refused(_BROKEN) from error
    if any(name.endswith("vbaproject.bin") for name in names) or b"macroenabled" in kinds:
        raise _refused("The workbook may hold macros. Save it as «XLSX» without them.")


def _rows(values, formulas) -> Iterator[tuple[int, list[str]]]:
    sheet, found = values.title, []
    for each in (values, formulas):
        each.reset_dimensions()  # what a file says of its own size may be wrong
    width = 0
    for number, (cells, sources) in enumerate(
        zip_longest(values.iter_rows(), formulas.iter_rows(), fillvalue=()), 1
    ):
        texts = []
        for place, (cell, source) in enumerate(zip_longest(cells, sources), 1):
            value = None if cell is None else cell.value
            if value is None and (source is None or source.value is None):
                texts.append("")
                continue
            at = f"sheet «{sheet}», cell {get_column_letter(place)}{number}"
            if number > MOST_ROWS or place > MOST_COLUMNS:
                raise _refused(
                    f"{at}: the sheet is larger than {MOST_ROWS:,} rows of {MOST_COLUMNS:,}"
                    " columns. Split it, or save it as «CSV UTF-8».",
                    number,
                )
            if value is None:
                found.append(
                    f"{at}: the formula has no stored value. Open the workbook in a spreadsheet,"
                    " save it again, or put the value in place of the formula."
                )
            elif cell.data_type == "e":
                found.append(f"{at}: the cell shows the error {value}. Mend or empty it.")
            if len(found) >= MOST_PROBLEMS:
                break
            texts.append(written_text(value, cell.number_format or ""))
        while texts and not texts[-1].strip():
            texts.pop()
        if found and len(found) >= MOST_PROBLEMS:
            break
        if texts:
            width = width or len(texts)
            yield number, texts + [""] * (width - len(texts))
    if found:
        raise ImportRefused([Problem(0, "", each) for each in found])


def _refused(message: str, line: int = 0) -> ImportRefused:
    return ImportRefused([Problem(line, "", message)])
