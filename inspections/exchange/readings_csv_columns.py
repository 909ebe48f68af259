"""The columns of ``ledger-readings/1``, generated from what can be read on a device.

Other programs rely on these names.  A column may be added; renaming one or changing what
it means makes a new format number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.form_spec import FIELDS
from inspections.models.choices import (
    InspectionKind,
    ReadingQuantity,
    TemperaturePlace,
    Weather,
)
from inventory.exchange.cells import SUFFIXES, suggestion
from inventory.exchange.problems import ImportRefused, Problem
from inventory.models.choices import GapAxis
from inventory.units import Dimension

FORMAT = "ledger-readings/1"
NEEDED = ("bridge_code", "inspection_date", "taken_at")
_ENDINGS = SUFFIXES | {Dimension.COUNT: {"count": ""}}


@dataclass(frozen=True, slots=True)
class ValueColumn:
    """A column of values; its header ends in its unit, the stored one unless another is named."""

    base: str
    dimension: Dimension
    meaning: str
    quantity: str = ""
    axis: str = ""
    place: str = ""

    @property
    def suffix(self) -> str:
        """Return how the header ends for the stored unit."""
        return next(iter(_ENDINGS[self.dimension]))

    @property
    def name(self) -> str:
        """Return the header for the stored unit."""
        return f"{self.base}_{self.suffix}"


@dataclass(frozen=True, slots=True)
class TextColumn:
    """A column of words, codes or times."""

    name: str
    meaning: str


def _reading_columns() -> list[ValueColumn]:
    columns = []
    for field in FIELDS.values():
        axes = [axis.value for axis in GapAxis] if field.quantity == ReadingQuantity.GAP else [""]
        for axis in axes:
            taken = {"": "", "square": " Square to the joint.", "road": " Along the road."}[axis]
            points = f" Points: {', '.join(field.points)}." if field.points != ("",) else ""
            columns.append(
                ValueColumn(
                    base="_".join(filter(None, (field.quantity.value, axis))),
                    dimension=field.dimension,
                    meaning=f"{field.quantity.label}.{taken} {field.why}{points}",
                    quantity=field.quantity.value,
                    axis=axis,
                )
            )
    return columns


READING_COLUMNS = _reading_columns()
TEMPERATURE_COLUMNS = [
    ValueColumn(
        base=place.value,
        dimension=Dimension.TEMPERATURE,
        meaning=f"{place.label}.",
        place=place.value,
    )
    for place in TemperaturePlace
]
VISIT_COLUMNS = [
    TextColumn("bridge_code", "Code of the bridge. Needed."),
    TextColumn("inspection_date", "Day of the visit, as 2024-06-01. Needed."),
    TextColumn("inspection_kind", f"One of: {', '.join(InspectionKind.values)}. Empty: routine."),
    TextColumn("team", "Who made the visit, by role. Needed once for a visit that is new."),
    TextColumn("weather", f"One of: {', '.join(Weather.values)}. Empty: unknown."),
    TextColumn(
        "taken_at",
        "Time of the reading in the bridge's time zone, as 2024-06-01 08:30, or with its"
        " offset, as 2024-06-01T08:30+01:00. Needed.",
    ),
]
ABOUT_TEMPERATURES = [
    TextColumn("unit_code", "Unit that the temperatures of the row stand for. Empty: every unit."),
    TextColumn(
        "sunlit",
        "Which of the row's temperatures were taken in the sun, such as: deck_top girder_web.",
    ),
]
ABOUT_ELEMENT = [
    TextColumn("element_code", "Place of the reading. Empty on a row of temperatures alone."),
    TextColumn("point", "Where on the element; empty where it is read at one point only."),
]
ABOUT_READINGS = [
    TextColumn("instrument", "Code of the instrument; it goes with the values in its unit."),
    TextColumn(
        "accuracy", "Plus or minus, in the unit of the row's values. Empty: the instrument's."
    ),
    TextColumn(
        "repeat", "1 for the first reading of a point at one time, 2 for the next. Empty: 1."
    ),
    TextColumn("remark", "What else the reader should know of the reading."),
]
COLUMNS: list[TextColumn | ValueColumn] = [
    *VISIT_COLUMNS,
    *ABOUT_TEMPERATURES,
    *TEMPERATURE_COLUMNS,
    *ABOUT_ELEMENT,
    *READING_COLUMNS,
    *ABOUT_READINGS,
]
"""Every column in the order in which an export writes them."""
NAMES = [column.name for column in COLUMNS]
_TEXT = {column.name for column in COLUMNS if isinstance(column, TextColumn)}
_WITH_UNIT = {
    f"{column.base}_{suffix}": (column, unit)
    for column in COLUMNS
    if isinstance(column, ValueColumn)
    for suffix, unit in _ENDINGS[column.dimension].items()
}


def described() -> list[tuple[str, str, str]]:
    """Return name, unit and meaning of each column; other units follow the meaning."""
    rows = []
    for column in COLUMNS:
        if isinstance(column, TextColumn):
            rows.append((column.name, "", column.meaning))
            continue
        others = [f"_{each}" for each in _ENDINGS[column.dimension] if each != column.suffix]
        meaning = column.meaning
        if others:
            meaning += f" Other units: end the name in {', '.join(others)}."
        rows.append((column.name, column.dimension.value, meaning))
    return rows


@dataclass(frozen=True, slots=True)
class FileColumn:
    """A column of values as a file heads it, with the unit that its header means."""

    header: str
    column: ValueColumn
    unit: str


@dataclass(frozen=True, slots=True)
class Header:
    """Which columns a file has: text columns by name, and columns of values."""

    text: dict[str, str]
    values: list[FileColumn]


def read_header(names: Sequence[str]) -> Header:
    """Return the columns of a file, or refuse its header with all that is wrong with it."""
    header = Header({}, [])
    problems = []
    seen: dict[str, str] = {}
    for name in names:
        plain = name.lower()
        column, unit = _WITH_UNIT.get(plain, (None, ""))
        what = column.base if column else plain
        if column is None and plain not in _TEXT:
            problems.append(Problem(1, name, _unknown(plain)))
        elif what in seen:
            problems.append(
                Problem(1, name, f"«{seen[what]}» holds the same. Put all values in one column.")
            )
        elif column is None:
            header.text[plain] = name
        else:
            header.values.append(FileColumn(name, column, unit))
        seen.setdefault(what, name)
    problems += [
        Problem(1, name, "There is no such column. Add it: every row needs it.")
        for name in NEEDED
        if name not in header.text
    ]
    if not header.values and not problems:
        problems.append(
            Problem(1, "", f"No column holds values. Add one, such as {READING_COLUMNS[0].name}.")
        )
    if problems:
        raise ImportRefused(problems)
    return header


def _unknown(name: str) -> str:
    near = suggestion(name, [*_TEXT, *_WITH_UNIT])
    return f"Not a column of {FORMAT}. {near}Rename it, or take it out."
