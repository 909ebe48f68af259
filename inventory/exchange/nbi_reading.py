"""From the text of a national inventory file to the figures of its bridges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from inventory.exchange import nbi_cells
from inventory.exchange.import_result import ImportResult
from inventory.exchange.problems import ImportRefused, Problem
from movement.errors import InputError

T = TypeVar("T")

STRUCTURE_NUMBER = "STRUCTURE_NUMBER_008"
STATE, DISTRICT, _RECORD_TYPE = "STATE_CODE_001", "HIGHWAY_DISTRICT_002", "RECORD_TYPE_005A"
_LATITUDE, _LONGITUDE, _LOCATION = "LAT_016", "LONG_017", "LOCATION_009"
_KIND, _TYPE, _SKEW = "STRUCTURE_KIND_043A", "STRUCTURE_TYPE_043B", "DEGREES_SKEW_034"
_FIGURES = {
    "year_built": "YEAR_BUILT_027",
    "length_m": "STRUCTURE_LEN_MT_049",
    "largest_span_m": "MAX_SPAN_LEN_MT_048",
}
_TEXTS = {"carries": "FACILITY_CARRIED_007", "crosses": "FEATURES_DESC_006A"}
COLUMN_OF = {
    "code": STRUCTURE_NUMBER,
    "inventory_state_code": STATE,
    "inventory_number": STRUCTURE_NUMBER,
    "latitude_deg": _LATITUDE,
    "longitude_deg": _LONGITUDE,
    "skew_deg": _SKEW,
    "main_material": _KIND,
    "remarks": _LOCATION,
    **_FIGURES,
    **_TEXTS,
}
_NEEDED = [
    *(STATE, STRUCTURE_NUMBER, _RECORD_TYPE, DISTRICT, _LATITUDE, _LONGITUDE, _LOCATION),
    *(_KIND, _TYPE, _SKEW, *_FIGURES.values(), *_TEXTS.values()),
]
_ON_THE_BRIDGE = "1"
OURS = "NBI item "
Number = tuple[str, str]


@dataclass(slots=True)
class NbiRow:
    """One bridge of the file; ``figures`` are what the inventory tells of it."""

    line: int
    cells: dict[str, str]
    figures: dict[str, Any] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    @property
    def number(self) -> Number:
        """Return state and structure number; the state's third digit is the FHWA region.

        A spreadsheet may have cut off the 0 in front of a state of one digit.
        """
        state = self.cells[STATE]
        return state and state.zfill(2)[:2], self.cells[STRUCTURE_NUMBER]

    @property
    def district_code(self) -> str:
        """Return the code of its highway district, which counts within its state."""
        return f"{self.number[0]}-{self.cells[DISTRICT].zfill(2)}"


def is_national_inventory(text: str) -> bool:
    """Return whether a file has the header of national inventory rows."""
    return STRUCTURE_NUMBER in text.lstrip().partition("\n")[0]


def read_rows(
    text: str,
    result: ImportResult,
    problems: list[Problem],
    progress: Callable[[int], None],
    expected: Callable[[int], None],
) -> tuple[list[NbiRow], set[Number]]:
    """Return the bridges of a file that can be taken, and the numbers of all it names.

    Problems and notices of its rows go to their lists.
    """
    lines = [(line, cells) for line, cells in enumerate(text.split("\n"), 1) if cells.strip()]
    first_line, header_text = lines[0]
    header = list(nbi_cells.split_line(header_text.rstrip()))
    missing = [name for name in _NEEDED if name not in header]
    if missing:
        message = "The column is missing. National inventory rows need it."
        raise ImportRefused([Problem(first_line, name, message) for name in missing])
    rows: list[NbiRow] = []
    first: dict[Number, int] = {}
    expected(len(lines) - 1)
    for line, content in lines[1:]:
        progress(1)
        cells = list(nbi_cells.split_line(content.rstrip("\r")))
        if len(cells) != len(header):
            problems.append(
                Problem(
                    line,
                    "",
                    f"The row has {len(cells)} cells, the header {len(header)}. Quote text with"
                    " apostrophes, and leave no comma beside one inside it.",
                )
            )
            continue
        row = NbiRow(line, dict(zip(header, cells, strict=True)))
        if row.cells[_RECORD_TYPE] != _ON_THE_BRIDGE:
            result.notices.append(
                Problem(
                    line,
                    _RECORD_TYPE,
                    f"«{row.cells[_RECORD_TYPE]}» is a route under a bridge, no bridge of its own:"
                    " left out.",
                )
            )
            continue
        seen = first.setdefault(row.number, line)
        found = _told(row, result) if seen == line else [_twice(row, seen)]
        problems += found
        if not found:
            rows.append(row)
    return rows, set(first)


def _twice(row: NbiRow, line: int) -> Problem:
    return Problem(
        row.line,
        STRUCTURE_NUMBER,
        f"«{row.number[1]}» stands on line {line} already. Keep the right one of the two rows.",
    )


def _told(row: NbiRow, result: ImportResult) -> list[Problem]:
    """Read what a row tells into its figures; return what is wrong with it."""
    problems: list[Problem] = []

    def taken(read: Callable[[], T]) -> T | None:
        try:
            return read()
        except InputError as error:
            problems.append(Problem(row.line, error.field, f"{error.message}. {error.remedy}"))
            return None

    cells = row.cells
    if not row.number[0] or not row.number[1]:
        problems.append(
            Problem(row.line, STRUCTURE_NUMBER, "State or structure number is empty. Fill it in.")
        )
    for name, column in _TEXTS.items():
        row.figures[name] = cells[column]
    for name, column in _FIGURES.items():
        row.figures[name] = taken(lambda column=column: nbi_cells.number(column, cells[column]))
    if row.figures["year_built"] is not None:
        row.figures["year_built"] = int(row.figures["year_built"])
    row.figures["skew_deg"] = taken(lambda: nbi_cells.skew_deg(_SKEW, cells[_SKEW]))
    row.figures["main_material"] = taken(
        lambda: nbi_cells.material(_KIND, cells[_KIND], cells[_TYPE])
    )
    latitude = taken(lambda: nbi_cells.position_deg(_LATITUDE, cells[_LATITUDE], 2))
    longitude = taken(lambda: nbi_cells.position_deg(_LONGITUDE, cells[_LONGITUDE], 3))
    if not problems:
        _place(row, latitude, longitude)
        _notice(row, result)
    return problems


def _place(row: NbiRow, latitude: float | None, longitude: float | None) -> None:
    known = latitude is not None and longitude is not None
    east = row.number[0] in nbi_cells.EAST_OF_GREENWICH
    row.figures["latitude_deg"] = latitude if known else None
    row.figures["longitude_deg"] = (longitude if east else -longitude) if known else None


def _notice(row: NbiRow, result: ImportResult) -> None:
    """Keep in the remarks, or tell the user, what a figure cannot say."""
    if row.cells[_LOCATION]:
        row.remarks.append(f"{OURS}9, location: {row.cells[_LOCATION]}")
    if row.cells[_SKEW] == str(nbi_cells.SKEW_VARIES):
        row.remarks.append(f"{OURS}34: the skew varies.")
    unknown = {"latitude_deg": "position", "length_m": "length", "largest_span_m": "largest span"}
    for name, word in unknown.items():
        if row.figures[name] is None:
            message = f"No {word} is given: left empty, or as it was."
            result.notices.append(Problem(row.line, COLUMN_OF[name], message))
    district = row.cells[DISTRICT]
    if len(district) != 2:
        message = f"«{district}» has not two digits: read as {row.district_code}."
        result.notices.append(Problem(row.line, DISTRICT, message))
