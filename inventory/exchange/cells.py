"""How one cell of a file is read and written, by what its column holds."""

from __future__ import annotations

import datetime as dt
import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from inventory.quantities import Quantity
from inventory.units import Dimension, parse
from movement.errors import InputError

_WHOLE = re.compile(r"\d{1,9}(?:\.0+)?")
_WITHOUT_CONVERSION = {"years", "d", "%"}
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")

SUFFIXES = {
    # as a header ends: the unit as inventory.units spells it; the first is the stored one
    Dimension.LENGTH: {"mm": "mm", "cm": "cm", "m": "m", "in": "in", "ft": "ft"},
    Dimension.STATION: {"m": "m", "ft": "ft", "mm": "mm", "cm": "cm", "in": "in"},
    Dimension.TEMPERATURE: {"c": "degC", "f": "degF"},
    Dimension.ROTATION: {"mrad": "mrad", "rad": "rad", "deg": "deg"},
    Dimension.TILT: {"deg": "deg", "mrad": "mrad", "rad": "rad"},
    Dimension.FORCE: {"kn": "kN", "kip": "kip"},
    Dimension.EXPANSION: {"per_c": "per degC", "per_f": "per degF"},
    Dimension.STRESS: {"mpa": "MPa", "psi": "psi", "ksi": "ksi"},
    Dimension.AREA: {"mm2": "mm2", "cm2": "cm2", "in2": "in2"},
}


class Cell(Protocol):
    """What a column's cells hold."""

    @property
    def unit(self) -> str:
        """Return the unit of the column as its header ends, empty where it has none."""
        ...

    def read(self, column: str, text: str, unit: str) -> Any:
        """Return the value of a cell that is not empty; ``unit`` is that of its header."""
        ...

    def write(self, value: Any) -> str:
        """Return the text of a stored value."""
        ...


@dataclass(frozen=True, slots=True)
class Text:
    """Words, or a code that names a row.

    Line breaks are written one way, for spreadsheets and browsers each have their own.
    """

    unit: str = ""

    def read(self, column: str, text: str, unit: str) -> str:
        return self.write(text)

    def write(self, value: str | None) -> str:
        return (value or "").replace("\r\n", "\n").replace("\r", "\n").strip()


@dataclass(frozen=True, slots=True)
class Choice:
    """One of some words; how they are capitalised, and dashes or spaces, do not matter."""

    words: Mapping[str, str]
    unit: str = ""

    def read(self, column: str, text: str, unit: str) -> str:
        for word, label in self.words.items():
            if text.casefold() in (label.casefold(), word.casefold()) or _as_word(text) == word:
                return word
        raise InputError(
            column,
            f"«{text}» is none of the words for it",
            f"{suggestion(_as_word(text), self.words)}Use one of: {', '.join(self.words)}.",
        )

    def write(self, value: str | None) -> str:
        return value or ""


@dataclass(frozen=True, slots=True)
class Number:
    """A quantity, in the unit of its header or with its own beside it."""

    quantity: Quantity
    dimension: Dimension = field(init=False)

    def __post_init__(self) -> None:
        unit = "" if self.quantity.unit in _WITHOUT_CONVERSION else self.quantity.unit
        object.__setattr__(self, "dimension", Dimension(unit))

    @property
    def unit(self) -> str:
        return next(iter(SUFFIXES.get(self.dimension, {"": ""})))

    def read(self, column: str, text: str, unit: str) -> float:
        spelt = SUFFIXES[self.dimension][unit] if unit else ""
        return parse(column, text, self.dimension, spelt).value

    def write(self, value: float | None) -> str:
        # Adding 0 turns -0.0 into 0.0: the same figure is written one way.
        return "" if value is None else repr(float(value) + 0.0).removesuffix(".0")


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number, such as a year or a count."""

    unit: str = ""

    def read(self, column: str, text: str, unit: str) -> int:
        if not _WHOLE.fullmatch(text):
            raise InputError(column, f"«{text}» is no whole number", "Write digits alone, as 12.")
        return int(text.partition(".")[0])

    def write(self, value: int | None) -> str:
        return "" if value is None else str(value)


@dataclass(frozen=True, slots=True)
class Day:
    """A day as year, month, day: the one order that is not read two ways."""

    unit: str = ""

    def read(self, column: str, text: str, unit: str) -> dt.date:
        remedy = "Write year-month-day, as 2024-06-01."
        if not _DAY.fullmatch(text):
            raise InputError(column, f"«{text}» is no date", remedy)
        try:
            return dt.date.fromisoformat(text)
        except ValueError as error:
            raise InputError(column, f"«{text}» is no day of the calendar", remedy) from error

    def write(self, value: dt.date | None) -> str:
        return "" if value is None else value.isoformat()


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a sentence that names the nearest known word, empty where none is near."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.7)
    return f"Did you mean {near[0]}? " if near else ""


def _as_word(text: str) -> str:
    return re.sub(r"[\s-]+", "_", text.strip()).lower()
