"""What is wrong in a file that comes in, told at once, and cells that start no formula.

A file is refused with every problem in it, each at its line and column and with the remedy,
never with the first one alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_FORMULA = re.compile(r"['\s]*[=+\-@\t\r\uff1d\uff0b\uff0d\uff20]")
"""Signs that start a formula, also full-width ones, which some spreadsheets take for the same."""
_PLAIN_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """What is wrong at one place of a file, with the remedy; line 0 stands for the whole file."""

    line: int
    column: str
    message: str

    def __str__(self) -> str:
        places = [
            f"line {self.line}" if self.line else "",
            f"column {self.column}" if self.column else "",
        ]
        place = ", ".join(each for each in places if each)
        text = f"{place}: {self.message}" if place else self.message
        # A cell may hold control characters, which a terminal would obey.
        return "".join(each if each.isprintable() or each == "\u202f" else "·" for each in text)


class ImportRefused(Exception):  # noqa: N818 - reads as what happened; the problems are inside
    """A file cannot be taken, so nothing of it was; ``problems`` holds every reason."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = sorted(problems)
        super().__init__("; ".join(str(each) for each in self.problems[:3]))


def neutralise(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula; plain numbers stay as they are.

    A leading apostrophe is put before = + - @, tab and carriage return, also where blanks
    stand before them; reading strips it.
    """
    if _FORMULA.match(cell) and not _PLAIN_NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell


def restored(cell: str) -> str:
    """Return a cell as it was before `neutralise`."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell
