"""From a row of a readings file to what the services take.

Every problem of every row is kept with its line and column; a row that has one gives
nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from inspections.exchange.readings_csv_columns import FileColumn, Header
from inspections.exchange.readings_csv_times import read_time
from inspections.exchange.readings_csv_visits import Cell, Known, Visit, VisitKey
from inspections.models import Instrument
from inspections.models.choices import InspectionKind, TemperaturePlace, Weather
from inspections.services.readings import NewReading, NewTemperature
from inventory.exchange.cells import Choice, Day, Whole, suggestion
from inventory.exchange.problems import Problem
from inventory.units import Typed, parse
from movement.errors import InputError

T = TypeVar("T")
KIND = Choice(dict(InspectionKind.choices))
WEATHER = Choice(dict(Weather.choices))
_EMPTY = "The cell is empty. Fill it in: every row needs it."
_ELEMENT_ONLY = ("point", "accuracy", "repeat", "remark")


class FileRow:
    """One row on its way in, with what is wrong with it."""

    def __init__(self, line: int, cells: dict[str, str], header: Header, known: Known) -> None:
        self.line = line
        self.cells = cells
        self.header = header
        self.known = known
        self.problems: list[Problem] = []
        self.values = [each for each in header.values if cells[each.header]]

    def key(self) -> VisitKey | None:
        """Return which visit the row belongs to; None after telling what is wrong with that."""
        bridge = self._named("bridge_code", self.known.bridges, "bridge", self.known.bridge_codes)
        day = self._read("inspection_date", Day().read)
        kind = self._read("inspection_kind", KIND.read, InspectionKind.ROUTINE.value)
        if bridge is None or day is None or kind is None:
            return None
        return VisitKey(bridge.code, day, kind)

    def belongs_nowhere(self) -> None:
        """Tell what is wrong with a row that names no visit, and with its values."""
        self.key()
        self._weather()
        self._values_read()

    def into(self, visit: Visit) -> None:
        """Add what the row tells to its visit, unless something is wrong with it."""
        weather = self._weather()
        self._say(visit, "team", self._text("team"))
        self._say(visit, "weather", weather or "")
        bridge = visit.bridge
        taken_at = self._read(
            "taken_at", lambda _column, text, _unit: read_time(text, bridge.time_zone)
        )
        element = unit = None
        if self._text("element_code"):
            places = self.known.elements[bridge.pk]
            element = self._named("element_code", places, f"place on {bridge.code}")
        if self._text("unit_code"):
            units = self.known.units[bridge.pk]
            unit = self._named("unit_code", units, f"unit of {bridge.code}")
        readings = [each for each in self.values if each.column.quantity]
        temperatures = [each for each in self.values if each.column.place]
        instrument = self._instrument()
        accuracy = self._accuracy(readings)
        repeat = self._read("repeat", Whole().read, 1)
        sunlit = self._sunlit(temperatures)
        self._check_fit(readings, temperatures)
        typed = self._values_read()
        if self.problems or taken_at is None:
            return
        for each in readings:
            visit.readings.append(
                NewReading(
                    element=element,
                    quantity=each.column.quantity,
                    axis=each.column.axis,
                    value=typed[each.header].value,
                    typed=typed[each.header].typed,
                    taken_at=taken_at,
                    point=_point(self._text("point")),
                    repeat=repeat,
                    instrument=_fitting(instrument, each),
                    accuracy=accuracy,
                    remark=self._text("remark"),
                )
            )
            visit.reading_cells.append(Cell(self.line, each.header))
        for each in temperatures:
            visit.temperatures.append(
                NewTemperature(
                    place=each.column.place,
                    temperature_c=typed[each.header].value,
                    typed=typed[each.header].typed,
                    taken_at=taken_at,
                    unit=unit,
                    sunlit=each.column.place in sunlit,
                    instrument=_fitting(instrument, each),
                )
            )
            visit.temperature_cells.append(Cell(self.line, each.header))

    def _weather(self) -> str | None:
        return self._read("weather", WEATHER.read, "")

    def _text(self, name: str) -> str:
        return self.cells[self.header.text[name]] if name in self.header.text else ""

    def _wrong(self, name: str, message: str) -> None:
        self.problems.append(Problem(self.line, self.header.text.get(name, name), message))

    def _read(
        self, name: str, read: Callable[[str, str, str], T], when_empty: T | None = None
    ) -> T | None:
        """Return the value of a text column; None after telling what is wrong with it."""
        text = self._text(name)
        if not text:
            if when_empty is None:
                self._wrong(name, _EMPTY)
            return when_empty
        try:
            return read(name, text, "")
        except InputError as error:
            self._wrong(name, f"{error.message}. {error.remedy}")
            return None

    def _named(
        self, name: str, known: Mapping[str, T], what: str, among: Iterable[str] | None = None
    ) -> T | None:
        """Return the row that a code names; None after telling which of ``among`` is near it."""
        code = self._text(name)
        if not code:
            self._wrong(name, _EMPTY)
        elif code not in known:
            near = suggestion(code, known if among is None else among)
            self._wrong(name, f"«{code}» is no {what}. {near}Correct it, or enter it first.")
        return known.get(code)

    def _values_read(self) -> dict[str, Typed]:
        """Return the values by their headers; what cannot be read is told."""
        typed = {}
        for each in self.values:
            try:
                typed[each.header] = value_of(each, self.cells[each.header])
            except InputError as error:
                self._wrong(each.header, f"{error.message}. {error.remedy}")
        return typed

    def _instrument(self) -> Instrument | None:
        if not self._text("instrument"):
            return None
        instrument = self._named("instrument", self.known.instruments, "instrument")
        if instrument and not any(_fitting(instrument, each) for each in self.values):
            self._wrong(
                "instrument",
                f"{instrument} reads {instrument.dimension}, which nothing on this row is in."
                " Name the one that it was read with, or leave it empty.",
            )
        return instrument

    def _accuracy(self, readings: list[FileColumn]) -> float | None:
        if not self._text("accuracy") or not readings:
            return None
        units = {(each.column.dimension, each.unit) for each in readings}
        if len(units) > 1:
            self._wrong(
                "accuracy",
                "The values of this row are in different units, so it could mean either."
                " Give each a row of its own, or leave this cell empty: the accuracy of the"
                " instrument counts then, or the agency's.",
            )
            return None
        [(dimension, unit)] = units
        return self._read(
            "accuracy",
            lambda name, text, _unit: parse(name, text.lstrip("±+/- "), dimension, unit).value,
        )

    def _sunlit(self, temperatures: list[FileColumn]) -> set[str]:
        named: set[str] = set()
        if not self._text("sunlit"):
            return named
        places = {each.column.place for each in temperatures}
        for word in re.split(r"[\s,;]+", self._text("sunlit").casefold()):
            place = re.sub(r"_[cf]\Z", "", word)
            if place in places:
                named.add(place)
            elif place in TemperaturePlace.values:
                self._wrong("sunlit", f"«{word}» has no temperature on this row. Give one.")
            elif place:
                near = suggestion(place, TemperaturePlace.values)
                self._wrong(
                    "sunlit", f"«{word}» is no place of a temperature column. {near}".strip()
                )
        return named

    def _check_fit(self, readings: list[FileColumn], temperatures: list[FileColumn]) -> None:
        """Tell what the row says of something that it does not hold."""
        if readings and not self._text("element_code"):
            self._wrong(
                "element_code",
                f"The row gives {readings[0].header} but not the place. Name the element.",
            )
        if not readings:
            for name in _ELEMENT_ONLY:
                if self._text(name):
                    self._wrong(name, "A temperature has none. Leave it empty.")
        if not temperatures and self._text("unit_code"):
            self._wrong(
                "unit_code", "It belongs to temperatures, and the row has none. Leave it empty."
            )

    def _say(self, visit: Visit, name: str, value: str) -> None:
        """Keep what a row says of its visit; two rows may not say different things."""
        said = getattr(visit, name)
        if value and said and said != value:
            self._wrong(
                name,
                f"«{value}» differs from «{said}» on line {visit.said_on[name]}, of the same"
                " visit. Write the same on both, or leave one empty.",
            )
        elif value and not said:
            setattr(visit, name, value)
            visit.said_on[name] = self.line


def value_of(column: FileColumn, text: str) -> Typed:
    """Return the value of a cell, or refuse it with an `InputError`."""
    value = parse(column.header, text, column.column.dimension, column.unit)
    if column.unit != column.column.dimension.value and text[-1:].isdigit():
        # What was typed means nothing later without the unit of its header.
        return Typed(value.value, f"{value.typed} {column.unit}")
    return value


def _fitting(instrument: Instrument | None, column: FileColumn) -> Instrument | None:
    """Return the instrument for a value in the unit that it reads, none for another."""
    fits = instrument is not None and instrument.dimension == column.column.dimension.value
    return instrument if fits else None


def _point(text: str) -> str:
    """Return a point as the register spells it."""
    plain = " ".join(text.casefold().split())
    return "centre" if plain == "center" else plain
