"""Rows of a readings file that are like one before them.

Most rows differ from one before in their place, time and value alone.  Such a row is put
together from what that one was read as, and from its own place, time and value, which are looked
up or read by the same rules.  Whatever else a row holds, or is wrong with it, is for `FileRow`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache, partial
from operator import itemgetter
from typing import NamedTuple

from inspections.exchange.readings_csv_columns import Header
from inspections.exchange.readings_csv_rows import FileRow, value_of
from inspections.exchange.readings_csv_times import read_time
from inspections.exchange.readings_csv_visits import Cell, Known, Visit
from inspections.services.readings import NewReading, NewTemperature
from inventory.exchange.problems import Problem
from inventory.units import Typed
from movement.errors import InputError

MOST_REMEMBERED = 20_000
"""Of each kind: what is in memory does not grow with the file."""


class _Like(NamedTuple):
    """What a row was read as, each value with its column, how that is read, and where it is."""

    readings: list[tuple[str, int, Callable[[str], Typed], NewReading]]
    temperatures: list[tuple[str, int, Callable[[str], Typed], NewTemperature]]


def picked(
    names: Sequence[str], wanted: Sequence[str]
) -> Callable[[Sequence[str]], tuple[str, ...]]:
    """Return what picks the cells of some columns from those of a row."""
    places = [names.index(each) for each in wanted]
    if len(places) > 1:
        return itemgetter(*places)
    return lambda cells: tuple([cells[each] for each in places])


def _padded(
    names: Sequence[str], wanted: Sequence[str | None]
) -> Callable[[Sequence[str]], tuple[str, ...]]:
    """Return what `picked` does, with an empty cell for each column that is missing."""
    places = [None if each is None else names.index(each) for each in wanted]
    return lambda cells: tuple(["" if at is None else cells[at] for at in places])


class RowsBefore:
    """What the rows of a file were read as so far."""

    def __init__(self, header: Header, names: Sequence[str], known: Known) -> None:
        def of(*columns: str) -> list[str]:
            return [header.text[each] for each in columns if each in header.text]

        self.header, self.names, self.known = header, names, known
        own = ("taken_at", "element_code", "unit_code", "remark")
        self.own = _padded(names, [header.text.get(each) for each in own])
        self.said = picked(names, of("team", "weather"))
        self.values: dict[str, tuple[int, Callable[[str], Typed]]] = {
            each.header: (
                names.index(each.header),
                lru_cache(MOST_REMEMBERED)(partial(value_of, each)),
            )
            for each in header.values
        }
        self._same = picked(names, of("point", "instrument", "accuracy", "repeat", "sunlit"))
        self._filled = picked(names, [*of("element_code", "unit_code", "remark"), *self.values])
        self._like: dict[tuple[object, ...], _Like] = {}

    def like(self, cells: Sequence[str]) -> _Like | None:
        """Return what a row with the same columns filled was read as, if there was one."""
        return self._like.get(self._likeness(cells))

    def remember(
        self,
        cells: Sequence[str],
        readings: Sequence[tuple[str, NewReading]],
        temperatures: Sequence[tuple[str, NewTemperature]],
    ) -> None:
        """Remember what a row was read as, each value with its column."""
        if len(self._like) >= MOST_REMEMBERED:
            self._like.clear()
        self._like[self._likeness(cells)] = _Like(
            [(header, *self.values[header], new) for header, new in readings],
            [(header, *self.values[header], new) for header, new in temperatures],
        )

    def _likeness(self, cells: Sequence[str]) -> tuple[object, ...]:
        return self._same(cells), *[not cell for cell in self._filled(cells)]


class RowsOfVisit:
    """Reads the rows of a visit into it."""

    def __init__(self, before: RowsBefore, visit: Visit) -> None:
        self._before = before
        self._visit = visit
        self._elements = before.known.elements[visit.bridge.pk]
        self._units = before.known.units[visit.bridge.pk]
        self._zone = visit.bridge.time_zone
        self._said: set[tuple[str, ...]] = set()

    def read(self, line: int, cells: Sequence[str]) -> list[Problem]:
        """Add what a row tells to the visit, or return what is wrong with it."""
        before, visit = self._before, self._visit
        like = before.like(cells)
        # What a row says of the visit is compared with other rows, so it is told once in full.
        said = before.said(cells)
        if like is not None and said in self._said and self._take(like, line, cells):
            return []
        readings, temperatures = len(visit.readings), len(visit.temperatures)
        told = dict(zip(before.names, cells, strict=True))
        row = FileRow(line, told, before.header, before.known)
        row.into(visit)
        if not row.problems:
            self._said.add(said)
            before.remember(
                cells,
                [
                    (cell.column, new)
                    for cell, new in zip(
                        visit.reading_cells[readings:], visit.readings[readings:], strict=True
                    )
                ],
                [
                    (cell.column, new)
                    for cell, new in zip(
                        visit.temperature_cells[temperatures:],
                        visit.temperatures[temperatures:],
                        strict=True,
                    )
                ],
            )
        return row.problems

    def _take(self, like: _Like, line: int, cells: Sequence[str]) -> bool:
        """Add a row that is like one before, unless what is its own cannot be read."""
        visit = self._visit
        taken, code, unit_code, remark = self._before.own(cells)
        try:
            taken_at = read_time(taken, self._zone)
            element = self._elements[code] if code else None
            unit = self._units[unit_code] if unit_code else None
            readings = [(same, read(cells[at])) for _, at, read, same in like.readings]
            temperatures = [(same, read(cells[at])) for _, at, read, same in like.temperatures]
        except (InputError, KeyError):
            return False
        for same, typed in readings:
            visit.readings.append(
                NewReading(
                    element,
                    same.quantity,
                    typed.value,
                    typed.typed,
                    taken_at,
                    same.point,
                    same.axis,
                    same.repeat,
                    same.instrument,
                    same.accuracy,
                    remark,
                )
            )
        visit.reading_cells += [Cell(line, header) for header, *_ in like.readings]
        for of, typed in temperatures:
            visit.temperatures.append(
                NewTemperature(
                    of.place, typed.value, typed.typed, taken_at, unit, of.sunlit, of.instrument
                )
            )
        visit.temperature_cells += [Cell(line, header) for header, *_ in like.temperatures]
        return True
